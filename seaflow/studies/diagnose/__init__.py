"""What is wrong with a loop, from a few readings. Depends on: studies, model, boat, physics."""
