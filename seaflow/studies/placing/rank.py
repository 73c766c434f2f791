"""Put places in order, and say where their difference in sound is no difference."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from seaflow.base.measured import measured
from seaflow.studies.placing.cures import Cure
from seaflow.studies.placing.hydraulic import Water
from seaflow.studies.placing.must_hold import Standing
from seaflow.studies.placing.sound import SoundAt

HEARING = 0.05  # dB; less than the last digit shown is a tie of its own


@dataclass(frozen=True, slots=True)
class Outcome:
    """One place: whether it holds, what is heard, what it costs.

    `rank` counts the places that hold, from 1; `same_as` names those from which its sound is not
    told apart.
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
    """How much quieter a place is than the next, and whether that can be told."""

    quieter: str
    louder: str
    decibels: float = measured("dB")
    told: bool = False


def in_order(outcomes: Iterable[Outcome], width: float) -> tuple[Outcome, ...]:
    """Return places that hold, best first, then those that do not, quietest first.

    Places within `width` decibels of the quietest left are taken together, and what else they
    cost puts them in order: access, remarks, hose. The order of the file is no matter.
    """
    every = sorted(outcomes, key=_by_sound)
    holding = [item for item in every if item.holds]
    ordered: list[Outcome] = []
    while holding:
        limit = _level(holding[0]) + width
        group = [item for item in holding if _level(item) < limit or item is holding[0]]
        holding = [item for item in holding if item not in group]
        ordered += sorted(group, key=_by_cost)
    ranked = [
        replace(item, rank=place, same_as=_same(item, ordered, width))
        for place, item in enumerate(ordered, 1)
    ]
    return (*ranked, *(item for item in every if not item.holds))


def gaps(ordered: Iterable[Outcome], width: float) -> tuple[Gap, ...]:
    """Return the differences between neighbours in the ranking of those that hold."""
    holding = [item for item in ordered if item.rank is not None and item.level is not None]
    found = []
    for first, second in pairwise(holding):
        difference = _level(second) - _level(first)
        found.append(Gap(first.name, second.name, difference, difference >= width))
    return tuple(found)


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
