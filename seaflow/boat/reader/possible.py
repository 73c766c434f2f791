"""What no boat can have: the least and the most of every quantity, and how wide it may be unsure.

The plausible ranges of the glossary are narrower, and only raise questions.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from seaflow.boat.keys import Key

TINY = 1e-12  # stands for "above zero"


@dataclass(frozen=True, slots=True)
class Limits:
    """The least and the most that a key may hold, in the glossary's unit."""

    least: float | None = None
    most: float | None = None

    def holds(self, value: float) -> bool:
        """Return True for a finite value inside."""
        low = self.least is None or value >= self.least
        return math.isfinite(value) and low and (self.most is None or value <= self.most)


_ABOVE_ZERO = ("wall", "coil_diameter", "area", "conductor_area")
_LIMITS = {
    "bore": (0.003, 0.150),
    "hole": (1e-5, 0.05),
    "length": (0.0, 200.0),
    "roughness": (0.0, 0.01),
    "loss_coefficient": (0.0, 1e5),
    "growth": (0.0, 0.05),
    "share": (0.0, 1.0),
    "blockage": (0.0, 0.99),
    "salinity": (0.0, 50.0),
    "sea_temperature": (-2.5, 40.0),
    "condensing_temperature": (0.0, 150.0),
    "temperature_rise": (0.1, 60.0),
    "height": (-10.0, 20.0),
    "aft": (-5.0, 100.0),
    "starboard": (-30.0, 30.0),
    "heel": (0.0, math.radians(60)),
    "voltage": (1.0, 1000.0),
    "unit_voltage": (1.0, 1000.0),
    "power": (0.01, 1e6),
    "input_power": (1.0, 1e6),
    "heat_flow": (10.0, 1e6),
    "volume_flow": (1e-7, 1.0),
    "head_loss": (1e-4, 200.0),
    "pressure": (1.0, 1e8),
    "condensing_pressure": (1.0, 1e8),
    "open_area_ratio": (0.01, 1.0),
    "frequency": (40.0, 70.0),
    "gauge_pressure": (-101000.0, 1e7),
    "cleaning_interval": (1.0, None),
    "duration": (1.0, 86400.0),
    "charge": (360.0, 1e8),
    "regeneration": (0.0, 1e5),
}


def limits_of(declared: Key) -> Limits:
    """Return the limits of a key: its own if it has any, else those of its quantity."""
    if declared.quantity is None or declared.least is not None or declared.most is not None:
        return Limits(declared.least, declared.most)
    if declared.quantity in _ABOVE_ZERO:
        return Limits(TINY, None)
    return Limits(*_LIMITS.get(declared.quantity, (None, None)))


def too_wide(value: float, half_width: float, limits: Limits) -> bool:
    """Say whether a value less its half width is something that no boat can have."""
    if limits.least is None or limits.least < 0.0 or value <= 0.0:
        return False
    return half_width >= value if limits.least > 0.0 else half_width > value
