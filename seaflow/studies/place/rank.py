"""Put places in order, say where their sound is told apart, and what would turn that round."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from string import ascii_uppercase

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.studies.design.certainty.find_out import FindOut
from seaflow.studies.design.judge import NO, TIGHT, YES
from seaflow.studies.place.cures import Cure
from seaflow.studies.place.must_hold import Standing
from seaflow.studies.place.sound import SoundAt
from seaflow.studies.place.water import Water

SHIFT = 10.0  # dB either way: as far as a level in the low bands may be off, our assumption
HEARING = 0.05  # dB; less than half the last digit shown is a tie of its own
TOO_LITTLE = "place.too_little_water"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceResult:
    """One place: how it is graded, what is heard, what it costs.

    `rank` counts the places that hold, from 1; `same_as` names those from which its sound is not
    told apart. `louder_by` is what air in the pump adds, least and most, where it draws some or
    cavitates: its level does not hold then. `speed_ratio` is that at the design point, over rated;
    `stands_now` is true where the pump stands there already and its hoses keep their length;
    `find_out` is what to find out next on a boat in part typical, with the pump there.
    """

    ALSO = ("grade", "holds", "reasons", "doubts", "remarks", "loudest")

    name: str
    compartment: str
    access: str
    standing: Standing
    water: Water | None
    sound: tuple[SoundAt, ...]
    cures: tuple[Cure, ...]
    warnings: tuple[Fact, ...]
    rank: int | None = None
    same_as: tuple[str, ...] = ()
    louder_by: tuple[float, ...] = measured("dB")
    pump_place: str
    intake_place: str
    speed_ratio: float = measured("-")
    stands_now: bool
    find_out: tuple[FindOut, ...]

    @property
    def loudest(self) -> SoundAt | None:
        """The berth that hears most of it."""
        return max(self.sound, key=lambda item: (item.level, item.berth), default=None)

    @property
    def level(self) -> float | None:
        """Level at the loudest berth [dB]."""
        return None if self.loudest is None else self.loudest.level

    @property
    def hydraulic_reasons(self) -> tuple[Fact, ...]:
        """What of start, suction and flow speaks against it."""
        return self.water.reasons if self.water else ()

    @property
    def hydraulic_fault(self) -> Fact | None:
        """What the water does there, or None if it does nothing that puts the place out."""
        if not self.hydraulic_reasons:
            return None
        if any(said.kind.startswith("start.") for said in self.hydraulic_reasons):
            return fact("place.will_not_start")
        if self.water is not None and self.water.starved:
            return fact("place.starved")
        return fact(TOO_LITTLE)

    @property
    def is_dry_alone(self) -> bool:
        """Whether nothing puts it out but that the pump gives too little water."""
        fault = self.hydraulic_fault
        return fault is not None and fault.kind == TOO_LITTLE and not self.standing.other

    @property
    def reasons(self) -> tuple[Fact, ...]:
        """All that puts it out."""
        return self.hydraulic_reasons + self.standing.other

    @property
    def doubts(self) -> tuple[Fact, ...]:
        """What makes it tight."""
        return self.water.doubts if self.water else ()

    @property
    def grade(self) -> str:
        """Yes, tight or no."""
        if self.water is None or self.standing.other:
            return NO
        return self.water.grade

    @property
    def holds(self) -> bool:
        """True if nothing puts it out."""
        return self.grade != NO

    @property
    def remarks(self) -> tuple[Fact, ...]:
        """What is worth saying though it holds."""
        return self.warnings + self.standing.remarks + (self.water.remarks if self.water else ())


# --- the order ---


def letter_at(position: int) -> str:
    """Return the letter of a place, by its position in the order from nought."""
    turn, letter = divmod(position, len(ascii_uppercase))
    return ascii_uppercase[letter] + (str(turn) if turn else "")


def in_order(results: Iterable[PlaceResult], width: float) -> tuple[PlaceResult, ...]:
    """Return places that hold, a yes before a tight one, then the others, quietest first.

    Of one grade places within `width` decibels of the quietest left are taken together, and what
    else they cost puts them in order: access, remarks, hose. The order of the file is no matter.
    """
    every = sorted(results, key=_by_sound)
    groups = (
        group
        for grade in (YES, TIGHT)
        for group in _groups((item for item in every if item.grade == grade), width)
    )
    ordered = [item for group in groups for item in sorted(group, key=_by_cost)]
    ranked = [
        replace(item, rank=place, same_as=_same(item, ordered, width))
        for place, item in enumerate(ordered, 1)
    ]
    return (*ranked, *(item for item in every if not item.holds))


def _groups(results: Iterable[PlaceResult], width: float) -> list[list[PlaceResult]]:
    """Return places in groups that reach from the quietest left to less than a width above it."""
    left, groups = sorted(results, key=_by_sound), list[list[PlaceResult]]()
    while left:
        quietest = left[0]
        groups.append([item for item in left if difference(quietest, item) < width])
        left = [item for item in left if difference(quietest, item) >= width]
    return groups


def difference(one: PlaceResult, other: PlaceResult) -> float:
    """Return by how much the other is louder, as every sentence gives it [dB].

    Levels are counted in steps of `HEARING`, so that rounding puts no place before another.
    """
    return round((_steps(other) - _steps(one)) * HEARING, 2)


def _steps(item: PlaceResult) -> int:
    return 0 if item.level is None else round(item.level / HEARING)


def _by_sound(item: PlaceResult) -> tuple[object, ...]:
    return (_steps(item), *_by_cost(item))


def _by_cost(item: PlaceResult) -> tuple[object, ...]:
    hose = round(item.water.hose, 3) if item.water else 0.0
    return (item.access != "good", len(item.remarks), hose, _steps(item), item.name)


def _same(item: PlaceResult, others: Iterable[PlaceResult], width: float) -> tuple[str, ...]:
    near = (other.name for other in others if abs(difference(item, other)) < width)
    return tuple(sorted(name for name in near if name != item.name))


# --- what is told apart, and what would turn it round ---


def gaps(ordered: Iterable[PlaceResult], width: float) -> tuple[Fact, ...]:
    """Return how much quieter each place that holds is than the next, and whether that is told."""
    holding = [item for item in ordered if item.rank is not None and item.level is not None]
    quietest = {item.name: group[0] for group in _groups(holding, width) for item in group}
    return tuple(
        _gap(first, second, width, (quietest[first.name], quietest[second.name]))
        for first, second in pairwise(holding)
    )


def _gap(
    first: PlaceResult,
    second: PlaceResult,
    width: float,
    quietest: tuple[PlaceResult, PlaceResult],
) -> Fact:
    """Return one gap; `quietest` are those of the groups that the two are in.

    Where the two cannot be told from each other and the second stands second for the quietest of
    the first's group alone, that one is named.
    """
    less = difference(first, second)
    names = {"place": first.name, "other": second.name, "less": amount("decibels", abs(less))}
    if less >= width:
        if is_left_open(first, second):
            return fact("place.quieter_left_open", **names)
        return fact("place.quieter", **names)
    if quietest[0] is not quietest[1]:
        behind = quietest[0].name
        return fact("place.tied_behind", width=amount("decibels", width), behind=behind, **names)
    return fact("place.tied", width=amount("decibels", width), **names)


def shifted(result: PlaceResult, louder: float) -> PlaceResult:
    """Return a place with more or less by its paths through the structure [dB]."""
    return replace(result, sound=tuple(item.with_structure(louder) for item in result.sound))


def is_left_open(first: PlaceResult, second: PlaceResult) -> bool:
    """Return whether the first would be the louder, were its own path louder by `SHIFT`."""
    if first.level is None or second.level is None:
        return False
    return (shifted(first, SHIFT).level or 0.0) > second.level


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """The places that hold in order, with the structure paths of all places quieter and louder.

    `alone` is the first place if only the path of the place that is first now were louder.
    """

    shift: float = measured("dB")
    quieter: tuple[str, ...]
    louder: tuple[str, ...]
    alone: str
    levels: tuple[float, ...] = measured("dB")
    same_order: bool
    same_first: bool


def sensitivity(results: tuple[PlaceResult, ...], width: float) -> Sensitivity | None:
    """Return what the ranking does with the structure paths shifted, or None if nobody sleeps."""
    holding = [item for item in results if item.holds]
    if not holding or holding[0].level is None:
        return None
    now = tuple(item.name for item in holding)
    quieter, louder = (
        in_order([shifted(item, shift) for item in holding], width) for shift in (-SHIFT, SHIFT)
    )
    alone = in_order([shifted(holding[0], SHIFT), *holding[1:]], width)
    orders = tuple(tuple(item.name for item in order) for order in (quieter, louder))
    levels = [shifted(holding[0], shift).level or 0.0 for shift in (-SHIFT, SHIFT)]
    return Sensitivity(
        shift=SHIFT,
        quieter=orders[0],
        louder=orders[1],
        alone=alone[0].name,
        levels=tuple(levels),
        same_order=all(order == now for order in orders),
        same_first=all(order[0] == now[0] for order in orders),
    )


# --- places for the intake ---


@dataclass(frozen=True, slots=True)
class IntakeRank:
    """A place for the intake: how many pump places hold with it, and the best of them.

    `depth_at_heel` is that of the shallowest intake on its worse tack. `reason` is what speaks
    against it where no pump place holds with it.
    """

    name: str
    holding: int
    offered: int
    best: str
    level: float | None = measured("dB")
    flow: float | None = measured("m3/s")
    depth_at_heel: float | None = measured("m")
    reason: Fact | None = None


def intakes_in_order(results: tuple[PlaceResult, ...]) -> tuple[IntakeRank, ...]:
    """Return the places for the intake, best first; none where the case offers none.

    `results` are in order, so the first that an intake has is its best.
    """
    names = dict.fromkeys(item.intake_place for item in results if item.intake_place)
    found = (_intake(name, results) for name in names)
    return tuple(sorted(found, key=lambda item: not item.holding))


def _intake(name: str, results: tuple[PlaceResult, ...]) -> IntakeRank:
    having = [item for item in results if item.intake_place == name]
    first = having[0]
    return IntakeRank(
        name=name,
        holding=sum(item.holds for item in having),
        offered=len(having),
        best=first.pump_place if first.holds else "",
        level=first.level if first.holds else None,
        flow=first.water.flow if first.holds and first.water else None,
        depth_at_heel=first.standing.intake_at_heel,
        reason=None if first.holds else next(_shared(having), first.reasons[0]),
    )


def _shared(having: list[PlaceResult]) -> Iterator[Fact]:
    """Yield the reasons that every pump place has with this intake."""
    for reason in having[0].reasons:
        if all(reason in item.reasons for item in having):
            yield reason
