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
    "pump_moves_nothing": "no: with {where} the pump moves no water",
    "in_no_sea": "no: with {where} in no sea, for {why}",
    "only_warmer": (
        "not in a sea of {sea}: with {where} only at {coldest} or warmer, for below that {why}"
    ),
    # How cold the sea may be.
    "clean_down_to": "all clean it may run down to a sea of {sea}; below that {why}.",
    "clean_in_no_sea": "all clean it may run in no sea: {why}.",
    "worst_down_to": "Worst case: {sea} with {where}.",
    "worst_in_no_sea": "Worst case: no sea at all with {where}.",
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
