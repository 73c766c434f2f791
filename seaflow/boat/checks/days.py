"""Whether the day, the seas of its duties and the sea to heat from can be."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from seaflow.base.constants import DAY
from seaflow.base.near import did_you_mean
from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.clock import at_once, clock_of
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


def check_times(case: Case) -> Iterator[Problem]:
    """A duty begins at a time of day, and when the one before it has ended."""
    wrong = [
        row
        for row, duty in enumerate(case.duty)
        if duty.start is not None and clock_of(duty.start) is None
    ]
    for row in wrong:
        yield case.text.problem(
            "S60",
            ("duty", row, "start"),
            f'"{case.duty[row].start}" is no time of day',
            why="The duties are put in order by the clock, to see how long the battery lasts.",
            write='Write hours and minutes, such as start = "22:00".',
        )
    together = None if wrong or any(math.isnan(duty.hours) for duty in case.duty) else case.duty
    pair = at_once(together) if together and len(together) > 1 else None
    if pair is not None and sum(duty.hours for duty in case.duty) <= DAY + SLACK:
        first, second = (case.duty[row].name for row in pair)
        yield case.text.problem(
            "S61",
            ("duty", pair[1], *(("start",) if case.duty[pair[1]].start else ("name",))),
            f'"{second}" begins before "{first}" has ended',
            why="The boat does one thing at a time; what it takes would be counted twice.",
            write="Write a later start for it, or fewer hours for the one before.",
        )


def check_duty_units(case: Case) -> Iterator[Problem]:
    """The units of a duty are units of the boat."""
    known = [unit.name for unit in case.unit]
    for row, duty in enumerate(case.duty):
        for name in duty.units:
            if name not in known:
                listed = ", ".join(f'"{item}"' for item in known)
                yield case.text.problem(
                    "S03",
                    ("duty", row, "units"),
                    f'the duty "{duty.name}" names a unit "{name}", and there is no such unit',
                    why="Only a unit of the boat can run then.",
                    write=did_you_mean(name, known, f"Units there are: {listed}."),
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


DAYS: tuple[Callable[[Case], Iterator[Problem]], ...] = (
    check_day,
    check_times,
    check_duty_units,
    check_seas,
)
