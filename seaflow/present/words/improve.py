"""What to change on a boat: the choice taken and why, each change alone, the best trade-offs."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    # Changes, each as it stands in a table and in a list of several.
    "as_it_is": "the boat as it is",
    "pump": "pump {pump}",
    "pump_to_buy": "pump for at least {flow:upboth} at {head:upboth}, such as {pump}",
    "pump_to_find": (
        "pump for at least {flow:upboth} at {head:upboth}; none of those listed gives that, and "
        "{pump} comes nearest"
    ),
    "strainer": "strainer {strainer} with {ports} ports",
    "hull": "through-hull to {bore}",
    "hull_and_seacock": "through-hull and seacock to {bore}",
    "suction_hoses": "{hoses} suction {hoses:hose|hoses} to {bore}",
    "delivery_hoses": "{hoses} delivery {hoses:hose|hoses} to {bore}",
    "shared_hoses": "{hoses} shared delivery {hoses:hose|hoses} to {bore}",
    "unit_hoses": "{hoses} {hoses:hose|hoses} of {unit} to {bore}",
    "branch_hoses": "{hoses} {hoses:hose|hoses} of all branches one size up",
    "one_hose": "{names:quoted} alone to {bore}",
    "seacock": "full-bore seacock of {bore} for {seacock:quoted}",
    "outlet": "outlet {opening:quoted} to {bore}",
    "outlet_and_seacock": "outlet {opening:quoted} and its seacock to {bore}",
    "cable": "cable of {thing} to {area}",
    "valves": "balancing valves set in {valves} of {branches} branches",
    "new_hole": (
        "a bigger through-hull is a new hole below the waterline: haul out, and have it done by "
        "somebody who will answer for it"
    ),
    "new_outlet": (
        "a bigger outlet is a bigger hole in the side: heel or a wave can put it under water, so "
        "have it done ashore, by somebody who will answer for it"
    ),
    "new_seacock": "a seacock is changed ashore, with the boat out of the water",
    # The card: what that brings, and each change as it is ordered.
    "card_title": "{boat}: {loops}, {days} simulated days for each choice",
    "card_take_pump": (
        "Pump {pump} brings enough water on {share:.0%} of the days, and cooling takes {energy} "
        "a day, with nothing else changed."
    ),
    "card_take": (
        "{count} {count:change brings|changes bring} enough water on {share:.0%} of the days "
        "instead of {before:.0%}. Cooling then takes {energy} a day instead of {energy_before}."
    ),
    "card_nearest": (
        "Nothing that was tried brings enough water on {enough:.0%} of the days. {count} "
        "{count:change comes|changes come} nearest: {share:.0%} instead of {before:.0%}. "
        "Cooling then takes {energy} a day instead of {energy_before}."
    ),
    "card_pump": "Another pump, such as {pump}.",
    "card_pump_to_buy": "A pump for at least {flow:upboth} at {head:upboth}, such as {pump}.",
    "card_pump_enough": (
        "Pump {pump}. Of another, of which no curve is known, ask at least {flow:upboth} at "
        "{head:upboth}."
    ),
    "card_pumps_enough": (
        "{pumps} pumps {pump}. Of others, of which no curve is known, ask at least {flow:upboth} "
        "at {head:upboth} each."
    ),
    "card_pump_not_listed": (
        "A pump for at least {flow:upboth} at {head:upboth}; those listed give less, {pump} most: "
        "look further."
    ),
    "card_pumps_not_listed": (
        "{pumps} pumps, each for at least {flow:upboth} at {head:upboth}; those listed give less, "
        "{pump} most: look further."
    ),
    "card_pumps_to_buy": (
        "{pumps} pumps, each for at least {flow:upboth} at {head:upboth}, such as {pump}."
    ),
    "card_strainer": "Strainer with {ports:both} ports: {strainer}.",
    "card_hull": "Through-hull to {bore:both}.",
    "card_hull_and_seacock": "Through-hull and seacock to {bore:both}.",
    "card_suction_hoses": (
        "{hoses:Hose|Hoses} before the pump to {bore:both}, {length:both} in all: {names:quoted}."
    ),
    "card_delivery_hoses": (
        "{hoses:Hose|Hoses} behind the pump to {bore:both}, {length:both} in all: {names:quoted}."
    ),
    "card_shared_hoses": (
        "{hoses:Hose|Hoses} that all units share behind the pump to {bore:both}, {length:both} in "
        "all: {names:quoted}."
    ),
    "card_unit_hoses": (
        "{hoses:Hose|Hoses} of {unit} to {bore:both}, {length:both} in all: {names:quoted}."
    ),
    "card_branch_hoses": (
        "{hoses:Hose|Hoses} of all branches one size wider, {length:both} in all: {names:quoted}."
    ),
    "card_one_hose": "Widen {names:quoted} to {bore:both}, {length:both}.",
    "card_seacock": "Full-bore seacock of {bore:both} for {seacock:quoted}.",
    "card_outlet": "Outlet {opening:quoted} to {bore:both}.",
    "card_outlet_and_seacock": "Outlet {opening:quoted} and its seacock to {bore:both}.",
    "card_cable": "Cable of {thing} to {area}.",
    "card_valves": (
        "Balancing valves set in {valves} of {branches} branches: seaflow balance says how far."
    ),
    "card_now": (
        "{chosen}, {pump}: {unit} gets {flow:both} all clean, {more:.1%} more than it needs."
    ),
    "card_now_short": (
        "{chosen}, {pump}: {unit} gets {flow:both} all clean, {short:.1%} less than it needs."
    ),
    "card_sure": (
        "Enough means that every unit runs and keeps its permitted rise, on {enough:.0%} of the "
        "days; a share is good to {error:.1%}."
    ),
    # The boat now.
    "now": (
        "{pump}, {chosen}: {unit} gets {flow} ({margin:+z.1%}); enough water on {share:.0%} of the "
        "days, all units run on {running:.0%}; cooling takes {energy} a day"
    ),
    # What to change.
    "leave": "Leave it as it is: enough water on {share:.0%} of the days.",
    "leave_and_measure": (
        "Leave it as it is, and measure first. On {enough:.0%} of the days every unit is at least "
        "{margin} from its cut-out and passes its permitted rise by no more than {over}."
    ),
    "otherwise": (
        "If that asks for more water: {changes} ({count} {count:change|changes}), enough on "
        "{share:.0%} of the days at {energy} a day."
    ),
    "no_other": "Nothing that was tried brings more.",
    # What is bought.
    "card_parts": "To buy: {parts}; --section buy lists them.",
    "bought_hose": "{length} of hose",
    "bought_tail": "{count} {count:tail|tails}",
    "bought_adapter": "{count} {count:adapter|adapters}",
    "bought_tee": "{count} {count:tee|tees}",
    "bought_clamp": "{count} {count:clamp|clamps}",
    "bought_fitting": "{count} {count:fitting|fittings}",
    "bought_valve": "{count} {count:valve|valves}",
    "bought_strainer": "a strainer",
    "bought_through_hull": "a through-hull",
    "bought_outlet": "an outlet",
    "bought_seacock": "{count} {count:seacock|seacocks}",
    "bought_pump": "{count} {count:pump|pumps}",
    "bought_cable": "{length} of cable",
    "bought_protection": "a breaker or fuse",
    "bought_terminal": "{count} {count:terminal|terminals}",
    "nothing_likelier": (
        "No change that was tried helps enough to be worth doing: as she is, there is "
        "enough water on {share:.0%} of the days."
    ),
    "runs_more": "Every unit then runs on {share:.0%} of the days instead of {before:.0%}.",
    "look_for": (
        "A pump that gives at least {flow:upboth} at {head:upboth}, on {supply} or on another "
        "supply. Of those listed for {supply} none comes near, not even {pump}."
    ),
    "look_for_each": (
        "{pumps} pumps that each give at least {flow:upboth} at {head:upboth}, on {supply} or on "
        "another supply. Of those listed for {supply} none comes near, not even {pump}."
    ),
    "take": (
        "Take {changes}: enough water on {share:.0%} of the days instead of {before:.0%}, and "
        "cooling takes {energy} a day instead of {energy_before}."
    ),
    "nearest": (
        "The nearest to enough is {changes}: enough water on {share:.0%} of the days instead of "
        "{before:.0%}, and cooling takes {energy} a day instead of {energy_before}."
    ),
    "price": "The parts cost {price:g} {currency}.",
    "price_without": "The parts cost {price:g} {currency}, without {without}.",
    # Why that and nothing else.
    "none_reaches": (
        "Nothing in the tables reaches the {enough:.0%} asked, and this comes nearest: look at the "
        "need of the units and at what size says to measure first."
    ),
    "none_worth": (
        "Nothing in the tables reaches the {enough:.0%} asked: look at the need of the units and "
        "at what size says to measure first."
    ),
    "next_best": (
        "Next best, with least work: {changes} ({count} {count:change|changes}), enough on "
        "{share:.0%} of the days at {energy} a day."
    ),
    "smaller_pump": (
        "With {changes} a pump for at least {flow:upboth} at {head:upboth} does, such as {pump}: "
        "enough on {share:.0%} of the days at {energy} a day instead of {energy_before}."
    ),
    "smaller_pump_named": (
        "With {changes} pump {pump} does: enough on {share:.0%} of the days at {energy} a day "
        "instead of {energy_before}. Of another ask at least {flow:upboth} at {head:upboth}."
    ),
    "smaller_pumps": (
        "With {changes} {pumps} pumps, each for at least {flow:upboth} at {head:upboth}, do, such "
        "as {pump}: enough on {share:.0%} of the days at {energy} a day instead of "
        "{energy_before}."
    ),
    "smaller_pumps_named": (
        "With {changes} {pumps} pumps {pump} do: enough on {share:.0%} of the days at {energy} a "
        "day instead of {energy_before}. Of others ask at least {flow:upboth} at {head:upboth} "
        "each."
    ),
    "against_it": "But {reason}.",
    "takes_from": (
        "That takes water from {unit}: it is left with {share:.0%} of what it needs, where no "
        "unit gets less than {before:.0%} now."
    ),
    "valves_alone": (
        "Balancing valves alone are enough on {share:.0%} "
        "of the days: seaflow balance says how to set them."
    ),
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
    "drawn": "{days} simulated days for each choice, seed {seed}.",
    "tried": "{tried} boats were looked at in brief and {sampled} of them on all days.",
    "enough": (
        "Enough: the share of simulated days of the season, each with every uncertain figure drawn "
        "anew, on which every unit runs and keeps its permitted rise; {enough:.0%} are asked. "
        "Every choice meets the same days. The error of a share is at most {error:.1%}."
    ),
    "energy": (
        "Energy: what units and pump take for the duties of a day, as `energy` counts it, for the "
        "same cooling; the pump's speed set as low as will do where it can be set. Changes: every "
        "pump, strainer, hose, seacock or through-hull put in new counts one, "
        "and so does each balancing valve to be set. A wider hose can give less: where the leg "
        "after the highest point no longer runs full, its height is lost."
    ),
    "beats": (
        "A choice is a best trade-off if no other is as good in all and better in one: shares in "
        "whole per cent, energy in steps of 50 Wh a day, number of changes, how far the worst unit "
        "is short of its need, and price where parts have one. Of those that are enough, and take "
        "no water from the worst unit, the one with the fewest changes is taken which takes least "
        "energy, or one with a change more if that saves {worth:.0%} of it."
    ),
}
