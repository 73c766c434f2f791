"""The boat as written down: case file, parts tables, reader. Depends on: base."""
