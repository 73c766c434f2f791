"""The recommended place in sentences that a customer understands."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.sentence import quantity
from seaflow.studies.place.loudness import events, loudness, steadiness
from seaflow.studies.place.names import joined
from seaflow.studies.place.price import SMALL_HOSE, price
from seaflow.studies.place.rank import Outcome, is_left_open
from seaflow.studies.place.sensitivity import Sensitivity

ALIKE = 0.05  # dB


@dataclass(frozen=True, slots=True)
class Advice:
    """Two sentences on the place, one on the quietest if it is out, and what goes with them."""

    place: str
    next_best: str
    quietest: str = ""
    costs: str = ""
    loudness: str = ""
    events: str = ""
    how_sure: str = ""


def advice_for(
    outcomes: tuple[Outcome, ...],
    width: float,
    sure: Sensitivity | None = None,
    tone: str = "",
) -> Advice:
    """Return the advice on places that are in order; `tone` says which tone is in the sound."""
    holding = [item for item in outcomes if item.holds]
    if not holding:
        return _none(outcomes)
    best = holding[0]
    heard = best.loudest
    return Advice(
        place=_place(best),
        next_best=_next(best, holding[1:], width),
        quietest=_quietest(outcomes, best, width),
        costs=price(best, holding, width),
        loudness="" if heard is None else loudness(heard, tone),
        events="" if heard is None else events(heard),
        how_sure="" if sure is None else steadiness(sure, best.name),
    )


def _none(outcomes: tuple[Outcome, ...]) -> Advice:
    nearest = outcomes[0]
    why = _out(nearest)
    which = "The quietest" if nearest.level is not None else "The first of them"
    many = "The only place does not hold." if len(outcomes) == 1 else ""
    return Advice(
        place=many or f"None of the {len(outcomes)} places holds.",
        next_best=f"{which}, {nearest.name}, is out{why}: {nearest.reasons[0]}.",
    )


def _place(best: Outcome) -> str:
    when = best.standing.when
    depth = best.standing.depth_at_heel
    water = (
        f"{quantity('height', depth)} under water {when}"
        if depth > 0
        else f"{quantity('height', -depth)} above the water {when}, and primes itself"
    )
    text = f"Put the pump here: {best.name}, where it stays {water}, feeds every unit"
    if best.loudest is None:
        return f"{text}, and wakes nobody, since no berth is drawn."
    heard = best.loudest
    return (
        f"{text}, and the berth that hears most of it ({heard.berth}) gets about "
        f"{heard.level:.0f} dB(A), give or take {heard.half_width:.0f}."
    )


def _next(best: Outcome, others: list[Outcome], width: float) -> str:
    if not others:
        return "It is the only place of those offered that holds."
    if best.level is None or others[0].level is None:
        return f"The next is {others[0].name}."
    tied = [item for item in others if item.name in best.same_as]
    if not tied:
        other = min(others, key=lambda item: (item.level or 0.0, item.name))
        difference = (other.level or 0.0) - best.level
        quieter = f"That is {difference:.0f} dB quieter"
        if is_left_open(best, other):
            return (
                f"{quieter} by the model than {other.name}, the next that holds, within what the "
                "invented force levels leave open."
            )
        return f"{quieter} than {other.name}, the next that holds."
    names = joined(item.name for item in tied)
    return (
        f"By sound it cannot be told from {names}: {_by_how_much(best.level, tied)}, and less than "
        f"{width:.0f} dB is no difference; {_why(best, tied[0])}."
    )


def _by_how_much(level: float, tied: list[Outcome]) -> str:
    differences = [(item.level or 0.0) - level for item in tied]
    if all(abs(difference) < ALIKE for difference in differences):
        return "they come out alike" if len(tied) > 1 else "both come out alike"
    if len(tied) > 1:
        return f"they lie within {max(abs(one) for one in differences):.1f} dB of it"
    how = "quieter" if differences[0] >= 0 else "louder"
    return f"it comes out {abs(differences[0]):.1f} dB {how}"


def _why(best: Outcome, other: Outcome) -> str:
    if best.access == "good" and other.access != "good":
        return "it is taken because it is easier to reach"
    if len(best.remarks) < len(other.remarks):
        return "it is taken because less is to be said against it"
    if best.water and other.water and best.water.hose < other.water.hose - SMALL_HOSE:
        return "it is taken because it needs less hose"
    return "either will do"


def _quietest(outcomes: tuple[Outcome, ...], best: Outcome, width: float) -> str:
    """Say that the quietest place is out and what the water does there, if that is so."""
    heard = [item for item in outcomes if item.level is not None]
    if not heard or best.level is None:
        return ""
    quietest = min(heard, key=lambda item: (item.level, not item.holds, item.name))
    if quietest.holds:
        return ""
    less = best.level - (quietest.level or 0.0)
    told = f"{less:.1f} dB less, which cannot be told"
    if less >= width:
        told = f"{less:.0f} dB less" + (" by the model" if is_left_open(quietest, best) else "")
    return (
        f"The quietest place of all, {quietest.name} ({quietest.level:.0f} dB(A), {told}), "
        f"is out{_out(quietest)}: {quietest.reasons[0]}."
    )


def _out(outcome: Outcome) -> str:
    fault = outcome.hydraulic_fault
    return f" for a hydraulic reason, {fault}" if fault else ""
