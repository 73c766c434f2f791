"""Boats of one plan drawn once for whatever may be read later: a page weighs them by itself.

A second round cannot go where the readings point, so the draws go where usual readings would: of a
boat that reads as healthy, of one that runs warm, has a weak stream, or trips.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.boat.network import downstream
from seaflow.model import point as words
from seaflow.studies.design.certainty.draws import DEFAULT_SEED
from seaflow.studies.design.certainty.spreads import season
from seaflow.studies.diagnose.hypotheses import Guess
from seaflow.studies.diagnose.infer import Known, guess_from, simulate, weigh
from seaflow.studies.diagnose.predict import (
    at_rest,
    before_trip,
    chances_of,
    margin,
    predicted,
    range_of,
    trips,
    usual_flow,
    water_shares,
)
from seaflow.studies.diagnose.readings import Number, Readings, signs
from seaflow.studies.diagnose.simulate import Flotilla, Setup

N_DRAWS = (12288, 5120, 4096)  # of each loop where there is one, two, or more: a page is carried
SCOUTS = 4096  # boats of each round that looks where usual readings lie
COLDER, WARMER = 3.0, 3.0  # K beyond the season that a reading of the sea may be
LEAST_SEA, MOST_SEA = 2.0, 36.0  # degC
MOST_SEAS = {1: 3, 2: 3, 3: 3, 4: 3}  # by the number of units; two beyond
OF_WATER = ("stream", "tripped")  # signs that hang on the water, not on the faults alone
WARM = 9.0  # K that the water of a boat with trouble leaves warmer than the sea


@dataclass(frozen=True, slots=True, eq=False)
class ReadAt:
    """Where the owner reads: an outlet, and the unit on it where it is the only one.

    `rise` is what leaves over the sea [K], a row for each sea: of a boat whose unit trips, just
    before the trip. `flow` [m3/s] is at the middle sea, `trips` has a row for each sea. `usual` is
    the flow of a healthy boat; the ranges are what a misread number may lie in.
    """

    outlet: str
    unit: str
    rise: Array
    trips: NDArray[np.bool_]
    flow: Array
    usual: float
    rise_range: float
    flow_range: float


@dataclass(frozen=True, slots=True, eq=False)
class PackedBoats:
    """Simulated boats at a few seas [degC], each the same boat with the same faults at every sea.

    `pairs` are the faults by their place in the list, -1 for none; `pair` which of them each boat
    has. `room` is the distance to the cut-out [K], infinity at rest, with a row for each sea, as
    `trips` and `rest`, where all units are off. `chances` has for each sign that hangs on the
    faults alone a row for each pair, and for the sound of the pump as many again for a pump that
    stands still.
    """

    setup: Setup
    seas: tuple[float, ...]
    pairs: tuple[tuple[int, int], ...]
    pair: NDArray[np.intp]
    log_prior: Array
    spots: tuple[ReadAt, ...]
    volts: Array
    amps: Array
    amps_range: float
    room: Array
    trips: NDArray[np.bool_]
    rest: NDArray[np.bool_]
    water: Array
    still: NDArray[np.bool_]
    pulses: NDArray[np.bool_]
    chances: dict[str, Array]

    @property
    def healthy(self) -> NDArray[np.bool_]:
        """Which boats have no fault."""
        return np.asarray(self.pair == self.pairs.index((-1, -1)))


def drawn_boats(setup: Setup, n_draws: int = N_DRAWS[0], seed: int = DEFAULT_SEED) -> PackedBoats:
    """Return boats of a plan at a few seas, cooling, with whatever may be wrong."""
    seas = seas_of(setup)
    known = Known(guess=_usual_guess(setup, seas[len(seas) // 2], seed))
    fleets = [simulate(setup, _of_sea(sea), n_draws, seed, known) for sea in seas]
    middle = fleets[len(fleets) // 2]
    first, second = middle.hypotheses.first, middle.hypotheses.second
    pairs, where, inverse = np.unique(
        np.stack([first, second], axis=1), axis=0, return_index=True, return_inverse=True
    )
    pair = np.asarray(inverse).ravel()
    amps = predicted(middle, "amps", "")
    assert amps is not None
    return PackedBoats(
        setup=middle.setup,
        seas=seas,
        pairs=tuple((int(one), int(other)) for one, other in pairs),
        pair=pair,
        log_prior=middle.log_prior,
        spots=tuple(_spots(fleets)),
        volts=middle.met.volts,
        amps=amps,
        amps_range=range_of("amps", amps),
        room=np.stack([margin(fleet) for fleet in fleets]),
        trips=np.stack([trips(fleet) for fleet in fleets]),
        rest=np.stack([at_rest(fleet) for fleet in fleets]),
        water=water_shares(middle),
        still=_still(middle),
        pulses=np.broadcast_to(middle.boats.pulses, first.shape),
        chances=dict(_chances(middle, pair, where)),
    )


def seas_of(setup: Setup) -> tuple[float, ...]:
    """Return the seas at which boats are drawn [degC]."""
    known = season(setup.case).temperatures
    low = max(min(known) - COLDER, LEAST_SEA)
    high = min(max(known) + WARMER, MOST_SEA)
    count = MOST_SEAS.get(len(setup.built.loop.coils), 2)
    return tuple(float(sea) for sea in np.linspace(low, max(high, low + 1.0), count))


def _of_sea(sea: float, *more: Number, signs: tuple[tuple[str, str], ...] = ()) -> Readings:
    return Readings((Number("sea", "", sea), *more), signs)


def _usual_guess(setup: Setup, sea: float, seed: int) -> Guess:
    """Return where boats lie that read as boats usually do when somebody asks."""
    place = setup.places.outlets[0]
    warm = Number("discharge", place, sea + WARM)
    asked = (
        _of_sea(sea, signs=(("stream", "strong"),)),
        _of_sea(sea, warm),
        _of_sea(sea, warm, signs=(("stream", "weak"),)),
        _of_sea(sea, signs=(("stream", "weak"), ("tripped", "yes"))),
        _of_sea(sea, signs=(("stream", "none"),)),
    )
    found = [guess_from(weigh(simulate(setup, one, SCOUTS, seed + 2), one)) for one in asked]
    return Guess(
        np.mean([one.chances for one in found], axis=0),
        np.mean([one.severity for one in found], axis=0),
        np.mean([one.own for one in found], axis=0),
    )


def _spots(fleets: list[Flotilla]) -> Iterator[ReadAt]:
    middle = fleets[len(fleets) // 2]
    network = middle.setup.built.network
    for outlet in middle.setup.places.outlets:
        units = [unit.name for unit in network.units if outlet in downstream(network, unit.name)]
        unit = units[0] if len(units) == 1 else ""
        rises = np.stack([_rise(fleet, outlet, unit) for fleet in fleets])
        flow = predicted(middle, "flow", outlet)
        assert flow is not None
        yield ReadAt(
            outlet=outlet,
            unit=unit,
            rise=rises,
            trips=np.stack([_unit_trips(fleet, unit) for fleet in fleets]),
            flow=flow,
            usual=usual_flow(middle, outlet),
            rise_range=range_of("discharge", rises[len(fleets) // 2]),
            flow_range=range_of("flow", flow),
        )


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
