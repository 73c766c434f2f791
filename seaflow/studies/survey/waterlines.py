"""The heeled waterlines that published requirements ask for, side by side where they differ."""

from __future__ import annotations

import math
from dataclasses import dataclass

from seaflow.base.measured import measured
from seaflow.boat.case import Boat
from seaflow.model.geometry import sheer_immersion

MODEST = math.radians(7.0)
STEEP = math.radians(30.0)
ISO, ABYC = "ISO 9093:2020", "ABYC H-27"


@dataclass(frozen=True, slots=True)
class Waterline:
    """A heeled waterline: who asks for it, the angle, and how it is found."""

    name: str
    words: str
    angle: float | None = measured("rad", None)


def waterlines(boat: Boat) -> tuple[Waterline, ...]:
    """Return the heeled waterlines for a kind of hull; the angle is None where it is not known."""
    if boat.hull == "sailing monohull":
        sheer = sheer_immersion(boat.beam, boat.freeboard)
        return (
            Waterline(
                ISO,
                "30 degrees or the deck edge in the water, whichever comes first"
                + ("" if sheer is not None else "; the deck edge is not recorded, so 30 degrees"),
                STEEP if sheer is None else min(STEEP, sheer),
            ),
            Waterline(ABYC, "the deck edge amidships in the water", sheer),
        )
    if boat.hull == "sailing multihull":
        words = "7 degrees for a sailing multihull; for one under ABYC H-27 check the edition"
        return (Waterline(ISO, words, MODEST),)
    return (
        Waterline(ISO, "7 degrees for a motor boat", MODEST),
        Waterline(ABYC, "7 degrees for a power boat", MODEST),
    )
