"""What people and machines read; computes nothing. Depends on: studies, base."""
