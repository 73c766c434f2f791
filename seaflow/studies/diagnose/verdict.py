"""The verdict: normal for this sea, watch, act soon, or stop now."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.base.sentence import quantity
from seaflow.studies.diagnose.hypotheses import NONE
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.predict import at_rest, chances_of, margin, predicted, to_ice, trips
from seaflow.studies.diagnose.readings import Readings, instruments, shown, signs

NORMAL, WATCH, ACT, STOP = "normal for this sea", "watch", "act soon", "stop now"
NO_VERDICT = "no verdict: nothing was read"
UNUSUAL = 0.05  # of healthy boats that read so far out, or that show such a sign
LIKELY_DRY = 0.5
LEAKS = 0.3  # how likely a leak is, from which on the bilge is looked at now; own choice
CLOSE = 2.0  # times the design margin: nearer to the cut-out than this, a fault is to be acted on
NEAR_ICE = 1.0  # K: nearer than this, a fault is to be acted on; own choice


@dataclass(frozen=True, slots=True)
class Verdict:
    """How urgent it is, why, and how far the units are from their cut-out.

    The distance is None where no unit runs. While heating it is that to ice instead: how far the
    water leaving is from the margin over its freezing point, or the wall of the coil from that
    point, whichever is nearer.
    """

    word: str
    why: str
    to_cut_out: float | None = measured("K", None)
    to_cut_out_low: float | None = measured("K", None)
    to_cut_out_high: float | None = measured("K", None)
    to_ice: float | None = measured("K", None)
    to_ice_low: float | None = measured("K", None)
    to_ice_high: float | None = measured("K", None)


def verdict_of(posterior: Posterior, readings: Readings) -> Verdict:
    """Return the verdict after these readings."""
    distance = _distance(posterior)
    word, why = _word(posterior, readings, distance)
    if ("tripped", "yes") in readings.signs and readings.mode == "cooling":
        distance = (0.0, 0.0, 0.0)
    if distance is None:
        return Verdict(word, why)
    low, middle, high = distance
    if readings.mode == "heating":
        return Verdict(word, why, to_ice=middle, to_ice_low=low, to_ice_high=high)
    return Verdict(word, why, middle, low, high)


def _word(
    posterior: Posterior, readings: Readings, distance: tuple[float, float, float] | None
) -> tuple[str, str]:
    if readings.is_empty:
        return NO_VERDICT, "what follows are only the odds before any reading"
    stop = stop_of(posterior, readings)
    if stop is not None:
        return stop
    if float(posterior.weight[trips(posterior.flotilla)].sum()) > LIKELY_DRY:
        return STOP, "on most boats that read like this a unit has no water, or trips"
    leak = _leak(posterior)
    if leak >= LEAKS:
        return ACT, f"a leak inside the boat is possible ({leak:.0%}): look in the bilge now"
    least, close, left = _limits(posterior, readings)
    if distance is not None and distance[1] < least:
        return ACT, left
    odd = _odd(posterior, readings)
    if not odd and not _measured(readings):
        return WATCH, "nothing that tells of flow or heat was read yet: do the next test"
    if not odd:
        return NORMAL, "every reading is what a healthy boat of this plan shows in this sea"
    if distance is not None and distance[1] < close:
        return ACT, f"not as on a healthy boat: {odd[0]}"
    return WATCH, f"not as on a healthy boat: {'; '.join(odd[:2])}"


def stop_of(posterior: Posterior, readings: Readings) -> tuple[str, str] | None:
    """Return the verdict that a single sign demands at once, or None."""
    stops = [f"{kind}={word}" for kind, word in readings.signs]
    met = next((item for item in _STOP_WORDS if item in stops), None)
    if met == "stream=none" and ("pump", "silent") in readings.signs:
        return _all_stands(posterior)
    if met is None:
        return None
    words = _HEATING_WORDS if readings.mode == "heating" else {}
    return STOP, words.get(met, _STOP_WORDS[met])


def _leak(posterior: Posterior) -> float:
    number = posterior.flotilla.setup.index("leak")
    return 0.0 if number == NONE else float(posterior.present[number])


def _all_stands(posterior: Posterior) -> tuple[str, str]:
    """Return the verdict where no water comes and the pump is silent: nothing runs dry."""
    if float(posterior.weight[at_rest(posterior.flotilla)].sum()) > LIKELY_DRY:
        return ACT, "pump and unit most likely stand together: nothing is harmed, and nothing cools"
    return STOP, "the pump stands still: a unit that runs without water trips; switch it off"


def _limits(posterior: Posterior, readings: Readings) -> tuple[float, float, str]:
    """Return the least distance, the one at which a fault counts, and the words for too little."""
    if readings.mode == "heating":
        return 0.0, NEAR_ICE, "the coil is as near to ice as it may come, or nearer"
    design = posterior.flotilla.setup.case.design.cut_out_margin
    return design, CLOSE * design, f"less than {quantity('rise', design)} is left to the cut-out"


def _measured(readings: Readings) -> bool:
    """Tell whether anything was read by which a loop could be called healthy."""
    kinds = {item.kind for item in readings.numbers} - {"sea", "volts"}
    return bool(kinds) or any(kind == "stream" for kind, _ in readings.signs)


_STOP_WORDS = {
    "stream=none": "no water comes: pump and unit are harmed within minutes",
    "tripped=yes": "the unit tripped: find out why before it is reset again",
    "bilge=salt water": "water comes into the boat: shut the seacock first",
    "breaker=trips": "a breaker that trips stays off until motor, capacitor and wire are looked at",
    "pump=humming": "a pump that hums and moves no water burns out: breaker off",
}
_HEATING_WORDS = {
    "tripped=yes": "the unit tripped: in heating the high pressure is in the cabin, so look at the "
    "air filter first, not at the water",
}


def _distance(posterior: Posterior) -> tuple[float, float, float] | None:
    """Return low, middle and high distance to the cut-out, or to ice, where units run."""
    heats = posterior.flotilla.boats.now.mode == "heating"
    found = to_ice(posterior.flotilla) if heats else margin(posterior.flotilla)
    runs = np.isfinite(found)
    weight = np.where(runs, posterior.weight, 0.0)
    if weight.sum() < 0.05:
        return None
    values = np.where(runs, found, 0.0)
    return tuple(_quantile(values, weight, level) for level in (0.1, 0.5, 0.9))  # type: ignore[return-value]


def _quantile(values: Array, weight: Array, level: float) -> float:
    order = np.argsort(values)
    steps = np.cumsum(weight[order]) / weight.sum()
    return float(values[order][min(int(np.searchsorted(steps, level)), values.size - 1)])


def _odd(posterior: Posterior, readings: Readings) -> list[str]:
    """Return the readings that a healthy boat hardly shows, in words."""
    flotilla = posterior.flotilla
    healthy = flotilla.hypotheses.healthy
    found = []
    for item in readings.numbers:
        seen = predicted(flotilla, item.kind, item.place)
        if seen is None or item.kind == "sea":
            continue
        instrument = instruments()[item.kind]
        here = seen[healthy & np.isfinite(seen)]
        if not here.size:
            continue
        low, high = np.quantile(here, (UNUSUAL, 1.0 - UNUSUAL))
        room = 1.65 * float(instrument.deviation(abs(item.value)))
        if low - room <= item.value <= high + room:
            continue
        place = f' at "{item.place}"' if item.place else ""
        found.append(
            f"{instrument.title}{place} {shown(instrument, item.value)}, where "
            f"{quantity(instrument.show, float(low))} to {shown(instrument, float(high))} "
            "is usual"
        )
    for kind, word in readings.signs:
        usual = chances_of(flotilla, kind)[word][healthy]
        most = max(signs()[kind].healthy.values())
        if float(np.mean(usual)) < 2.0 * UNUSUAL * most and kind != "when":
            found.append(f"{kind.replace('_', ' ')}: {word}")
    return found
