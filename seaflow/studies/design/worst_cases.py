"""The corners at which a design must hold: warm, dirty, overgrown, low supply, cold and clean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.sentence import quantity
from seaflow.boat.case import Case
from seaflow.model.conditions import Conditions
from seaflow.studies.design.supply import panel_volts


@dataclass(frozen=True, slots=True)
class Corner:
    """One corner: a short name, what it means, and what it asks of the flow.

    `asks` is "aim" (the full need), "floor" (no trip, maker's least) or "ceiling" (coil velocity,
    maker's most).
    """

    name: str
    words: str
    asks: str
    conditions: Conditions


def corners(case: Case) -> tuple[Corner, ...]:
    """Return the corners of a case; voltages are those at the panel."""
    supply = case.supply
    low, _, high = panel_volts(case)
    warm = Conditions(
        sea_temperature=case.sea.warmest,
        salinity=case.sea.salinity,
        voltage=supply.voltage,
        frequency=supply.frequency,
    )
    found = [
        Corner("design", "warmest sea, all clean, nominal supply", "aim", warm),
        _blocked(case, warm),
        Corner(
            "low voltage",
            f"warmest sea, {quantity('voltage', low)} at the panel",
            "floor",
            replace(warm, voltage=low),
        ),
        _overgrown(case, warm),
        _cold(case, warm, high),
    ]
    if supply.other_frequency is not None:
        other = Corner(
            "other frequency",
            f"warmest sea, plugged into {supply.other_frequency:.3g} Hz",
            "floor",
            replace(warm, frequency=supply.other_frequency),
        )
        found.insert(3, other)
    return tuple(found)


def _blocked(case: Case, warm: Conditions) -> Corner:
    share = case.design.blocked_share
    return Corner(
        "strainer blocked",
        f"warmest sea, {share:.0%} of the basket's open area lost",
        "floor",
        replace(warm, strainer_blockage=share),
    )


def _overgrown(case: Case, warm: Conditions) -> Corner:
    growth = case.design.growth
    return Corner(
        "growth in hoses",
        f"warmest sea, {quantity('thickness', growth)} of growth in every hose",
        "floor",
        replace(warm, growth=growth),
    )


def _cold(case: Case, warm: Conditions, high: float) -> Corner:
    sea = case.sea
    return Corner(
        "cold and clean",
        f"sea at {quantity('temperature', sea.coldest)}, all clean, {quantity('voltage', high)}",
        "ceiling",
        replace(warm, sea_temperature=sea.coldest, voltage=high),
    )


def stacked(found: Sequence[Corner], voltages: Sequence[float]) -> Conditions:
    """Return the conditions of several corners along one axis, with these volts at the pump."""
    changes = {"voltage": np.asarray(voltages, dtype=float)}
    for name in ("sea_temperature", "frequency", "strainer_blockage", "growth"):
        values = [getattr(corner.conditions, name) for corner in found]
        if values[0] is not None:
            changes[name] = np.asarray(values, dtype=float)
    return replace(found[0].conditions, **changes)  # type: ignore[arg-type]
