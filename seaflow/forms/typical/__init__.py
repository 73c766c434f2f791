"""A whole typical case from the few facts that somebody knows of a boat."""
