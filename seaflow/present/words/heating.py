"""Heating with the sea as the source: whether it may, and how cold the sea may be."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

_STOPS = {"no water": "gets no water", "off": "is switched off", "trips": "trips"}


def _stops(values: Mapping[str, Any], show: Any) -> str:
    return f"{values['unit']} {_STOPS[values['state']]}"


WORDS: Mapping[str, str | Callable[[Mapping[str, Any], Any], str]] = {
    "card_title": "{boat}: heating from a sea of {sea}",
    # Whether it may heat.
    "yes": "it may heat in a sea of {sea}, and in all {count} worst cases",
    "pump_moves_nothing": "it must not heat: the pump moves no water ({where})",
    "in_no_sea": "it must not heat in any sea: {why} ({where})",
    "only_warmer": (
        "it must not heat in a sea of {sea}, only at {coldest:up} or warmer: below that {why} "
        "({where})"
    ),
    "card_tight": "in a sea of {sea} it comes close to ice: {said}",
    "day": (
        "All heating takes {energy} in a day, for the hours and loads of its duties in this sea: "
        "pump, compressors, fans and controls."
    ),
    # What makes it tight or a no.
    "ices": "no flow keeps {unit} clear of ice in this sea ({where})",
    "ices_for_want_of_water": (
        "{unit} gets {flow} of the {asked} that keep it clear of ice, {short:.1%} short ({where})"
    ),
    # How cold the sea may be.
    "clean_down_to": "{sea} with all clean: below that {why}.",
    "clean_in_no_sea": "no sea at all, even with all clean: {why}.",
    "worst_down_to": "Worst case: {sea}, {where}.",
    "worst_in_no_sea": "Worst case: no sea at all, {where}.",
    "no_water": "{unit} gets no water",
    "near_freezing": "the water leaving {unit} comes within {margin} of freezing",
    "wall_ices": "ice would start on the wall of the coil of {unit}",
    "sea_freezes": "the sea itself freezes first",
    "sure": (
        "The coldest sea is good to 1 or 2 °C (2 to 4 °F), at a salinity of {salinity:.3g} g/kg, "
        "which freezes at {freezing}; fresh or brackish water freezes sooner."
    ),
    # What a unit gives.
    "card_unit": (
        "{unit} gives {heat:both} for {power}. It gets {flow:both}; {least}. Its water leaves at "
        "{leaves}, {margin} above freezing."
    ),
    "stops": _stops,
    "gives": (
        "{unit}: gives {heat:both} for {power} ({times:.1f} times), {drawn} of it from the sea; "
        "gets {flow}; {least}; water leaves at {leaves}, {margin} above freezing; evaporates at "
        "{evaporates}, coldest wall of its coil {wall}"
    ),
    "least_flow": "{flow} or more keeps it clear of ice",
    "no_flow_is_enough": "no flow keeps it clear of ice there",
}
