"""The choice taken, explained in two sentences."""

from __future__ import annotations

from collections.abc import Sequence

from seaflow.studies.improve.answer import Choice


def why(
    now: Choice, winner: Choice, alone: Sequence[Choice], front: Sequence[Choice], enough: float
) -> tuple[str, str]:
    """Return what the winner does, and why it stands before the others."""
    return _what(now, winner, enough), _before(now, winner, alone, front, enough)


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


def _before(
    now: Choice, winner: Choice, alone: Sequence[Choice], front: Sequence[Choice], enough: float
) -> str:
    if winner.keeps_rise < enough:
        return (
            f"Nothing in the tables reaches the {enough:.0%} asked, and this comes nearest: look at "
            "the run, the need of the units, and what size says first of all to measure."
        )
    fewer = [item for item in (now, *alone, *front) if item.n_changes < winner.n_changes]
    others = [item for item in (*alone, *front) if _rivals(item, winner)]
    if fewer:
        best = max(fewer, key=lambda item: (item.keeps_rise, -item.n_changes))
        return (
            f"With fewer changes the best is {named(best)}, and that reaches only "
            f"{best.keeps_rise:.0%}; {enough:.0%} are asked."
            if best.keeps_rise < enough
            else f"{named(best)} would do with fewer changes, but {_against(best)}."
        )
    if others:
        best = max(others, key=lambda item: (item.keeps_rise, -item.daily_energy))
        return (
            f"With as many changes or one more the next is {named(best)}, which reaches "
            f"{best.keeps_rise:.0%} at {_energy(best)} a day."
        )
    return f"That is at least the {enough:.0%} asked, and every change costs work or money."


def _against(choice: Choice) -> str:
    if choice.reasons:
        return choice.reasons[0]
    if choice.too_much:
        return "it forces too much water through a coil when all is clean"
    return "another of the choices beats it"


def _rivals(other: Choice, winner: Choice) -> bool:
    near = other.n_changes <= winner.n_changes + 1
    return near and other.changes != winner.changes and not other.too_much
