"""Values of a case that are drawn one by one: what is typical, and what has a half width.

No list says which element a value ends in. The loop is built with the value at either end of its
spread, and whatever comes out otherwise than with the value itself is what a draw of it moves. What
is met from day to day, sea, supply and dirt, is looked at in the same way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache, lru_cache
from typing import Any

import numpy as np

from seaflow.base.alike import Alike
from seaflow.base.arrays import Array
from seaflow.base.facts import fact
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.keys import keys_of
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.paths import is_above_zero, told_at, unit_at, value_at, with_values
from seaflow.boat.reader.text import Path
from seaflow.model.build import Built, around, built_like, built_with_any
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Point
from seaflow.model.loop import Loop
from seaflow.studies.design.certainty.draws import stratified
from seaflow.studies.design.certainty.spreads import (
    BY_ITSELF,
    GIVEN,
    TYPICAL,
    Spread,
    season,
    triangular,
)
from seaflow.studies.design.supply import cable_drop, panel_volts

MOST_KEPT = 8  # cases whose loops are kept, so that all pumps of a loop meet the same
STEPS = np.linspace(0.0, 1.0, 101)  # shares of a season, and of the volts met
# Half widths that other inputs draw: of all hoses, coils, strainers or outlets together.
_TOGETHER = {
    "hose": ("bore", "length", "roughness"),
    "unit": ("cooling", "head", "pressure"),
    "outlet": ("height",),
    "strainer": ("clean_loss",),
}
# Tables of which nothing enters a loop or what it meets.
_ASIDE = (
    *("compartment", "partition", "pump_place", "intake_place", "placing", "skin_fitting"),
    *("duty", "battery", "seen", "skin_hose", "visit", "finding"),
)
_ALL_HOSES = "bores"
_OWN_PART = 0.4  # of a hose, beside what is common: a correlation of about 0.86; our assumption
_NINE_IN_TEN = 0.9
_MOST = 0.95  # of a value that cannot be nothing
_ROOMS = ("compartment", "pump_place", "intake_place")
_LEAST_FAR, _SAME_WALL = 0.1, 1e-3  # m
_WAYS = ("aft", "starboard", "height")
AT_ENDS = (-1.0, 0.0, 1.0)

Numbers = tuple[float, float, float]  # at the low end, at the value itself, at the high end
Moved = dict[str, Any] | dict[int, Any]  # of a record or a tuple: what moves in it


@lru_cache(MOST_KEPT)
def drawn_paths(case: Case) -> tuple[Path, ...]:
    """Return the paths of the values that are drawn one by one, in an order that no file decides.

    By table as a case declares them, then along the water.
    """
    found = (
        path
        for path in case.spreads
        if (path in case.typical or path[-1] not in _TOGETHER.get(str(path[0]), ()))
        and value_at(case, path) is not None
    )
    return tuple(sorted(found, key=lambda path: (_tables()[str(path[0])], case.numbered(path))))


@cache
def _tables() -> dict[str, int]:
    return {table: number for number, (_, table, _) in enumerate(keys_of(Case))}


def reach_of(case: Case, path: Path) -> float:
    """Return how far a value may lie off at most, either way.

    The half width of a known value is that itself. Between the ends of a typical one lie nine boats
    in ten, so that it is drawn a little beyond them, though never down to nothing.
    """
    value, half = value_at(case, path), case.spreads[path]
    assert value is not None
    if path not in case.typical:
        return half
    reach = half / _NINE_IN_TEN
    return max(min(reach, _MOST * value), half) if is_above_zero(path) else reach


@lru_cache(MOST_KEPT * 64)
def spread_of(case: Case, path: Path) -> Spread:
    """Return how far a value may lie off.

    A typical one is drawn evenly, which has nearly the standard deviation of a bell curve with nine
    in ten between the same ends.
    """
    told, half, typical = told_at(case, path), reach_of(case, path), path in case.typical
    unit = unit_at(path)
    return Spread(
        name=TYPICAL if typical else BY_ITSELF,
        shape="even" if typical else "offset",
        low=-half,
        high=half,
        meaning=told.what,
        source=fact("design.typical") if typical else GIVEN,
        measure=told.how,
        unit="K" if unit == "degC" else unit,
    )


def enters_a_loop(path: Path) -> bool:
    """Return whether a value may enter a loop or what a loop meets, by its table."""
    return path[0] not in _ASIDE


def shares_of(case: Case, path: Path, n_samples: int, seed: int) -> Array:
    """Return the shares of its spread at which a value is drawn; each hangs on no other.

    They hang on no name either, nor on where in the file the value stands, but on which it is as
    the water meets it.

    But whoever takes one hose a size wider mostly does so with all of them: what is common to their
    bores is drawn once, and that of each is ordered by it and by a draw of its own.
    """
    own = stratified(n_samples, seed, str(case.numbered(path)))
    if path[0] != "hose" or path[-1] != "bore":
        return own
    common = stratified(n_samples, seed, _ALL_HOSES)
    return np.asarray((np.argsort(np.argsort(common + _OWN_PART * own)) + 0.5) / n_samples)


def drawn_values(case: Case, n_boats: int, seed: int) -> dict[Path, Array]:
    """Return the typical values of as many boats, by path.

    Rooms and what lies in them are those of a boat longer, wider or higher as a whole, as far as
    the furthest of them may lie off: drawn one by one they would part or overlap. A wall that is
    known stays, and what is drawn comes no nearer to it than half way.
    """
    found, rooms = {}, dict[str, list[tuple[Path, float]]]()
    for path in drawn_paths(case):
        value = value_at(case, path)
        assert value is not None
        axis = next(part for part in reversed(path) if isinstance(part, str))
        if path[0] in _ROOMS and axis in _WAYS:
            rooms.setdefault(axis, []).append((path, value))
        else:
            found[path] = value + spread_of(case, path).at(shares_of(case, path, n_boats, seed))
    for axis, places in rooms.items():
        furthest = max(abs(value) for _, value in places)
        reach = max(reach_of(case, path) for path, _ in places) / max(furthest, _LEAST_FAR)
        scale = 1.0 + min(reach, _MOST) * (2.0 * stratified(n_boats, seed, axis) - 1.0)
        known = _known_walls(case, axis)
        found |= {path: _between(known, value, value * scale) for path, value in places}
    return found


def _known_walls(case: Case, axis: str) -> tuple[float, ...]:
    """Return where rooms end along an axis that no draw moves."""
    return tuple(
        end
        for row, room in enumerate(case.compartment)
        for number, end in enumerate(getattr(room, axis))
        if ("compartment", row, axis, number) not in case.spreads
    )


def _between(known: tuple[float, ...], value: float, drawn: Array) -> Array:
    """Return draws of a value that leave it between the walls it stands between."""
    before = [wall for wall in known if wall <= value + _SAME_WALL]
    behind = [wall for wall in known if wall >= value - _SAME_WALL]
    low = 0.5 * (value + max(before)) if before else -np.inf
    high = 0.5 * (value + min(behind)) if behind else np.inf
    return np.clip(drawn, min(low, high), max(low, high))


def drawn_case(case: Case, values: Mapping[Path, Array], boat: int) -> Case:
    """Return one whole boat of those drawn, for what no array can go through."""
    return with_values(case, {path: float(row[boat]) for path, row in values.items()})


@dataclass(frozen=True, slots=True, eq=False)
class DrawnMove:
    """What a draw of one value moves: numbers in the loop, and what the loop meets."""

    reach: float
    loop: Moved
    sea: tuple[Array, Array, Array]
    volts: tuple[Array, Array, Array]
    salinity: Numbers
    growth: Numbers
    blocked: Numbers
    left: Numbers  # of the volts, behind the cable

    @property
    def moves(self) -> bool:
        """Whether anything is moved at all."""
        if self.loop:
            return True
        still = all(
            low == here == high
            for low, here, high in (self.salinity, self.growth, self.blocked, self.left)
        )
        ends = (self.sea[0], self.sea[2], self.volts[0], self.volts[2])
        heres = (self.sea[1], self.sea[1], self.volts[1], self.volts[1])
        met = all(np.array_equal(end, here) for end, here in zip(ends, heres, strict=True))
        return not still or not met

    def apply(self, loop: Loop, now: Conditions, values: Array) -> tuple[Loop, Conditions]:
        """Return loop and conditions with the value off by `values`."""
        at = np.asarray(values) / self.reach
        changes: dict[str, Any] = {"sea_temperature": _along(now.sea_temperature, self.sea, at)}
        if now.voltage is not None:
            volts = _along(now.voltage, self.volts, at)
            changes["voltage"] = volts * _ratio(self.left, at)
        changes["salinity"] = now.salinity + _off(self.salinity, at)
        changes["growth"] = now.growth * _ratio(self.growth, at)
        blocked = np.minimum(now.strainer_blockage * _ratio(self.blocked, at), 0.99)
        changes["strainer_blockage"] = blocked
        return _moved(loop, self.loop, at), replace(now, **changes)


def move_of(
    case: Case, found: Network, parts: Mapping[str, PumpPart], path: Path
) -> DrawnMove | None:
    """Return what a value moves in a loop with these pumps, or None if nothing."""
    if not enters_a_loop(path) or not _in_loop(case, found, path):
        return None
    kept = _kept(case, found.name, path)
    place = found.pumps[0]
    if path[:2] == ("pump", place.row):
        ends = [_left(one, place.name, parts[place.name]) for one in _three(case, path)]
        kept = replace(kept, left=(ends[0], ends[1], ends[2]))
    return kept if kept.moves else None


def _in_loop(case: Case, found: Network, path: Path) -> bool:
    """Return whether a path leads to a thing of this loop, or to what all loops share."""
    if len(path) < 2 or not isinstance(path[1], int):
        return True
    if path[0] == "hose":
        return any(hose.row == path[1] for hose in found.hoses)
    thing = getattr(case, str(path[0]))[path[1]]
    return thing.name in found.things or getattr(thing, "on", "") in found.things


def _three(case: Case, path: Path) -> tuple[Case, Case, Case]:
    value, reach = value_at(case, path), reach_of(case, path)
    assert value is not None
    return (
        with_values(case, {path: value - reach}),
        case,
        with_values(case, {path: value + reach}),
    )


def _left(case: Case, place: str, part: PumpPart) -> float:
    """Return the share of the panel's volts that reaches a pump."""
    volts = case.supply.voltage
    now = Conditions(sea_temperature=case.sea.warmest, voltage=volts)
    here = next(pump for pump in case.pump if pump.name == place)
    return cable_drop(case, here, part, now) / volts


@lru_cache(MOST_KEPT * 64)
def _kept(case: Case, loop: str, path: Path) -> DrawnMove:
    """Return what a value moves whatever the pump; kept, for every pump of a loop asks."""
    here, sea, volt = _as_it_is(case, loop)
    of_a_row = len(path) > 1 and isinstance(path[1], int)
    cases = (case, case, case) if of_a_row else _three(case, path)  # a row moves nothing met
    seas = [sea if one.sea is case.sea else _seas(one) for one in cases]
    volts = [volt if one.supply is case.supply else _volts(one) for one in cases]
    return DrawnMove(
        reach=reach_of(case, path),
        loop=_moved_loop(around(case, here, path), path, reach_of(case, path)),
        sea=(seas[0], seas[1], seas[2]),
        volts=(volts[0], volts[1], volts[2]),
        salinity=_numbers(cases, lambda one: one.sea.salinity),
        growth=_numbers(cases, lambda one: one.design.growth),
        blocked=_numbers(cases, lambda one: one.design.blocked_share),
        left=(1.0, 1.0, 1.0),
    )


@lru_cache(MOST_KEPT * 64)
def _moved_loop(of: Alike[tuple[Case, Built]], path: Path, reach: float) -> Moved:
    """Return what a value moves in a loop, which other cases may have alike."""
    (case, here), value = of.record, value_at(of.record[0], path)
    assert value is not None
    ends = (with_values(case, {path: value + off}) for off in (-reach, reach))
    low, high = (built_like(end, case, here).loop for end in ends)
    return _difference((low, here.loop, high))  # type: ignore[no-any-return]


def _numbers(cases: tuple[Case, Case, Case], of: Any) -> Numbers:
    low, here, high = cases
    return float(of(low)), float(of(here)), float(of(high))


@lru_cache(MOST_KEPT)
def _as_it_is(case: Case, loop: str) -> tuple[Built, Array, Array]:
    found = next(one for one in network.loops(case) if one.name == loop)
    return built_with_any(case, found), _seas(case), _volts(case)


def _seas(case: Case) -> Array:
    return season(case).at(STEPS)


def _volts(case: Case) -> Array:
    return triangular(STEPS, *panel_volts(case))


def _difference(three: tuple[Any, Any, Any]) -> Any:
    """Return what differs between three records, as a tree down to the numbers; empty if nothing.

    Three numbers stand at its ends.
    """
    low, here, high = three
    if low is here is high:
        return {}
    if is_dataclass(here):
        names = [entry.name for entry in fields(here)]
        inner = {name: _difference(_each(three, name)) for name in names}
        inner = {name: (tree, _adds(here, name)) for name, tree in inner.items() if tree}
        return inner
    if isinstance(here, tuple):
        if not len(low) == len(here) == len(high):
            return {}
        rows = {i: _difference(row) for i, row in enumerate(zip(low, here, high, strict=True))}
        return {i: (tree, False) for i, tree in rows.items() if tree}
    if all(isinstance(one, (int, float)) and not isinstance(one, bool) for one in three):
        return () if low == here == high else (float(low), float(here), float(high))
    return {}


def _each(three: tuple[Any, Any, Any], name: str) -> tuple[Any, Any, Any]:
    low, here, high = (getattr(one, name, None) for one in three)
    return low, here, high


def _adds(record: Any, name: str) -> bool:
    """Return whether a number is moved by a difference and not by a factor."""
    return isinstance(record, Point) or name.endswith("temperature")


def _moved(now: Any, tree: Any, at: Array, adds: bool = False) -> Any:
    """Return a record with the numbers of a tree moved."""
    if isinstance(tree, tuple):
        numbers: Numbers = tree
        if now is None:
            return None
        return now + _off(numbers, at) if adds or min(tree) <= 0.0 else now * _ratio(numbers, at)
    if not tree:
        return now
    if isinstance(now, tuple):
        return tuple(
            _moved(one, *_split(tree[i], at)) if i in tree else one for i, one in enumerate(now)
        )
    changes = {name: _moved(getattr(now, name), *_split(tree[name], at)) for name in tree}
    return replace(now, **changes)


def _split(branch: tuple[Any, bool], at: Array) -> tuple[Any, Array, bool]:
    return branch[0], at, branch[1]


def _off(numbers: Numbers, at: Array) -> Array:
    """Return the difference from the value itself, `at` going from -1 at the low end to 1."""
    return np.interp(at, AT_ENDS, numbers) - numbers[1]


def _ratio(numbers: Numbers, at: Array) -> Array:
    if numbers[1] == 0.0:
        return np.ones_like(at)
    return np.interp(at, AT_ENDS, numbers) / numbers[1]


def _along(now: Any, quantiles: tuple[Array, Array, Array], at: Array) -> Any:
    """Return what is met where its whole distribution is moved, each at its own share of it."""
    low, here, high = quantiles
    if np.array_equal(low, here) and np.array_equal(high, here):
        return now
    down, up = (np.interp(now, here, end - here) for end in (low, high))
    return now + np.where(at < 0.0, -at * down, at * up)
