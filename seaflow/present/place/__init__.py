"""The answer of `place`: text, tables and drawing."""
