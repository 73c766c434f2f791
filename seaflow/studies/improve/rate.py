"""What each boat of a space does: at fixed conditions in brief, and over the same draws."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Truths
from seaflow.base.facts import fact
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.model.point import OFF, OperatingPoint
from seaflow.studies.design.certainty.inputs import assumed_of, inputs_of
from seaflow.studies.design.certainty.sample import verdicts
from seaflow.studies.design.changes import network_named
from seaflow.studies.design.duties import duties_of
from seaflow.studies.design.speed import speeds_for_need
from seaflow.studies.design.takes import least_of_day
from seaflow.studies.design.which_pump import built_with, full_supply
from seaflow.studies.design.worst_cases import stacked, worst_cases
from seaflow.studies.improve.answer import Choice
from seaflow.studies.improve.options import Priced, total_price
from seaflow.studies.improve.space import Pick, Space

Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True, eq=False)
class Brief:
    """Boats at three conditions each: flow over need of the worst unit, and whether it is too much.

    `clean` is at the warmest sea, all clean; `half` with half the dirt; arrays by boat.
    """

    clean: Array
    half: Array
    worst: NDArray[np.intp]
    flow: Array
    too_much: Truths
    full: Truths
    names: tuple[str, ...]


def brief(space: Space, pump: int, strainer: int, bores: NDArray[np.intp]) -> Brief:
    """Return boats of one pump and strainer at three conditions; `bores` is (groups, boats)."""
    n = bores.shape[1]
    case, built = space.boats(pump, strainer, bores, 3)
    point = operate(built.loop, _three(case, space, pump, bores))
    coils = [coil for coil in built.loop.coils if not np.all(point.units[coil.unit].state == OFF)]
    names = [coil.unit for coil in coils] or [coil.unit for coil in built.loop.coils]
    flows = np.stack([point.units[name].volume_flow.reshape(n, 3) for name in names])
    need = np.asarray([space.needs[name].flow or 1e-9 for name in names])
    shares = flows / need[:, np.newaxis, np.newaxis]
    worst = shares[:, :, 0].argmin(axis=0)
    return Brief(
        clean=shares[:, :, 0].min(axis=0),
        half=shares[:, :, 1].min(axis=0),
        worst=worst,
        flow=flows[worst, np.arange(n), 0],
        too_much=_too_much(case, built, point).reshape(n, 3)[:, 2],
        full=np.broadcast_to(point.full.all(axis=0), (point.size,)).reshape(n, 3)[:, 0],
        names=tuple(names),
    )


def _three(case: Case, space: Space, pump: int, bores: NDArray[np.intp]) -> Conditions:
    n = bores.shape[1]
    found = worst_cases(case)
    design, cold = found[0], next(worst for worst in found if worst.asks == "most")
    three = (design, design, cold)
    volts = [space.volts(pump, bores, worst.conditions) for worst in three]
    now = stacked(three, [0.0] * 3)
    half = np.asarray([0.0, 0.5, 0.0])
    now = replace(
        now, strainer_blockage=half * case.design.blocked_share, growth=half * case.design.growth
    )
    tiled: dict[str, Any] = {
        name: np.tile(value, n)
        for name in ("frequency", "sea_temperature", "strainer_blockage", "growth")
        if isinstance(value := getattr(now, name), np.ndarray) and value.size == 3
    }
    at_pump = np.stack([np.broadcast_to(value, n) for value in volts], axis=1)
    return replace(now, **tiled, voltage=at_pump.ravel())


def _too_much(case: Case, built: Built, point: OperatingPoint) -> Truths:
    """Return where a coil gets more than its maker or its alloy stands."""
    alloys = {unit.name: unit.alloy for unit in case.unit}
    found: Truths = np.zeros(point.size, dtype=bool)
    for coil in built.loop.coils:
        flow = point.units[coil.unit].volume_flow
        most = coil.flow_limits[1]
        if most is not None:
            found |= flow > most
        alloy = alloys.get(coil.unit)
        velocity = coil.velocity(flow)
        if alloy is None or velocity is None:
            continue
        fastest = case.catalogue.fastest_water(alloy)[1]
        if fastest is not None:
            found |= np.asarray(velocity) > fastest
    return found


def rate(
    space: Space, picks: Sequence[Pick], sampling: tuple[int, int], progress: Progress
) -> tuple[Choice, ...]:
    """Return what each boat does over the same draws; `sampling` is their number and seed."""
    found: dict[Pick, Choice] = {}
    for pump, strainer in sorted({(pick.pump, pick.strainer) for pick in picks}):
        mine = [pick for pick in picks if (pick.pump, pick.strainer) == (pump, strainer)]
        found |= zip(mine, _rate_group(space, mine, sampling), strict=True)
        progress(len(mine))
    return tuple(found[pick] for pick in picks)


def _rate_group(space: Space, picks: Sequence[Pick], sampling: tuple[int, int]) -> list[Choice]:
    """Return the choices of boats with one pump and strainer."""
    n_samples = sampling[0]
    first = picks[0]
    bores = np.asarray([pick.bores for pick in picks], dtype=np.intp).T.reshape(-1, len(picks))
    at = brief(space, first.pump, first.strainer, bores)
    point, case, built = _drawn(space, first, bores, sampling)
    held = verdicts(case, built, point)
    rise = held.keeps_rise.reshape(len(picks), n_samples).mean(axis=1)
    runs = held.keeps_running.reshape(len(picks), n_samples).mean(axis=1)
    energies = _energies(space, picks, bores)
    choices = []
    for index, pick in enumerate(picks):
        likely = float(rise[index])
        choices.append(
            replace(
                _described(space, pick),
                worst=at.names[int(at.worst[index])],
                flow=float(at.flow[index]),
                margin=float(at.clean[index]) - 1.0,
                keeps_rise=likely,
                keeps_running=float(runs[index]),
                error=float(np.sqrt(likely * (1.0 - likely) / n_samples)),
                energy_per_day=float(energies[index]),
                too_much=bool(at.too_much[index]),
                runs_full=bool(at.full[index]),
            )
        )
    return choices


def _drawn(
    space: Space, first: Pick, bores: NDArray[np.intp], sampling: tuple[int, int]
) -> tuple[OperatingPoint, Case, Built]:
    case, built = space.boats(first.pump, first.strainer, bores, sampling[0])
    each = np.repeat(bores, sampling[0], axis=1)
    loop, now = built.loop, _design(space, case, first.pump, each)
    draws = space.draws(*sampling)
    for item in (*inputs_of(case, built), *assumed_of(case, built)):
        shares = np.tile(draws[item.label], bores.shape[1])
        loop, now = item.apply(loop, now, item.spread.at(shares))
    return operate(loop, now), case, built


def _design(space: Space, case: Case, pump: int, bores: NDArray[np.intp]) -> Conditions:
    """Return the design point with the volts that reach the pump of each boat."""
    now = worst_cases(case)[0].conditions
    return replace(now, voltage=space.volts(pump, bores, now))


def _energies(space: Space, picks: Sequence[Pick], bores: NDArray[np.intp]) -> Array:
    """Return what each boat takes for the duties of a day, all clean [J].

    Where the speed of the pump can be set, it is that of the least speed that does, if less.
    """
    first = picks[0]
    part, duties = space.pumps[first.pump], duties_of(space.case)[0]
    case, built = space.boats(first.pump, first.strainer, bores)
    now = _design(space, case, first.pump, bores)
    speeds = None
    if part.least_speed is not None:
        speeds = _speeds(space, picks)
    return least_of_day(case, built, now, duties, speeds)


def _speeds(space: Space, picks: Sequence[Pick]) -> Array:
    """Return the least speed of each pump that meets every need, or full speed."""
    asked = []
    for pick in picks:
        case, part = space.case_of(pick), space.pumps[pick.pump]
        found = network_named(case, space.network.name)
        asked.append((built_with(case, found, part), part, full_supply(case, found, part)))
    settings = speeds_for_need(asked, space.needs)
    return np.asarray([1.0 if setting is None else setting.speed for setting in settings])


def _described(space: Space, pick: Pick) -> Choice:
    levels = space.levels(pick)
    part = space.pumps[pick.pump]
    changes = [level.says for level in levels if level.says is not None]
    bought = [item for level in levels for item in level.bought]
    n_changes = sum(level.n_changes for level in levels)
    if space.buys_a_pump(pick):
        places = space.network.pumps
        changes.insert(0, fact("improve.pump", pump=part.name))
        count = sum(place.in_parallel or 1 for place in places)
        bought += [Priced(f"pump {part.name}", part.price)] * count
        n_changes += len(places) if space.fitted else 0
    price, currency, unpriced = total_price(tuple(bought))
    return Choice(
        changes=tuple(changes),
        n_changes=n_changes,
        pump=part.name,
        price=price,
        currency=currency,
        unpriced=tuple(dict.fromkeys(unpriced)),
        cautions=tuple(dict.fromkeys(level.caution for level in levels if level.caution)),
    )
