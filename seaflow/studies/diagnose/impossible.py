"""Readings that no boat can give: a question back, and nothing concluded from them."""

from __future__ import annotations

import math

from seaflow.base.constants import ATMOSPHERE
from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.tables import read_table
from seaflow.base.units import factor_and_offset
from seaflow.physics.heat.refrigerant import saturation_pressure, saturation_temperature
from seaflow.physics.heat.refrigerant import temperature_limits as limits_of
from seaflow.studies.diagnose.readings import HIGH_SIDE, Number, Places, Readings, instruments

IMPOSSIBLY_COLD = 3.0  # combined standard deviations by which a discharge may not be below the sea
SEA_AND_LINE = 1.0  # K that the sea and the line to the gauge may be off
BAR, PSI = 1e5, 6894.757  # Pa
LEAST_VOLTS, MOST_VOLTS = 0.6, 1.3  # of rated, that a supply still gives; own choice
LEAST_TURNING = 0.4  # of rated, at which a pump that moves water may still be read; own choice
MOST_RISE = 35.0  # K over the warmest sea that water leaves a unit; own choice
FREEZING = -2.0  # degC of the coldest sea
TOO_WARM_TO_HEAT = 30.0  # degC of the sea, which then is nearly as warm as the coil in the cabin


def question(what: str, why: str, write: str = "", code: str = "D01") -> SeaflowError:
    """Return the question back to somebody whose reading cannot be, or cannot be used."""
    again = read_table("instruments.toml")["hint"]["again"]
    return SeaflowError([Problem(code, what, why=why, write=write or again)])


def refuse_impossible(readings: Readings, places: Places) -> None:
    """Refuse readings that contradict each other on any boat.

    Raises
    ------
    SeaflowError
        If a temperature is in the other scale; if the sea is too warm to heat in; if the discharge
        is colder than the sea while cooling, or warmer while heating; if the refrigerant condenses
        colder than the sea, or while heating, when it does so in the cabin; if stream, flow and
        pump exclude each other; if the volts are those of another supply.
    """
    _refuse_signs(readings, places)
    _refuse_volts(readings, places)
    if readings.mode == "cooling":
        _refuse_other_scale(readings, places)
    sea = readings.of("sea")
    for item in readings.numbers:
        if item.kind in HIGH_SIDE:
            _refuse_high_side(item, readings, places)
    if sea is None:
        return
    if readings.mode == "heating" and sea > TOO_WARM_TO_HEAT:
        raise question(
            f"a sea of {_degrees(sea)} while heating",
            "Nobody heats in a sea so warm: the unit runs in the other mode, or the thermometer "
            "hung elsewhere.",
        )
    room = cold_room()
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


def cold_room() -> float:
    """Return how far [K] a discharge may read below the sea while cooling, by errors alone."""
    error = instruments()["discharge"].error
    return IMPOSSIBLY_COLD * math.hypot(error, instruments()["sea"].error)


def _refuse_other_scale(readings: Readings, places: Places) -> None:
    """Refuse a temperature that no water has here, and would have in degrees of the other scale."""
    low, high = places.seas
    for item in readings.numbers:
        ends = {"sea": (low, high), "discharge": (low, high + MOST_RISE)}.get(item.kind)
        if ends is None or ends[0] <= item.value <= ends[1]:
            continue
        factor, offset = factor_and_offset("degC", "degF")
        hotter, colder = factor * item.value + offset, (item.value - offset) / factor
        for meant, written in ((hotter, f"{hotter:.4g}C"), (colder, f"{item.value:.4g}F")):
            if ends[0] <= meant <= ends[1]:
                raise question(
                    f"a {instruments()[item.kind].title} of {_degrees(item.value)} is far from "
                    "what is usual here",
                    f"A sea of {_degrees(low)} to {_degrees(high)} is believed of this boat.",
                    f'Is it in the other scale? Then write "{written}".',
                )


def _refuse_signs(readings: Readings, places: Places) -> None:
    said = {f"{kind}={word}" for kind, word in readings.signs}
    flows = {item.place: item.value for item in readings.numbers if item.kind == "flow"}
    _refuse_streams(readings, flows)
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
    strong = "stream=strong" in said or any(word == "strong" for _, word in readings.streams)
    if strong and "handle=shut" in said:
        raise question(
            "a strong stream through a seacock whose handle stands shut",
            "Either another valve was looked at, or the stem under the handle is broken: then this "
            "seacock cannot shut the sea out. Look again, and keep a bung at hand.",
        )
    if {"stream=strong", "pump=silent"} <= said:
        raise question(
            "a strong stream from a pump that is silent",
            "No stream comes from a pump that stands still: either it runs and was not heard, or "
            "the stream is that of something else.",
        )


def _refuse_streams(readings: Readings, flows: dict[str, float]) -> None:
    """Refuse a stream of one outlet that excludes what was read there."""
    for place, word in readings.streams:
        flow = flows.get(place)
        if flow is not None and (word == "none") != (flow <= 0.0) and word in ("none", "strong"):
            raise question(
                f'a stream that is "{word}" at "{place}", and yet a flow of '
                f"{60e3 * flow:.3g} L/min there",
                "Both cannot be at once: one of them was seen at another time or place.",
            )
        if word == "strong" and ("pump", "silent") in readings.signs:
            raise question(
                f'a strong stream at "{place}" from a pump that is silent',
                "No stream comes from a pump that stands still: either it runs and was not heard, "
                "or the stream is that of something else.",
            )


def water_comes(readings: Readings) -> bool:
    """Tell whether water was seen to come, so that the pump turned at whatever volts it had.

    A thermometer that was held into what leaves was held into water.
    """
    words = [word for kind, word in readings.signs if kind == "stream"]
    words += [word for _, word in readings.streams]
    seen = [item for item in readings.numbers if item.kind in ("flow", "discharge")]
    comes = any(item.kind == "discharge" or item.value > 0.0 for item in seen)
    return comes or any(word != "none" for word in words)


def volts_of(rated: float) -> tuple[float, float, float]:
    """Return the volts between which a supply may be read [V]: the least where water comes, the
    least where none does, and the most."""
    return LEAST_TURNING * rated, LEAST_VOLTS * rated, MOST_VOLTS * rated


def _refuse_volts(readings: Readings, places: Places) -> None:
    volts, rated = readings.of("volts"), places.volts
    if volts is None or rated is None:
        return
    turning, least, most = volts_of(rated)
    # where water comes the meter may be off, but the pump does turn
    if (turning if water_comes(readings) else least) <= volts <= most:
        return
    raise question(
        f"{volts:g} V at the pump, on a supply of {rated:g} V",
        f"It lies outside {least:.3g} V to {most:.3g} V, within which "
        "such a supply sags or rises. Where no volts arrive at all, the pump is silent: say that "
        "of the pump instead. Where the boat has another supply, correct the case.",
    )


def _refuse_high_side(item: Number, readings: Readings, places: Places) -> None:
    if readings.mode == "heating":
        raise question(
            f'a high side of "{item.place}" while it heats',
            "The refrigerant then condenses in the cabin, and the sea side evaporates.",
            "Leave this reading out.",
            "D05",
        )
    found = item.value if item.kind == "condensing" else _condensing(item, places)
    sea = readings.of("sea")
    coldest = FREEZING if sea is None else sea
    room = IMPOSSIBLY_COLD * math.hypot(instruments()["condensing"].error, SEA_AND_LINE)
    if found < coldest - room:
        raise question(
            (
                f"a condensing temperature of {_degrees(found)}"
                if item.kind == "condensing"
                else f"{item.value / BAR:.1f} bar ({item.value / PSI:.0f} psi) of "
                f"{places.refrigerants[item.place]}, which condenses at {_degrees(found)},"
            )
            + f" is colder than {'any sea' if sea is None else f'the sea at {_degrees(sea)}'}",
            "The high side of a unit that cools is warmer than its water: the low side was read, "
            "or the unit stood still, or it has lost its refrigerant.",
        )


def _condensing(item: Number, places: Places) -> float:
    """Return the temperature at which the refrigerant condenses at a gauge pressure [degC]."""
    refrigerant = places.refrigerants[item.place]
    ends = [float(saturation_pressure(end, refrigerant)) for end in limits_of(refrigerant)]
    pressure = min(max(item.value + ATMOSPHERE, ends[0]), ends[1])
    return float(saturation_temperature(pressure, refrigerant))


def _degrees(value: float) -> str:
    factor, offset = factor_and_offset("degC", "degF")
    return f"{value:.1f} degC ({factor * value + offset:.0f} degF)"
