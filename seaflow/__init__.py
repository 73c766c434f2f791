"""Size, place, survey and diagnose the seawater loop of marine air conditioning."""

__version__ = "0.1.0"
