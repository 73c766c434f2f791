"""Sentences on the first start: what keeps a pump from getting the water moving."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "intake_out": "the intake {intake} is {height} above the water: it draws air",
    "pump_above_water": (
        "{thing} is {lift} above the water and cannot prime itself: it will not start"
    ),
    "crest_above_water": (
        "{thing} is a high point {lift} above the water before the pump, which cannot draw air: "
        "it will not start"
    ),
    "lift_too_great": (
        "the water must be drawn up {lift} to {thing}, and a pump that primes itself manages about "
        "{possible} with so much hose before it"
    ),
    "draws_up": "it draws the water up {lift} to {thing} by itself (about {possible} is possible)",
    "draws_out": (
        "air stays at {crest}, where the suction falls {fall} to {dip}, and it draws it out itself"
    ),
    "air_in_suction": (
        "air stays at {crest}, where the suction falls {fall} to {dip}: bleed it there before the "
        "first start"
    ),
    "air_shut_in": (
        "the outlet {outlet} is under water too, so the air in between cannot leave and keeps "
        "the water from the pump: bleed it at {crest}, or fit a vent there"
    ),
    "too_high": (
        "{thing} is higher than the pump can push: {bled} are needed and it gives {shut_off} at "
        "the most"
    ),
    "air_in_dips": (
        "air stays in the legs that fall, so the first start asks for {head} at {thing} and the "
        "pump gives {shut_off}: bleed the high points, after which {bled} will do"
    ),
    # How it goes.
    "as_it_is": "With the seacock open the water reaches the pump: it starts as it is.",
    "primes": "It primes itself: {reasons}.",
    "bleed": "It starts after bleeding at {at}: {reasons}.",
    "will_not": "Not as it is: {said}. To cure it, {cure}.",
    "but": "But {said}. To cure it, {cure}.",
    "not_known": "Whether it starts is not known: no height is recorded for {things}.",
    # What would cure it.
    "lower": "lower {thing} by at least {distance}",
    "lower_pump": (
        "lower {thing} by at least {distance}, so that it stays {depth} under water; {least} "
        "brings it just under"
    ),
    "vent": "fit a vent at {thing}, or bleed it there",
    # Attitudes, behind a reason.
    "upright": "upright",
    "turned": "at {by}",
    "heel": "{heel} of heel",
    "heel_down": "{heel} of heel, {side} side down",
    "trim": "{trim} of trim",
    "trim_down": "{trim} of trim, {end} down",
    "on_a_tack": "{where}: {reason}",
}
