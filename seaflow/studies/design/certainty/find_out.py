"""What is typical in an answer, what each moves, and which to find out next."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.arrays import Array, Truths
from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.paths import quantity_at, told_at, unit_at, value_at
from seaflow.boat.reader.text import Path
from seaflow.studies.design.certainty.inputs import Input
from seaflow.studies.design.certainty.sample import Sample, explained_shares, moved_by
from seaflow.studies.design.certainty.spreads import TYPICAL

MOST = 3  # that are named as the next to find out
LEAST_OF_CHANCE, LEAST_OF_FLOW = 0.03, 0.03  # share explained; what is less is mostly chance


@dataclass(frozen=True, slots=True)
class FindOut:
    """Something nobody looked at on this boat: what it is, how to find it out, what it moves.

    `of_chance` is the share it explains of whether the pump is enough, `of_flow` that of how far
    the flow goes; `enough` is how likely the pump is enough if it is at its low and its high end.
    """

    what: str
    how: str
    source: str | Fact
    of_chance: float = measured("-")
    of_flow: float = measured("-")
    enough: tuple[float, float] = measured("-", (0.0, 0.0))
    path: tuple[str, ...] = ()

    @property
    def tells(self) -> bool:
        """Whether knowing it would narrow the answer at all."""
        return self.of_chance >= LEAST_OF_CHANCE or self.of_flow >= LEAST_OF_FLOW

    @property
    def rank(self) -> tuple[float, float]:
        """Its place among others: first what decides whether the pump is enough, then the flow."""
        of_chance = self.of_chance if self.of_chance >= LEAST_OF_CHANCE else 0.0
        return -round(of_chance, 3), -round(self.of_flow, 3)


@dataclass(frozen=True, slots=True)
class TypicalValue:
    """A value that stands for what nobody looked at on this boat, and what it moves."""

    path: tuple[str, ...]
    what: str
    quantity: str
    value: float
    half_width: float
    unit: str
    moves: FindOut | None


def find_out(drawn: Sample, flow: Array, enough: Truths) -> tuple[FindOut, ...]:
    """Return what is typical or assumed, that first which narrows the answer most.

    `flow` is the answer's flow in every sample, and `enough` whether the pump is enough there.
    """
    numbers = [
        number
        for number, item in enumerate(drawn.inputs)
        if item.spread.name == TYPICAL or item.spread.assumed
    ]
    rows, holds = drawn.shares[numbers], enough.astype(float)
    sure = min(float(holds.mean()), 1.0 - float(holds.mean())) < LEAST_OF_CHANCE
    # of a few days chance decides
    of_chance = [0.0] * len(numbers) if sure else explained_shares(rows, holds)
    told = zip(numbers, rows, of_chance, explained_shares(rows, flow), strict=True)
    found = [_one(drawn.inputs[number], moved_by(row, holds), *by) for number, row, *by in told]
    return tuple(sorted(found, key=lambda item: item.rank))


def _one(item: Input, enough: tuple[float, float], of_chance: float, of_flow: float) -> FindOut:
    return FindOut(
        what=item.label,
        how=item.spread.measure,
        source=item.spread.source,
        of_chance=of_chance,
        of_flow=of_flow,
        enough=enough,
        path=words_of(item.path or ()),
    )


def next_of(found: tuple[FindOut, ...]) -> tuple[FindOut, ...]:
    """Return the two or three to find out next, best first.

    Of the bores of hoses one alone: they go together, so that it tells most of what the others do.
    """
    telling = [item for item in found if item.tells]
    bores = [item for item in telling if item.path[:1] == ("hose",) and item.path[-1] == "bore"]
    return tuple(item for item in telling if item not in bores[1:])[:MOST]


def typical_of(case: Case, found: tuple[FindOut, ...]) -> tuple[TypicalValue, ...]:
    """Return every typical value of a case, those that move the answer first."""
    by_path = {item.path: item for item in found}
    every = [_typical(case, path, by_path.get(words_of(path))) for path in case.spreads]
    told = [one for path, one in zip(case.spreads, every, strict=True) if path in case.typical]
    order = {item.path: number for number, item in enumerate(found)}
    return tuple(sorted(told, key=lambda one: order.get(one.path, len(order))))


def _typical(case: Case, path: Path, moves: FindOut | None) -> TypicalValue:
    value = value_at(case, path)
    return TypicalValue(
        path=words_of(path),
        what=told_at(case, path).what,
        quantity=quantity_at(path),
        value=0.0 if value is None else value,
        half_width=case.spreads[path],
        unit=unit_at(path),
        moves=moves,
    )


def words_of(path: Path) -> tuple[str, ...]:
    """Return a path as words, rows counted from one."""
    return tuple(str(part + 1) if isinstance(part, int) else part for part in path)


def from_words(words: tuple[str, ...]) -> Path:
    """Return the path that such words stand for."""
    return tuple(int(word) - 1 if word.isdigit() else word for word in words)
