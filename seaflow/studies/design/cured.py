"""What the cures of a pump that will not do leave as it is."""

from __future__ import annotations

from collections.abc import Iterable

from seaflow.base.facts import Fact, fact
from seaflow.studies.design.judge import NO, Ruling, worst_of


def left_by_cures(rulings: Iterable[Ruling]) -> Fact | None:
    """Return the worst that no cure helps, where what decides a grade has cures; None of nothing.

    A pump that is lowered so that it starts may still be too weak.
    """
    every = tuple(rulings)
    worst = worst_of(one.grade for one in every)
    cured = any(one.grade == worst and one.cure is not None for one in every)
    left = [one for one in every if one.cure is None]
    if not cured or not left:
        return None
    grade = worst_of(one.grade for one in left)
    said = next(one.said for one in left if one.grade == grade)
    return fact("design.even_then_no" if grade == NO else "design.even_then_tight", said=said)
