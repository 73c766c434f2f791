"""Makes the generated pages of docs/, one module for each kind of page."""
