"""The forward model of one loop. Depends on: boat, physics, base."""
