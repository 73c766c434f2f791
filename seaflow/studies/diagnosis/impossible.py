"""Readings that no boat can give: a question back, and nothing concluded from them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from seaflow.base.constants import ATMOSPHERE
from seaflow.base.problems import Problem, SeaflowError
from seaflow.physics.heat.refrigerant import saturation_pressure, saturation_temperature
from seaflow.physics.heat.refrigerant import temperature_limits as limits_of
from seaflow.studies.diagnosis.instruments import instruments

if TYPE_CHECKING:
    from seaflow.studies.diagnosis.readings import Number, Places, Readings

HIGH_SIDE = ("condensing", "high_side")  # readings of the condensing refrigerant
IMPOSSIBLY_COLD = 3.0  # combined standard deviations by which a discharge may not be below the sea
SEA_AND_LINE = 1.0  # K that the sea and the line to the gauge may be off
BAR, PSI = 1e5, 6894.757  # Pa
FREEZING = -2.0  # degC of the coldest sea


def question(what: str, why: str) -> SeaflowError:
    """Return the question back to somebody whose reading cannot be."""
    write = "Which reading may be wrong? Take it once more before anything is concluded from it."
    return SeaflowError([Problem("D01", what, why=why, write=write)])


def refuse_impossible(readings: Readings, places: Places) -> None:
    """Refuse readings that contradict each other on any boat.

    Raises
    ------
    SeaflowError
        If the discharge is colder than the sea while cooling, or warmer while heating; if the
        refrigerant condenses colder than the sea, or while heating, when it does so in the cabin.
    """
    sea = readings.of("sea")
    for item in readings.numbers:
        if item.kind in HIGH_SIDE:
            _refuse_high_side(item, readings, places)
    if sea is None:
        return
    error = instruments()["discharge"].error
    room = IMPOSSIBLY_COLD * math.hypot(error, instruments()["sea"].error)
    sign = 1.0 if readings.mode == "cooling" else -1.0
    for item in readings.numbers:
        if item.kind == "discharge" and sign * (item.value - sea) < -room:
            word = "colder" if sign > 0 else "warmer"
            raise question(
                f"the discharge at {_degrees(item.value)} is {word} than the sea at "
                f"{_degrees(sea)} while {readings.mode}",
                "No fault of the loop does that: the thermometers or the places were mixed up, or "
                "the unit runs in the other mode.",
            )


def _refuse_high_side(item: Number, readings: Readings, places: Places) -> None:
    if readings.mode == "heating":
        what = f'a high side of "{item.place}" while it heats'
        why = "The refrigerant then condenses in the cabin, and the sea side evaporates."
        raise SeaflowError([Problem("D05", what, why=why, write="Leave this reading out.")])
    found, read = item.value, f"a condensing temperature of {_degrees(item.value)}"
    if item.kind == "high_side":
        refrigerant = places.refrigerants[item.place]
        ends = [float(saturation_pressure(end, refrigerant)) for end in limits_of(refrigerant)]
        pressure = min(max(item.value + ATMOSPHERE, ends[0]), ends[1])
        found = float(saturation_temperature(pressure, refrigerant))
        gauge = f"{item.value / BAR:.1f} bar ({item.value / PSI:.0f} psi)"
        read = f"{gauge} of {refrigerant}, which condenses at {_degrees(found)},"
    sea = readings.of("sea")
    coldest = FREEZING if sea is None else sea
    room = IMPOSSIBLY_COLD * math.hypot(instruments()["condensing"].error, SEA_AND_LINE)
    if found < coldest - room:
        than = "any sea" if sea is None else f"the sea at {_degrees(sea)}"
        raise question(
            f"{read} is colder than {than}",
            "The high side of a unit that cools is warmer than its water: the low side was read, "
            "or the unit stood still, or it has lost its refrigerant.",
        )


def _degrees(value: float) -> str:
    return f"{value:.1f} degC ({1.8 * value + 32.0:.0f} degF)"
