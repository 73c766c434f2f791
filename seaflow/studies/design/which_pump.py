"""Which pump a question is asked of: the one named, the one aboard, or the one to recommend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from seaflow.base.alike import Alike, the_same
from seaflow.base.facts import Fact, fact
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import NoSuchPart, PumpPart
from seaflow.model.build import Built, built_with, built_with_any
from seaflow.model.conditions import Conditions
from seaflow.studies.design.boats import CASES, N_BOATS, n_boats, over_boats_each
from seaflow.studies.design.certainty.draws import DEFAULT_SAMPLES, DEFAULT_SEED
from seaflow.studies.design.certainty.find_out import FindOut, next_of
from seaflow.studies.design.changes import network_named
from seaflow.studies.design.choose import PumpResult, Ranked, in_order, rank_each, rank_pumps
from seaflow.studies.design.judge import NO
from seaflow.studies.design.kinds import DRAWN
from seaflow.studies.design.likelihood import Held, Sampling, held_to_days, on_simulated_days
from seaflow.studies.design.named import pump_named
from seaflow.studies.design.need import unit_needs
from seaflow.studies.design.supply import cable_drop, fits
from seaflow.studies.design.worst_cases import worst_cases

MOST_KEPT = 24  # loops whose pumps are kept in order: the questions of a page ask again for all
USUAL = Sampling(DEFAULT_SAMPLES, DEFAULT_SEED)
_ASIDE = ("partition",)  # tables in which boats may differ whose pumps are judged alike


@dataclass(frozen=True, slots=True, eq=False)
class AskedPump:
    """The pump that a question is asked of, held to the yardstick of `size`, by the same draws.

    `why` says why it is this one, and `rather` which one `size` would recommend in its place.
    """

    item: Ranked
    why: Fact
    rather: Fact | None

    @property
    def built(self) -> Built:
        """The loop with it."""
        return self.item.built

    @property
    def result(self) -> PumpResult:
        """Where it runs, how it starts and how it is judged."""
        return self.item.result


def picked_loop(
    case: Case, found: Network, name: str | None, asked: AskedPump | None = None
) -> tuple[Built, PumpPart, Fact]:
    """Return a loop with the pump that is asked of, the pump, and why it is that one.

    That is one `asked` of before, else the pump named, else the one aboard, else the one that
    `size` would recommend.

    Raises
    ------
    SeaflowError
        If no pump has the name, or none fits the supply.
    """
    known = (asked.result.part, asked.why) if asked else _known(case, found, name)
    if known is None:
        best = _in_order(case, found)[0].result
        known = best.part, _why_best(best)
    return built_with(case, found, known[0]), *known


def asked_of(case: Case, found: Network, name: str | None = None) -> AskedPump:
    """Return the pump that is asked of, as `picked_loop` picks it, judged as `size` judges it.

    Raises
    ------
    SeaflowError
        As `picked_loop`.
    """
    known = _known(case, found, name)
    order = _in_order(case, found)
    best = order[0]
    if known is None:
        return AskedPump(best, _why_best(best.result), None)
    part, why = known
    mine = next((item for item in order if item.result.part.name == part.name), None)
    if mine is None:
        mine = judged_with(case, found, part)
    rather = None
    if best.result.judgement.recommended and in_order((mine, best))[0] is not mine:
        other = best.result.part
        named = pump_named(other.title, other.name, other.invented)
        rather = fact("design.size_would_recommend", pump=named)
    return AskedPump(mine, why, rather)


def put_first(case: Case, found: Network) -> AskedPump:
    """Return the pump that is put first in a loop, judged, whichever is aboard.

    Raises
    ------
    SeaflowError
        If none fits the supply.
    """
    best = _in_order(case, found)[0]
    is_aboard = found.pumps[0].fitted == best.result.part.name
    return AskedPump(
        best, fact("design.pump_fitted") if is_aboard else _why_best(best.result), None
    )


def judged_with(case: Case, found: Network, part: PumpPart) -> Ranked:
    """Return how a pump that the supply drives does in a loop, on simulated days too."""
    if _known(case, found, None) is None:  # then all have been asked to pick it
        best = judged_pumps(case, found)[:1]
        if [item.result.part.name for item in best] == [part.name]:
            return best[0]
    order = judged_pumps(_alone(case, part), found)
    return _mine(order, part)


def judged_at_each(boats: Sequence[tuple[Case, Network]], part: PumpPart) -> list[Ranked]:
    """Return how the pump aboard several boats, whose supply drives it, does in each."""
    orders = judged_each([(_alone(case, part), found) for case, found in boats])
    return [_mine(order, part) for order in orders]


@lru_cache(MOST_KEPT)  # the same boat again, so that her pump is not judged anew
def _alone(case: Case, part: PumpPart) -> Case:
    return replace(case, design=replace(case.design, pumps=(part.name,)))


def _mine(order: Sequence[Ranked], part: PumpPart) -> Ranked:
    return next(item for item in order if item.result.part.name == part.name)


def find_out_next(case: Case, found: Network, part: PumpPart) -> tuple[FindOut, ...]:
    """Return what to find out next on a boat in part typical, as `size` would with this pump."""
    return next_of(judged_with(case, found, part).unseen) if case.typical else ()


def judged_pumps(case: Case, found: Network) -> tuple[Ranked, ...]:
    """Return the pumps that come into question for a loop, best first, on simulated days too."""
    return held_pumps(case, found, USUAL).order


def held_pumps(case: Case, found: Network, sampling: Sampling) -> Held:
    """Return the same, with what that many simulated days say of each."""
    return _held(the_same(case, _ASIDE), found.name, sampling)


@lru_cache(MOST_KEPT)
def _held(alike: Alike[Case], loop: str, sampling: Sampling) -> Held:
    case = alike.record
    built = built_with_any(case, network_named(case, loop))
    needs = {need.name: need for need in unit_needs(case, built)}
    return held_to_days(case, rank_pumps(case, built, needs), sampling)


def judged_each(
    boats: Sequence[tuple[Case, Network]], hopeful: bool = False
) -> list[tuple[Ranked, ...]]:
    """Return the pumps that come into question for a loop of each boat, best first.

    Some of them run at once: enough to pay for it, few enough to hold with all their days. Where
    only `hopeful` ones are wanted, those are left out that no simulated day can help.
    """
    return [
        order
        for start in range(0, len(boats), CASES)
        for order in _judged_at_once(boats[start : start + CASES], hopeful)
    ]


def _days(case: Case) -> Sampling:
    """Return how many days are simulated at each place: fewer where fewer boats are drawn."""
    return replace(USUAL, n_samples=USUAL.n_samples * n_boats(case) // N_BOATS)


def _is_hopeless(item: Ranked) -> bool:
    """Return whether a pump breaks a must whatever simulated days say."""
    rulings = item.result.judgement.rulings
    return any(one.grade == NO and one.said.kind not in DRAWN for one in rulings)


def _judged_at_once(
    boats: Sequence[tuple[Case, Network]], hopeful: bool
) -> list[tuple[Ranked, ...]]:
    # the need is the same with any pump
    every = [built_with_any(case, found) for case, found in boats]
    needs = [
        {need.name: need for need in unit_needs(case, built)}
        for (case, _), built in zip(boats, every, strict=True)
    ]
    cases = [case for case, _ in boats]
    ranked = rank_each(list(zip(cases, every, needs, strict=True)))
    if hopeful:
        ranked = [tuple(item for item in mine if not _is_hopeless(item)) for mine in ranked]
    pairs = [(case, item) for case, mine in zip(cases, ranked, strict=True) for item in mine]
    held = iter(on_simulated_days(pairs, _days(cases[0])))
    orders = [in_order([next(held)[0] for _ in mine]) for mine in ranked]
    return over_boats_each(list(zip(cases, orders, strict=True)), USUAL.seed)


def full_supply(case: Case, found: Network, part: PumpPart) -> Conditions:
    """Return the design point with the volts that reach a pump."""
    return supplied(case, found, part, worst_cases(case)[0].conditions)


def supplied(case: Case, found: Network, part: PumpPart, now: Conditions) -> Conditions:
    """Return conditions with the volts that reach a pump."""
    return replace(now, voltage=cable_drop(case, found.pumps[0], part, now))


def _known(case: Case, found: Network, name: str | None) -> tuple[PumpPart, Fact] | None:
    """Return the pump named, else the one aboard where the supply drives it; else None."""
    if name is not None:
        return named_pump(case, name), fact("design.pump_asked_for")
    fitted = found.pumps[0].fitted
    if fitted is not None and fits(case, case.catalogue.pump(fitted)):
        return case.catalogue.pump(fitted), fact("design.pump_fitted")
    return None


def _in_order(case: Case, found: Network) -> tuple[Ranked, ...]:
    order = judged_pumps(case, found)
    if not order:
        raise SeaflowError([_nothing_fits(case)])
    return order


def _why_best(best: PumpResult) -> Fact:
    kind = "design.pump_recommended" if best.judgement.recommended else "design.pump_nearest"
    return fact(kind)


def named_pump(case: Case, name: str) -> PumpPart:
    """Return the pump of this name.

    Raises
    ------
    SeaflowError
        If there is none, or it is made for another supply.
    """
    try:
        part = case.catalogue.pump(name)
    except NoSuchPart as missing:
        raise SeaflowError([Problem("S16", *missing.texts)]) from None
    if not fits(case, part):
        raise SeaflowError([_does_not_fit(case, part)])
    return part


def _does_not_fit(case: Case, part: PumpPart) -> Problem:
    return Problem(
        "F13",
        f"{part.name} is made for {part.voltage:g} V {part.current.upper()} and the supply is "
        f"{case.supply.voltage:g} V {case.supply.current.upper()}",
        why="On another supply it would not run, or not for long.",
        write="Name a pump made for this supply; seaflow parts pumps lists them.",
    )


def _nothing_fits(case: Case) -> Problem:
    if case.design.pumps:
        return Problem(
            "F13",
            f"no pump that the case lets be chosen is made for {case.supply.voltage:g} V "
            f"{case.supply.current.upper()}",
            why="On another supply a pump would not run, or not for long.",
            write="Name one that is (seaflow parts pumps lists them), or leave `pumps` out.",
            file=case.text.file,
            line=case.text.line(("design", "pumps")),
        )
    return Problem(
        "F13",
        f"no pump known is made for {case.supply.voltage:g} V {case.supply.current.upper()}",
        why="On another supply a pump would not run, or not for long.",
        write="Read your own with --parts FILE.",
    )
