"""Simulated boats as text that a script of the page reads: few bits, in base64.

Boats stand in the order of their faults, so that which they have costs a number for each pair.
"""

from __future__ import annotations

from collections.abc import Iterable
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact
from seaflow.present.page.shorter import shorter
from seaflow.studies.design.certainty.sample import LEVELS
from seaflow.studies.diagnose import (
    agreement,
    infer,
    predict,
    read_number,
    unseen,
    usual,
    verdict,
)
from seaflow.studies.diagnose.drawn import N_SEAS, PackedBoats, ReadAt
from seaflow.studies.diagnose.faults import may_be_touched, nothing
from seaflow.studies.diagnose.hypotheses import NONE
from seaflow.studies.diagnose.impossible import cold_room
from seaflow.studies.diagnose.look import (
    AFTER_LOAD,
    BRANCHES,
    EXPLAINS,
    FAR_LIKELIER,
    LEAST,
    LIKELY_ENOUGH,
    LIKELY_UNIT,
)
from seaflow.studies.diagnose.readings import instruments, signs
from seaflow.studies.diagnose.simulate import LOADS, SUPPLY, supply_densities, supply_range
from seaflow.studies.diagnose.trip_told import OF_ONE_UNIT, trip_rows

FINE = 5.0  # steps to a standard deviation of what is read
MOST_BITS = 12
RISES = (-10.0, 50.0)  # K that are told apart
ROOM_BITS, ROOM_STEP = 8, 0.25  # K
PRIOR_BITS, WATER_BITS, TRIPS_BITS, UNTIL_BITS = 8, 7, 6, 3
WATER_STEP = 0.01
# Of the usual volts: between which they are told how likely, and within which boats run alike.
SUPPLY_READ, SUPPLY_ALIKE = (0.6, 1.3), 0.05
N_SUPPLY, N_NOISE, SURE = 141, 25, 3.0  # values of them, and of what a meter is off [deviations]
SEA_STEPS, STEPS = 5, 16  # of the error of a sea, and of the heat of a day among healthy boats
OF_A_UNIT = (*BRANCHES, *OF_ONE_UNIT)  # faults that strike one of several units
READ = ("sea", "discharge", "flow", "volts", "amps", "suction", "delivery")


def weighing(boats: PackedBoats) -> dict[str, Any]:
    """Return how the script weighs: the instruments and the rules, which all boats share.

    All loops of a boat have the same draws and, but for what they cannot have, the same faults.
    """
    table = instruments()
    return {
        "count": boats.pair.size,
        "instruments": {
            kind: {
                "error": table[kind].error,
                "share": table[kind].share,
                "model": table[kind].model,
                "ends": [table[kind].least, table[kind].most],
                "effort": table[kind].effort,
                "running": table[kind].running,
            }
            for kind in READ
        },
        "signs": _signs(),
        **_likelihood(),
        **_verdict(),
        "levels": LEVELS,
        "afterLoad": AFTER_LOAD,
        "farLikelier": FAR_LIKELIER,
        "likelyEnough": LIKELY_ENOUGH,
        "leastPlace": LEAST,
        "explains": EXPLAINS,
        "loads": LOADS,
        "supply": SUPPLY,
        "cold": cold_room(),
        "nothing": nothing().title,
        "roughBelow": infer.ROUGH_BELOW,
        "unlike": agreement.UNLIKE,
        "heatAllowed": agreement.ALLOWED,
    }


def _signs() -> dict[str, Any]:
    """Return what may be told in a word, by kind."""
    return {
        kind: {
            "words": list(sign.healthy),
            "healthy": list(sign.healthy.values()),
            "effort": sign.effort,
            "running": sign.running,
            "after": sign.after,
        }
        for kind, sign in signs().items()
    }


def _likelihood() -> dict[str, Any]:
    """Return the numbers by which a reading counts for a boat."""
    return {
        "astray": infer.ASTRAY,
        "leastEffective": infer.LEAST_EFFECTIVE,
        "coarser": infer.COARSER,
        "mostCoarser": infer.MOST_COARSER,
        "badly": read_number.BADLY,
        "misread": read_number.MISREAD,
        "leastLog": read_number.LEAST_LOG,
        "noStream": read_number.NO_STREAM * read_number.DRY_READ,
        "tripSpread": read_number.TRIP_SPREAD,
        "seaOff": _sea_off(),
        "steps": [NormalDist().inv_cdf((step + 0.5) / STEPS) for step in range(STEPS)],
        **trip_rows(),
        "ofOneUnit": OF_ONE_UNIT,
        **predict.stream_rows(),
    }


def _sea_off() -> list[list[float]]:
    """Return by how much the sea may be misread [K], and how likely each of these is.

    It is one error for all that leaves, so where several discharges were read it is summed over.
    """
    at, weight = hermegauss(SEA_STEPS)
    pairs = zip(at * instruments()["sea"].error, weight / weight.sum(), strict=True)
    return [[float(off), float(share)] for off, share in pairs]


def _verdict() -> dict[str, Any]:
    """Return the numbers by which the odds become a verdict."""
    return {
        "unusual": usual.UNUSUAL,
        "room": verdict.ROOM,
        "leaks": verdict.LEAKS,
        "far": usual.FAR,
        "leastUnseen": unseen.LEAST_UNSEEN,
        "likelyThird": verdict.LIKELY_THIRD,
        "weak": verdict.WEAK,
        "well": unseen.WELL,
        "most": verdict.MOST,
        "likely": verdict.LIKELY,
        "close": unseen.CLOSE,
        "noHeat": verdict.NO_HEAT,
        "branches": BRANCHES,
        "likelyUnit": LIKELY_UNIT,
        "stops": _demands(verdict.stops()),
        "wears": _demands(verdict.wears()),
    }


def _demands(signs: Iterable[tuple[tuple[str, str], Fact]]) -> list[tuple[str, str, str]]:
    """Return signs that demand a verdict, each with the name of its reason."""
    return [(kind, word, why.kind.partition(".")[2]) for (kind, word), why in signs]


def loop_packed(boats: PackedBoats) -> dict[str, Any]:
    """Return the boats of one loop."""
    faults = boats.setup.faults
    ends = supply_range(boats.setup)
    order = np.argsort(boats.pair, kind="stable")
    signs = boats.still + 2 * boats.pulses + 4 * boats.rest
    return {
        "name": boats.setup.built.network.name,
        "margin": boats.setup.case.design.cut_out_margin,
        "leak": next((n for n, fault in enumerate(faults) if fault.name == "leak"), -1),
        "seas": boats.seas,
        "pairs": boats.pairs,
        "counts": np.bincount(boats.pair, minlength=len(boats.pairs)).tolist(),
        "prior": _spread(boats.log_prior[order], PRIOR_BITS),
        "numbers": {
            kind: {"range": wide, "column": _read(kind, seen[order])}
            for kind, (seen, wide) in boats.numbers.items()
        },
        "usualVolts": [ends[0], ends[2]],
        "supply": _supply(boats),
        "battery": may_be_touched(boats.setup.case),
        "water": _column(_running(boats.water[order], WATER_STEP), WATER_BITS, 0.0, WATER_STEP),
        "state": _column(signs[order], 3, 0.0, 1.0),
        "room": [_column(row[order], ROOM_BITS, 0.0, ROOM_STEP) for row in boats.room],
        "tripsFrom": _trips(boats.trips_from[order], boats.seas),
        "struck": _struck(boats, order),
        "chances": {kind: _codes(rows) for kind, rows in boats.chances.items()},
        "waterHeat": boats.water_heat,
        "units": [
            {
                "unit": one.unit,
                "trips": _within(one.trips_from[order], one.trips_until[order], boats.seas),
                "near": _within(one.near_from[order], one.near_until[order], boats.seas),
            }
            for one in boats.units
        ],
        "spots": [_spot(spot, order, boats.seas) for spot in boats.spots],
        **({"ampsAt": pumps[0]} if (pumps := boats.setup.places.pumps) else {}),
    }


def told_once(loops: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the loops, each with what it has for itself, beside what they have alike."""
    chances = [loop["chances"] for loop in loops]
    alike = _alike(loops) | {"chances": _alike(chances)}
    own = [_without(loop, alike) for loop in loops]
    rows = [_without(one, alike["chances"]) for one in chances]
    return {
        "alike": alike,
        "loops": [loop | {"chances": row} for loop, row in zip(own, rows, strict=True)],
    }


def _alike(rows: list[dict[str, Any]]) -> dict[str, Any]:
    first, *others = rows
    return {
        key: value
        for key, value in first.items()
        if all(key in one and one[key] == value for one in others)
    }


def _without(row: dict[str, Any], alike: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in row.items() if key not in alike}


def _spot(spot: ReadAt, order: NDArray[np.intp], seas: tuple[float, ...]) -> dict[str, Any]:
    return {
        "outlet": spot.outlet,
        "unit": spot.unit,
        "usual": spot.usual,
        "heat": spot.heat,
        "riseRange": spot.rise_range,
        "flowRange": spot.flow_range,
        "rise": [_read("discharge", np.clip(row[order], *RISES)) for row in spot.rise],
        "today": spot.today,
        "grows": spot.grows,
        "flow": [_read("flow", row[order]) for row in spot.flow],
        "tripsFrom": _trips(spot.trips_from[order], seas) if spot.unit else None,
    }


def _supply(boats: PackedBoats) -> dict[str, Any]:
    """Return how likely volts are read, in logarithms, where the supply is sound and where it sags.

    Volts that are read are no reading of a boat but the state in which all are looked at.
    """
    setup = boats.setup
    usual = supply_range(setup)[1]
    read = usual * np.linspace(*SUPPLY_READ, N_SUPPLY)
    noise = np.linspace(-SURE, SURE, N_NOISE)
    bell = np.exp(-0.5 * noise**2)
    error = np.asarray(instruments()["volts"].deviation(read))
    each = supply_densities(setup, (read[:, np.newaxis] + np.outer(error, noise)).ravel())
    sound, sagged = (
        np.log(one.reshape(N_SUPPLY, N_NOISE) @ bell / bell.sum()).round(3).tolist() for one in each
    )
    low, step = float(read[0]), float(read[1] - read[0])
    wide = SUPPLY_ALIKE * usual
    return {"low": low, "step": step, "sound": sound, "sagged": sagged, "alike": wide}


def _struck(boats: PackedBoats, order: NDArray[np.intp]) -> dict[str, Any] | None:
    """Return which of several units the two faults of each boat strike, where they strike one.

    Of what lies in all of them none is known.
    """
    units = [unit.name for unit in boats.setup.built.network.units_by_size]
    if len(units) < 2:
        return None
    strikes = np.array([fault.name in OF_A_UNIT for fault in boats.setup.faults] + [False])
    columns = []
    for which, struck in zip(np.array(boats.pairs).T, boats.struck, strict=True):
        at = struck[order][strikes[which[boats.pair[order]]]]
        known = np.where(at == NONE, np.nan, at.astype(float))
        columns.append(_column(known, len(units).bit_length(), 0.0, 1.0))
    return {"units": units, "of": columns, "faults": np.flatnonzero(strikes).tolist()}


def _trips(trips_from: Array, seas: tuple[float, ...]) -> dict[str, Any]:
    """Return the seas from which boats trip: nought for always, the highest code for never."""
    step = (seas[-1] - seas[0]) / ((1 << TRIPS_BITS) - 4)
    held = np.where(np.isneginf(trips_from), seas[0] - step, trips_from)
    return _column(held, TRIPS_BITS, seas[0] - step, step)


def _within(start: Array, end: Array, seas: tuple[float, ...]) -> dict[str, Any]:
    """Return from which sea on something holds, and until which, in the middle of a few steps.

    It is told of the boats of which it ever holds: of those that have no number in "ever".
    """
    step, ever = (seas[-1] - seas[0]) / (N_SEAS - 1), start < np.inf
    return {
        "ever": _column(np.where(ever, np.inf, 0.0), 1, 0.0, 1.0),
        "from": _trips(start[ever], seas),
        "until": _column(end[ever], UNTIL_BITS, seas[0] + step / 2.0, step),
    }


def _read(kind: str, values: Array) -> dict[str, Any]:
    """Return what an instrument would show, as finely as it counts; no flow that runs as nought."""
    known = values[np.isfinite(values)]
    wide = float(np.ptp(known))
    error = instruments()[kind].error if kind != "volts" else 0.01 * float(np.min(known))
    bits = int(np.ceil(np.log2(FINE * wide / error + 2.0)))
    bits = min(max(bits, 1), MOST_BITS)
    low, step = _scale(values, bits)
    return _column(_running(values, step) if kind == "flow" else values, bits, low, step)


def _running(values: Array, step: float) -> Array:
    """Return what runs as one step at least: a trickle is no dry outlet."""
    return np.where(values > 0.0, np.maximum(values, step), values)


def _spread(values: Array, bits: int) -> dict[str, Any]:
    return _column(values, bits, *_scale(values, bits))


def _scale(values: Array, bits: int) -> tuple[float, float]:
    """Return the least of what is known, and the step at which so many bits reach the most."""
    known = values[np.isfinite(values)]
    low, high = float(np.min(known)), float(np.max(known))
    return low, max(high - low, 1e-9) / ((1 << bits) - 2)


def _codes(rows: Array) -> dict[str, Any]:
    """Return the rows that differ, and which of them each one is."""
    flat = np.round(rows.reshape(-1, rows.shape[-1]), 4)
    found, of = np.unique(flat, axis=0, return_inverse=True)
    at = np.asarray(of, dtype=float).ravel()
    bits = len(found).bit_length()
    return {"rows": found.tolist(), "of": _column(at, bits, 0.0, 1.0)}


def _column(values: Array, bits: int, low: float, step: float) -> dict[str, Any]:
    """Return numbers in so many bits each; the highest code is for one that is not known."""
    none = (1 << bits) - 1
    known = np.isfinite(values)
    steps = np.round((np.where(known, values, low) - low) / step)
    code = np.where(known, np.clip(steps, 0, none - 1), none).astype(np.uint32)
    lengths, at = shorter(code, bits)
    return {"at": at, "lengths": lengths, "bits": bits, "low": low, "step": step}
