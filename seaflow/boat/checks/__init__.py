"""Whether a case makes sense as a boat, beyond each value on its own."""
