"""The answer of `size`: text, tables, many boats."""
