"""Readings that no boat can give: a question back, and nothing concluded from them."""

from __future__ import annotations

import math

from seaflow.base.constants import ATMOSPHERE
from seaflow.base.problems import Problem, SeaflowError
from seaflow.physics.heat.refrigerant import saturation_pressure, saturation_temperature
from seaflow.physics.heat.refrigerant import temperature_limits as limits_of
from seaflow.studies.diagnose.readings import HIGH_SIDE, Number, Places, Readings, instruments

IMPOSSIBLY_COLD = 3.0  # combined standard deviations by which a discharge may not be below the sea
SEA_AND_LINE = 1.0  # K that the sea and the line to the gauge may be off
BAR, PSI = 1e5, 6894.757  # Pa
LEAST_VOLTS, MOST_VOLTS = 0.6, 1.3  # of rated, that a supply still gives; own choice
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
        refrigerant condenses colder than the sea, or while heating, when it does so in the cabin;
        if stream, flow and pump exclude each other; if the volts are those of another supply.
    """
    _refuse_signs(readings, places)
    _refuse_volts(readings.of("volts"), places)
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


def _refuse_signs(readings: Readings, places: Places) -> None:
    said = {f"{kind}={word}" for kind, word in readings.signs}
    flows = {item.place: item.value for item in readings.numbers if item.kind == "flow"}
    flowing = bool(places.outlets) and all(flows.get(name, 0.0) > 0.0 for name in places.outlets)
    if "stream=none" in said and flowing:
        raise question(
            "no stream, and yet a flow that fills a bucket at each outlet",
            "Both cannot be at once: one of them was seen at another time or place.",
        )
    if "stream=strong" in said and any(value <= 0.0 for value in flows.values()):
        raise question(
            "a strong stream, and yet no flow at an outlet",
            "Both cannot be at once: one of them was seen at another time or place.",
        )
    if {"stream=strong", "pump=silent"} <= said:
        raise question(
            "a strong stream from a pump that is silent",
            "No stream comes from a pump that stands still: either it runs and was not heard, or "
            "the stream is that of something else.",
        )


def _refuse_volts(volts: float | None, places: Places) -> None:
    rated = places.volts
    if volts is None or rated is None or LEAST_VOLTS * rated <= volts <= MOST_VOLTS * rated:
        return
    raise question(
        f"{volts:g} V at the pump, on a supply of {rated:g} V",
        f"It lies outside {LEAST_VOLTS * rated:.3g} V to {MOST_VOLTS * rated:.3g} V, within which "
        "such a supply sags or rises. Where no volts arrive at all, the pump is silent: say that "
        "of the pump instead. Where the boat has another supply, correct the case.",
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
