"""What a case may say: one declaration for each kind of thing on the boat."""
