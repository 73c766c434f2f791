"""The heeled waterlines to which requirements hold a kind of hull."""

from __future__ import annotations

import math
from dataclasses import dataclass

from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Boat
from seaflow.model.geometry import sheer_immersion

MODEST = math.radians(7.0)
STEEP = math.radians(30.0)
ISO, ABYC = "ISO 9093:2020", "ABYC H-27"


@dataclass(frozen=True, slots=True)
class Waterline:
    """A heeled waterline: who asks for it, what for, and the angle, None where it is not known."""

    name: str
    asks: Fact
    angle: float | None = measured("rad")


def waterlines(boat: Boat) -> tuple[Waterline, ...]:
    """Return the heeled waterlines for a kind of hull, side by side where requirements differ."""
    if boat.hull == "sailing monohull":
        sheer = sheer_immersion(boat.beam, boat.freeboard)
        steep = Waterline(ISO, fact("survey.steep_without_sheer"), STEEP)
        if sheer is not None:
            steep = Waterline(ISO, fact("survey.steep_or_sheer"), min(STEEP, sheer))
        return (steep, Waterline(ABYC, fact("survey.sheer"), sheer))
    if boat.hull == "sailing multihull":
        return (Waterline(ISO, fact("survey.modest_sailing"), MODEST),)
    return (
        Waterline(ISO, fact("survey.modest_motor"), MODEST),
        Waterline(ABYC, fact("survey.modest_power"), MODEST),
    )
