"""What was assumed for the places: defaults, own figures of the case, and limits."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption, assumed
from seaflow.studies.design.limits import limits_used
from seaflow.studies.place.routes import (
    GIVEN,
    ROUTED,
    UNKNOWN,
    cable_basis,
    cable_slack_of,
    candidates,
    slack_of,
)

LIMITS = ("pump_below_water", "strainer_reach", "npsh_margin", "suction_vacuum", "nearest_ear")
BOARDS = ("neighbour", "further", "board_length", "board_width", "locker_leak")


def taken(case: Case) -> tuple[Assumption, ...]:
    """Return what stood in for what the case leaves open, and the limits used."""
    return (
        *_hoses(case),
        *_cables(case),
        *(assumed(f"placing.{name}", "places") for name in BOARDS),
        *_footings(case),
        *limits_used(*LIMITS),
    )


def _hoses(case: Case) -> Iterator[Assumption]:
    given = case.placing is not None and case.placing.slack is not None
    yield _factor("placing.slack", slack_of(case), given)
    yield Assumption("places", "bends and fittings of the hoses", "as now", "the case")


def _cables(case: Case) -> Iterator[Assumption]:
    """Yield where the lengths of the cables come from, pump by pump."""
    found = {
        pump: {cable_basis(case, item) for item in candidates(case, pump.name)}
        for pump in case.pump
    }
    if any(ROUTED in bases for bases in found.values()):
        given = case.placing is not None and case.placing.cable_slack is not None
        yield _factor("placing.cable_slack", cable_slack_of(case), given)
    for pump, bases in found.items():
        if GIVEN in bases:
            yield Assumption(pump.name, "cable to every place", "as long as now", _how_to_mend())
        if UNKNOWN in bases:
            words = "none recorded: the volts of the panel reach the pump"
            yield Assumption(pump.name, "cable to every place", words, _how_to_mend())
        if bases - {GIVEN, UNKNOWN} and (pump.cable is None or pump.cable.conductor is None):
            words = "not recorded: it loses the drop it should be sized for, however long"
            yield Assumption(pump.name, "conductor of the cable", words, "the case")


def _how_to_mend() -> str:
    return "the case: give panel in [placing], or cable_length at a place"


def _factor(name: str, value: float, given: bool) -> Assumption:
    noted = assumed(name, "places")
    if given:
        return Assumption("places", noted.meaning, f"{value:.3g}", "the case")
    return noted


def _footings(case: Case) -> Iterator[Assumption]:
    for place in case.pump_place:
        for key in ("mount", "first_clip"):
            if getattr(place, key) is None:
                yield assumed(f"placing.{key}", place.name)
    if any(wall.lining and wall.lining_gap is None for wall in case.partition):
        yield assumed("placing.lining_gap", "partitions")
