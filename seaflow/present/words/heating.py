"""Heating with the sea as the source: whether it may, and how cold the sea may be."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

_STOPS = {"no water": "gets no water", "off": "is switched off", "trips": "trips"}


def _stops(values: Mapping[str, Any], show: Any) -> str:
    return f"{values['unit']} {_STOPS[values['state']]}"


WORDS: Mapping[str, str | Callable[[Mapping[str, Any], Any], str]] = {
    "head": (
        "heating from a sea of {sea}, salinity {salinity:.3g} g/kg, which freezes at {freezing}"
    ),
    # Whether it may heat.
    "yes": "yes, in a sea of {sea}, and in all {count} worst cases",
    "pump_moves_nothing": "no: the pump moves no water ({where})",
    "in_no_sea": "no: in no sea ({where}), for {why}",
    "only_warmer": (
        "not in a sea of {sea}, only at {coldest} or warmer ({where}), for below that {why}"
    ),
    # What makes it tight or a no.
    "ices": "no flow keeps {unit} clear of ice in this sea ({where})",
    "ices_for_want_of_water": (
        "{unit} gets {flow} of the {asked} that keep it clear of ice, {short:.1%} short ({where})"
    ),
    # How cold the sea may be.
    "clean_down_to": "all clean it may run down to a sea of {sea}; below that {why}.",
    "clean_in_no_sea": "all clean it may run in no sea: {why}.",
    "worst_down_to": "Worst case: {sea}, {where}.",
    "worst_in_no_sea": "Worst case: no sea at all, {where}.",
    "no_water": "{unit} gets no water",
    "near_freezing": "the water leaving {unit} comes within {margin} of freezing",
    "wall_ices": "ice would start on the wall of the coil of {unit}",
    "sea_freezes": "the sea itself freezes first",
    # What a unit gives.
    "stops": _stops,
    "gives": (
        "{unit}: gives {heat:both} for {power} ({times:.1f} times), {drawn} of it from the sea; "
        "gets {flow}, {least}; water leaves at {leaves}, {margin} above freezing; evaporates at "
        "{evaporates}, coldest wall of its coil {wall}"
    ),
    "least_flow": "needs {flow} to keep clear of ice",
    "no_flow_is_enough": "no flow keeps it clear of ice there",
}
