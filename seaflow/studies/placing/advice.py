"""The recommended place in sentences that a customer understands, and what quiet costs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.base.sentence import quantity
from seaflow.physics.sound_sources import sound_row
from seaflow.studies.placing.hydraulic import Water
from seaflow.studies.placing.rank import Outcome
from seaflow.studies.placing.sound import SoundAt

SMALL_FLOW, SMALL_HEAD = 0.1 / 60000.0, 0.05  # m3/s and m; less is not worth a word
SMALL_POWER, SMALL_HOSE = 1.0, 0.1  # W and m
ALIKE = 0.05  # dB


@dataclass(frozen=True, slots=True)
class Advice:
    """Two sentences on the place, one on the quietest if it is out, and what quiet costs."""

    place: str
    next_best: str
    quietest: str = ""
    costs: str = ""
    loudness: str = ""


def advice_for(outcomes: tuple[Outcome, ...], heel: float | None, width: float) -> Advice:
    """Return the advice on places that are in order."""
    holding = [item for item in outcomes if item.holds]
    if not holding:
        nearest = outcomes[0]
        return Advice(
            place=f"None of the {len(outcomes)} places holds.",
            next_best=f"The quietest, {nearest.name}, is out: {nearest.reasons[0]}.",
        )
    best = holding[0]
    return Advice(
        place=_place(best, heel),
        next_best=_next(best, holding[1:], width),
        quietest=_quietest(outcomes, best),
        costs=_costs(best, holding),
        loudness="" if best.loudest is None else _loudness(best.loudest),
    )


def _place(best: Outcome, heel: float | None) -> str:
    when = "upright" if not heel else f"at {math.degrees(heel):.0f} degrees of heel"
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
    other = min(others, key=lambda item: (item.level or 0.0, item.name))
    if best.level is None or other.level is None:
        return f"The next is {other.name}."
    difference = other.level - best.level
    if difference >= width:
        return f"That is {difference:.0f} dB quieter than {other.name}, the next that holds."
    if abs(difference) < ALIKE:
        words = "both come out alike"
    else:
        how = "quieter" if difference >= 0 else "louder"
        words = f"it comes out {abs(difference):.1f} dB {how}"
    return (
        f"By sound it cannot be told from {other.name}: {words}, and less than {width:.0f} dB is "
        f"no difference; {_why(best, other)}."
    )


def _why(best: Outcome, other: Outcome) -> str:
    if best.access == "good" and other.access != "good":
        return "it is taken because it is easier to reach"
    if len(best.remarks) < len(other.remarks):
        return "it is taken because less is to be said against it"
    if best.water and other.water and best.water.hose < other.water.hose - SMALL_HOSE:
        return "it is taken because it needs less hose"
    return "either will do"


def _quietest(outcomes: tuple[Outcome, ...], best: Outcome) -> str:
    heard = [item for item in outcomes if item.level is not None]
    if not heard:
        return ""
    quietest = min(heard, key=lambda item: (item.level, not item.holds, item.name))
    if quietest.holds:
        return ""
    kind = "for a hydraulic reason" if quietest.hydraulic_reasons else "for another reason"
    less = (best.level or 0.0) - (quietest.level or 0.0)
    return (
        f"The quietest place of all, {quietest.name} ({quietest.level:.0f} dB(A), {less:.0f} dB "
        f"less), is out {kind}: {quietest.reasons[0]}."
    )


def _costs(best: Outcome, holding: list[Outcome]) -> str:
    """Say what the recommended place costs beside the one with the least hose."""
    shortest = min(holding, key=lambda item: (item.water.hose if item.water else 0.0, item.name))
    if shortest is best or best.water is None or shortest.water is None:
        return "It is also the place with the shortest hoses of those that hold: quiet is free."
    gain = (shortest.level or 0.0) - (best.level or 0.0)
    parts = list(_dearer(best.water, shortest.water))
    dear = ", ".join(parts) if parts else "nothing that counts"
    return f"Beside {shortest.name}, which has the shortest hoses, {gain:.1f} dB cost {dear}."


def _dearer(here: Water, there: Water) -> Iterator[str]:
    if here.hose - there.hose > SMALL_HOSE:
        yield f"{quantity('length', here.hose - there.hose)} of hose"
    if there.flow - here.flow > SMALL_FLOW:
        yield f"{quantity('flow', there.flow - here.flow)} of flow"
    if here.head - there.head > SMALL_HEAD:
        yield f"{quantity('head', here.head - there.head)} of head"
    if here.lowest_inlet is not None and there.lowest_inlet is not None:
        deeper = there.lowest_inlet - here.lowest_inlet
        if deeper > 100.0:
            yield f"{quantity('pressure', deeper)} more vacuum at the pump"
    if here.power - there.power > SMALL_POWER:
        yield f"{quantity('power', here.power - there.power)}"


def _loudness(heard: SoundAt) -> str:
    bedroom = sound_row("yardsticks", "bedroom, steady sound")["a_level"]
    least = sound_row("yardsticks", "quiet anchorage below deck, least")["a_level"]
    most = sound_row("yardsticks", "quiet anchorage below deck, most")["a_level"]
    cabin = sound_row("yardsticks", "ship's cabin, from 10 000 GT")["a_level"]
    if heard.level < least:
        words = "likely lost in the background of a quiet anchorage"
    elif heard.level <= most:
        words = "about as loud as the background of a quiet anchorage, so a hum is noticed"
    else:
        words = "heard above the background of a quiet anchorage"
    over = heard.level - bedroom
    guide = "below" if over <= 0 else "above"
    sure = "" if abs(over) > heard.half_width else ", which is within the uncertainty"
    way = "the structure" if heard.is_structure_borne else "the air"
    return (
        f"{heard.level:.0f} dB(A) is {words} ({least:.0f} to {most:.0f} dB(A)) and "
        f"{abs(over):.0f} dB {guide} the {bedroom:.0f} dB(A) of the WHO 1999 guideline for bedrooms"
        f"{sure}. Rules for ships' cabins allow {cabin:.0f} dB(A) and do not apply to this boat. "
        f"Most of it comes by way of {way}."
    )
