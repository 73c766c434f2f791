"""Pumps: curve, speed, power."""
