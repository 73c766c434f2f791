"""Reading the text of a case: characters, values and records, with a place for every problem."""
