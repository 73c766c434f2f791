"""Whether a unit's high side, told as a pressure and as a temperature, is told twice alike."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.constants import ATMOSPHERE
from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.tables.things import Unit
from seaflow.physics.heat.refrigerant import saturation_temperature

AS_ONE = 3.0  # K; a label rounds both, each for itself: to 1 bar or 10 psi, and to 1 or 2 K
TABLES = {"cut_out": "cut-out", "condensing": "condensing point"}


def check_told_twice(case: Case, unit: Unit, refrigerant: str) -> Iterator[Problem]:
    """Where both are told they lie on the curve on which the refrigerant condenses.

    A blend has one for its bubbles and one for its dew, and a label may be of either. Pressures
    beyond both curves are told elsewhere.
    """
    for table, thing in TABLES.items():
        record = getattr(unit, table)
        if record is None or record.temperature is None or record.gauge_pressure is None:
            continue
        pressure = record.gauge_pressure + ATMOSPHERE
        low, high = sorted(
            float(saturation_temperature(pressure, refrigerant, side)) for side in ("bubble", "dew")
        )
        if low - AS_ONE <= record.temperature <= high + AS_ONE:
            continue
        bar, there = f"{record.gauge_pressure / 1e5:.3g} bar", _between(low, high)
        taken = "" if unit.refrigerant else ", which is taken, as no refrigerant is recorded"
        yield case.text.problem(
            "K18",
            ("unit", unit.row, table, "temperature"),
            f'unit "{unit.name}": its {thing} is at {record.temperature:.3g} degC and at {bar}, '
            f"where {refrigerant} condenses at {there}{taken}",
            why="One of the two follows from the other, and nobody can tell which of them is "
            "meant.",
            write="Keep the one on the label and take the other out, or look at its unit (bar, "
            "kPa, psi) and at the refrigerant on the plate.",
        )


def _between(low: float, high: float) -> str:
    one, other = f"{low:.0f}", f"{high:.0f}"
    return f"{one} degC" if one == other else f"{one} to {other} degC"
