"""What each boat of a space does: at fixed conditions in brief, and over the same draws."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Truths
from seaflow.base.facts import fact
from seaflow.boat.case import Case
from seaflow.model.build import Built, built_with
from seaflow.model.conditions import Conditions
from seaflow.model.operate import BLOCK
from seaflow.model.point import OFF, OperatingPoint
from seaflow.model.together import operate_all
from seaflow.studies.design.certainty.inputs import assumed_of, inputs_of
from seaflow.studies.design.certainty.put_in import run_with
from seaflow.studies.design.certainty.sample import Verdicts, verdicts
from seaflow.studies.design.changes import network_named
from seaflow.studies.design.duties import duties_of
from seaflow.studies.design.speed import speeds_for_need
from seaflow.studies.design.takes import least_of_days
from seaflow.studies.design.which_pump import full_supply
from seaflow.studies.design.worst_cases import VARIED, stacked, worst_cases
from seaflow.studies.improve.answer import Choice
from seaflow.studies.improve.options import Priced, total_price
from seaflow.studies.improve.space import Pick, Space

Progress = Callable[[int], None]
Fleet = tuple[int, int, NDArray[np.intp]]  # pump, strainer, and bores: (groups, boats)


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


def briefs(space: Space, fleets: Sequence[Fleet]) -> list[Brief]:
    """Return boats at three conditions, all fleets at once."""
    every = [space.boats(pump, strainer, bores, 3) for pump, strainer, bores in fleets]
    points = operate_all(
        [
            (built.loop, _three(case, space, pump, bores))
            for (case, built), (pump, _, bores) in zip(every, fleets, strict=True)
        ]
    )
    return [_brief(space, *row) for row in zip(every, points, strict=True)]


def _brief(space: Space, boats: tuple[Case, Built], point: OperatingPoint) -> Brief:
    (case, built), n = boats, point.size // 3
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
        for name in ("strainer_blockage", "growth", *VARIED)
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
    for groups in _batches(picks, sampling[0]):
        for mine, choices in zip(groups, _rated(space, groups, sampling), strict=True):
            found |= zip(mine, choices, strict=True)
            progress(len(mine))
    return tuple(found[pick] for pick in picks)


def _batches(picks: Sequence[Pick], n_samples: int) -> Iterator[list[list[Pick]]]:
    """Yield boats by pump and strainer, as many groups as are worth running at once."""
    batch: list[list[Pick]] = []
    for pair in sorted({(pick.pump, pick.strainer) for pick in picks}):
        if sum(map(len, batch)) * n_samples >= BLOCK:
            yield batch
            batch = []
        batch.append([pick for pick in picks if (pick.pump, pick.strainer) == pair])
    yield batch


def _rated(
    space: Space, groups: Sequence[Sequence[Pick]], sampling: tuple[int, int]
) -> list[list[Choice]]:
    """Return the choices of groups of boats, each of one pump and strainer."""
    fleets = [(mine[0].pump, mine[0].strainer, _bores(mine)) for mine in groups]
    looks = briefs(space, fleets)
    days = _drawn(space, fleets, sampling)
    energies = _energies(space, groups, fleets)
    rows = zip(groups, looks, days, energies, strict=True)
    return [_choices(space, *row) for row in rows]


def _bores(picks: Sequence[Pick]) -> NDArray[np.intp]:
    return np.asarray([pick.bores for pick in picks], dtype=np.intp).T.reshape(-1, len(picks))


def _choices(
    space: Space,
    picks: Sequence[Pick],
    at: Brief,
    held: Verdicts,
    energies: Array,
) -> list[Choice]:
    """Return the choices of boats with one pump and strainer."""
    n_samples = held.keeps_rise.size // len(picks)
    rise = held.keeps_rise.reshape(len(picks), n_samples).mean(axis=1)
    runs = held.keeps_running.reshape(len(picks), n_samples).mean(axis=1)
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


def _drawn(space: Space, fleets: Sequence[Fleet], sampling: tuple[int, int]) -> list[Verdicts]:
    """Return what all draws say of every boat of the fleets."""
    draws, every, settings, values = space.draws(*sampling), [], [], []
    for pump, strainer, bores in fleets:
        case, built = space.boats(pump, strainer, bores, sampling[0])
        now = _design(space, case, pump, np.repeat(bores, sampling[0], axis=1))
        every.append((case, built))
        settings.append((built.loop, now))
        values.append(
            [
                (one, one.spread.at(np.tile(draws[one.label], bores.shape[1])))
                for one in (*inputs_of(case, built), *assumed_of(case, built))
            ]
        )
    points = run_with(settings, values)
    return [verdicts(*boats, point) for boats, point in zip(every, points, strict=True)]


def _design(space: Space, case: Case, pump: int, bores: NDArray[np.intp]) -> Conditions:
    """Return the design point with the volts that reach the pump of each boat."""
    now = worst_cases(case)[0].conditions
    return replace(now, voltage=space.volts(pump, bores, now))


def _energies(
    space: Space, groups: Sequence[Sequence[Pick]], fleets: Sequence[Fleet]
) -> list[Array]:
    """Return what each boat takes for the duties of a day, all clean [J].

    Where the speed of the pump can be set, it is that of the least speed that does, if less.
    """
    every = []
    for picks, (pump, strainer, bores) in zip(groups, fleets, strict=True):
        case, built = space.boats(pump, strainer, bores)
        adjustable = space.pumps[pump].least_speed is not None
        speeds = _speeds(space, picks) if adjustable else None
        every.append((built, _design(space, case, pump, bores), speeds))
    return least_of_days(space.case, every, duties_of(space.case)[0])


def _speeds(space: Space, picks: Sequence[Pick]) -> Array:
    """Return the least speed of each pump that meets every need, or full speed."""
    asked = []
    for pick in picks:
        case, part = space.case_of(pick), space.pumps[pick.pump]
        found = network_named(case, space.network.name)
        asked.append((built_with(case, found, part), part, full_supply(case, found, part)))
    settings = speeds_for_need(asked, [space.needs] * len(asked))
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
