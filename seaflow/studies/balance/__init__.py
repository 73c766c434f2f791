"""Several units on one pump: who starves, how to share, and warm water. Depends on: studies."""
