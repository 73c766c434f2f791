"""The first start: where water stands with the seacock open, and whether the pump gets it moving.

At rest water fills every run towards the level of the sea, as far as its air can leave. A leg that
falls after a crest shuts air in: each such pocket takes its height from the level the water can
reach beyond it, and from the head of the pump, until a flow clears it or somebody bleeds it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.constants import HAIR
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.defaults import default
from seaflow.model.conditions import Conditions
from seaflow.model.drive import running_pump
from seaflow.model.elements import Pumping
from seaflow.model.first_fill import (
    Afloat,
    Attitude,
    Pocket,
    Spot,
    Way,
    climb,
    pockets_of,
    reaches_pump,
    ways_through,
)
from seaflow.model.loop import Loop
from seaflow.model.point import OperatingPoint
from seaflow.physics.flow.priming import lift_in_time
from seaflow.physics.pumping.pump import head

STARTS, PRIMES, BLEED, NO, NOT_KNOWN = (
    "starts",
    "primes itself",
    "after bleeding",
    "no",
    "not known",
)
WORST_FIRST = (NO, NOT_KNOWN, BLEED, PRIMES, STARTS)


@dataclass(frozen=True, slots=True)
class Primer:
    """How a pump deals with air: `lift` is the height it draws dry from a short suction [m].

    `air_share` is the air that it moves over its free flow, and `time` how long it may run dry;
    the usual ones where they are None.
    """

    self_priming: bool
    lift: float = measured("m", 0.0)
    air_share: float | None = measured("-", None)
    time: float | None = measured("s", None)


@dataclass(frozen=True, slots=True)
class Move:
    """What to move, which way ("lower", "raise", "vent"), and by how much at the least."""

    thing: str
    way: str
    distance: float = measured("m", 0.0)


@dataclass(frozen=True, slots=True)
class Start:
    """Whether a pump starts in one attitude, and what decides it.

    `depth` is how far the pump lies under the water outside, `flooded` whether that water reaches
    it by itself. `lift` is what it must draw up, `lift_possible` what it can. `head` is what it
    must give to push the water over for the first time, `head_bled` the same with every leg filled.
    Each of `reasons` has its cure in `moves`.
    """

    pump: str
    heel: float = measured("rad", 0.0)
    trim: float = measured("rad", 0.0)
    outcome: str = NOT_KNOWN
    depth: float | None = measured("m", None)
    flooded: bool = False
    lift: float = measured("m", 0.0)
    lift_possible: float = measured("m", 0.0)
    head: float = measured("m", 0.0)
    head_bled: float = measured("m", 0.0)
    shut_off: float = measured("m", 0.0)
    pockets: tuple[Pocket, ...] = ()
    reasons: tuple[Fact, ...] = ()
    moves: tuple[Move, ...] = ()
    missing: tuple[str, ...] = ()

    @property
    def bleed_at(self) -> tuple[str, ...]:
        """Where air must be let out by hand, in the order of the water."""
        return tuple(dict.fromkeys(item.crest for item in self.pockets if not item.clears))


def first_starts(
    loop: Loop,
    now: Conditions,
    primers: Mapping[str, Primer],
    attitudes: tuple[Attitude, ...] = ((0.0, 0.0),),
    running: OperatingPoint | None = None,
) -> tuple[Start, ...]:
    """Return the start of every pump of a loop in each attitude of heel and trim [rad].

    `running` tells the flow by its first condition, from which follows what legs clear; without it
    that is left open.
    The density is that of `now`, and so are the volts and hertz of the pump.
    """
    boat = Afloat(loop, now, running)
    ways = {pump.name: ways_through(boat, pump, attitudes) for pump in loop.pumps}
    heads = {pump.name: _shut_off(boat, pump) for pump in loop.pumps}
    return tuple(
        _start(
            _Pump(boat, pump, primers[pump.name], heads[pump.name]),
            ways[pump.name][row],
            attitude,
        )
        for row, attitude in enumerate(attitudes)
        for pump in loop.pumps
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Pump:
    """A pump in its boat, how it deals with air, and its head at no flow [m]."""

    boat: Afloat
    pump: Pumping
    primer: Primer
    shut_off: float


def _turned(move: Move, attitude: Attitude) -> Move:
    """Return a move in an attitude, in which what is lowered in the boat falls less."""
    heel, trim = attitude
    if not (heel or trim):
        return move
    return replace(move, distance=move.distance / (math.cos(heel) * math.cos(trim)))


def _shut_off(boat: Afloat, pump: Pumping) -> float:
    running = running_pump(pump, boat.now)
    return float(np.max(np.asarray(head(running.curve, 0.0, running.speed))))


def _start(one: _Pump, ways: tuple[Way, ...], attitude: Attitude) -> Start:
    missing = tuple(dict.fromkeys(label for way in ways for label in way.missing))
    known = [way for way in ways if way.pump > 0]  # behind an intake
    if not known:
        return Start(one.pump.name, *attitude, missing=missing or (one.pump.name,))
    found = [_along(one, way) for way in known]
    against = [_against(one, item, way) for item, way in zip(found, known, strict=True)]
    outcomes = [
        min((outcome for outcome, _, _ in mine), key=WORST_FIRST.index, default=STARTS)
        for mine in against
    ]
    outcome, worst = min(
        zip(outcomes, found, strict=True),
        key=lambda pair: (WORST_FIRST.index(pair[0]), -pair[1].head, -pair[1].lift),
    )
    if missing and outcome != NO:
        outcome = NOT_KNOWN
    pockets = tuple(dict.fromkeys(pocket for item in found for pocket in item.pockets))
    pairs = dict.fromkeys(
        (reason, _turned(move, attitude)) for mine in against for _, reason, move in mine
    )
    return Start(
        pump=one.pump.name,
        heel=attitude[0],
        trim=attitude[1],
        outcome=outcome,
        depth=worst.depth,
        flooded=all(item.flooded for item in found),
        lift=max(item.lift for item in found),
        lift_possible=min(item.lift_possible for item in found),
        head=max(item.head for item in found),
        head_bled=max(item.head_bled for item in found),
        shut_off=one.shut_off,
        pockets=pockets,
        reasons=tuple(reason for reason, _ in pairs),
        moves=tuple(move for _, move in pairs),
        missing=missing,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Along:
    """What there is along one path, by the names of a start; `over` asks for the head."""

    depth: float
    flooded: bool
    lift: float
    lift_possible: float
    head: float
    over: str
    head_bled: float
    pockets: tuple[Pocket, ...]


def _along(one: _Pump, way: Way) -> _Along:
    """Return what there is along one path: suction first, then what must be pushed over."""
    spots, pump = way.spots, way.spots[way.pump]
    lift, _ = climb(spots[: way.pump + 1])
    head, over = climb(spots)
    wet = spots[0].height < 0.0 and lift < 0.0
    return _Along(
        depth=-pump.height,
        flooded=wet and (way.air_leaves or reaches_pump(way, one.boat.now)),
        lift=max(lift, 0.0),
        lift_possible=_lift_possible(one.boat, way, one.primer) if lift >= 0.0 else 0.0,
        head=max(head, 0.0),
        over=over,
        head_bled=max(0.0, *(spot.height for spot in spots)),
        pockets=tuple(pockets_of(one.boat, spots, way.pump)),
    )


_Hindrance = tuple[str, Fact, Move]


def _against(one: _Pump, along: _Along, way: Way) -> list[_Hindrance]:
    """Return what a path has against a start: suction first, then what must be pushed over."""
    return [*_before(along, way, one.primer), *_after(along, way.spots, one.shut_off)]


def _before(one: _Along, way: Way, primer: Primer) -> Iterator[_Hindrance]:
    """Yield what the suction has against a start."""
    spots = way.spots
    suction = [pocket for pocket in one.pockets if pocket.before_pump]
    if spots[0].height >= 0.0:
        up = spots[0].height
        reason = fact("start.intake_out", intake=spots[0].label, height=amount("height", up))
        yield NO, reason, Move(spots[0].label, "lower", up + HAIR)
    elif max(spot.height for spot in spots[: way.pump + 1]) >= 0.0:
        yield from _drawing(one, way, primer)
    elif suction:
        for pocket in suction:
            fall = amount("height", pocket.fall)
            values = {"crest": pocket.crest, "dip": pocket.dip, "fall": fall}
            move = Move(pocket.crest, "lower", pocket.fall)
            if primer.self_priming:
                yield PRIMES, fact("start.draws_out", **values), move
            else:
                yield BLEED, fact("start.air_in_suction", **values), move
    elif not one.flooded and not primer.self_priming:
        top = max(spots, key=lambda spot: spot.height)
        reason = fact("start.air_shut_in", outlet=spots[-1].label, crest=top.label)
        yield BLEED, reason, Move(top.label, "vent")


def _drawing(one: _Along, way: Way, primer: Primer) -> Iterator[_Hindrance]:
    """Yield what comes of a suction that stands above the water: each point that must go down."""
    spots = way.spots[: way.pump + 1]
    if not primer.self_priming:
        for spot in _highest_first(spots, 0.0):
            kind = "start.pump_above_water" if spot.is_pump else "start.crest_above_water"
            above = fact(kind, thing=spot.label, lift=amount("height", spot.height))
            yield NO, above, Move(spot.label, "lower", spot.height + HAIR)
        return
    _, crest = climb(spots)
    possible = amount("height", one.lift_possible)
    if one.lift <= one.lift_possible + HAIR:
        lift = amount("height", one.lift)
        reason = fact("start.draws_up", thing=crest, lift=lift, possible=possible)
        yield PRIMES, reason, Move(crest, "lower", one.lift)
        return
    lowered: tuple[Spot, ...] = ()
    for spot in spots:
        need, _ = climb((*lowered, spot))
        short = max(need - one.lift_possible, 0.0)
        if short > HAIR:
            lift = amount("height", need)
            reason = fact("start.lift_too_great", thing=spot.label, lift=lift, possible=possible)
            yield NO, reason, Move(spot.label, "lower", short)
        lowered = (*lowered, replace(spot, height=spot.height - short))  # as the next will find it


def _highest_first(spots: tuple[Spot, ...], level: float) -> list[Spot]:
    """Return the points at a level or above it, one for each name, highest first."""
    above: dict[str, Spot] = {}
    for spot in sorted(spots, key=lambda item: -round(item.height / HAIR)):
        if spot.height >= level:
            above.setdefault(spot.label, spot)
    return list(above.values())


def _after(one: _Along, spots: tuple[Spot, ...], most: float) -> Iterator[_Hindrance]:
    """Yield what must be pushed over that this pump cannot: each point that must go down.

    `most` is its head at no flow [m].
    """
    if one.head <= most + HAIR:
        return
    shut_off = amount("head", most)
    if one.head_bled > most + HAIR:
        for spot in _highest_first(spots, most + HAIR):
            bled = amount("head", spot.height)
            reason = fact("start.too_high", thing=spot.label, bled=bled, shut_off=shut_off)
            yield NO, reason, Move(spot.label, "lower", spot.height - most)
    else:
        heads = {"head": amount("head", one.head), "bled": amount("head", one.head_bled)}
        reason = fact("start.air_in_dips", thing=one.over, shut_off=shut_off, **heads)
        yield BLEED, reason, Move(one.over, "lower", one.head - most)


def _lift_possible(boat: Afloat, way: Way, primer: Primer) -> float:
    """Return how far a pump draws water up this suction in the time it may run dry [m]."""
    if not primer.self_priming:
        return 0.0
    pump = next(item for item in boat.loop.pumps if item.name == way.spots[way.pump].is_pump)
    share, time = primer.air_share, primer.time
    share = default("pump.priming_air_share").value if share is None else share
    time = default("pump.priming_time").value if time is None else time
    free = float(np.max(np.asarray(pump.curve.free_flow))) * share
    bore = max(spot.bore for spot in way.spots[: way.pump + 1])
    air = max(way.spots[way.pump].air, 1e-9)
    return float(lift_in_time(air, 0.25 * np.pi * bore**2, free, time, primer.lift))
