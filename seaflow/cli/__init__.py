"""The command line. Depends on: everything below it."""
