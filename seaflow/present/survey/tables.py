"""Rows of the tables of a survey: where things lie, runs, and what an open hose lets in."""

from __future__ import annotations

import math
from collections.abc import Iterator

from seaflow.physics.hull.openings import SHARP_EDGE
from seaflow.present.quantities import percent
from seaflow.present.survey.units import SurveyShow
from seaflow.studies.survey.findings import AS_SHE_WORKS, AT_REST, Survey
from seaflow.studies.survey.places import Placed, RunLeg, Trimmed


def short_angle(value: float | None) -> str:
    """Return the angle at which something turns, as it stands in a table."""
    return "> 60°" if value is None else f"{math.degrees(value):.0f}°"


PLACE_HEAD = ("", "", "at rest", "starboard down", "port down", "turns at")


def place_title(answer: Survey) -> str:
    """Return the title of the table of places, with the heel that its columns are for."""
    if answer.working_heel is None:
        return "Where openings and pumps lie; the working heel is not recorded"
    return f"Where openings and pumps lie, at rest and at {math.degrees(answer.working_heel):.3g}°"


def place_row(item: Placed, show: SurveyShow) -> tuple[str, ...]:
    """Return height at rest and heeled, and the angle at which that turns."""
    levels = (item.starboard_down, item.port_down)
    return (
        item.name,
        item.kind,
        show("height", item.height),
        *(show("height", level) for level in levels),
        _turns(item),
    )


def _turns(item: Placed | Trimmed) -> str:
    """Return the heel at which a thing comes out of the water or goes under, in words."""
    if not item.is_known:
        return "not recorded"
    if item.kind == "pump":
        return ""
    is_under = item.kind != "intake" and (item.height or 0.0) < 0.0
    return "is under" if is_under else short_angle(item.turns_at)


TRIM_HEAD = ("", "", "stbd, bow", "stbd, stern", "port, bow", "port, stern", "turns at")


def trim_row(item: Trimmed, show: SurveyShow) -> tuple[str, ...]:
    """Return the heights of a thing heeled and trimmed, and the heel at which that turns."""
    levels = (item.starboard_bow, item.starboard_stern, item.port_bow, item.port_stern)
    return (
        item.name,
        item.kind,
        *(show("height", level) for level in levels),
        _turns(item),
    )


LEG_HEAD = ("from", "to", "rise", "along", "slope", "reverses at")


def leg_row(item: RunLeg, show: SurveyShow) -> tuple[str, ...]:
    """Return a piece of a run: rise, length along the level, slope, and the heel that turns it."""
    turns = short_angle(item.reverses_at)
    return (
        item.start,
        item.end,
        show("height", item.rise),
        show("height", item.run),
        "-" if item.slope is None else percent(item.slope),
        turns if item.is_known else "not recorded",
    )


WHEN = {AT_REST: "at rest", AS_SHE_WORKS: "as she works"}
OPENING_HEAD = (
    "opening",
    "under water",
    "depth",
    "bore",
    f"sharp edge, {SHARP_EDGE:g}",
    "as printed, 1",
)


def opening_rows(answer: Survey, show: SurveyShow) -> Iterator[tuple[str, ...]]:
    """Yield what each opening below the waterline lets in."""
    for item in answer.openings:
        yield (
            item.name,
            WHEN[item.when],
            show("height", item.depth),
            show("bore", item.bore),
            show("flow", item.flow),
            show("flow", item.flow_at_one),
        )
