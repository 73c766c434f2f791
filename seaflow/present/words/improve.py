"""What to change on a boat: the choice taken and why, each change alone, the best trade-offs."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    # Changes, each as it stands in a table and in a list of several.
    "as_it_is": "the boat as it is",
    "pump": "pump {pump}",
    "strainer": "strainer {strainer} with {ports} ports",
    "hull": "through-hull to {bore}",
    "hull_and_seacock": "through-hull and seacock to {bore}",
    "suction_hoses": "{hoses} suction {hoses:hose|hoses} to {bore}",
    "delivery_hoses": "{hoses} delivery {hoses:hose|hoses} to {bore}",
    "shared_hoses": "{hoses} shared delivery {hoses:hose|hoses} to {bore}",
    "unit_hoses": "{hoses} {hoses:hose|hoses} of {unit} to {bore}",
    "branch_hoses": "{hoses} {hoses:hose|hoses} of all branches one size up",
    "valves": "balancing valves set in {valves} of {branches} branches",
    "new_hole": (
        "a bigger through-hull is a new hole below the waterline: haul out, and have it done by "
        "somebody who will answer for it"
    ),
    # The boat now.
    "now": (
        "{pump}, {chosen}: {unit} gets {flow} ({margin:+z.1%}); enough water on {share:.0%} of the "
        "days, all units run on {running:.0%}; the pump takes {energy} a day"
    ),
    # What to change.
    "leave": "Leave it as it is: enough water on {share:.0%} of the days.",
    "nothing_likelier": (
        "Nothing that was tried is enough on more days than now: enough water on {share:.0%}."
    ),
    "take": (
        "Take {changes}: enough water on {share:.0%} of the days instead of {before:.0%}, and the "
        "pump takes {energy} a day instead of {energy_before}."
    ),
    "nearest": (
        "The nearest to enough is {changes}: enough water on {share:.0%} of the days instead of "
        "{before:.0%}, and the pump takes {energy} a day instead of {energy_before}."
    ),
    "price": "The parts cost {price:g} {currency}.",
    "price_without": "The parts cost {price:g} {currency}, without {without}.",
    # Why that and nothing else.
    "none_reaches": (
        "Nothing in the tables reaches the {enough:.0%} asked, and this comes nearest: look at the "
        "need of the units and at what size says to measure first."
    ),
    "next_best": (
        "Of the others that are enough this is least work: {changes} ({count} "
        "{count:change|changes}), {share:.0%} at {energy} a day."
    ),
    "against_it": "But {reason}.",
    "nothing_else": "That is at least the {enough:.0%} asked, and there was nothing else to try.",
    "only_this": (
        "Nothing else that was tried reaches the {enough:.0%} asked. The best of the others: "
        "{changes} ({count} {count:change|changes}), {share:.0%}."
    ),
    "nothing_to_save": (
        "That is at least the {enough:.0%} asked, and no change would save energy as well."
    ),
    "saves_most": (
        "That is at least the {enough:.0%} asked. Most energy would be saved by {changes} ({count} "
        "{count:change|changes}): {energy} a day instead of {before}."
    ),
    # Beside one change alone.
    "too_much": "too much for a coil",
    "no_longer_full": "a leg no longer runs full",
    "takes_water": "takes water from {unit}",
    # Pumps that were not tried.
    "not_continuous": "{pump} is left out: it is not rated for continuous duty.",
    "does_not_start": "{pump} is left out, since it would not start: {reasons}.",
    # How it is calculated.
    "tried": "{tried} boats were looked at in brief and {sampled} of them on all days.",
    "enough": (
        "Enough: the share of simulated days of the season, each with every uncertain figure drawn "
        "anew, on which every unit runs and keeps its permitted rise; {enough:.0%} are asked. "
        "Every choice meets the same days. The error of a share is at most {error:.1%}."
    ),
    "energy": (
        "Energy: the pump running day and night, its speed set as low as will do where it can be "
        "set. Changes: every pump, strainer, hose, seacock or through-hull put in new counts one, "
        "and so does each balancing valve to be set. A wider hose can give less: where the leg "
        "after the highest point no longer runs full, its height is lost."
    ),
    "beats": (
        "One choice beats another if it is nowhere worse and somewhere better: shares in whole per "
        "cent, energy in steps of 50 Wh a day, number of changes, and price where parts have one. "
        "Of those that are enough, with at most one change more than the fewest, the one that "
        "takes least energy is taken."
    ),
}
