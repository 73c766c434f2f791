"""The answer of `parts`: tables, and the curve of a pump as text and picture."""
