"""The first start of a pump in a boat: upright, on both tacks, and after a tack that drew air."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from seaflow.base.facts import Amount, Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.first_start import (
    BLEED,
    NO,
    NOT_KNOWN,
    PRIMES,
    STARTS,
    WORST_FIRST,
    Move,
    Primer,
    Start,
    first_starts,
)
from seaflow.model.point import OperatingPoint
from seaflow.studies.design.limits import limit

ROUNDING = 1e-6  # of a centimetre
# Of what is held against a start: what no bleeding and no priming helps.
REFUSED = (
    *("start.intake_out", "start.pump_above_water", "start.crest_above_water"),
    *("start.lift_too_great", "start.too_high"),
)
PUMP_ABOVE = "start.pump_above_water"
LOWERS = ("start.lower", "start.lower_pump")
HELPED = ("start.draws_up", "start.draws_out")  # what the pump gets over by itself
STAYS, REFILLS, BLED, LOST = "stays primed", "refills itself", "after bleeding", "not known"


def _shallowest(starts: Iterable[Start]) -> float | None:
    return min((item.depth for item in starts if item.depth is not None), default=None)


@dataclass(frozen=True, slots=True)
class FirstStart:
    """How the pumps of a loop start: `upright` by pump, `tacks` by pump and working attitude.

    `after_tack` says what happens once the boat comes up again from a tack on which an intake came
    out of the water: "stays primed" if none does.
    """

    upright: tuple[Start, ...]
    tacks: tuple[Start, ...]
    after_tack: str = STAYS

    @property
    def outcome(self) -> str:
        """The worst outcome of any pump, upright."""
        return min((item.outcome for item in self.upright), key=WORST_FIRST.index)

    @property
    def hindrances(self) -> tuple[tuple[Fact, Move], ...]:
        """What is against a start upright, each with the least move that cures it on all tacks."""
        pairs = (
            (reason, self._on_all_tacks(reason, move))
            for item in self.upright
            for reason, move in zip(item.reasons, item.moves, strict=True)
        )
        return tuple(dict.fromkeys(pairs))

    def _on_all_tacks(self, said: Fact, move: Move) -> Move:
        """Return the longest move that the same hindrance asks for, upright or on a tack.

        What bleeding or priming helps is dealt with upright, once.
        """
        turned = (
            other
            for item in self.tacks
            for reason, other in zip(item.reasons, item.moves, strict=True)
            if reason.kind == said.kind in REFUSED and other.thing == move.thing
        )
        return max((move, *turned), key=lambda one: one.distance)

    @property
    def refused(self) -> tuple[tuple[Fact, Move], ...]:
        """What of that no bleeding and no priming helps."""
        return tuple(item for item in self.hindrances if item[0].kind in REFUSED)

    @property
    def reasons(self) -> tuple[Fact, ...]:
        """What is against a start upright."""
        return tuple(said for said, _ in self.hindrances)

    @property
    def bleed_at(self) -> tuple[str, ...]:
        """Where to let air out by hand before it, in the order of the water."""
        return tuple(dict.fromkeys(one for item in self.upright for one in item.bleed_at))

    @property
    def missing(self) -> tuple[str, ...]:
        """Points whose height the case does not record."""
        return tuple(dict.fromkeys(one for item in self.upright for one in item.missing))

    @property
    def shallowest(self) -> float | None:
        """The least depth of a pump under water, upright or on a tack [m], as far as known."""
        return _shallowest((*self.upright, *self.tacks))

    @property
    def rises_heeled(self) -> bool:
        """True where a pump lies less deep on a tack than any does upright."""
        return self.shallowest != _shallowest(self.upright)

    @property
    def on_a_tack(self) -> tuple[tuple[Fact, Move], ...]:
        """What is against a start on a tack and not upright, and the move that cures it.

        Of several attitudes each is told in the one that asks for the longest move.
        """
        upright = {(reason.kind, move.thing) for reason, move in self.hindrances}
        worst: dict[tuple[str, str], tuple[Fact, Move]] = {}
        for item in self.tacks:
            where = attitude(item.heel, item.trim)
            for reason, move in zip(item.reasons, item.moves, strict=True):
                if reason.kind not in REFUSED or (reason.kind, move.thing) in upright:
                    continue
                known = worst.get((reason.kind, move.thing))
                if known is None or move.distance > known[1].distance:
                    said = fact("start.on_a_tack", reason=reason, where=where)
                    worst[(reason.kind, move.thing)] = (said, move)
        return tuple(worst.values())


def told(start: FirstStart) -> tuple[Fact, ...]:
    """Return how a first start goes upright: the outcome, why, and what to bleed or move."""
    reasons = {"reasons": start.reasons}
    if start.outcome == NO:
        return tuple(
            fact("start.will_not", said=said, cure=cure(move, said)) for said, move in start.refused
        )
    if start.outcome == NOT_KNOWN:
        return (fact("start.not_known", things=start.missing),)
    if start.outcome == BLEED:
        return (fact("start.bleed", at=start.bleed_at, **reasons),)
    if start.outcome == PRIMES:
        return (fact("start.primes", **reasons),)
    return (fact("start.as_it_is"),)


def on_tacks(start: FirstStart) -> tuple[Fact, ...]:
    """Return what keeps a pump from starting on a tack and not upright, each with its cure."""
    return tuple(
        fact("start.but", said=said, cure=cure(move, said)) for said, move in start.on_a_tack
    )


def cure(move: Move, said: Fact) -> Fact:
    """Return the move against what is said, rounded up to whole centimetres.

    A pump above the water goes as deep as a pump is asked to stand, which is lower than just under.
    """
    if move.way == "vent":
        return fact("start.vent", thing=move.thing)
    if reason_of(said).kind == PUMP_ABOVE:
        deep = limit("pump_below_water")
        least, lower = (amount("height", up(move.distance + more)) for more in (0.0, deep))
        depth = amount("height", deep)
        return fact("start.lower_pump", thing=move.thing, distance=lower, least=least, depth=depth)
    return fact("start.lower", thing=move.thing, distance=amount("height", up(move.distance)))


def cures_of(cures: Iterable[Fact | None]) -> tuple[Fact, ...]:
    """Return the cures that there are, each once: of one thing to be lowered, the longest way."""
    found: dict[object, Fact] = {}
    for said in cures:
        if said is not None:
            key = ("lower", said["thing"]) if said.kind in LOWERS else said
            known = found.setdefault(key, said)
            if said.kind in LOWERS and _down(said) > _down(known):
                found[key] = said
    return tuple(found.values())


def _down(said: Fact) -> float:
    distance = said["distance"]
    assert isinstance(distance, Amount)
    return distance.value


def up(distance: float) -> float:
    """Return a distance [m] rounded up to whole centimetres."""
    return (int(100.0 * distance - ROUNDING) + 1) / 100.0


def reason_of(said: Fact) -> Fact:
    """Return what is held against a start, without the tack on which it is so."""
    inner = said["reason"] if said.kind == "start.on_a_tack" else said
    assert isinstance(inner, Fact)
    return inner


def attitude(heel: float, trim: float, either_way: bool = False) -> Fact:
    """Return heel and trim [rad] as a fact: which side and which end are down, and how far.

    With `either_way` neither is named.
    """
    turns = []
    if heel:
        side, angle = "starboard" if heel > 0.0 else "port", amount("angle", abs(heel))
        down = fact("start.heel_down", heel=angle, side=side)
        turns.append(fact("start.heel", heel=angle) if either_way else down)
    if trim:
        end, angle = "bow" if trim > 0.0 else "stern", amount("angle", abs(trim))
        down = fact("start.trim_down", trim=angle, end=end)
        turns.append(fact("start.trim", trim=angle) if either_way else down)
    return fact("start.turned", by=tuple(turns)) if turns else fact("start.upright")


def attitudes(case: Case) -> tuple[tuple[float, float], ...]:
    """Return the working attitudes of a boat, heel and trim either way [rad].

    Trim is left out where the waterline length is not recorded, for she turns about its middle.
    """
    heel, trim = case.boat.works_to_heel or 0.0, case.boat.works_to_trim or 0.0
    if case.boat.waterline_length is None:
        trim = 0.0
    sides = (heel, -heel) if heel else (0.0,)
    ends = (trim, -trim) if trim else (0.0,)
    return tuple((side, end) for side in sides for end in ends if side or end)


def first_start(
    case: Case,
    built: Built,
    part: PumpPart,
    now: Conditions,
    running: OperatingPoint | None = None,
    primer: Primer | None = None,
) -> FirstStart:
    """Return how a loop starts with this pump, under the supply of `now`.

    `running` is an operating point of the loop, the design point first: from the flow there follows
    what air it clears. `primer` is how the pump deals with air, if not as its sheet says.
    """
    primer = primer or Primer(part.self_priming, part.priming_lift)
    primers = {pump.name: primer for pump in built.loop.pumps}
    every = first_starts(built.loop, now, primers, ((0.0, 0.0), *attitudes(case)), running)
    upright, tacks = every[: len(primers)], every[len(primers) :]
    return FirstStart(upright, tacks, _after(upright, tacks))


def _after(upright: tuple[Start, ...], tacks: tuple[Start, ...]) -> str:
    out = any(reason.kind == "start.intake_out" for item in tacks for reason in item.reasons)
    if not out:
        return STAYS
    worst = min((item.outcome for item in upright), key=WORST_FIRST.index)
    return {STARTS: REFILLS, PRIMES: REFILLS, BLEED: BLED, NOT_KNOWN: LOST, NO: BLED}[worst]
