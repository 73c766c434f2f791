"""Motors, and the cable that feeds them."""
