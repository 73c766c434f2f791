"""What to change on a boat: one thing at a time, and together. Depends on: studies."""
