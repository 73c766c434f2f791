"""Water in hoses, fittings and coils: losses, falling legs, suction."""
