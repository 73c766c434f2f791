"""The book: every sentence of an answer, a file for each answer. See `present/sentences.py`."""
