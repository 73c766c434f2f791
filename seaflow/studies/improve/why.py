"""The choice taken, explained in two sentences."""

from __future__ import annotations

from collections.abc import Sequence

from seaflow.studies.improve.answer import Choice


def why(
    now: Choice, winner: Choice, alone: Sequence[Choice], front: Sequence[Choice], enough: float
) -> tuple[str, str]:
    """Return what the winner does, and why it stands before the others."""
    return _what(now, winner, enough), _before(winner, [now, *alone, *front], enough)


def named(choice: Choice) -> str:
    """Return the changes of a choice in one phrase."""
    if not choice.changes:
        return "the boat as it is"
    if len(choice.changes) == 1:
        return choice.changes[0]
    return ", ".join(choice.changes[:-1]) + " and " + choice.changes[-1]


def _what(now: Choice, winner: Choice, enough: float) -> str:
    if not winner.n_changes and winner.pump == now.pump:
        likely = "enough water" if winner.keeps_rise >= enough else "the permitted rise kept"
        return f"Leave it as it is: {likely} in {winner.keeps_rise:.0%} of the boats sampled."
    price = ""
    if winner.price is not None:
        without = f", without {', '.join(winner.unpriced)}" if winner.unpriced else ""
        price = f", for {winner.price:g} {winner.currency}{without}"
    return (
        f"Take {named(winner)}: enough water in {winner.keeps_rise:.0%} of the boats sampled in "
        f"place of {now.keeps_rise:.0%}, and the pump takes {_energy(winner)} a day in place of "
        f"{_energy(now)}{price}."
    )


def _energy(choice: Choice) -> str:
    return f"{choice.daily_energy / 1000.0:.2f} kWh"


def _before(winner: Choice, others: Sequence[Choice], enough: float) -> str:
    if winner.keeps_rise < enough:
        return (
            f"Nothing in the tables reaches the {enough:.0%} asked, and this comes nearest: look "
            "at the need of the units and at what size says to measure first."
        )
    rivals = [item for item in others if item.changes != winner.changes and not item.too_much]
    good = [item for item in rivals if item.keeps_rise >= enough]
    if good:
        best = min(good, key=lambda item: (item.n_changes, item.daily_energy))
        return (
            f"Of what needs least work the next that does is {named(best)}, with "
            f"{_count(best.n_changes)}: {best.keeps_rise:.0%} at {_energy(best)} a day"
            f"{_against(best)}."
        )
    if not rivals:
        return f"That is at least the {enough:.0%} asked, and there was nothing else to try."
    best = max(rivals, key=lambda item: (item.keeps_rise, -item.n_changes))
    return (
        f"Nothing else that was tried reaches the {enough:.0%} asked: the best of the others is "
        f"{named(best)}, with {_count(best.n_changes)} and {best.keeps_rise:.0%}."
    )


def _count(number: int) -> str:
    return {0: "no change", 1: "one change"}.get(number, f"{number} changes")


def _against(choice: Choice) -> str:
    return f", but {choice.reasons[0]}" if choice.reasons else ""
