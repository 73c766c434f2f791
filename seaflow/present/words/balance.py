"""Several units on one pump: who starves, what to set, wider hoses, warm water drawn back in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from seaflow.present.quantities import Show


def _dirty_enough(values: Mapping[str, Any], show: Show) -> str:
    more = values["more"]
    much = f"{more:.1%} above" if more < 1.0 else f"with {1.0 + more:.1f} times as much"
    where = show.sentence(values["where"])
    return (
        "When dirty every unit keeps its least flow; "
        f"{values['unit']} comes nearest to it, {much} ({where})."
    )


WORDS: dict[str, str | Callable[[Mapping[str, Any], Any], str]] = {
    "card_title": "{boat}: {loops}, warmest sea {sea}, every unit on",
    # Before all: water moves only once the pump starts.
    "no_start": "{said}. What follows is for a pump that runs.",
    # Who gets too little, the first line of the answer.
    "starves": "{branch}: only {flow:both}, {short:.1%} short of the {need} needed",
    "starves_just": "{branch}: {flow:both}, just short of the {need} needed ({short:.1%})",
    "none_starves": "no branch is short of water; the poorest, {branch}, has {margin:.1%} to spare",
    "only_one": (
        "{branch}: {flow:both}, {margin:.1%} more than needed; with one branch there is nothing to "
        "balance"
    ),
    # What to do with the balancing valves.
    "alike_already": "Leave every valve wide open: the water is shared by need already.",
    "throttle": "throttle {valves}; leave {wide} wide open.",
    "valve": "{hose} by an extra K of {loss:.3g}",
    "valve_turns": "{hose} by an extra K of {loss:.3g} ({turns:.1f} turns open)",
    "best_found": (
        "No setting shares exactly, because the leg after a high point fills or empties near this "
        "one and the flows jump; it is the best found."
    ),
    "all_get_it": "Once the valves are set every branch gets its need and {more:.1%} more.",
    "all_get_it_anyway": (
        "With the valves set every branch would get its need and {more:.1%} more, but nothing has "
        "to be touched."
    ),
    "thin": "Dirt and growth soon take that.",
    "pump_too_small": (
        "Even with the valves set {pump} cannot bring all to need: every branch gets {share:.0%} "
        "of it."
    ),
    "pump_too_small_unevenly": (
        "Even with the valves set {pump} cannot bring all to need: the poorest branch gets "
        "{share:.0%} of it."
    ),
    "improve_helps": (
        "a bigger pump or wider hoses; seaflow improve finds the least change that is enough"
    ),
    "beyond_its_curve": (
        "{hose}: the curve of its valve does not reach the loss that this takes, K {loss:.3g} on "
        "{bore}."
    ),
    "as_it_is": "As it is, {branch} is {short:.1%} short.",
    # Valve by valve on the card, and how to see on board what each branch gets.
    "card_turns": (
        "{hose}: valve {turns:.1f} turns open from shut; {branch} then gets {flow:both}{warmer}."
    ),
    "card_close": "{hose}: close its valve until {branch} gets {flow:both}{warmer}.",
    "card_wide": "{hose}: valve wide open; {branch} then gets {flow:both}{warmer}.",
    "card_rise": ", its water {rise} warmer",
    "card_no_rise": "",
    "check_by_stream": (
        "Go by each stream over the side, bucket and watch in hand, and go round twice: each valve "
        "moves the others."
    ),
    "check_by_rise": (
        "{sharing:capital} share an outlet: go by the rise at each unit (water out less water in, "
        "all units at full load). Go round twice: each valve moves the others."
    ),
    "check_by_both": (
        "{sharing:capital} share an outlet: go by the rise there (water out less water in, all "
        "units at full load), elsewhere by the stream. Go round twice: each valve moves the others."
    ),
    "on_days": (
        "Over the season all units keep their permitted rise on {share:.0%} of the simulated days."
    ),
    "on_days_set": (
        "Over the season all units keep their permitted rise on {share:.0%} of the simulated days "
        "with the valves set, on {before:.0%} as it is."
    ),
    "day": "All cooling takes {energy} in a day: pump, compressors, fans and controls.",
    "day_set": (
        "All cooling takes {energy} in a day with the valves set, {before} as it is: pump, "
        "compressors, fans and controls."
    ),
    "valves_alone": "Setting the valves alone does not do.",
    "card_sure": "Flows are for clean hoses in the warmest sea.",
    "pump_then": "The pump then gives {flow} at {power}.",
    "dirty_enough": _dirty_enough,
    "dirty_short": (
        "When dirty it is not enough: {unit} gets {short:.1%} less than its least flow ({where})."
    ),
    # Wider hoses before all branches.
    "no_wider": "the hoses that all branches share cannot be made wider",
    "widen": (
        "widen the {hoses} {hoses:hose that all branches share|hoses that all branches share} to "
        "{bore:both}: enough without touching a valve, the poorest branch with {margin:.1%} to "
        "spare"
    ),
    "wider_is_not_enough": (
        "wider hoses alone are not enough: with {bore:both} in all that the branches share "
        "{branch} is still {short:.1%} short"
    ),
    # Units in a row.
    "in_series": "{unit} stands behind {ahead} and gets its water at {inlet}, {warmer} warmer.",
    "series_costs": (
        "It stays {left} below its cut-out; with water straight from the sea it would be {fresh}. "
        "It takes {more:.0%} more power."
    ),
    "series_stops": "{unit} does not run on water so warm.",
    "pipe_in_parallel": "Pipe the units in parallel.",
    # An outlet and an intake.
    "too_near": (
        '"{outlet}" is {away} from "{intake}", nearer than {least}: its warm water is drawn back '
        "in."
    ),
    "forward": (
        '"{outlet}" is {away} from "{intake}", forward on the same side: a current along the hull '
        "carries its warm water to the intake."
    ),
    "abaft": '"{outlet}" is {away} from "{intake}": far enough, and abaft it.',
    "other_side": '"{outlet}" is {away} from "{intake}": far enough, and not on its side.',
    "unplaced": (
        'where "{outlet}" or "{intake}" lies is not recorded, so nobody can tell how far apart '
        "they are."
    ),
    # Warm water drawn back in.
    "drawn_back": (
        "if {share:.0%} of the water at the intake were discharge it would be {warmer} warmer; "
        "{unit} would then be {left} below its cut-out instead of {before}"
    ),
    "drawn_back_stops": (
        "if {share:.0%} of the water at the intake were discharge it would be {warmer} warmer, and "
        "{unit} would not run"
    ),
    "not_cooling": "{unit} does not cool even with water straight from the sea",
}

# What stands beside the tables.
SHARING = "In brackets: more than needed; with a branch shut also the gain over all open."
SWITCHED_OFF = (
    "Switching a unit off changes none of these flows: water keeps flowing through its coil. Only "
    "shutting its branch gives its water to the others."
)
VALVES = (
    "K is on the velocity in that hose, on top of the branch with its valve wide open. No other "
    "setting gives the poorest branch more. Where the curve of a valve is not known, close it "
    "until its branch gets this flow. Rise: water out less water in at this setting, in the "
    "warmest sea."
)
DRAWN_BACK = "What discharge in the intake's water costs, all units on:"
