"""Whether the points of a coil's loss can be: each one loss at its flow, and rising with it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.tables.plates import LossPoint
from seaflow.boat.tables.things import Unit
from seaflow.physics.hull.openings import head_of_pressure
from seaflow.physics.water.seawater import seawater

AS_ONE = 1.1  # a sheet rounds head and pressure each for itself


def check_losses(case: Case, unit: Unit) -> Iterator[Problem]:
    """Each point has one loss, no two are at one flow, and more flow loses more."""
    seen: set[float] = set()
    for index, point in enumerate(unit.water_loss):
        path = ("unit", unit.row, "water_loss", index)
        if point.head is None and point.pressure is None:
            yield case.text.problem(
                "S21",
                path,
                f'unit "{unit.name}": point {index + 1} of its water loss has a flow and no loss',
                why="Each point says what one flow costs.",
                write='Write { at = "15 L/min", head = "2.4 m" }, or pressure in place of head.',
            )
        if point.at in seen:
            yield case.text.problem(
                "S33",
                path,
                f'unit "{unit.name}": two points of its water loss are at the same flow',
                why="The loss at other flows follows from two different flows.",
                write="Keep one of the two.",
            )
        seen.add(point.at)
        yield from _two_values(case, unit, index)
    yield from _falling(case, unit)


def _two_values(case: Case, unit: Unit, index: int) -> Iterator[Problem]:
    point = unit.water_loss[index]
    if point.head is None or point.pressure is None:
        return
    by_pressure = _head_of(point.pressure)
    low, high = sorted((point.head, by_pressure))
    if high > AS_ONE * low:
        yield case.text.problem(
            "K18",
            ("unit", unit.row, "water_loss", index, "head"),
            f'unit "{unit.name}": point {index + 1} of its water loss has two losses, '
            f"{point.head:.3g} m by head and {by_pressure:.3g} m by pressure "
            f"({point.pressure / 1000:.3g} kPa)",
            why="One flow costs one loss, and nobody can tell which of them is meant.",
            write="Keep the one on the sheet and take the other out.",
        )


def _falling(case: Case, unit: Unit) -> Iterator[Problem]:
    told = [(point, index) for index, point in enumerate(unit.water_loss) if _loss(point) > 0.0]
    for (less, before), (more, index) in pairwise(sorted(told, key=lambda pair: pair[0].at)):
        if more.at > less.at and _loss(more) <= _loss(less):
            yield case.text.problem(
                "S71",
                ("unit", unit.row, "water_loss", index),
                f'unit "{unit.name}": its coil would lose {_told(less)} (point {before + 1}), '
                f"and no more than {_told(more)} (point {index + 1})",
                why="The loss of a coil grows with the flow, about with its square: twice the flow "
                "costs about four times the loss.",
                write="Check both rows on the sheet: the decimal points, the units (kPa, m, ft, "
                "psi), and whether two losses were swapped.",
            )


def _loss(point: LossPoint) -> float:
    """Return a loss [m], 0 where none is told; the head where both are, as they are alike."""
    return point.head if point.head is not None else _head_of(point.pressure or 0.0)


def _head_of(pressure: float) -> float:
    """Return a loss told as a pressure [Pa] as a head [m] of the water that plates hold in."""
    density = float(seawater(default("unit.rating_water").value, 0.0).density)
    return float(head_of_pressure(pressure, density))


def _told(point: LossPoint) -> str:
    pressure = "" if point.head is not None else f", {(point.pressure or 0.0) / 1000:.3g} kPa,"
    return f"{_loss(point):.3g} m{pressure} at {60e3 * point.at:.3g} L/min"
