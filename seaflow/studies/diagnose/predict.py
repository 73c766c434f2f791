"""What would be read on each simulated boat, and how likely each word of a sign is there."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.base.constants import ATMOSPHERE, GRAVITY
from seaflow.model import point as words
from seaflow.model.heating import room_to_ice
from seaflow.model.point import UnitPoint
from seaflow.model.pressures import pump_gauge
from seaflow.physics.electric.motor import supply_current
from seaflow.physics.heat.refrigerant import saturation_pressure, temperature_limits
from seaflow.physics.water.seawater import freezing_temperature
from seaflow.studies.diagnose.readings import HIGH_SIDE, signs
from seaflow.studies.diagnose.simulate import Flotilla
from seaflow.studies.diagnose.trip_told import MISREPORTED, TOLD, told_without

USUAL_SPLIT = 9.5  # K between return and supply air, middle of 8 to 11; common practice, no source
OF_A_MACHINE = ("discharge", "watts")
NO_LOWER = 5e3 - ATMOSPHERE  # Pa: water boils before the gauge reads less
NO_USUAL_WORD = ("when",)  # signs of which no word is that of a healthy boat
CURED = 0.1  # how likely a fault is to outlast the remedy that was tried
# Flow over the healthy boat's, and how the stream is then called: none, weak, pulsing, strong.
# No flow at all has a row of its own: a dry outlet is no trickle.
_STREAM_UP_TO = (0.0, 0.05, 0.3, 0.6, 0.8)
_TRICKLE = 1  # the row of the least stream that there is
_STREAM = (
    (0.985, 0.01, 0.004, 0.001),
    (0.5, 0.484, 0.015, 0.001),
    (0.08, 0.885, 0.015, 0.02),
    (0.005, 0.86, 0.015, 0.12),
    (0.002, 0.383, 0.015, 0.6),
    (0.001, 0.05, 0.015, 0.934),
)
_PULSING = (0.03, 0.17, 0.65, 0.15)
# A pump that stands still, say for want of volts: normal, silent, humming, gravel; and the most
# that is left of each where a fault that stops it says otherwise.
_STILL = (0.02, 0.49, 0.48, 0.01)
_STILL_MOST = (0.02, 1.0, 1.0, 0.02)


def predicted(flotilla: Flotilla, kind: str, place: str) -> Array | None:
    """Return what a true instrument would show on each boat; None where the case cannot tell."""
    unit_kinds = {"watts": "power", "condensing": "condensing_temperature"}
    if kind in HIGH_SIDE and flotilla.boats.now.mode == "heating":
        return None  # it is then in the cabin
    if kind in OF_A_MACHINE and not _is_known(flotilla, place):
        return None
    if kind in unit_kinds:
        return np.asarray(getattr(flotilla.point.units[place], unit_kinds[kind]))
    if kind == "high_side":
        return high_side(flotilla, place, flotilla.point.units[place].condensing_temperature)
    of_boat: dict[str, Callable[[], Array | None]] = {
        "sea": lambda: flotilla.met.sea,
        "volts": lambda: flotilla.met.volts,
        "discharge": lambda: _discharge(flotilla, place),
        "flow": lambda: _flow(flotilla, place),
        "amps": lambda: _amps(flotilla, place),
        "suction": lambda: _gauge(flotilla, after=False),
        "delivery": lambda: _gauge(flotilla, after=True),
        "split": lambda: _split(flotilla, place),
    }
    return of_boat[kind]()


def _is_known(flotilla: Flotilla, place: str) -> bool:
    """Tell whether the machine behind a unit or an outlet is known: heating needs its plate."""
    coils = flotilla.point.loop.coils
    here = [coil for coil in coils if coil.unit == place] or coils
    return flotilla.boats.now.mode != "heating" or all(coil.heating is not None for coil in here)


def _discharge(flotilla: Flotilla, place: str) -> Array:
    unit = flotilla.point.units.get(place)
    found = flotilla.point.outlet_temperature[place] if unit is None else unit.outlet_temperature
    return np.asarray(found + flotilla.boats.reads_high)


def _flow(flotilla: Flotilla, outlet: str) -> Array:
    number = flotilla.point.loop.link_of(outlet)
    return np.asarray(flotilla.point.flow[number] * (1.0 - flotilla.boats.leaking))


def _amps(flotilla: Flotilla, place: str) -> Array:
    """Return the amps of a pump, or of all that stand side by side there; "" for the only one."""
    pumps = flotilla.point.loop.pumps
    pump = next((pump for pump in pumps if pump.name == place), pumps[0])
    watts = flotilla.point.pumps[pump.name].power * flotilla.power_factor
    volts = np.broadcast_to(np.asarray(flotilla.boats.now.voltage, dtype=float), watts.shape)
    running = supply_current(pump.drive.motor, watts, volts, pump.drive.power_factor)
    rated = pump.drive.power[-1][1] * pump.n_pumps
    one = supply_current(pump.drive.motor, rated, pump.drive.voltage, pump.drive.power_factor)
    return np.asarray(np.where(flotilla.boats.locked > 0, flotilla.boats.locked * one, running))


def _gauge(flotilla: Flotilla, after: bool) -> Array | None:
    gauge = pump_gauge(flotilla.point, after)
    if gauge is None or not np.any(flotilla.boats.shut_in):
        return gauge
    # behind a shut seacock the water stands, and the pump pulls its own inlet down
    pump = flotilla.point.pumps[flotilla.point.loop.pumps[0].name]
    pulled = flotilla.boats.shut_in * flotilla.point.water.density * GRAVITY * pump.head
    return np.asarray(np.maximum(gauge - pulled, NO_LOWER))


def high_side(flotilla: Flotilla, place: str, condensing: Array) -> Array | None:
    """Return the gauge pressure at which the refrigerant of the plate condenses."""
    refrigerant = flotilla.setup.places.refrigerants.get(place)
    if refrigerant is None:
        return None
    low, high = temperature_limits(refrigerant)
    known = np.isfinite(condensing)
    held = np.clip(np.where(known, condensing, low), low, high)
    pressure = np.asarray(saturation_pressure(held, refrigerant)) - ATMOSPHERE
    return np.where(known, pressure, np.nan)


def _split(flotilla: Flotilla, place: str) -> Array | None:
    if flotilla.boats.now.mode != "cooling":
        return None
    rated = flotilla.setup.built.loop.coils
    full = next(coil for coil in rated if coil.unit == place).machine.rated_capacity
    cooling = flotilla.point.units[place].cooling
    return np.asarray(USUAL_SPLIT * cooling / full / np.maximum(flotilla.boats.air_side, 0.1))


def chances_of(flotilla: Flotilla, kind: str, place: str = "") -> dict[str, Array]:
    """Return how likely each word of a sign is on each boat, at a place or on all of it."""
    if kind == "stream":
        return _stream(flotilla, (place,) if place else flotilla.setup.places.outlets)
    if kind == "tripped":
        yes = _tripped(flotilla, place)
        return {"yes": yes, "no": 1.0 - yes}
    names = tuple(signs()[kind].healthy)
    faults = flotilla.setup.faults
    told = np.zeros((len(faults) + 1, len(names)))  # the last row is for no fault
    for row, fault in enumerate(faults):
        given = (fault.signs or {}).get(kind, {})
        told[row] = [given.get(name, 0.003) for name in names] if given else 0.0
    healthy = np.asarray(tuple(signs()[kind].healthy.values()))
    usual = None if kind in NO_USUAL_WORD else int(np.argmax(healthy))
    found = _together(told[flotilla.hypotheses.first], told[flotilla.hypotheses.second], usual)
    found = np.where(found.sum(axis=1, keepdims=True) > 0, found, healthy)
    if kind == "pump":
        found = _standing_still(flotilla, told, found)
    found = found / found.sum(axis=1, keepdims=True)
    return dict(zip(names, found.T, strict=True))


def _tripped(flotilla: Flotilla, unit: str) -> Array:
    """Return how likely a trip is told of each boat, or of one unit."""
    if flotilla.boats.now.mode == "heating":  # the high side is then in the cabin
        return np.where(flotilla.boats.airless, TOLD, MISREPORTED)
    room, water = margin(flotilla, unit), water_shares(flotilla, unit)
    return np.where(trips(flotilla, unit), TOLD, told_without(flotilla, unit, room, water))


def _together(first: Array, second: Array, usual: int | None) -> Array:
    """Return how likely two faults together give each word; a fault may leave a sign unnamed.

    Each may spoil the usual word by itself, so that is given only if both leave it. The rest is
    shared among the other words in proportion to what the two say.
    """
    total = first + second
    if usual is None:
        return total
    both = (first.sum(axis=1) > 0) & (second.sum(axis=1) > 0)
    kept = first[:, usual] * second[:, usual]
    others = np.array(total)
    others[:, usual] = 0.0
    others = others / np.maximum(others.sum(axis=1, keepdims=True), 1e-300)
    found = others * (1.0 - kept)[:, np.newaxis]
    found[:, usual] = kept
    return np.where(both[:, np.newaxis], found, total)


def _standing_still(flotilla: Flotilla, told: Array, found: Array) -> Array:
    """Let a pump that stands still healthy neither as usual nor of gravel."""
    still = np.asarray(flotilla.point.pumps[flotilla.point.loop.pumps[0].name].speed_ratio) <= 0.0
    quiet = told[:, 1:3].sum(axis=1) > 0.5  # faults that say so themselves
    named = (quiet[flotilla.hypotheses.first] | quiet[flotilla.hypotheses.second])[:, np.newaxis]
    held = np.where(named, np.minimum(found, _STILL_MOST), _STILL)
    return np.where(still[:, np.newaxis], held, found)


def _stream(flotilla: Flotilla, outlets: tuple[str, ...]) -> dict[str, Array]:
    """Return how the stream is called where it lacks most of the usual."""
    ratios = [_flow(flotilla, outlet) / usual_flow(flotilla, outlet) for outlet in outlets]
    step = np.searchsorted(_STREAM_UP_TO, np.min(ratios, axis=0))
    plain = np.asarray(_STREAM)[step]
    gulps = (flotilla.boats.pulses & (step > _TRICKLE))[:, np.newaxis]
    gulping = np.tile(np.asarray(_PULSING), (step.size, 1))
    gulping[:, -1] = np.minimum(gulping[:, -1], plain[:, -1])  # gulps make no weak stream strong
    found = np.where(gulps, gulping / gulping.sum(axis=1, keepdims=True), plain)
    return dict(zip(signs()["stream"].healthy, found.T, strict=True))


def stream_rows() -> dict[str, Any]:
    """Return how likely each word of a stream is by the share of the usual water, and in gulps."""
    rows = {"streamUpTo": _STREAM_UP_TO, "streams": _STREAM, "pulsing": _PULSING}
    return {**rows, "trickle": _TRICKLE}


def usual_flow(flotilla: Flotilla, outlet: str) -> float:
    """Return the flow of the healthy boats, or of all where none was simulated."""
    plain = flotilla.as_they_come
    flow = _flow(plain, outlet)
    healthy = flow[plain.hypotheses.healthy]
    return max(float(np.median(healthy if healthy.size else flow)), 1e-6)


def water_shares(flotilla: Flotilla, of: str = "") -> Array:
    """Return the water of the outlet or unit that lacks most on each boat, over what is usual.

    `of` is one unit, nothing for any.
    """
    outlets = () if of else flotilla.setup.places.outlets
    shares = [_flow(flotilla, outlet) / usual_flow(flotilla, outlet) for outlet in outlets]
    plain = flotilla.as_they_come
    healthy = plain.hypotheses.healthy
    for name, unit in flotilla.point.units.items():
        if of and name != of:
            continue
        flow = np.broadcast_to(np.asarray(plain.point.units[name].volume_flow), healthy.shape)
        usual = float(np.median(flow[healthy] if healthy.any() else flow))
        here = np.asarray(unit.volume_flow) / max(usual, 1e-9)
        shares.append(here + np.zeros(flotilla.hypotheses.size))
    return np.asarray(np.min(shares, axis=0))


def trips(flotilla: Flotilla, of: str = "") -> NDArray[np.bool_]:
    """Return which boats have a unit that stops on high pressure, or will for want of water.

    `of` is one unit, nothing for any.
    """
    found: NDArray[np.bool_] = flotilla.boats.airless
    for unit in _units(flotilla, of):
        found = found | (unit.state == words.TRIPS) | (unit.state == words.NO_WATER)
    return found


def _units(flotilla: Flotilla, of: str) -> Sequence[UnitPoint]:
    units = flotilla.point.units
    return [units[of]] if of else list(units.values())


def at_rest(flotilla: Flotilla) -> NDArray[np.bool_]:
    """Return on which boats all units are off, so that none misses the water."""
    states = [unit.state == words.OFF for unit in flotilla.point.units.values()]
    return np.asarray(np.all(states, axis=0) & ~flotilla.boats.airless)


def margin(flotilla: Flotilla, of: str = "") -> Array:
    """Return the least distance to the cut-out [K]: nought after a trip, infinity at rest."""
    rows = [
        np.where(np.isnan(unit.cut_out_margin), np.inf, unit.cut_out_margin)
        for unit in _units(flotilla, of)
    ]
    return np.asarray(np.where(trips(flotilla, of), 0.0, np.min(rows, axis=0)))


def to_ice(flotilla: Flotilla) -> Array:
    """Return the least room to ice in a coil of each boat [K]; infinity where none heats."""
    freezing = float(freezing_temperature(flotilla.setup.case.sea.salinity))
    found = np.full(flotilla.hypotheses.size, np.inf)
    for unit in flotilla.point.units.values():
        room = np.where(unit.state == words.HEATING, room_to_ice(unit, freezing), np.inf)
        found = np.minimum(found, np.where(unit.state == words.NO_WATER, 0.0, room))
    return found


def log_of_sign(flotilla: Flotilla, kind: str, word: str, place: str = "") -> Array:
    """Return the logarithm of how likely a sign is on each boat, at an outlet or on all of it."""
    return np.log(np.maximum(chances_of(flotilla, kind, place)[word], 1e-9))


def log_of_tried(flotilla: Flotilla, remedy: str) -> Array:
    """Return the logarithm of how likely a boat is still at fault after a remedy."""
    cured = [n for n, fault in enumerate(flotilla.setup.faults) if remedy in fault.tried]
    had = [flotilla.hypotheses.present(number) for number in cured]
    return np.where(np.any(had, axis=0), np.log(CURED), np.zeros(flotilla.hypotheses.size))
