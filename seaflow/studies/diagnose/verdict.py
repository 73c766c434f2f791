"""The verdict: normal for this sea, watch, act soon, or stop now."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.studies.design.certainty.sample import LEVELS, weighted_quantiles
from seaflow.studies.diagnose.agreement import heat_check
from seaflow.studies.diagnose.faults import may_be_touched
from seaflow.studies.diagnose.hypotheses import NONE
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.predict import (
    at_rest,
    chances_of,
    margin,
    to_ice,
    trips,
    water_shares,
)
from seaflow.studies.diagnose.readings import Number, Readings, instruments, shown, signs
from seaflow.studies.diagnose.unseen import CLOSE, looks_well, unseen
from seaflow.studies.diagnose.usual import (
    LITTLE_HEAT,
    LOW_VOLTS,
    PART,
    TRIPPED,
    UNUSUAL,
    WET,
    at_part_load,
    coldest,
    far_too_hot,
    low_volts,
    usual_of,
)

NORMAL = fact("diagnose.normal")
WATCH = fact("diagnose.watch")
ACT = fact("diagnose.act_soon")
STOP = fact("diagnose.stop_now")
UNREAD = fact("diagnose.unread")
NOTHING_READ = fact("diagnose.nothing_read")
NOTHING_MEASURED = fact("diagnose.nothing_measured")
AT_PART_LOAD = fact("diagnose.as_at_part_load")
SEA_UNREAD = fact("diagnose.sea_unread")
BUCKET_OR_LEAK = "diagnose.bucket_or_leak"

WEAK = 0.5  # of the usual water, from which on a fault is to be acted on; our assumption
A_THIRD = 1.0 / 3.0  # of the usual water, from which on it is acted on whatever else is read
LIKELY_THIRD = 0.2  # how likely so little must be; our assumption
ROOM = 1.65  # standard deviations of the instrument beyond that
MOST = 0.5  # of the boats that read so; more of them without water, or tripping, are acted on
NO_HEAT = 1.0  # K, of rise; two hand thermometers read as far apart (our assumption)
LIKELY = 0.6  # from which on a trip stops all: what the odds call likely
LEAKS = 0.3  # how likely a leak is, from which on it is acted on; our assumption
NEAR_ICE = 1.0  # K: nearer than this, a fault is to be acted on; own choice
MOST_ODD = 2  # readings named in a verdict

NEAR = ("diagnose.near_cut_out", "diagnose.near_cut_out_read")
UNHEATED = fact("diagnose.no_heat")
ALL_STANDS = fact("diagnose.all_stands")
SALT_WATER = fact("diagnose.salt_water")
# Signs that stop all at once, the most urgent first.
_STOPS: Mapping[tuple[str, str], Fact] = {
    WET: SALT_WATER,
    ("stream", "none"): fact("diagnose.no_water"),
    TRIPPED: fact("diagnose.tripped"),
    ("breaker", "trips"): fact("diagnose.breaker_trips"),
    ("pump", "humming"): fact("diagnose.pump_hums"),
}
# Signs of a pump that wears while it runs on; common practice, no source.
_WEARS: Mapping[tuple[str, str], Fact] = {("pump", "gravel"): fact("diagnose.pump_wears")}
# What to stop at as soon as it happens, in the order in which it is told.
_STOP_IF: Mapping[tuple[str, str], Fact] = {
    ("stream", "none"): fact("diagnose.if_no_water"),
    TRIPPED: fact("diagnose.if_trips"),
    ("pump", "humming"): fact("diagnose.if_pump_hums"),
    WET: fact("diagnose.if_salt_water"),
}


@dataclass(frozen=True, slots=True)
class Verdict:
    """How urgent it is, why, and how far the units are from their cut-out.

    The distance is None where no unit runs or may run on. While heating it is that to ice instead:
    how far the water leaving is from the margin over its freezing point, or the wall of the coil
    from that point, whichever is nearer. `unseen` says what water alone cannot tell of a boat that
    reads as healthy, or trips though her water does.
    """

    word: Fact
    why: Fact
    to_cut_out: float | None = measured("K", None)
    to_cut_out_low: float | None = measured("K", None)
    to_cut_out_high: float | None = measured("K", None)
    to_ice: float | None = measured("K", None)
    to_ice_low: float | None = measured("K", None)
    to_ice_high: float | None = measured("K", None)
    unseen: Fact | None = None

    @property
    def tells_nothing(self) -> bool:
        """True if no sign is odd, and nothing was read that tells of flow or heat, or no sea."""
        return self.why in (NOTHING_READ, NOTHING_MEASURED, SEA_UNREAD)

    @property
    def reasons(self) -> tuple[Fact, ...]:
        """Why, the first reason first: each reading that is odd is one."""
        told = dict(self.why.values).get("readings")
        return told if isinstance(told, tuple) else (self.why,)

    @property
    def is_met(self) -> bool:
        """True if nothing needs doing soon or at once."""
        return self.word not in (ACT, STOP)


HEALTHY = Verdict(NORMAL, fact("diagnose.as_healthy"))


def verdict_of(posterior: Posterior, readings: Readings) -> Verdict:
    """Return the verdict after these readings."""
    distance = _distance(posterior)
    word, why = _word(posterior, readings, distance)
    rests = why in (ALL_STANDS, UNHEATED) or (
        word == STOP and distance is not None and distance[2] > 0.0
    )
    if rests:
        distance = None  # there may be room, but nothing runs, or is to run on
    if TRIPPED in readings.signs and readings.mode == "cooling":
        distance = (0.0, 0.0, 0.0)
    if distance is None:
        return Verdict(word, why)
    low, middle, high = distance
    if readings.mode == "heating":
        return Verdict(word, why, to_ice=middle, to_ice_low=low, to_ice_high=high)
    hidden = unseen(posterior, readings) if word == NORMAL else None
    if why == _STOPS[TRIPPED]:
        hidden = looks_well(posterior, readings, tuple(_odd(posterior, readings)))
    return Verdict(word, why, middle, low, high, unseen=hidden)


def _word(
    posterior: Posterior, readings: Readings, distance: tuple[float, float, float] | None
) -> tuple[Fact, Fact]:
    if readings.is_empty:
        return UNREAD, NOTHING_READ
    stop = stop_of(posterior, readings)
    if stop is not None:
        return stop
    tripping = float(posterior.weight[trips(posterior.flotilla)].sum())
    if tripping > MOST and is_unheated(readings):
        return ACT, UNHEATED
    if tripping > MOST:
        return STOP if tripping >= LIKELY else ACT, fact("diagnose.most_are_dry")
    least, close = _limits(posterior, readings)
    odd = tuple(_odd(posterior, readings))
    if distance is not None and distance[1] < least:
        return ACT, _near(readings, least, distance[2], odd)
    if distance is None and (cold := coldest(readings)) is not None:
        return ACT, fact("diagnose.cold_discharge", discharge=amount("temperature", cold))
    if not odd and not _measured(readings):
        return WATCH, NOTHING_MEASURED
    # a band that begins at a trip, however far its middle is, is near
    near = distance is not None and (distance[1] < close or distance[0] <= 0.0)
    return _by_what_is_odd(posterior, readings, odd, near or far_too_hot(posterior, readings))


def is_unheated(readings: Readings) -> bool:
    """Tell whether all water that was read as it leaves came as warm: it runs, and the unit not."""
    sea = readings.of("sea")
    left = [item.value for item in readings.numbers if item.kind == "discharge"]
    if sea is None or not left or readings.mode != "cooling":
        return False
    return all(value - sea < NO_HEAT for value in left)


def _by_what_is_odd(
    posterior: Posterior, readings: Readings, odd: tuple[Fact, ...], near: bool
) -> tuple[Fact, Fact]:
    """Return the verdict of readings that stop nothing; `near` is to the cut-out, or to ice."""
    leak = _leak(posterior)
    of_flow = leak >= LEAKS and any(item.kind == "flow" for item in readings.numbers)
    if of_flow and speaks_of_leak(readings):
        return ACT, fact("diagnose.leak", chance=leak)
    shares = water_shares(posterior.flotilla)
    little = float(posterior.weight[shares <= A_THIRD].sum())
    if of_flow and not near and little < LIKELY_THIRD:
        return WATCH, fact(BUCKET_OR_LEAK, chance=leak)
    if little >= LIKELY_THIRD or leak >= LEAKS:
        why = fact("diagnose.unlike_healthy", readings=odd[:1])
        return ACT, why if odd else fact("diagnose.little_water", chance=little)
    if not odd and readings.of("sea") is None:
        return WATCH, SEA_UNREAD  # the warmest sea was taken: in it much reads as healthy
    if not odd:
        return NORMAL, AT_PART_LOAD if at_part_load(posterior, readings) else HEALTHY.why
    of_volts = odd[0].kind in LOW_VOLTS
    if near or float(posterior.weight @ shares) <= WEAK:
        first = odd[1:2] if of_volts and len(odd) > 1 else odd[:1]
        return ACT, fact("diagnose.unlike_healthy", readings=first)
    worn = [why for sign, why in _WEARS.items() if sign in readings.signs]
    if worn:
        return ACT, worn[0]
    if of_volts and may_be_touched(posterior.flotilla.setup.case):
        return ACT, odd[0]
    return WATCH, fact("diagnose.unlike_healthy", readings=odd[:MOST_ODD])


def speaks_of_leak(readings: Readings) -> bool:
    """Tell whether water that is missing may be called a leak: full load or the bilge was told.

    Less water than the heat says is else a bucket that missed half the stream, or part load.
    """
    full = any(kind == PART[0] and word != PART[1] for kind, word in readings.signs)
    return readings.load_read or full or any(kind == WET[0] for kind, _ in readings.signs)


def stops() -> tuple[tuple[tuple[str, str], Fact], ...]:
    """Return the signs that stop all at once, the most urgent first, each with why."""
    return tuple(_STOPS.items())


def wears() -> tuple[tuple[tuple[str, str], Fact], ...]:
    """Return the signs that are to be acted on soon, each with why."""
    return tuple(_WEARS.items())


def stop_of(posterior: Posterior, readings: Readings) -> tuple[Fact, Fact] | None:
    """Return the verdict that a single sign demands at once, or None."""
    dry = tuple(place for place, word in readings.streams if word == "none")
    told = set(readings.signs)
    met = [sign for sign in _STOPS if sign in told]
    if met == [("stream", "none")] and ("pump", "silent") in told:
        return _all_stands(posterior)
    if not met:
        return (STOP, fact("diagnose.no_water_at", places=dry)) if dry else None
    if met[0] == TRIPPED and readings.mode == "heating":
        return STOP, fact("diagnose.tripped_heating")
    return STOP, _STOPS[met[0]]


def stop_if(verdict: Verdict, readings: Readings) -> Fact | None:
    """Return at what to stop all at once from now on, or None where nothing is to run or do so."""
    if verdict.word in (NORMAL, STOP):
        return None
    told = tuple(said for sign, said in _STOP_IF.items() if sign not in readings.signs)
    return fact("diagnose.stop_if", signs=told)


def _leak(posterior: Posterior) -> float:
    number = posterior.flotilla.setup.index("leak")
    return 0.0 if number == NONE else float(posterior.present[number])


def _all_stands(posterior: Posterior) -> tuple[Fact, Fact]:
    """Return the verdict where no water comes and the pump is silent: nothing runs dry."""
    if float(posterior.weight[at_rest(posterior.flotilla)].sum()) > MOST:
        return ACT, ALL_STANDS
    return STOP, fact("diagnose.pump_stands")


def _limits(posterior: Posterior, readings: Readings) -> tuple[float, float]:
    """Return the least distance, and the one at which a fault counts."""
    if readings.mode == "heating":
        return 0.0, NEAR_ICE
    design = posterior.flotilla.setup.case.design.cut_out_margin
    return design, CLOSE * design


def _near(readings: Readings, least: float, most: float, odd: tuple[Fact, ...]) -> Fact:
    """Return that too little is left, with what was read of the water that leaves if it is odd."""
    if readings.mode == "heating":
        return fact("diagnose.near_ice")
    left = {"margin": amount("rise", least), "most": amount("rise", most)}
    warm = next((one for one in odd if one.kind == "diagnose.odd_discharge"), None)
    if warm is None:
        return fact(NEAR[0], **left)
    return fact(NEAR[1], **dict(warm.values), **left)


def _measured(readings: Readings) -> bool:
    """Tell whether anything was read by which a loop could be called healthy."""
    kinds = {item.kind for item in readings.numbers} - {"sea", "volts"}
    streams = any(kind == "stream" for kind, _ in readings.signs)
    return bool(kinds) or streams or bool(readings.streams)


def _distance(posterior: Posterior) -> tuple[float, float, float] | None:
    """Return low, middle and high distance to the cut-out, or to ice, where units run."""
    flotilla = posterior.flotilla
    found = to_ice(flotilla) if flotilla.boats.now.mode == "heating" else margin(flotilla)
    runs = np.isfinite(found)
    weight = np.where(runs, posterior.weight, 0.0)
    if weight.sum() < 0.05:
        return None
    low, middle, high = weighted_quantiles(found, weight, LEVELS)
    return low, middle, high


def _odd(posterior: Posterior, readings: Readings) -> Iterator[Fact]:
    """Yield the readings that a healthy boat hardly shows; low volts come first."""
    low_supply, easy = low_volts(posterior, readings), at_part_load(posterior, readings)
    if low_supply is not None:
        yield low_supply
    for number in readings.numbers:
        usual = usual_of(posterior, number)
        if usual is None or (number.kind == "volts" and low_supply is not None):
            continue
        low, high = usual
        low = -np.inf if easy and number.kind in LITTLE_HEAT else low
        room = _room(number.kind, number.value)
        if not low - room <= number.value <= high + room:
            yield _odd_number(number, low, high)
    heat = heat_check(posterior, readings)
    if heat is not None and not heat.agrees:
        found, plate = amount("heat", heat.found), amount("heat", heat.plate)
        yield fact("diagnose.odd_heat", found=found, plate=plate)
    plain = posterior.flotilla.as_they_come
    healthy = plain.hypotheses.healthy
    for kind, word in readings.signs:
        usually = float(np.mean(chances_of(plain, kind)[word][healthy]))
        most = max(signs()[kind].healthy.values())
        if usually < 2.0 * UNUSUAL * most and kind != "when":
            yield fact("diagnose.odd_sign", title=signs()[kind].title, place="", word=word)
    for place, word in readings.streams:
        usually = float(np.mean(chances_of(plain, "stream", place)[word][healthy]))
        if usually < 2.0 * UNUSUAL:
            yield fact("diagnose.odd_sign", title=signs()["stream"].title, place=place, word=word)


def _room(kind: str, value: float) -> float:
    """Return how far beyond what healthy boats read a number is still as they read."""
    return ROOM * float(instruments()[kind].deviation(abs(value)))


def _odd_number(number: Number, low: float, high: float) -> Fact:
    """Return a number that healthy boats do not show, as it was told, and what they show."""
    if number.bucket > 0.0 and number.value > 0.0 and low > 0.0:
        return fact(
            "diagnose.odd_bucket",
            bucket=amount("bucket", number.bucket),
            seconds=number.bucket / number.value,
            place=number.place,
            low=number.bucket / high,
            high=number.bucket / low,
        )
    kind = "diagnose.odd_discharge" if number.kind == "discharge" else "diagnose.odd_number"
    return fact(
        kind,
        title=instruments()[number.kind].title,
        place=number.place,
        value=shown(number.kind, number.value),
        low=amount(instruments()[number.kind].show, low),
        high=shown(number.kind, high),
    )
