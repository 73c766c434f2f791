"""The boat in the water: heel, speed, and holes below the waterline."""
