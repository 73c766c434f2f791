"""The answer of `place` as data, each place with what follows from it."""

from __future__ import annotations

from typing import Any

from seaflow.present.data import as_data
from seaflow.studies.place.rank import Outcome
from seaflow.studies.place.study import PlacingAnswer


def place_data(answer: PlacingAnswer) -> dict[str, Any]:
    """Return the answer as dictionaries and lists; every place says whether and why it holds."""
    data: dict[str, Any] = as_data(answer)
    for item, pump in zip(answer.pumps, data["pumps"], strict=True):
        pump["outcomes"] = [
            {**whole, **_follows(outcome)}
            for outcome, whole in zip(item.outcomes, pump["outcomes"], strict=True)
        ]
    return data


def _follows(outcome: Outcome) -> dict[str, Any]:
    heard = outcome.loudest
    loudest = None
    if heard is not None:
        loudest = {
            "berth": heard.berth,
            "level": {"value": heard.level, "unit": "dB"},
            "half_width": {"value": heard.half_width, "unit": "dB"},
        }
    return {
        "holds": outcome.holds,
        "reasons": as_data(outcome.reasons),
        "remarks": as_data(outcome.remarks),
        "loudest": loudest,
    }
