"""Put places in order, and say where their difference in sound is no difference."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from seaflow.base.measured import measured
from seaflow.studies.place.cures import Cure
from seaflow.studies.place.hydraulic import Water
from seaflow.studies.place.must_hold import Standing
from seaflow.studies.place.sound import SoundAt

SHIFT = 10.0  # dB either way: as far as a level in the low bands may be off, own choice
HEARING = 0.05  # dB; less than the last digit shown is a tie of its own


@dataclass(frozen=True, slots=True)
class Outcome:
    """One place: whether it holds, what is heard, what it costs.

    `rank` counts the places that hold, from 1; `same_as` names those from which its sound is not
    told apart. `louder_by` is what air in the pump adds, least and most, where it draws some or
    cavitates: its level does not hold then. `speed_ratio` is that at the design point, over rated;
    `stands_now` is true where the pump stands there already and its hoses keep their length.
    """

    name: str
    compartment: str
    access: str
    standing: Standing
    water: Water | None
    sound: tuple[SoundAt, ...]
    cures: tuple[Cure, ...] = ()
    warnings: tuple[str, ...] = ()
    rank: int | None = None
    same_as: tuple[str, ...] = ()
    louder_by: tuple[float, ...] = measured("dB", ())
    pump_place: str = ""
    intake_place: str = ""
    speed_ratio: float = measured("-", 1.0)
    stands_now: bool = False

    @property
    def loudest(self) -> SoundAt | None:
        """The berth that hears most of it."""
        return max(self.sound, key=lambda item: (item.level, item.berth), default=None)

    @property
    def level(self) -> float | None:
        """Level at the loudest berth [dB]."""
        return None if self.loudest is None else self.loudest.level

    @property
    def hydraulic_reasons(self) -> tuple[str, ...]:
        """What of depth, suction and flow speaks against it."""
        return self.standing.hydraulic + (self.water.reasons if self.water else ())

    @property
    def hydraulic_fault(self) -> str:
        """What the water does there, in a few words; empty if nothing is wrong with it."""
        if not self.hydraulic_reasons:
            return ""
        if self.standing.fault:
            return self.standing.fault
        if self.water is not None and self.water.starved:
            return "its suction is starved there"
        return "the water does not suffice there"

    @property
    def reasons(self) -> tuple[str, ...]:
        """All that speaks against it."""
        return self.hydraulic_reasons + self.standing.other

    @property
    def holds(self) -> bool:
        """True if nothing speaks against it."""
        return self.water is not None and not self.reasons

    @property
    def remarks(self) -> tuple[str, ...]:
        """What is worth saying though it holds."""
        return self.warnings + self.standing.remarks + (self.water.remarks if self.water else ())


@dataclass(frozen=True, slots=True)
class Gap:
    """How much quieter a place is than the next, and whether that can be told.

    `behind` names the quietest place that the second can be told from, where the two cannot be
    told from each other and it stands second for that alone. `left_open` is true where the path of
    the quieter alone, louder by `SHIFT`, would make it the louder.
    """

    quieter: str
    louder: str
    decibels: float = measured("dB")
    told: bool = False
    behind: str = ""
    left_open: bool = False


def shifted(outcome: Outcome, louder: float) -> Outcome:
    """Return a place with more or less by its paths through the structure [dB]."""
    return replace(outcome, sound=tuple(item.with_structure(louder) for item in outcome.sound))


def is_left_open(first: Outcome, second: Outcome) -> bool:
    """Return whether the first would be the louder, were its own path that much louder."""
    if first.level is None or second.level is None:
        return False
    return (shifted(first, SHIFT).level or 0.0) > second.level


def in_order(outcomes: Iterable[Outcome], width: float) -> tuple[Outcome, ...]:
    """Return places that hold, best first, then those that do not, quietest first.

    Places within `width` decibels of the quietest left are taken together, and what else they
    cost puts them in order: access, remarks, hose. The order of the file is no matter.
    """
    every = sorted(outcomes, key=_by_sound)
    groups = _groups((item for item in every if item.holds), width)
    ordered = [item for group in groups for item in sorted(group, key=_by_cost)]
    ranked = [
        replace(item, rank=place, same_as=_same(item, ordered, width))
        for place, item in enumerate(ordered, 1)
    ]
    return (*ranked, *(item for item in every if not item.holds))


def _groups(outcomes: Iterable[Outcome], width: float) -> list[list[Outcome]]:
    """Return places in groups that reach from the quietest left to less than a width above it."""
    left, groups = sorted(outcomes, key=_by_sound), list[list[Outcome]]()
    while left:
        limit = _level(left[0]) + width
        inside = [number == 0 or _level(item) < limit for number, item in enumerate(left)]
        groups.append([item for item, near in zip(left, inside, strict=True) if near])
        left = [item for item, near in zip(left, inside, strict=True) if not near]
    return groups


def gaps(ordered: Iterable[Outcome], width: float) -> tuple[Gap, ...]:
    """Return the differences between neighbours in the ranking of those that hold."""
    holding = [item for item in ordered if item.rank is not None and item.level is not None]
    quietest = {item.name: group[0] for group in _groups(holding, width) for item in group}
    found = []
    for first, second in pairwise(holding):
        difference = _level(second) - _level(first)
        told = difference >= width
        of_group = quietest[first.name]
        behind = of_group.name if not told and of_group is not quietest[second.name] else ""
        found.append(_gap(first, second, (difference, told, behind)))
    return tuple(found)


def _gap(first: Outcome, second: Outcome, found: tuple[float, bool, str]) -> Gap:
    return Gap(first.name, second.name, *found, left_open=is_left_open(first, second))


def _level(item: Outcome) -> float:
    return 0.0 if item.level is None else round(item.level / HEARING) * HEARING


def _by_sound(item: Outcome) -> tuple[object, ...]:
    return (_level(item), *_by_cost(item))


def _by_cost(item: Outcome) -> tuple[object, ...]:
    hose = round(item.water.hose, 3) if item.water else 0.0
    return (item.access != "good", len(item.remarks), hose, _level(item), item.name)


def _same(item: Outcome, others: Iterable[Outcome], width: float) -> tuple[str, ...]:
    if item.level is None:
        return tuple(sorted(other.name for other in others if other.name != item.name))
    near = [
        other.name
        for other in others
        if other.name != item.name and abs(_level(other) - _level(item)) < width
    ]
    return tuple(sorted(near))
