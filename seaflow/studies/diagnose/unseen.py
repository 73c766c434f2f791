"""What water alone cannot tell: scale that is near to a trip, and why a unit trips without want."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, amount, fact
from seaflow.studies.design.certainty.sample import LEVELS, weighted_quantiles
from seaflow.studies.diagnose.hypotheses import NONE
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.predict import margin, predicted
from seaflow.studies.diagnose.readings import Places, Readings, instruments, signs
from seaflow.studies.diagnose.usual import TRIPPED

CLOSE = 2.0  # times the design margin: nearer to the cut-out than this, a fault is to be acted on
# What tells how far a unit is from its cut-out, where water alone cannot.
_BY: Mapping[str, Fact] = {
    "condensing": fact("diagnose.by_condensing"),
    "high_side": fact("diagnose.by_high_side"),
    "watts": fact("diagnose.by_watts"),
}
SCALE = "coil_scaled"
WELL = "strong"  # the one word for a stream that is as it was
LEAST_UNSEEN = 0.01  # how likely scale is, from which on it is worth telling; our assumption
TELLS = 2.0  # standard deviations by which scale must move a reading to be told by it


def unseen(posterior: Posterior, readings: Readings) -> Fact | None:
    """Return how near its cut-out a scaled coil may be that reads so, and what would show it.

    None where something was read that does, or no discharge, where scale is unlikely, or where it
    leaves room.
    """
    flotilla, number = posterior.flotilla, posterior.flotilla.setup.index(SCALE)
    kinds = {item.kind for item in readings.numbers}
    if number == NONE or kinds & set(_BY) or "discharge" not in kinds:
        return None
    room = margin(flotilla)
    scaled = flotilla.hypotheses.present(number) & np.isfinite(room)
    weight = np.where(scaled, posterior.weight, 0.0)
    close = CLOSE * flotilla.setup.case.design.cut_out_margin
    if weight.sum() < LEAST_UNSEEN:
        return None
    (worst,) = weighted_quantiles(room, weight, LEVELS[:1])
    by = tuple(dict.fromkeys(_telling(posterior, weight, room <= max(worst, close))))
    if worst >= close or not by:
        return None
    return fact("diagnose.water_cannot_tell", room=amount("rise", worst), by=by)


def _telling(posterior: Posterior, weight: Array, bad: NDArray[np.bool_]) -> Iterator[Fact]:
    """Yield the readings that scale moves by more than their error."""
    flotilla = posterior.flotilla
    for kind in _BY:
        for place in flotilla.setup.places.units:
            seen = predicted(flotilla, kind, place)
            if seen is None:
                continue
            middles = []
            for of in (np.where(bad, weight, 0.0), posterior.weight * flotilla.hypotheses.healthy):
                if not of[np.isfinite(seen)].sum() > 0.0:
                    break
                middles += weighted_quantiles(seen, of, (0.5,))
            else:
                error = float(instruments()[kind].deviation(abs(middles[1])))
                if abs(middles[0] - middles[1]) > TELLS * error:
                    yield _BY[kind]


def looks_well(posterior: Posterior, readings: Readings, odd: Sequence[Fact]) -> Fact | None:
    """Return what could tell why a unit trips whose water, as far as it was read, is as usual."""
    watery = any(item.kind in ("flow", "discharge") for item in readings.numbers)
    streams = [word for kind, word in readings.signs if kind == "stream"]
    streams += [word for _, word in readings.streams]
    told = {item.kind for item in readings.numbers} & set(_BY)
    trip = signs()[TRIPPED[0]].title
    others = [one for one in odd if dict(one.values).get("title") != trip]
    poor = any(word != WELL for word in streams)  # however rare that is on such a boat
    if told or others or poor or not (watery or streams):
        return None
    return fact("diagnose.water_looks_well", by=shown_by(posterior.flotilla.setup.places))


def shown_by(places: Places) -> tuple[Fact, ...]:
    """Return what shows how near its cut-out a unit is, where water cannot."""
    known = places.refrigerants
    return tuple(said for kind, said in _BY.items() if kind != "high_side" or known)
