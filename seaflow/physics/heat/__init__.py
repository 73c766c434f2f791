"""Refrigeration machine, condenser and refrigerant."""
