"""The page of a boat: one file of HTML for the installer, the customer and the owner."""
