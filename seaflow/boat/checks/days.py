"""Whether the day, the seas of its duties and the sea to heat from can be."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from seaflow.base.constants import DAY
from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.reader.text import Path
from seaflow.physics.water.seawater import freezing_temperature

SLACK = 1.0  # s; hours typed as decimals need not add up to the second


def check_day(case: Case) -> Iterator[Problem]:
    """The duties of a day must fit into it."""
    total = sum(duty.hours for duty in case.duty)
    if total > DAY + SLACK:
        yield case.text.problem(
            "S39",
            ("duty", len(case.duty) - 1, "hours"),
            f"the duties of a day take {total / 3600.0:.3g} h",
            why="Energy and charge are counted for one day.",
            write="Write how long each duty lasts on the same day, together 24 h at most.",
        )


def check_seas(case: Case) -> Iterator[Problem]:
    """The sea of a duty, and that from which the units heat, must be water."""
    yield from _ice(case, ("sea", "heating_from"), case.sea.heating_from)
    for row, duty in enumerate(case.duty):
        yield from _ice(case, ("duty", row, "sea"), duty.sea)
    for unit in case.unit:
        water = unit.heating.water if unit.heating else None
        if water is not None and water < 0.0:
            yield _frozen(case, ("unit", unit.row, "heating", "water"), water, 0.0, "fresh water")


def _ice(case: Case, path: Path, value: float | None) -> Iterator[Problem]:
    if value is None or math.isnan(value) or math.isnan(case.sea.salinity):
        return
    freezing = float(freezing_temperature(case.sea.salinity))
    if value < freezing:
        yield _frozen(case, path, value, freezing, f"water of {case.sea.salinity:g} g/kg")


def _frozen(case: Case, path: Path, value: float, freezing: float, water: str) -> Problem:
    return case.text.problem(
        "S18",
        path,
        f"a sea of {value:g} degC is ice: {water} freezes at {freezing:.1f} degC",
        why="Ice does not flow, and freezing water splits a coil.",
        write=f'Write {path[-1]} = "{math.ceil(freezing + 0.05):g} degC" or warmer.',
    )


DAYS: tuple[Callable[[Case], Iterator[Problem]], ...] = (check_day, check_seas)
