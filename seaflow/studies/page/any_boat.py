"""Boats of which only the size of the unit is known: typical ones, with all their spread."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from seaflow.base.measured import measured
from seaflow.base.units import read_quantity
from seaflow.forms.typical.boat import spoken_boat
from seaflow.studies.diagnose.drawn import PackedBoats, drawn_boats
from seaflow.studies.page.study import owners_setups

SIZES = (5, 7, 9, 12, 16, 20, 24)  # thousands of BTU/h, as plates have it
COLDEST, WARMEST = 8.0, 34.0  # degC, of seas in which somebody cools
N_DRAWS = 4608  # of each size


@dataclass(frozen=True, slots=True, eq=False)
class AnyBoat:
    """Boats with one unit of this plate, on its own pump and outlet; volts and gauges say nothing.

    They would be of one supply and one pump, which nobody told.
    """

    boats: PackedBoats
    cooling: float = measured("W")


def any_boats(tell: Callable[[], None] = lambda: None) -> tuple[AnyBoat, ...]:
    """Return boats of every size; `tell` is called as each is begun."""
    found = []
    for size in SIZES:
        tell()
        plate = f"{size}000 BTU/h"
        case = spoken_boat({"unit": [plate]}).loaded.case
        boats = drawn_boats(owners_setups(case)[0], N_DRAWS, ends=(COLDEST, WARMEST))
        found.append(AnyBoat(replace(boats, numbers={}), read_quantity(plate, "W")))
    return tuple(found)
