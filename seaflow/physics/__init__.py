"""Pure functions on SI numbers or arrays. Depends on: base."""
