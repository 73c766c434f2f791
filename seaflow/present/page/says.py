"""What the script of the owner's questions says, with marks where it puts something in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from seaflow.base.facts import fact
from seaflow.present.page.both import AMERICAN, METRIC


class Blank(str):
    """Where the script puts something in, however the sentence would show it."""

    def __format__(self, spec: str) -> str:
        return str(self)


def _mark(*names: str) -> dict[str, Any]:
    return {name: Blank(f"{{{name}}}") for name in names}


# What the script says; kinds of `diagnose` are those of its verdicts.
SAID = (
    fact("diagnose.normal"),
    fact("diagnose.watch"),
    fact("diagnose.act_soon"),
    fact("dock.stop_now"),
    fact("diagnose.nothing_measured"),
    fact("diagnose.sea_unread"),
    fact("diagnose.as_healthy"),
    fact("diagnose.as_at_part_load"),
    fact("diagnose.card_full_load"),
    fact("diagnose.most_are_dry"),
    fact("diagnose.no_heat"),
    fact("diagnose.flat_bank", **_mark("volts", "low", "high")),
    fact("diagnose.low_mains", **_mark("volts", "low", "high")),
    fact("diagnose.leak", **_mark("chance")),
    fact("diagnose.bucket_or_leak", **_mark("chance")),
    fact("diagnose.little_water", **_mark("chance")),
    fact("diagnose.near_cut_out", **_mark("margin", "most")),
    fact("dock.near_cut_out_read", **_mark("value", "place", "low", "high", "margin", "most")),
    fact("diagnose.other_outlets", **_mark("outlets")),
    fact("dock.last"),
    fact("diagnose.no_water"),
    fact("dock.no_water_at"),
    fact("diagnose.tripped"),
    fact("diagnose.salt_water"),
    fact("diagnose.breaker_trips"),
    fact("diagnose.pump_hums"),
    fact("diagnose.pump_wears"),
    fact("diagnose.all_stands"),
    fact("diagnose.pump_stands"),
    fact("dock.odd_rise", **_mark("value", "place", "low", "high")),
    fact("dock.odd_bucket", **_mark("bucket", "seconds", "place", "low", "high")),
    fact("dock.odd_number", **_mark("title", "value", "low", "high")),
    fact("diagnose.odd_heat", **_mark("found", "plate")),
    fact("dock.odd_sign", **_mark("title", "word")),
    fact("dock.room", **_mark("low", "high")),
    fact("diagnose.card_room_at_most", **_mark("high")),
    fact("dock.look_here"),
    fact("dock.first"),
    fact("dock.but"),
    fact("diagnose.card_read_again"),
    fact("diagnose.water_cannot_tell", **_mark("room", "by")),
    fact("diagnose.water_looks_well", **_mark("by")),
    fact("dock.colder_than_sea", **_mark("value", "sea")),
    fact("dock.then_here"),
    fact("dock.at_unit", **_mark("unit")),
    fact("dock.note"),
    fact("diagnose.card_place", **_mark("place", "odds", "chance")),
    fact("diagnose.card_place_quick", **_mark("place", "odds", "chance")),
    fact("dock.do"),
    fact("dock.store"),
    fact("dock.stop_if"),
    fact("dock.stop_signs"),
    fact("dock.read_next"),
    fact("dock.unsure"),
    fact("diagnose.rough"),
    fact("dock.few_boats"),
    fact("dock.no_boat_reads_so"),
    fact("dock.sea_assumed", **_mark("sea")),
    fact("dock.sea_outside"),
    fact("dock.sea_far", **_mark("sea")),
    fact("dock.none_and_bucket"),
    fact("dock.strong_and_shut"),
    fact("dock.normal_here", **_mark("sea", "low", "high", "bucket", "fast", "slow")),
    fact("dock.normal_at", **_mark("sea", "low", "high", "place", "bucket", "fast", "slow")),
    fact("dock.normal_if_here", **_mark("sea", "low", "high", "bucket", "fast", "slow")),
    fact("dock.normal_if_at", **_mark("sea", "low", "high", "place", "bucket", "fast", "slow")),
    fact("dock.left_out", **_mark("fields")),
    fact("dock.not_read", **_mark("field", "typed", "such")),
    fact("dock.cannot_be", **_mark("field", "typed", "low", "high")),
    fact("dock.kept", **_mark("count")),
    fact("dock.fill_in"),
    fact("dock.delete"),
    fact("dock.fill_over"),
    fact("dock.forget_one", **_mark("day")),
    fact("dock.nothing_to_keep"),
    fact("dock.cannot_keep"),
    fact("dock.forget_all"),
)


def says() -> Iterator[tuple[str, tuple[str, str]]]:
    """Yield every sentence of the script in both systems of units, by its kind."""
    for one in SAID:
        yield one.kind.partition(".")[2], (METRIC.sentence(one), AMERICAN.sentence(one))
