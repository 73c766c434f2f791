"""Simulated boats as text that a script of the page reads: few bits, in base64."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.studies.design.certainty.sample import LEVELS
from seaflow.studies.diagnose import infer, predict, verdict
from seaflow.studies.diagnose.drawn import PackedBoats, ReadAt
from seaflow.studies.diagnose.faults import nothing
from seaflow.studies.diagnose.look import AFTER_LOAD, LIKELY_ENOUGH
from seaflow.studies.diagnose.readings import instruments, signs
from seaflow.studies.diagnose.simulate import supply_range

UNKNOWN = 4095  # of twelve bits
RISES = (-10.0, 70.0)  # K that are told apart
ROOM_STEP, NO_ROOM = 0.25, 255  # K; at rest
WATER_STEP = 0.01
READ = ("sea", "discharge", "flow", "volts", "amps")


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
            }
            for kind in READ
        },
        "signs": {
            kind: {
                "words": list(sign.healthy),
                "healthy": list(sign.healthy.values()),
                "effort": sign.effort,
            }
            for kind, sign in signs().items()
        },
        **_likelihood(),
        **_verdict(),
        "levels": LEVELS,
        "afterLoad": AFTER_LOAD,
        "likelyEnough": LIKELY_ENOUGH,
        "nothing": nothing().title,
    }


def _likelihood() -> dict[str, Any]:
    """Return the numbers by which a reading counts for a boat."""
    return {
        "astray": infer.ASTRAY,
        "leastEffective": infer.LEAST_EFFECTIVE,
        "coarser": infer.COARSER,
        "mostCoarser": infer.MOST_COARSER,
        "badly": predict.BADLY,
        "misread": predict.MISREAD,
        "leastLog": predict.LEAST_LOG,
        "noStream": predict.NO_STREAM * predict.DRY_READ,
        "tripSpread": predict.TRIP_SPREAD,
        "misreported": predict.MISREPORTED,
        **predict.stream_rows(),
    }


def _verdict() -> dict[str, Any]:
    """Return the numbers by which the odds become a verdict."""
    return {
        "unusual": verdict.UNUSUAL,
        "room": verdict.ROOM,
        "leaks": verdict.LEAKS,
        "likelyThird": verdict.LIKELY_THIRD,
        "weak": verdict.WEAK,
        "close": verdict.CLOSE,
        "stops": [
            [kind, word, why.kind.partition(".")[2]] for (kind, word), why in verdict.stops()
        ],
    }


def loop_packed(boats: PackedBoats) -> dict[str, Any]:
    """Return the boats of one loop."""
    faults = boats.setup.faults
    ends = supply_range(boats.setup)
    return {
        "name": boats.setup.built.network.name,
        "margin": boats.setup.case.design.cut_out_margin,
        "leak": next((n for n, fault in enumerate(faults) if fault.name == "leak"), -1),
        "seas": boats.seas,
        "pairs": boats.pairs,
        "pair": _text(boats.pair.astype("<u2")),
        "prior": _column(boats.log_prior),
        "volts": _column(boats.volts),
        "amps": _column(boats.amps),
        "usualVolts": [ends[0], ends[2]],
        "voltsRange": 1.0,
        "ampsRange": boats.amps_range,
        "water": _text(_bytes(boats.water / WATER_STEP)),
        "waterStep": WATER_STEP,
        "state": _text(boats.still + 2 * boats.pulses),
        "room": [_text(_room(row)) for row in boats.room],
        "roomStep": ROOM_STEP,
        "flags": [_text(row) for row in _flags(boats)],
        "trips": [
            round(max((faults[one].trips for one in pair if one >= 0), default=0.0), 4)
            for pair in boats.pairs
        ],
        "chances": {kind: _codes(rows) for kind, rows in boats.chances.items()},
        "spots": [_spot(spot) for spot in boats.spots],
    }


def _spot(spot: ReadAt) -> dict[str, Any]:
    return {
        "outlet": spot.outlet,
        "unit": spot.unit,
        "usual": spot.usual,
        "riseRange": spot.rise_range,
        "flowRange": spot.flow_range,
        "rise": [_column(np.clip(row, *RISES), RISES) for row in spot.rise],
        "flow": _column(spot.flow),
    }


def _flags(boats: PackedBoats) -> Iterator[NDArray[np.uint8]]:
    """Yield for each sea a bit each: any unit trips, that of each spot does, all are at rest."""
    for number, trips in enumerate(boats.trips):
        bits = trips.astype(np.uint8)
        for k, spot in enumerate(boats.spots[:6]):
            bits |= spot.trips[number].astype(np.uint8) << (k + 1)
        yield bits | (boats.rest[number].astype(np.uint8) << 7)


def _codes(rows: Array) -> dict[str, Any]:
    """Return the rows that differ, and which of them each one is."""
    flat = np.round(rows.reshape(-1, rows.shape[-1]), 4)
    found, of = np.unique(flat, axis=0, return_inverse=True)
    return {"rows": found.tolist(), "of": _text(np.asarray(of).ravel().astype("<u2"))}


def _room(room: Array) -> NDArray[np.uint8]:
    found = _bytes(np.where(np.isfinite(room), room, 0.0) / ROOM_STEP, NO_ROOM - 1)
    return np.where(np.isfinite(room), found, NO_ROOM).astype(np.uint8)


def _bytes(values: Array, most: int = 255) -> NDArray[np.uint8]:
    return np.clip(np.round(values), 0, most).astype(np.uint8)


def _column(values: Array, ends: tuple[float, float] | None = None) -> dict[str, Any]:
    """Return numbers in twelve bits each, two in three bytes."""
    known = np.isfinite(values)
    low, high = ends or (float(np.min(values[known])), float(np.max(values[known])))
    step = max(high - low, 1e-9) / (UNKNOWN - 1)
    code = np.where(known, np.round((np.where(known, values, low) - low) / step), UNKNOWN)
    one, two = code.astype(np.uint32).reshape(-1, 2).T
    packed = np.stack([one & 255, (one >> 8) | ((two & 15) << 4), two >> 4], axis=1)
    return {"at": _text(packed), "low": low, "step": step}


def _text(values: NDArray[Any]) -> str:
    raw = values if values.dtype == np.dtype("<u2") else values.astype(np.uint8)
    return b64encode(raw.tobytes()).decode()
