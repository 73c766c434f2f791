"""Boats of one plan drawn once for whatever may be read later: a page weighs them by itself.

A second round cannot go where the readings point, so the draws go where usual readings would: of a
boat that reads as healthy, of one that runs warm, has a weak stream, or trips.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.boat.network import downstream, upstream
from seaflow.model import point as words
from seaflow.model.conditions import take
from seaflow.model.operate import operate
from seaflow.studies.design.certainty.draws import DEFAULT_SEED
from seaflow.studies.diagnose.agreement import plate_heat
from seaflow.studies.diagnose.cabins import rows_of_cabins
from seaflow.studies.diagnose.guess import Cells, guess_by
from seaflow.studies.diagnose.hypotheses import Guess, joined
from seaflow.studies.diagnose.infer import Known, simulate, weigh_each
from seaflow.studies.diagnose.predict import (
    at_rest,
    chances_of,
    margin,
    predicted,
    trips,
    usual_flow,
    water_shares,
)
from seaflow.studies.diagnose.read_number import range_of
from seaflow.studies.diagnose.readings import Number, Readings, signs
from seaflow.studies.diagnose.simulate import FREEZING, Flotilla, Setup, usual_seas
from seaflow.studies.diagnose.trip_seas import TripsAt, trips_from, units_at
from seaflow.studies.diagnose.trip_told import before_trip, struck_units

SCOUTS = 8192  # boats of the round that looks where usual readings lie, or as many as are drawn
N_USUAL = 48  # of these, whose readings it looks at
POINTED, BESIDE = 0.4, 0.15  # of the boats, fewer pairs than where readings are known
N_SEAS = 5  # at which boats are run, and where each begins to trip is seen
KEPT = ((0, 4), (0, 2, 4))  # of these, where numbers are kept: the first that will do
HEATS = 64  # of the day, by which its spread is told
BENT = 0.2  # K, by which nine discharges in ten may be off half way between
OF_WATER = ("stream", "tripped")  # signs that hang on the water, not on the faults alone
OF_BOAT = ("volts", "amps", "suction", "delivery")  # numbers that hardly hang on the sea


@dataclass(frozen=True, slots=True, eq=False)
class ReadAt:
    """Where the owner reads: an outlet, and the unit on it where it is the only one.

    `rise` is what leaves over the sea [K], a row for each sea: of a boat whose unit trips, just
    before the trip; of one that runs, where cabin and fan ask what they usually do. `today` is what
    they multiply it by, in the mean, and its standard deviation. `grows` is by which share of
    itself it grows for each kelvin of sea on a boat that runs. `trips_from` is the sea at which the
    unit begins to trip [degC]. `flow` [m3/s] has a row for each sea, or one where the sea hardly
    counts; `usual` is that of a healthy boat.
    `heat` is that of the plates of the units before the outlet [W], and the ranges are what a
    misread number may lie in.
    """

    outlet: str
    unit: str
    rise: Array
    today: tuple[float, float]
    grows: float
    trips_from: Array
    flow: Array
    usual: float
    heat: float
    rise_range: float
    flow_range: float


@dataclass(frozen=True, slots=True, eq=False)
class PackedBoats:
    """Simulated boats at a few seas [degC], each the same boat with the same faults at all.

    `pairs` are the faults by their place in the list, -1 for none; `pair` which of them each boat
    has, in order. `room` is the distance to the cut-out [K], infinity at rest, with a row for each
    sea; `trips_from` the sea from which on a unit trips or lacks water, infinity for none, and
    `rest` tells where all units are off. `numbers` are what instruments show at the middle sea, and
    the range of each. `chances` has for each sign that hangs on the faults alone a row for each
    pair, and for the sound of the pump as many again for a pump that stands still. `water_heat` is
    that of the water [J/(m3 K)]. `units` has nothing where there is one alone. `struck` are the
    places by size of the units that the two faults strike, NONE of what lies in all: (2, boats).
    """

    setup: Setup
    seas: tuple[float, ...]
    pairs: tuple[tuple[int, int], ...]
    pair: NDArray[np.intp]
    log_prior: Array
    spots: tuple[ReadAt, ...]
    numbers: dict[str, tuple[Array, float]]
    room: Array
    trips_from: Array
    rest: NDArray[np.bool_]
    water: Array
    still: NDArray[np.bool_]
    pulses: NDArray[np.bool_]
    chances: dict[str, Array]
    water_heat: float
    units: tuple[TripsAt, ...]
    struck: NDArray[np.intp]

    @property
    def healthy(self) -> NDArray[np.bool_]:
        """Which boats have no fault."""
        return np.asarray(self.pair == self.pairs.index((-1, -1)))


def drawn_boats(
    setup: Setup,
    n_draws: int,
    seed: int = DEFAULT_SEED,
    ends: tuple[float, float] | None = None,
) -> PackedBoats:
    """Return boats of a plan at a few seas, cooling, with whatever may be wrong.

    They are drawn most where usual readings lie, of which N_USUAL are looked at. Seas lie between
    the `ends` [degC], or else those of the season and a little beyond.
    """
    seas = tuple(float(sea) for sea in np.linspace(*(ends or usual_seas(setup.case)), N_SEAS))
    sea = seas[len(seas) // 2]
    scouts = simulate(setup, _of_sea(sea), min(SCOUTS, n_draws), seed + 2)
    known = Known(guesses=(_usual_guess(scouts, sea),))
    run = _at_seas(simulate(setup, _of_sea(sea), n_draws, seed, known), seas)
    middle = run.whole[len(seas) // 2]
    first, second = middle.hypotheses.first, middle.hypotheses.second
    pairs, where, inverse = np.unique(
        np.stack([first, second], axis=1), axis=0, return_index=True, return_inverse=True
    )
    pair = np.asarray(inverse).ravel()
    kept = _kept(run.whole)
    dry, rooms = run.course(trips, False), run.course(margin, True)
    return PackedBoats(
        setup=middle.setup,
        seas=tuple(seas[k] for k in kept),
        pairs=tuple((int(one), int(other)) for one, other in pairs),
        pair=pair,
        log_prior=middle.log_prior,
        spots=tuple(_spots(seas, run, kept)),
        numbers=dict(_numbers(middle)),
        room=rooms[list(kept)],
        trips_from=trips_from(seas, dry, rooms),
        rest=at_rest(middle),
        water=water_shares(middle),
        still=_still(middle),
        pulses=np.broadcast_to(middle.boats.pulses, first.shape),
        chances=dict(_chances(middle, pair, where)),
        water_heat=float(np.mean(middle.point.water.density * middle.point.water.heat_capacity)),
        units=tuple(units_at(seas, run.course, middle.setup.places.units)),
        struck=struck_units(middle),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """Boats of one plan at several seas: at every second all of them, by its place in the row.

    Between two of these only boats of which a unit is in another state at the one than at the
    other: the rest are there as at both. `between` has which these are, and their run.
    """

    whole: dict[int, Flotilla]
    between: dict[int, tuple[NDArray[np.intp], Flotilla]]

    def course(self, ask: Callable[[Flotilla], NDArray[Any]], bends: bool) -> NDArray[Any]:
        """Return what is asked of the boats at each sea: (seas, boats).

        Of boats that were not run it is as at the sea before, or half way if it `bends`.
        """
        found = {number: ask(fleet) for number, fleet in self.whole.items()}
        for number, (which, fleet) in self.between.items():
            before, after = found[number - 1], found[number + 1]
            here = 0.5 * (before + after) if bends else before.copy()
            here[which] = ask(fleet)
            found[number] = here
        return np.stack([found[number] for number in sorted(found)])


def _at_seas(middle: Flotilla, seas: tuple[float, ...]) -> _Run:
    """Return the boats of the middle sea at all of them."""
    place = len(seas) // 2
    whole = {
        number: middle if number == place else _moved(middle, seas[number] - seas[place])
        for number in range(0, len(seas), 2)
    }
    between = {}
    for number in range(1, len(seas), 2):
        ends = whole[number - 1].point.units, whole[number + 1].point.units
        differ = np.any([ends[0][unit].state != ends[1][unit].state for unit in ends[0]], axis=0)
        which = np.flatnonzero(differ) if differ.any() else np.arange(1)
        between[number] = which, _moved(_some_of(middle, which), seas[number] - seas[place])
    return _Run(whole, between)


def _some_of(fleet: Flotilla, which: NDArray[np.intp]) -> Flotilla:
    """Return some of the boats, to be run anew: where they run is still that of all."""
    of_boats = ("hypotheses", "boats", "met", "shares")
    some = {name: take(getattr(fleet, name), which) for name in of_boats}
    return replace(fleet, drawn_plainly=None, **some)


def _moved(fleet: Flotilla, warmer: float) -> Flotilla:
    """Return the same boats in a sea that is so much warmer [K]."""
    met = replace(fleet.met, sea=np.maximum(fleet.met.sea + warmer, FREEZING))
    boats = replace(fleet.boats, now=replace(fleet.boats.now, sea_temperature=met.sea))
    return replace(fleet, met=met, boats=boats, point=operate(boats.loop, boats.now))


def _of_sea(sea: float) -> Readings:
    return Readings((Number("sea", "", sea),))


def _usual_guess(fleet: Flotilla, sea: float) -> Guess:
    """Return where boats lie that read as some of them do which are picked by the odds.

    Of hypotheses the root of the mean square counts: those most that readings often point to.
    """
    chances = np.exp(fleet.log_prior - fleet.log_prior.max())
    steps = (np.arange(N_USUAL) + 0.5) / N_USUAL
    boats = np.searchsorted(np.cumsum(chances) / chances.sum(), steps)
    every = (_as_read(fleet, int(boat), sea, bool(number % 2)) for number, boat in enumerate(boats))
    cells = Cells.of(fleet)
    found = [guess_by([(cells, one.weight)]) for one in weigh_each(fleet, every)]
    likely = np.sqrt(np.mean([one.chances**2 for one in found], axis=0))
    guess = joined(found, np.full(len(found), 1.0 / len(found)))
    return replace(guess, chances=likely / likely.sum(), pointed=POINTED, beside=BESIDE)


def _as_read(fleet: Flotilla, boat: int, sea: float, bucket: bool) -> Readings:
    """Return what would be read on one boat at each outlet."""
    numbers: list[Number] = []
    dry: list[tuple[str, str]] = []
    for outlet, unit in _outlets(fleet.setup):
        flow = _flow_at(fleet, outlet)[boat]
        warm = predicted(fleet, "discharge", unit or outlet)
        if flow <= 0.0:
            dry.append((outlet, "none"))
        elif warm is not None and np.isfinite(warm[boat]):
            numbers.append(Number("discharge", unit or outlet, float(warm[boat])))
            numbers += [Number("flow", outlet, float(flow))] if bucket else []
    signs = (("tripped", "yes"),) if trips(fleet)[boat] and not dry else ()
    return Readings((*_of_sea(sea).numbers, *numbers), signs, streams=tuple(dry))


def _outlets(setup: Setup) -> Iterator[tuple[str, str]]:
    """Yield each outlet, with the unit on it where it is the only one."""
    network = setup.built.network
    for outlet in setup.places.outlets:
        units = [unit.name for unit in network.units if outlet in downstream(network, unit.name)]
        yield outlet, units[0] if len(units) == 1 else ""


def _kept(fleets: dict[int, Flotilla]) -> tuple[int, ...]:
    """Return at which seas numbers are kept: at three where a line between two is too far off."""
    wet = ~np.any([trips(fleet) for fleet in fleets.values()], axis=0)
    for outlet in fleets[0].setup.places.outlets:
        cold, middle, warm = (_rise(fleets[k], outlet, "") for k in KEPT[1])
        off = np.abs(middle - (cold + warm) / 2.0)[wet & np.isfinite(cold + middle + warm)]
        if off.size and np.quantile(off, 0.9) > BENT:
            return KEPT[1]
    return KEPT[0]


def _spots(seas: tuple[float, ...], run: _Run, kept: tuple[int, ...]) -> Iterator[ReadAt]:
    fleets = run.whole
    middle = fleets[len(seas) // 2]
    network, coils = middle.setup.built.network, middle.setup.built.loop.coils
    for outlet, unit in _outlets(middle.setup):
        units = upstream(network, outlet)
        rises = np.stack([_usual_rise(fleets[k], outlet, unit) for k in kept])
        flows = np.stack([_flow_at(fleets[k], outlet) for k in kept])
        flow = _flow_at(middle, outlet)
        dry = run.course(partial(_unit_trips, unit=unit), False)
        rooms = run.course(partial(_unit_room, unit=unit), True)
        yield ReadAt(
            outlet=outlet,
            unit=unit,
            rise=rises,
            today=_today(middle.setup, unit),
            grows=_grows(rises[[0, -1]], np.any(dry, axis=0)) / (seas[-1] - seas[0]),
            trips_from=trips_from(seas, dry, rooms),
            flow=flow[np.newaxis] if len(kept) == len(KEPT[0]) else flows,
            usual=usual_flow(middle, outlet),
            heat=sum(plate_heat(coil) for coil in coils if coil.unit in units and coil.switched_on),
            rise_range=range_of("discharge", _rise(middle, outlet, unit)),
            flow_range=range_of("flow", flow),
        )


def _flow_at(fleet: Flotilla, outlet: str) -> Array:
    found = predicted(fleet, "flow", outlet)
    assert found is not None
    return found


def _grows(rise: Array, dry: NDArray[np.bool_]) -> float:
    """Return by which share of itself the rise grows from the first row to the last."""
    cold, warm = rise
    runs = ~dry & (cold > 1.0) & np.isfinite(warm)
    return float(np.median(warm[runs] / cold[runs])) - 1.0 if runs.any() else 0.0


def _numbers(fleet: Flotilla) -> Iterator[tuple[str, tuple[Array, float]]]:
    for kind in OF_BOAT:
        seen = predicted(fleet, kind, "")
        if seen is not None and np.isfinite(seen).any():
            yield kind, (seen, range_of(kind, seen))


def _unit_room(fleet: Flotilla, unit: str) -> Array:
    if not unit:
        return np.zeros(fleet.hypotheses.size)
    room = np.asarray(fleet.point.units[unit].cut_out_margin)
    return np.where(np.isnan(room), np.inf, room)


def _unit_trips(fleet: Flotilla, unit: str) -> NDArray[np.bool_]:
    if not unit:
        return np.zeros(fleet.hypotheses.size, dtype=bool)
    return np.asarray(fleet.point.units[unit].state == words.TRIPS)


def _rise(fleet: Flotilla, outlet: str, unit: str) -> Array:
    """Return how much warmer than the sea the water leaves, just before a trip where it trips."""
    found = predicted(fleet, "discharge", unit or outlet)
    assert found is not None
    if unit:
        before = before_trip(fleet, unit) + fleet.boats.reads_high
        found = np.where(_unit_trips(fleet, unit), before, found)
    return np.asarray(found - fleet.met.sea)


def _usual_rise(fleet: Flotilla, outlet: str, unit: str) -> Array:
    """Return the rise of each boat with the heat of a usual day, as it is where her unit trips."""
    plain, found = fleet.boats.reads_high, _rise(fleet, outlet, unit)
    row = _row_of_cabin(fleet.setup, unit)
    if row is None:
        return found
    usual = plain + (found - plain) / fleet.setup.inputs[row].spread.at(fleet.shares[row])
    return np.where(_unit_trips(fleet, unit), found, usual)


def _today(setup: Setup, unit: str) -> tuple[float, float]:
    """Return mean and standard deviation of the heat of a day over that of a usual one."""
    row = _row_of_cabin(setup, unit)
    if row is None:
        return 1.0, 0.0
    times = setup.inputs[row].spread.at((np.arange(HEATS) + 0.5) / HEATS)
    return float(np.mean(times)), float(np.std(times))


def _row_of_cabin(setup: Setup, unit: str) -> int | None:
    return next((row for row, name in rows_of_cabins(setup) if name == unit), None)


def _still(fleet: Flotilla) -> NDArray[np.bool_]:
    ratio = fleet.point.pumps[fleet.point.loop.pumps[0].name].speed_ratio
    return np.broadcast_to(np.asarray(ratio) <= 0.0, (fleet.hypotheses.size,))


def _chances(
    fleet: Flotilla, pair: NDArray[np.intp], where: NDArray[np.intp]
) -> Iterator[tuple[str, Array]]:
    """Yield each sign with how likely its words are for every pair of faults."""
    still = _still(fleet)
    for kind in signs():
        if kind == "basket" and not fleet.point.loop.strainers:
            continue
        if kind in OF_WATER:
            continue
        found = np.stack(list(chances_of(fleet, kind).values()), axis=1)
        if kind == "pump":
            yield kind, np.stack([_of_pump(pair, found, still, now) for now in (False, True)])
        else:
            yield kind, found[where]


def _of_pump(pair: NDArray[np.intp], found: Array, still: NDArray[np.bool_], now: bool) -> Array:
    """Return the chances of the pump's sounds for every pair, while it turns or stands still."""
    rows = np.zeros((int(pair.max()) + 1, found.shape[1]))
    rows[pair] = found  # what no boat is counts for nothing
    same = still == now
    rows[pair[same]] = found[same]
    return rows
