"""One page about a boat: what the other questions answer, and the run from sea to sea."""
