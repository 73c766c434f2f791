"""What to change on a boat: from a case to an answer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from seaflow.base.facts import Fact
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built, built_with
from seaflow.studies.design.at_rest import left_at_rest, loops_in_use
from seaflow.studies.design.boats import leaves_one_of, over_boats
from seaflow.studies.design.cautions import cautions
from seaflow.studies.design.certainty.draws import DEFAULT_SAMPLES, DEFAULT_SEED
from seaflow.studies.design.certainty.sample import Sample
from seaflow.studies.design.changes import network_named
from seaflow.studies.design.choose import Ranked, rank_pumps, tried
from seaflow.studies.design.judge import GRADES, NO, worst_of
from seaflow.studies.design.kinds import DRAWN
from seaflow.studies.design.likelihood import Sampling, on_simulated_days
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed, unit_needs
from seaflow.studies.design.supply import fits, supply_told
from seaflow.studies.design.which_pump import find_out_next, picked_loop
from seaflow.studies.improve.answer import Choice, Improvement, LoopImprovement
from seaflow.studies.improve.bill import Shop, shop_of
from seaflow.studies.improve.groups import groups_of
from seaflow.studies.improve.leave import Leave, leave_it
from seaflow.studies.improve.options import pump_choices, strainer_levels
from seaflow.studies.improve.pair import in_the_water, is_better, pair_picks, thriftiest
from seaflow.studies.improve.rate import Progress, rate
from seaflow.studies.improve.search import shortlist, single_picks
from seaflow.studies.improve.space import Pick, Space, make_space
from seaflow.studies.improve.winner import (
    better,
    better_graded,
    fair,
    few,
    look_for,
    remark,
    unbeaten,
    what,
    why,
    winner_of,
    with_hoses,
    worse_off,
    worth_judging,
    worth_nothing,
)
from seaflow.studies.size.to_buy import ToBuy, gives, to_buy

SEEN = 0.01  # of need; no unit is the worse for less

Started = Callable[[str, int], Progress]


def no_progress(name: str, count: int) -> Progress:
    """Say nothing of progress."""
    return lambda done: None


def improve(
    case: Case,
    pump: str | None = None,
    sampling: tuple[int, int] = (DEFAULT_SAMPLES, DEFAULT_SEED),
    started: Started = no_progress,
) -> Improvement:
    """Return for every loop what each change does alone, and the few choices that none beats.

    `started` is told the name of each loop and how many boats are sampled, and returns what is
    told of every batch that is done.

    Raises
    ------
    SeaflowError
        If there is no such pump, or every unit is switched off.
    """
    loops, invented = [], False
    for found in loops_in_use(case):
        here = case.on_supply_of(found.pumps[0])
        built, part, reason = picked_loop(here, found, pump)
        needs = {need.name: need for need in unit_needs(here, built)}
        fitted = pump is not None or _is_fitted(here, found, part)
        space = _space(here, built, needs, part, fitted)
        loops.append(_improve_loop(space, reason, sampling, started))
        invented |= any(part.invented for part in space.pumps)
    return Improvement(
        boat=case.boat.name,
        hull=case.boat.hull,
        n_samples=sampling[0],
        seed=sampling[1],
        invented_parts=invented,
        loops=tuple(loops),
        enough=limit("likely_enough"),
        cautions=cautions("improve", _kinds(case, loops), case.high_voltage),
        at_rest=left_at_rest(case),
    )


def _kinds(case: Case, loops: list[LoopImprovement]) -> list[str]:
    """Return the kinds of the pumps chosen."""
    return [case.catalogue.pump(loop.winner.pump).kind for loop in loops]


def _is_fitted(case: Case, found: Network, part: PumpPart) -> bool:
    name = found.pumps[0].fitted
    return name is not None and case.catalogue.pump(name).name == part.name


def _space(
    case: Case, built: Built, needs: dict[str, UnitNeed], part: PumpPart, fitted: bool
) -> Space:
    found = built.network
    pumps, _ = pump_choices(case, found, part)
    parts = (pumps, strainer_levels(case, found), groups_of(case, built, needs))
    return make_space(case, built, needs, parts, fitted)


def _improve_loop(
    space: Space, pump_why: Fact, sampling: tuple[int, int], started: Started
) -> LoopImprovement:
    none = Pick(0, 0, (0,) * len(space.groups))
    singles = list(single_picks(space))
    together, n_tried = shortlist(space)
    picks = list(dict.fromkeys([none, *singles, *together]))
    found = rate(space, picks, sampling, started(space.network.name, len(picks)))
    enough, judge = limit("likely_enough"), _Judge(space, sampling, shop_of(space))
    rated = judge.with_remarks(_fairly(dict(zip(picks, found, strict=True)), none), none)
    now, drawn = judge.with_days(none, rated[none])
    leave = _leave(space, drawn, now)
    front = _front(judge, rated, (none, now), leave is None)
    winner = winner_of(front, enough) if leave is None else now
    helps = leave is not None or not worth_nothing(now, winner, enough)
    winner = winner if helps else now
    others = () if helps else look_for(judge.asks(none), now.pump, supply_told(space.case))
    pair = _pair(judge, winner) if helps else None
    alone = tuple(replace(rated[pick], remark=remark(rated[pick], now)) for pick in singles)
    return LoopImprovement(
        name=space.network.name,
        pump_why=pump_why,
        now=now,
        singles=alone,
        front=tuple(few(front, winner)),
        winner=winner,
        what=(*what(now, winner, enough, leave), *worse_off((now, winner), alone), *others),
        why=(*why((now, winner), alone, front, enough, leave), *with_hoses(pair, winner)),
        n_tried=n_tried,
        n_sampled=len(picks),
        left_out=pump_choices(space.case, space.network, space.pumps[0])[1],
        leave=leave,
        find_out=find_out_next(space.case, space.network, space.pumps[0]),
        helps=helps,
        pair=pair,
    )


def _pair(judge: _Judge, winner: Choice) -> Choice | None:
    """Return the hoses one size up with a pump that is smaller than the one taken, if that is all.

    Where another pump alone is not taken, or none is clearly better so, there is none.
    """
    if [said.kind for said in winner.changes] != ["improve.pump"]:
        return None
    picks, enough = pair_picks(judge.space), limit("likely_enough")
    rated = dict(zip(picks, rate(judge.space, picks, judge.sampling, _unheard), strict=True))
    found = [judge.choice(pick, rated[pick]) for pick in thriftiest(rated, enough)]
    better = [
        one
        for one in found
        if is_better(one, winner) and GRADES.index(one.grade) <= GRADES.index(winner.grade)
    ]
    return min(better, key=lambda one: (in_the_water(one), one.n_changes), default=None)


def _unheard(done: int) -> None:
    """Tell nobody of what is done."""


def _front(
    judge: _Judge, rated: dict[Pick, Choice], as_is: tuple[Pick, Choice], more: bool
) -> list[Choice]:
    """Return the choices that none beats, judged; with `more` the first other one graded better.

    `as_is` is the boat as it is, judged before.
    """
    (none, now), enough = as_is, limit("likely_enough")
    pick_of = {id(choice): pick for pick, choice in rated.items()}
    sound = [item for pick, item in rated.items() if pick == none or not item.too_much]
    best = worth_judging(unbeaten(better(sound, rated[none], enough)), enough)
    front = [now if item is rated[none] else judge.choice(pick_of[id(item)], item) for item in best]
    if not more:
        return front
    shown = {id(item) for item in best}
    likely = [item for item in sound if id(item) not in shown and item.keeps_rise >= enough]
    judged = [(item, partial(judge.graded, pick_of[id(item)], item)) for item in likely]
    front += better_graded(front, [ask for item, ask in judged if not item.takes_water])
    if not fair(front, enough):
        front += better_graded(front, [ask for item, ask in judged if item.takes_water])
    return front


def _fairly(rated: dict[Pick, Choice], none: Pick) -> dict[Pick, Choice]:
    """Return the boats, each with whether it takes water from the worst unit.

    Another pump may give less than the boat has now, if it is still what is needed.
    """
    now = rated[none].margin
    found = {}
    for pick, choice in rated.items():
        of_the_pump = min(rated[replace(none, pump=pick.pump)].margin, now)
        least = max(of_the_pump, min(now, 0.0)) - SEEN
        found[pick] = replace(choice, takes_water=choice.margin < least)
    return found


def _leave(space: Space, drawn: Sample | None, now: Choice) -> Leave | None:
    """Return why a boat should be left as it is; one that will not do never is."""
    if drawn is None or not space.fitted or now.grade == NO:
        return None
    return leave_it(space.case, drawn, space.needs, now.pump)


@dataclass(frozen=True, slots=True, eq=False)
class _Judge:
    """Grades boats as `size` does, by the same draws, and lists what is bought for each."""

    space: Space
    sampling: tuple[int, int]
    shop: Shop

    def choice(self, pick: Pick, choice: Choice) -> Choice:
        """Return a boat with its grade, what decides it, and its parts."""
        return self.with_days(pick, choice)[0]

    def with_remarks(self, rated: dict[Pick, Choice], none: Pick) -> dict[Pick, Choice]:
        """Return the boats, each with how many warnings there are of its pump in the loop now."""
        boats = [self._laid(replace(none, pump=n)) for n in range(len(self.space.pumps))]
        asked = [((case, built, self.space.needs), part) for case, built, part in boats]
        many = [
            len(one.result.judgement.remarks) if fits(case, one.result.part) else 0
            for (case, _, _), one in zip(boats, tried(asked, with_speeds=False), strict=True)
        ]
        return {pick: replace(one, remarks=many[pick.pump]) for pick, one in rated.items()}

    def graded(self, pick: Pick, choice: Choice, grades: Sequence[str]) -> Choice | None:
        """Return a boat as `choice` does, or None where none of these grades is left to it.

        They are the best ones: what costs least to ask is asked first.
        """
        case, ranked = self._ranked(pick)
        if ranked:
            result, seed = ranked[0].result, self.sampling[1]
            kept = [one for one in result.judgement.rulings if one.said.kind not in DRAWN]
            if worst_of(one.grade for one in kept) not in grades:
                return None
            if not leaves_one_of(grades, case, self.space.network.name, result.part, seed):
                return None
        return self._with_days(pick, choice, case, ranked)[0]

    def with_days(self, pick: Pick, choice: Choice) -> tuple[Choice, Sample | None]:
        """Return a boat so judged, and its simulated days."""
        return self._with_days(pick, choice, *self._ranked(pick))

    def _ranked(self, pick: Pick) -> tuple[Case, tuple[Ranked, ...]]:
        """Return the case of a boat, and its pump by the worst cases; none where none fits."""
        case, built, _ = self._laid(pick)
        return case, rank_pumps(case, built, self.space.needs)

    def _laid(self, pick: Pick) -> tuple[Case, Built, PumpPart]:
        """Return the case of a boat whose pump is the only choice, its loop, and that pump."""
        space = self.space
        case, part = space.case_of(pick), space.pumps[pick.pump]
        case = replace(
            case,
            design=replace(case.design, pumps=(part.name,)),
            pump=tuple(replace(place, fitted=None) for place in case.pump),
        )
        return case, built_with(case, network_named(case, space.network.name), part), part

    def _with_days(
        self, pick: Pick, choice: Choice, case: Case, ranked: tuple[Ranked, ...]
    ) -> tuple[Choice, Sample | None]:
        if not ranked:
            return replace(choice, parts=self.shop.parts(pick)), None
        ((held, _, drawn),) = on_simulated_days([(case, ranked[0])], Sampling(*self.sampling))
        asks = None
        if self.space.buys_a_pump(pick):
            asks = to_buy(case, held.built, self.space.needs, Sampling(*self.sampling))
        is_over = asks is None or gives(case, held.built, asks)
        is_enough = choice.keeps_rise >= limit("likely_enough")
        (item,) = over_boats(case, (held,), self.sampling[1])
        judged = item.result.judgement
        choice = replace(
            choice,
            grade=judged.grade,
            reasons=judged.reasons,
            doubts=judged.doubts,
            cure=judged.cure,
            parts=self.shop.parts(pick, None if is_enough and not is_over else asks, is_over),
            asks=asks,
            gives=is_over,
        )
        return choice, drawn

    def asks(self, pick: Pick) -> ToBuy | None:
        """Return what to ask of a pump for a boat, None where the loop must be changed first."""
        case, built, _ = self._laid(pick)
        return to_buy(case, built, self.space.needs, Sampling(*self.sampling))
