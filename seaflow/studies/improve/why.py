"""The choice taken, explained in two sentences."""

from __future__ import annotations

from collections.abc import Sequence

from seaflow.base.sentence import quantity
from seaflow.studies.improve.answer import Choice


def why(
    now: Choice, winner: Choice, alone: Sequence[Choice], front: Sequence[Choice], enough: float
) -> tuple[str, str]:
    """Return what the winner does, and why it stands before the others."""
    return _what(now, winner, enough), _before(
        winner, list(front) if _others(winner, front, enough) else [now, *alone, *front], enough
    )


def named(choice: Choice) -> str:
    """Return the changes of a choice in one phrase."""
    if not choice.changes:
        return "the boat as it is"
    if len(choice.changes) == 1:
        return choice.changes[0]
    return ", ".join(choice.changes[:-1]) + " and " + choice.changes[-1]


def _what(now: Choice, winner: Choice, enough: float) -> str:
    if not winner.n_changes and winner.pump == now.pump:
        likely = f"enough water in {winner.keeps_rise:.0%} of the boats sampled"
        if winner.keeps_rise >= enough:
            return f"Leave it as it is: {likely}."
        return f"Nothing that was tried makes it likelier than it is: {likely}."
    price = ""
    if winner.price is not None:
        without = f", without {', '.join(winner.unpriced)}" if winner.unpriced else ""
        price = f", for {winner.price:g} {winner.currency}{without}"
    take = "Take" if winner.keeps_rise >= enough else "The nearest to enough is"
    return (
        f"{take} {named(winner)}: enough water in {winner.keeps_rise:.0%} of the boats sampled in "
        f"place of {now.keeps_rise:.0%}, and the pump takes {_energy(winner)} a day in place of "
        f"{_energy(now)}{price}."
    )


def _energy(choice: Choice) -> str:
    return quantity("energy", choice.energy_per_day)


def _others(winner: Choice, front: Sequence[Choice], enough: float) -> bool:
    """Return whether another of the choices shown is likely enough too."""
    return any(item.keeps_rise >= enough and item.changes != winner.changes for item in front)


def _before(winner: Choice, others: Sequence[Choice], enough: float) -> str:
    if winner.keeps_rise < enough:
        return (
            f"Nothing in the tables reaches the {enough:.0%} asked, and this comes nearest: look "
            "at the need of the units and at what size says to measure first."
        )
    if not winner.n_changes:
        return _nothing_to_do(winner, others, enough)
    rivals = [item for item in others if item.changes != winner.changes and not item.too_much]
    good = [item for item in rivals if item.keeps_rise >= enough]
    if good:
        best = min(good, key=lambda item: (item.n_changes, item.energy_per_day))
        return (
            f"Of the others that do, {named(best)} needs least work, {_count(best.n_changes)}: "
            f"{best.keeps_rise:.0%} at {_energy(best)} a day"
            f"{_against(best)}."
        )
    if not rivals:
        return f"That is at least the {enough:.0%} asked, and there was nothing else to try."
    best = max(rivals, key=lambda item: (item.keeps_rise, -item.n_changes))
    return (
        f"Nothing else that was tried reaches the {enough:.0%} asked: the best of the others is "
        f"{named(best)}, with {_count(best.n_changes)} and {best.keeps_rise:.0%}."
    )


def _nothing_to_do(winner: Choice, others: Sequence[Choice], enough: float) -> str:
    good = [item for item in others if item.keeps_rise >= enough and not item.too_much]
    least = min(good, key=lambda item: (item.measures[2], item.n_changes), default=winner)
    if least.measures[2] >= winner.measures[2]:
        return f"That is at least the {enough:.0%} asked, and no change would save energy as well."
    return (
        f"That is at least the {enough:.0%} asked; most energy would be saved by {named(least)}, "
        f"with {_count(least.n_changes)}: {_energy(least)} a day in place of {_energy(winner)}."
    )


def _count(number: int) -> str:
    return {0: "no change", 1: "one change"}.get(number, f"{number} changes")


def _against(choice: Choice) -> str:
    return f", but {choice.reasons[0]}" if choice.reasons else ""
