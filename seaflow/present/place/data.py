"""The answer of `place` as data, each place with what follows from it."""

from __future__ import annotations

from typing import Any

from seaflow.present.data import as_data
from seaflow.studies.place.rank import PlaceResult
from seaflow.studies.place.study import PlacingAnswer


def place_data(answer: PlacingAnswer) -> dict[str, Any]:
    """Return the answer as dictionaries and lists; every place says whether and why it holds."""
    data: dict[str, Any] = as_data(answer)
    for item, pump in zip(answer.pumps, data["pumps"], strict=True):
        pump["places"] = [
            {**whole, **_follows(result)}
            for result, whole in zip(item.places, pump["places"], strict=True)
        ]
    return data


def _follows(result: PlaceResult) -> dict[str, Any]:
    heard = result.loudest
    loudest = None
    if heard is not None:
        loudest = {
            "berth": heard.berth,
            "level": {"value": heard.level, "unit": "dB"},
            "half_width": {"value": heard.half_width, "unit": "dB"},
        }
    return {
        "holds": result.holds,
        "reasons": as_data(result.reasons),
        "remarks": as_data(result.remarks),
        "loudest": loudest,
    }
