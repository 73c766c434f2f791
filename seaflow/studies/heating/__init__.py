"""Heating with the sea as the source: how cold it may be. Depends on: model, boat."""
