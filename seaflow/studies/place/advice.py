"""The recommended place: how quiet, which is next and why, what it costs, what is left open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.base.facts import Amount, Fact, amount, fact
from seaflow.physics.sound.sources import sound_row
from seaflow.studies.design.judge import GRADES
from seaflow.studies.place.pump_sound import PumpSound
from seaflow.studies.place.rank import PlaceResult, Sensitivity, difference, is_left_open
from seaflow.studies.place.sound import SoundAt
from seaflow.studies.place.water import Water

LEAST_HEARD = -20.0  # dB; less is nothing
SMALL_FLOW, SMALL_HEAD = 0.1 / 60000.0, 0.05  # m3/s and m; less is not worth a word
SMALL_VOLTAGE, SMALL_VACUUM = 0.05, 100.0  # V and Pa
SMALL_HOSE, SMALL_ENERGY = 0.1, 180e3  # m, and J a day


@dataclass(frozen=True, slots=True)
class Advice:
    """The place and the next best; the quietest if it is out or tight; what goes with the place.

    Of no place that holds there is nothing but what speaks against the nearest.
    """

    place: Fact
    next_best: Fact
    quietest: Fact | None = None
    price: Fact | None = None
    loudness: tuple[Fact, ...] = ()
    start: Fact | None = None
    how_sure: tuple[Fact, ...] = ()


def advice_for(
    results: tuple[PlaceResult, ...],
    width: float,
    sure: Sensitivity | None = None,
    sound: PumpSound | None = None,
) -> Advice:
    """Return the advice on places that are in order; `sound` is what the pump gives off."""
    holding = [item for item in results if item.holds]
    if not holding:
        return _none(results)
    best = holding[0]
    heard = best.loudest
    return Advice(
        place=_place(best),
        next_best=_next(best, holding[1:], width),
        quietest=_quietest(results, best, width),
        price=price(best, holding, width),
        loudness=() if heard is None else tuple(loudness(heard, sound)),
        start=None if heard is None else start(heard),
        how_sure=() if sure is None else tuple(steadiness(sure, best.name)),
    )


def _none(results: tuple[PlaceResult, ...]) -> Advice:
    dry = [one for one in results if one.is_dry_alone]
    if dry:
        return _for_the_pump(results, dry[0])
    nearest = results[0]
    which = "first" if nearest.level is None else "quietest"
    return Advice(
        place=fact("place.none_will_do", count=len(results)),
        next_best=fact("place.nearest_is_out", place=nearest.name, which=which, **_out(nearest)),
    )


def _for_the_pump(results: tuple[PlaceResult, ...], best: PlaceResult) -> Advice:
    """Return that the pump decides, with the place that would be sound with more water."""
    stands = best.standing
    told = {
        "place": best.name,
        "depth": amount("height", stands.depth),
        "least": amount("height", stands.depth_at_heel),
        "when": stands.when,
        "heard": heard_there(best),
    }
    return Advice(
        place=fact("place.none_with_this_pump", count=len(results), reason=best.reasons[0]),
        next_best=fact("place.sound_but_for_the_pump", **told),
    )


def heard_there(best: PlaceResult) -> Fact:
    """Return the loudest berth of a place, or that none is drawn."""
    heard = best.loudest
    if heard is None:
        return fact("place.card_unheard")
    level, width = amount("sound_level", heard.level), amount("decibels", round(heard.half_width))
    return fact("place.card_heard", berth=heard.berth, level=level, half_width=width)


def _out(result: PlaceResult) -> dict[str, object]:
    """Return why a place is out, and what the water does there if that is why."""
    return {"fault": result.hydraulic_fault, "reason": result.reasons[0]}


def _place(best: PlaceResult) -> Fact:
    stays, heard = best.standing.stays, best.loudest
    if heard is None:
        return fact("place.here_unheard", place=best.name, stays=stays)
    level = amount("sound_level", heard.level)
    half_width = amount("decibels", heard.half_width)
    sound = {"berth": heard.berth, "level": level, "half_width": half_width}
    return fact("place.here", place=best.name, stays=stays, **sound)


def _next(best: PlaceResult, others: list[PlaceResult], width: float) -> Fact:
    if not others:
        return fact("place.no_other")
    if best.level is None:
        return fact("place.next", other=others[0].name)
    tied = [item for item in others if item.name in best.same_as]
    if tied:
        less = max((abs(difference(best, item)) for item in tied), default=0.0)
        names = tuple(item.name for item in tied)
        return fact(
            "place.no_audible_difference",
            others=names,
            count=len(names),
            most=amount("decibels", less),
            width=amount("decibels", width),
            why=_why(best, tied[0]),
        )
    other = min(others, key=lambda item: (item.level or 0.0, item.name))
    less_than = {"other": other.name, "less": amount("decibels", difference(best, other))}
    if is_left_open(best, other):
        return fact("place.next_left_open", **less_than)
    return fact("place.next_louder", **less_than)


def _why(best: PlaceResult, other: PlaceResult) -> Fact:
    if best.access == "good" and other.access != "good":
        return fact("place.easier_to_reach")
    if len(best.remarks) < len(other.remarks):
        return fact("place.fewer_drawbacks")
    if best.water and other.water and best.water.hose < other.water.hose - SMALL_HOSE:
        return fact("place.less_hose")
    return fact("place.either_will_do")


def _quietest(results: tuple[PlaceResult, ...], best: PlaceResult, width: float) -> Fact | None:
    """Return the quietest place if it is graded worse, and why."""
    heard = [item for item in results if item.level is not None]
    if not heard or best.level is None:
        return None
    quietest = min(heard, key=lambda item: (item.level, not item.holds, item.name))
    if GRADES.index(quietest.grade) <= GRADES.index(best.grade):
        return None
    less = difference(quietest, best)
    sure = "left open" if is_left_open(quietest, best) else "told"
    told = {
        "place": quietest.name,
        "level": amount("sound_level", quietest.level or 0.0),
        "less": amount("decibels", less),
        "told": sure if less >= width else "not told",
    }
    if quietest.holds:
        return fact("place.quietest_is_tight", **told, fault=None, reason=quietest.doubts[0])
    return fact("place.quietest_is_out", **told, **_out(quietest))


# --- what it costs ---


def price(best: PlaceResult, holding: list[PlaceResult], width: float) -> Fact | None:
    """Return what the recommended place costs beside the one with the shortest hoses."""
    shortest = min(holding, key=lambda item: (item.water.hose if item.water else 0.0, item.name))
    if best.water is None or shortest.water is None:
        return None
    if shortest is best:
        heard = best.loudest
        guide = yardstick("bedroom_steady").value
        over = heard is not None and heard.level - guide > heard.half_width
        return fact("place.shortest_hoses_yet_loud" if over else "place.shortest_hoses")
    more = tuple(_more(best.water, shortest.water))
    beside = {"other": shortest.name, "more": more}
    gain = amount("decibels", difference(best, shortest))
    if best.level is None or shortest.level is None:
        return fact("place.price", **beside)
    if gain.value < width:
        return fact("place.price_of_nothing_heard", width=amount("decibels", width), **beside)
    return fact("place.price_of_quiet", gain=gain, **beside)


def _more(here: Water, there: Water) -> Iterator[Fact]:
    """Yield what a place takes more than another, or has less."""
    if here.hose - there.hose > SMALL_HOSE:
        yield fact("place.more_hose", more=amount("length", here.hose - there.hose))
    if there.flow - here.flow > SMALL_FLOW:
        yield fact("place.less_flow", less=amount("flow", there.flow - here.flow))
    if here.head - there.head > SMALL_HEAD:
        yield fact("place.more_head", more=amount("head", here.head - there.head))
    if here.lowest_inlet is not None and there.lowest_inlet is not None:
        deeper = there.lowest_inlet - here.lowest_inlet
        if deeper > SMALL_VACUUM:
            yield fact("place.more_vacuum", more=amount("pressure", deeper))
    a_day = here.energy_per_day - there.energy_per_day
    if a_day > SMALL_ENERGY:
        yield fact("place.more_energy", more=amount("energy", a_day))
    if here.cable is not None and there.cable is not None and here.cable - there.cable > SMALL_HOSE:
        yield fact("place.more_cable", more=amount("length", here.cable - there.cable))
    if there.voltage - here.voltage > SMALL_VOLTAGE:
        yield fact("place.less_voltage", less=amount("voltage", there.voltage - here.voltage))


# --- how loud, and how sure ---


def loudness(heard: SoundAt, sound: PumpSound | None = None) -> Iterator[Fact]:
    """Yield what a steady level means in a berth, by which way it came, and its tone."""
    level = amount("sound_level", heard.level)
    least, most = yardstick("anchorage_least"), yardstick("anchorage_most")
    quiet = {"level": level, "least": least, "most": most}
    if heard.level < least.value:
        yield fact("place.below_background", **quiet)
    elif heard.level <= most.value:
        yield fact("place.like_background", **quiet)
    else:
        yield fact("place.above_background", **quiet)
    guide = yardstick("bedroom_steady")
    over = heard.level - guide.value
    kind = "place.below_guideline" if over <= 0 else "place.above_guideline"
    by, sure = amount("decibels", round(abs(over))), abs(over) > heard.half_width
    yield fact(kind, guideline=guide, by=by, sure=sure)
    yield fact("place.rules_for_ships", allowed=yardstick("large_ship_cabin"))
    ways = {"air": _way(heard.airborne), "structure": _way(heard.structure)}
    yield fact("place.ways", most="structure" if heard.is_structure_borne else "air", **ways)
    if sound is not None and sound.tone is not None:
        yield fact("place.hum", hum=amount("frequency", sound.tone))
    elif sound is not None:
        yield fact("place.no_hum", shaft=amount("frequency", sound.shaft_frequency))


def _way(level: float) -> Fact:
    if level < LEAST_HEARD:
        return fact("place.unheard")
    return fact("place.heard", level=amount("sound_level", level))


def start(heard: SoundAt) -> Fact:
    """Return what a start means at night, for which no level is known."""
    loudest = yardstick("bedroom_single_event")
    room = loudest.value - heard.level
    by, sure = amount("decibels", round(abs(room))), abs(room) > heard.half_width
    kind = "place.start_is_over" if room <= 0.0 else "place.start_may_be_louder"
    return fact(kind, guideline=loudest, by=by, sure=sure)


def steadiness(sure: Sensitivity, first: str) -> Iterator[Fact]:
    """Yield whether the ranking stands with the structure paths quieter and louder."""
    low, high = (amount("sound_level", level) for level in sure.levels)
    louder = amount("decibels", sure.shift)
    shift = {"first": first, "shift": louder, "low": low, "high": high}
    if sure.same_order:
        yield fact("place.order_stays", **shift)
    elif sure.same_first:
        yield fact("place.first_stays", **shift)
    else:
        others = sorted({order[0] for order in (sure.quieter, sure.louder)} - {first})
        yield fact("place.first_is_unsure", others=tuple(others), **shift)
    if len(sure.louder) < 2:
        return
    if sure.alone == first:
        yield fact("place.stays_first_alone", first=first, shift=louder)
    else:
        yield fact("place.falls_behind_alone", first=first, other=sure.alone, shift=louder)


def yardstick(name: str) -> Amount:
    """Return a level of the table of yardsticks."""
    return amount("sound_level", float(sound_row("yardsticks", name)["a_level"]))
