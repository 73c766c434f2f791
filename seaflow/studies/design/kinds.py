"""Kinds of what is held against a pump: its suction, its flow, the aims, and what days tell."""

from __future__ import annotations

from collections.abc import Iterable

from seaflow.base.facts import Fact, fact

STARVED = ("design.cavitates", "design.deep_suction", "design.narrow_suction")
OF_RISE = ("design.misses_rise", "design.seldom_keeps_rise")
SHORT_OF_WATER = (
    *("design.no_flow_cools", "design.all_shut", "design.too_little_water", "design.cannot_lift"),
    *("design.does_not_turn", "design.unit_dry", "design.unit_trips", "design.seldom_runs"),
    *OF_RISE,
)
FORCED = ("design.too_much_water", "design.too_fast_for_the_coil", "design.often_too_fast")
SHORT_DAYS = ("design.seldom_runs", "design.seldom_keeps_rise")  # of water, on simulated days
BY_DAYS = (*SHORT_DAYS, "design.often_too_fast")
# Aims that simulated days judge instead, once there are any.
DRAWN = ("design.misses_rise", "design.too_fast_for_the_coil")
AIMED = (*DRAWN, *BY_DAYS[1:])
TYPICAL_WATTS = "design.typical_watts"  # of a pump whose sheet gives neither watts nor amps
START_NOT_KNOWN = "design.start_not_known"


def told_first(held: Iterable[Fact]) -> Fact | None:
    """Return what to tell first of what is held against a pump; None of nothing.

    A start that is not known hides nothing: what comes next is told with it.
    """
    first, also, *_ = (*held, None, None)
    if first is None or also is None or first.kind != START_NOT_KNOWN:
        return first
    return fact("design.start_not_known_and", start=first, also=also)
