"""Several units on one pump: who starves, what to set, wider hoses, warm water drawn back in."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    # Who gets too little, the first line of the answer.
    "starves": "{branch} gets {flow}, {short:.1%} less than the {need} it needs",
    "none_starves": "no branch starves; the poorest is {branch} ({margin:+z.1%})",
    "only_one": (
        "{branch} gets {flow} ({margin:+z.1%}); with one branch there is nothing to balance"
    ),
    # What to do with the balancing valves.
    "alike_already": "leave every valve wide open: the water is shared by need already.",
    "throttle": "throttle {valves}; leave {wide} wide open.",
    "valve": "{hose} by an extra K of {loss:.3g}",
    "valve_turns": "{hose} by an extra K of {loss:.3g} ({turns:.1f} turns open)",
    "best_found": (
        "No setting shares exactly, because the leg after a high point fills or empties near this "
        "one and the flows jump; it is the best found."
    ),
    "all_get_it": "Then every branch gets its need and {more:.1%} more.",
    "all_get_it_anyway": (
        "Then every branch gets its need and {more:.1%} more, though none has to be touched."
    ),
    "thin": "That is thin: seaflow improve says how likely it is to be enough.",
    "pump_too_small": (
        "Even so {pump} cannot bring all to need: every branch gets {share:.0%} of it. A bigger "
        "pump or wider bores are needed: see seaflow improve."
    ),
    "pump_too_small_unevenly": (
        "Even so {pump} cannot bring all to need: the poorest branch gets {share:.0%} of it. A "
        "bigger pump or wider bores are needed: see seaflow improve."
    ),
    "beyond_its_curve": (
        "{hose}: its curve does not reach the {loss:.3g} on {bore} that this takes."
    ),
    "pump_then": "The pump then gives {flow} at {power}.",
    "dirty_enough": (
        "When dirty all keep what they must: {unit} comes nearest to its least flow, {more:.1%} "
        "above it ({where})."
    ),
    "dirty_short": (
        "When dirty it is not enough: {unit} gets {short:.1%} less than its least flow ({where})."
    ),
    # Wider hoses before all branches.
    "no_wider": "the hoses that all branches share cannot be made wider",
    "widen": (
        "widen the {hoses} shared {hoses:hose|hoses} to {bore}: that alone brings every branch to "
        "need (least {margin:+z.1%})"
    ),
    "wider_is_not_enough": (
        "no wider hose is enough alone: with {bore} in all shared hoses {branch} is still at "
        "{margin:+z.1%}"
    ),
    # Units in a row.
    "in_series": "{unit} stands behind {ahead} and gets its water at {inlet}, {warmer} warmer.",
    "series_costs": (
        "It stays {left} below its cut-out, where water from the sea would leave {fresh}, and "
        "takes {more:.0%} more power."
    ),
    "series_stops": "{unit} does not run on it.",
    "pipe_in_parallel": "Pipe the units in parallel.",
    # An outlet and an intake.
    "too_near": (
        '"{outlet}" is {away} from "{intake}", and {least} is the least: its warm water is drawn '
        "back in."
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
        "if {share:.0%} of the water at the intake were discharge it would be {warmer} warmer, and "
        "{unit} {left} below its cut-out in place of {before}"
    ),
    "drawn_back_stops": (
        "if {share:.0%} of the water at the intake were discharge it would be {warmer} warmer, and "
        "{unit} would not run"
    ),
    "not_cooling": "{unit} does not cool even with clean sea water; warmer water is no question",
}

# What stands beside the tables.
SHARING = "In brackets: over need; with a branch shut also what that gives over all open."
SWITCHED_OFF = (
    "Switching a unit off changes none of these flows: water keeps flowing through its coil. Only "
    "shutting its branch gives its water to the others."
)
VALVES = (
    "K is on the velocity in that hose, on top of the branch with its valve wide open. No other "
    "setting gives the poorest branch more. Without a valve's curve, close it until its stream "
    "over the side shows this flow, bucket and watch in hand, and go round twice: each valve "
    "moves the others."
)
DRAWN_BACK = "What discharge in the intake's water costs, all units on:"
