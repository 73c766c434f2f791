"""What would be read on each simulated boat, and how well readings agree with it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.base.constants import ATMOSPHERE, GRAVITY
from seaflow.model import point as words
from seaflow.model.pressures import pump_gauge
from seaflow.physics.electric.motor import supply_current
from seaflow.physics.heat.refrigerant import saturation_pressure, temperature_limits
from seaflow.studies.diagnose.impossible import HIGH_SIDE
from seaflow.studies.diagnose.instruments import instruments, signs
from seaflow.studies.diagnose.readings import Number
from seaflow.studies.diagnose.simulate import Bank

USUAL_SPLIT = 9.5  # K between return and supply air, middle of 8 to 11; common practice, no source
OF_A_MACHINE = ("discharge", "watts")
LEAST_LOG = -30.0  # no reading rules anything out for good
TRIP_SPREAD = 2.0  # K, of the discharge just before a trip
NO_STREAM = 1.0 / 40.0  # per K: density of a temperature read where no stream comes
AFTER_TRIP = 40.0  # K over which the high side may stand some time after a trip
PER_KELVIN = 0.025  # of its pressure by which a refrigerant's rises for each K
NO_LOWER = 5e3 - ATMOSPHERE  # Pa: water boils before the gauge reads less
MISREPORTED = 0.005  # how likely a trip is told of a boat that has water and room; own choice
NO_USUAL_WORD = ("when",)  # signs of which no word is that of a sound boat
CURED = 0.1  # how likely a fault is to outlast the remedy that was tried
# Flow over the sound boat's, and how the stream is then called: none, weak, pulsing, strong.
# No flow at all has a row of its own: a dry outlet is no trickle.
_STREAM_UP_TO = (0.0, 0.05, 0.3, 0.6, 0.8)
_TRICKLE = 1  # the row of the least stream that there is
_STREAM = (
    (0.985, 0.01, 0.004, 0.001),
    (0.5, 0.484, 0.015, 0.001),
    (0.08, 0.885, 0.015, 0.02),
    (0.005, 0.73, 0.015, 0.25),
    (0.002, 0.383, 0.015, 0.6),
    (0.001, 0.05, 0.015, 0.934),
)
_PULSING = (0.03, 0.17, 0.65, 0.15)
# A pump that stands still, say for want of volts: normal, silent, humming, gravel; and the most
# that is left of each where a fault that stops it says otherwise.
_STILL = (0.02, 0.49, 0.48, 0.01)
_STILL_MOST = (0.02, 1.0, 1.0, 0.02)


def predicted(bank: Bank, kind: str, place: str) -> Array | None:
    """Return what a sound instrument would show on each boat; None where the case cannot tell."""
    unit_kinds = {"watts": "power", "condensing": "condensing_temperature"}
    if kind in HIGH_SIDE and bank.boats.now.mode == "heating":
        return None  # it is then in the cabin
    if kind in OF_A_MACHINE and not _is_known(bank, place):
        return None
    if kind in unit_kinds:
        return np.asarray(getattr(bank.point.units[place], unit_kinds[kind]))
    if kind == "high_side":
        return _high_side(bank, place, bank.point.units[place].condensing_temperature)
    of_boat: dict[str, Callable[[], Array | None]] = {
        "sea": lambda: bank.met.sea,
        "volts": lambda: bank.met.volts,
        "discharge": lambda: _discharge(bank, place),
        "flow": lambda: _flow(bank, place),
        "amps": lambda: _amps(bank),
        "suction": lambda: _gauge(bank, after=False),
        "delivery": lambda: _gauge(bank, after=True),
        "split": lambda: _split(bank, place),
    }
    return of_boat[kind]()


def _is_known(bank: Bank, place: str) -> bool:
    """Tell whether the machine behind a unit or an outlet is known: heating needs its plate."""
    coils = bank.point.loop.coils
    here = [coil for coil in coils if coil.unit == place] or coils
    return bank.boats.now.mode != "heating" or all(coil.heating is not None for coil in here)


def _discharge(bank: Bank, place: str) -> Array:
    unit = bank.point.units.get(place)
    found = bank.point.outlet_temperature[place] if unit is None else unit.outlet_temperature
    return np.asarray(found + bank.boats.reads_high)


def _flow(bank: Bank, outlet: str) -> Array:
    number = bank.point.loop.link_of(outlet)
    return np.asarray(bank.point.flow[number] * (1.0 - bank.boats.leaking))


def _amps(bank: Bank) -> Array:
    pump = bank.point.loop.pumps[0]
    watts = bank.point.pumps[pump.name].power * bank.power_factor
    volts = np.broadcast_to(np.asarray(bank.boats.now.voltage, dtype=float), watts.shape)
    running = supply_current(pump.motor, watts, volts, pump.power_factor)
    rated = pump.power[-1][1] * pump.n_pumps
    one = supply_current(pump.motor, rated, pump.rated_voltage, pump.power_factor)
    return np.asarray(np.where(bank.boats.locked > 0, bank.boats.locked * one, running))


def _gauge(bank: Bank, after: bool) -> Array | None:
    gauge = pump_gauge(bank.point, after)
    if gauge is None or not np.any(bank.boats.shut_in):
        return gauge
    # behind a shut seacock the water stands, and the pump pulls its own inlet down
    pump = bank.point.pumps[bank.point.loop.pumps[0].name]
    pulled = bank.boats.shut_in * bank.point.water.density * GRAVITY * pump.head
    return np.asarray(np.maximum(gauge - pulled, NO_LOWER))


def _high_side(bank: Bank, place: str, condensing: Array) -> Array | None:
    """Return the gauge pressure at which the refrigerant of the plate condenses."""
    refrigerant = bank.setup.places.refrigerants.get(place)
    if refrigerant is None:
        return None
    low, high = temperature_limits(refrigerant)
    known = np.isfinite(condensing)
    held = np.clip(np.where(known, condensing, low), low, high)
    pressure = np.asarray(saturation_pressure(held, refrigerant)) - ATMOSPHERE
    return np.where(known, pressure, np.nan)


def _split(bank: Bank, place: str) -> Array | None:
    if bank.boats.now.mode != "cooling":
        return None
    rated = bank.setup.built.loop.coils
    full = next(coil for coil in rated if coil.unit == place).machine.rated_capacity
    cooling = bank.point.units[place].cooling
    return np.asarray(USUAL_SPLIT * cooling / full / np.maximum(bank.boats.air_side, 0.1))


def log_of_number(bank: Bank, number: Number, wider: float = 1.0) -> Array:
    """Return the logarithm of how likely a reading is on each boat."""
    seen = predicted(bank, number.kind, number.place)
    if seen is None or number.kind in ("sea", "volts"):  # those two are in the draws already
        return np.zeros(bank.hypotheses.size)
    deviation = np.asarray(instruments()[number.kind].deviation(np.abs(seen))) * wider
    found = _normal(number.value - seen, deviation)
    found = np.where(np.isfinite(found), found, LEAST_LOG)
    if number.kind == "discharge":
        found = _before_trip(bank, number, found)
    if number.kind in HIGH_SIDE:
        found = _at_trip(bank, number, found)
    return np.maximum(found, LEAST_LOG)


def _normal(off: Array, deviation: Array) -> Array:
    return np.asarray(-0.5 * (off / deviation) ** 2 - np.log(deviation * np.sqrt(2.0 * np.pi)))


def _before_trip(bank: Bank, number: Number, found: Array) -> Array:
    """Let a unit that trips have been read as warm as it was just before, or as cold as after."""
    unit = bank.point.units.get(number.place)
    if unit is None:
        return found
    coil = next(item for item in bank.point.loop.coils if item.unit == number.place)
    rate = bank.point.water.density * bank.point.water.heat_capacity * unit.volume_flow
    heat = coil.machine.rated_capacity + coil.machine.rated_power
    before = unit.inlet_temperature + np.minimum(heat / np.maximum(rate, 1.0), 40.0)
    warm = _normal(number.value - before - bank.boats.reads_high, np.asarray(TRIP_SPREAD))
    either = np.logaddexp(found, warm) - np.log(2.0)
    found = np.where(unit.state == words.TRIPS, either, found)
    return np.where(unit.volume_flow <= 0, np.log(NO_STREAM * 0.02), found)


def _at_trip(bank: Bank, number: Number, found: Array) -> Array:
    """Let the high side of a unit that trips have been read at its cut-out, or some time after."""
    unit = bank.point.units[number.place]
    coil = next(item for item in bank.point.loop.coils if item.unit == number.place)
    at = np.broadcast_to(np.asarray(coil.cut_out_temperature, dtype=float), found.shape)
    spread = np.full(found.shape, TRIP_SPREAD)
    if number.kind == "high_side":
        pressure = _high_side(bank, number.place, at)
        assert pressure is not None  # the reading was refused without a refrigerant
        at, spread = pressure, TRIP_SPREAD * PER_KELVIN * pressure
    after = -np.log(AFTER_TRIP * spread / TRIP_SPREAD)
    either = np.logaddexp(_normal(number.value - at, spread), after) - np.log(2.0)
    tripped = (unit.state == words.TRIPS) | (unit.state == words.NO_WATER)
    return np.where(tripped, either, found)


def chances_of(bank: Bank, kind: str) -> dict[str, Array]:
    """Return how likely each word of a sign is on each boat."""
    if kind == "stream":
        return _stream(bank)
    if kind == "tripped":
        yes = _tripped(bank)
        return {"yes": yes, "no": 1.0 - yes}
    names = tuple(signs()[kind].sound)
    faults = bank.setup.faults
    told = np.zeros((len(faults) + 1, len(names)))  # the last row is for no fault
    for row, fault in enumerate(faults):
        given = (fault.signs or {}).get(kind, {})
        told[row] = [given.get(name, 0.003) for name in names] if given else 0.0
    sound = np.asarray(tuple(signs()[kind].sound.values()))
    usual = None if kind in NO_USUAL_WORD else int(np.argmax(sound))
    found = _together(told[bank.hypotheses.first], told[bank.hypotheses.second], usual)
    found = np.where(found.sum(axis=1, keepdims=True) > 0, found, sound)
    if kind == "pump":
        found = _standing_still(bank, told, found)
    found = found / found.sum(axis=1, keepdims=True)
    return dict(zip(names, found.T, strict=True))


def _tripped(bank: Bank) -> Array:
    """Return how likely a trip is told of each boat.

    A boat with water and room to the cut-out trips only by a misreport, or by a fault that comes
    and goes and was worse at the time.
    """
    if bank.boats.now.mode == "heating":  # the high side is then in the cabin
        return np.where(bank.boats.airless, 0.9, MISREPORTED)
    goes = np.asarray([fault.trips for fault in bank.setup.faults] + [0.0])
    hypotheses = bank.hypotheses
    was_worse = np.maximum(goes[hypotheses.first], goes[hypotheses.second])
    ample = np.maximum(was_worse, MISREPORTED)
    close = np.where(margin(bank) < 3.0, np.maximum(0.3, ample), ample)
    return np.asarray(np.where(trips(bank), 0.9, close))


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


def _standing_still(bank: Bank, told: Array, found: Array) -> Array:
    """Let a pump that stands still sound neither as usual nor of gravel."""
    still = np.asarray(bank.point.pumps[bank.point.loop.pumps[0].name].speed_ratio) <= 0.0
    quiet = told[:, 1:3].sum(axis=1) > 0.5  # faults that say so themselves
    named = (quiet[bank.hypotheses.first] | quiet[bank.hypotheses.second])[:, np.newaxis]
    held = np.where(named, np.minimum(found, _STILL_MOST), _STILL)
    return np.where(still[:, np.newaxis], held, found)


def _stream(bank: Bank) -> dict[str, Array]:
    ratios = [
        _flow(bank, outlet) / _usual_flow(bank, outlet) for outlet in bank.setup.places.outlets
    ]
    step = np.searchsorted(_STREAM_UP_TO, np.min(ratios, axis=0))
    plain = np.asarray(_STREAM)[step]
    gulps = (bank.boats.pulses & (step > _TRICKLE))[:, np.newaxis]
    gulping = np.tile(np.asarray(_PULSING), (step.size, 1))
    gulping[:, -1] = np.minimum(gulping[:, -1], plain[:, -1])  # gulps make no weak stream strong
    found = np.where(gulps, gulping / gulping.sum(axis=1, keepdims=True), plain)
    return dict(zip(signs()["stream"].sound, found.T, strict=True))


def _usual_flow(bank: Bank, outlet: str) -> float:
    """Return the flow of the sound boats, or of all where none was simulated."""
    flow = _flow(bank, outlet)
    sound = flow[bank.hypotheses.sound]
    return max(float(np.median(sound if sound.size else flow)), 1e-6)


def trips(bank: Bank) -> NDArray[np.bool_]:
    """Return which boats have a unit that stops on high pressure, or will for want of water."""
    found: NDArray[np.bool_] = bank.boats.airless
    for unit in bank.point.units.values():
        found = found | (unit.state == words.TRIPS) | (unit.state == words.NO_WATER)
    return found


def at_rest(bank: Bank) -> NDArray[np.bool_]:
    """Return on which boats all units are off, so that none misses the water."""
    states = [unit.state == words.OFF for unit in bank.point.units.values()]
    return np.asarray(np.all(states, axis=0) & ~bank.boats.airless)


def margin(bank: Bank) -> Array:
    """Return the least distance to the cut-out [K]: nought after a trip, infinity at rest."""
    rows = [
        np.where(np.isnan(unit.cut_out_margin), np.inf, unit.cut_out_margin)
        for unit in bank.point.units.values()
    ]
    return np.asarray(np.where(trips(bank), 0.0, np.min(rows, axis=0)))


def log_of_sign(bank: Bank, kind: str, word: str) -> Array:
    """Return the logarithm of how likely a sign is on each boat."""
    return np.log(np.maximum(chances_of(bank, kind)[word], 1e-9))


def log_of_tried(bank: Bank, remedy: str) -> Array:
    """Return the logarithm of how likely a boat is still at fault after a remedy."""
    found = np.zeros(bank.hypotheses.size)
    for number, fault in enumerate(bank.setup.faults):
        if remedy in fault.tried:
            found = np.where(bank.hypotheses.present(number), np.log(CURED), found)
    return found
