"""The answer of `size`: which pump and why, then heads, bores, suction, supply and how sure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from seaflow.present.quantities import Show


def _cable(values: Mapping[str, Any], show: Show) -> str:
    length, metric = values["length"], values["metric"].replace("mm2", "mm²")
    decided = {"least size": "the smallest size allowed"}.get(values["set_by"], values["set_by"])
    return (
        f"Cable of {show(length.kind, length.value)} one way: at least {metric} or "
        f"{values['american']} ({decided}; drop {values['drop']:.0%})."
    )


WORDS: dict[str, str | Callable[[Mapping[str, Any], Any], str]] = {
    # The answer, in the order in which it is read.
    "pump": "{pump}",
    "fitted_pump": "{pump}, the pump fitted now",
    "asked_pump": "{pump}, the pump asked for",
    "not_this_pump": "it does not meet the need: {nearest}",
    "no_pump": "none of {tried} meets the need; nearest is {nearest}",
    "no_pump_fits": (
        "No pump that may be chosen runs on this supply. Check its volts, and whether it is AC or "
        "DC. If they are right, tell of a pump by its plate, with --pump, or by its sheet, with "
        "--parts FILE"
    ),
    "only_one": "It alone supplies every unit in all {worst_cases} worst cases.",
    "all_hold": (
        "{pumps} pumps do: every unit supplied in all {worst_cases} worst cases. Of these it has "
        "the fewest warnings, then takes least in a day, pump and units together."
    ),
    "musts_hold": (
        "Of the pumps tried not one is a plain yes. With {pumps} every unit keeps running in all "
        "{worst_cases} worst cases; this one is within the permitted rise most often."
    ),
    "none_hold": "Of the pumps tried not one keeps to what it must.",
    "fitted_fails": "{why} The one fitted now does not do: {reason}.",
    "fitted_cured": "{why} The one fitted now does not do: {reason}. To keep it, {cure}.",
    "fitted_is_tight": "{why} The one fitted now is tight: {reason}.",
    "runs_at": (
        "{flow:both} against {head}, {part} of its curve ({share:.0%} of its open flow), {power}"
    ),
    "runs_at_typical": (
        "{flow:both} against {head}, {part} of its curve ({share:.0%} of its open flow), about "
        "{power} (typical: its sheet gives no watts)"
    ),
    "far_left": "at the left end",
    "middle": "in the middle",
    "far_right": "at the right end",
    "runs_together": "{runs}; the {pumps} pumps together",
    "several_pumps": (
        "{pumps} pumps run here: the head asked, and flow, head and power where they run, are "
        "those of all together; what to buy is told of each."
    ),
    "runs_but": "{runs}; {ending}",
    "runs_slower": "{runs}; at {speed:.0%} of full speed it still meets the need, with {power}",
    "moves_nothing": "{ending}",
    "unit_needs": "{unit}: {cooling:both} cooling needs {flow} ({set_by})",
    "unit_gets": "{needs}, gets {flow}; water leaves at {leaves}, {rise} warmer",
    "unit_gets_over": (
        "{needs}, gets {flow} ({margin:+z.0%}); water leaves at {leaves}, {rise} warmer"
    ),
    "unit_fails": "{needs}; there it is: {state}",
    "how_sure": (
        "Of {days} simulated days of the season all units kept running on {running:.0%} and stayed "
        "within the permitted rise on {rise:.0%}; flow {flow:range} on nine days in ten. {worst}"
    ),
    "how_sure_once": (
        "Once it has started, on {days} simulated days of the season all units keep running on "
        "{running:.0%} and stay within the permitted rise on {rise:.0%}; flow {flow:range} on nine "
        "days in ten. {worst}"
    ),
    "how_sure_without_days": (
        "No days were simulated, so the grade rests on the worst cases alone; days may better or "
        "worsen it. {worst}"
    ),
    "least_flow": "Worst single case: {flow} ({where}).",
    "place_low": (
        "as low as the run allows, suction rising all the way, dry and in reach, on a soft mount "
        "off the berths' bulkheads"
    ),
    "place_under_water": (
        "{depth} or more under water heeled either way, suction rising all the way, dry and in "
        "reach, on a soft mount off the berths' bulkheads"
    ),
    "improve_helps": "seaflow improve shows which hose, strainer or pump helps most.",
    # The card.
    "nothing": "",
    "card_title": "{boat}: {loops}, warmest sea {sea}, {supply}",
    "card_asked_does": "The pump asked for, {pump}, will do.",
    "card_asked_tight": "The pump asked for, {pump}, is tight: {said}.{clean}",
    "card_asked_no": "The pump asked for, {pump}, will not do: {said}.{clean}",
    "card_keep": "Keep the pump fitted now: {pump}.",
    "card_fit": "Fit this kind of pump: {pump}.",
    "card_fitted_tight": "The pump fitted now, {pump}, is tight: {said}.{clean}",
    "card_tight": "No pump of the table is a plain yes. Nearest is {pump}: {said}.{clean}",
    "card_fitted_no": "The pump fitted now, {pump}, will not do: {said}.{clean}",
    "card_no": "No pump of the table will do. Nearest is {pump}: {said}.{clean}",
    "card_enough_clean": (
        " All clean its water is enough; growth, dirt, low volts, more heat or what is not "
        "measured undo that."
    ),
    "card_now_no": "The one fitted now will not do: {said}.",
    "card_now_cured": "The one fitted now will not do: {said}. To keep it, {cure}.",
    "card_now_tight": "The one fitted now is tight: {said}.",
    "card_runs_typical": (
        "{who} {flow:both} at {head:both}, {part} of its curve, with about {power} (typical: "
        "its sheet gives no watts){slower}."
    ),
    "card_runs": "{who} {flow:both} at {head:both}, {part} of its curve, with {power}{slower}.",
    "card_slower": "; {speed:.0%} of full speed is enough, with {power}",
    "card_still": "It moves no water: {ending}.",
    "card_unit": (
        "{unit} needs {need}, gets {flow}; the water leaves at {leaves}, {rise} warmer. The "
        "cut-out is {margin} away."
    ),
    "card_unit_and_nearest": (
        "{unit} needs {need}, gets {flow}; the water leaves at {leaves}, {rise} warmer. The "
        "cut-out is {margin} away, of {nearest}."
    ),
    "card_unit_bare": "{unit} needs {need}, gets {flow}; the water leaves at {leaves}.",
    "card_unit_fails": "{unit} needs {need}; as it is: {state}.",
    "card_others": "Also {units}.",
    "card_other": "{unit}: {flow} of {need}",
    "card_other_fails": "{unit}: {state}",
    "card_buy": "{who} at least {flow:upboth} at {head:upboth}{most}{days};",
    "card_buy_one": "A pump that gives",
    "card_buy_each": "{pumps} pumps that each give",
    "card_none_alone": "No pump alone",
    "card_none_of_several": "No {pumps} pumps",
    "card_it": "it",
    "card_each": "each",
    "card_no_pump_alone": (
        "{none} will do: {it} would have to give {flow:upboth} at {head:upboth}, and no pump "
        "of the table does. See first what opens up the loop: seaflow improve BOAT."
    ),
    "card_no_pump_on_most_days": (
        "{none} will do: to be enough on {days:.0%} of days {it} would have to give "
        "{flow:upboth} at {head:upboth}, and no pump of the table does. See first what opens up "
        "the loop: seaflow improve BOAT."
    ),
    "why_more": "All clean {flow} at {head}{uneven}; the rest is for growth and what is not known.",
    "why_more_each": (
        "All clean {flow} at {head} of each; the rest is for growth and what is not known."
    ),
    "uneven": " ({units} but for uneven sharing)",
    "card_buy_most": ", and no more than {most:downboth} in this loop",
    "card_buy_days": ": enough on {days:.0%} of days",
    "card_buy_kind": "{supply}, continuous duty, {port:both} ports, {protection}; {prime}.",
    "card_buy_dull": "{supply}, continuous duty, {protection}; {prime}.",
    "dry_run": "dry-run protection",
    "dry_run_and_ignition": "dry-run and ignition protection",
    "card_prime": "it must prime itself, for the water does not reach it by itself",
    "card_no_prime": "under water as it is, it need not prime itself",
    "card_prime_unknown": "self-priming, unless its place stays under water heeled either way",
    "card_sheet": "Your sheet {pump}: {grade}, {flow} at {head}.",
    "card_sure": (
        "Of {days} simulated days every unit ran on {running:.0%} and kept the permitted rise on "
        "{rise:.0%}; {flow:range} on nine days in ten. {worst}"
    ),
    "asked_so_far": "{grade}: {pump}; {flow:range} on nine days in ten",
    "asked_so_far_held": "{grade}: {pump}; {flow:range} on nine days in ten; {said}",
    "card_sure_once": (
        "Once it has started, of {days} simulated days every unit runs on {running:.0%} and keeps "
        "the permitted rise on {rise:.0%}; {flow:range} on nine days in ten. {worst}"
    ),
    # What to watch out for on the loop.
    "in_series": (
        '"{unit}" stands in series behind {before:quoted}: it gets preheated water. Pipe the units '
        "in parallel from a manifold."
    ),
    "outlet_under_water": (
        'outlet "{outlet}" is under water: it lifts nothing, but it needs a seacock, its stream '
        "cannot be seen, and water can come back through it."
    ),
    "shared_intake": (
        '"{intake}" also feeds {users}: a strong pump starves a weak one. Flows given are counted '
        "at its entry and seacock all the time; check area and depth too."
    ),
    "other_user": "{user} ({flow})",
    "other_user_unknown": "{user} (flow not recorded)",
    "vented_leg": (
        "the hose after the highest point ({crest}) does not run full at this flow, so its height "
        "is not given back: the pump lifts {height} all the time."
    ),
    "airy_leg": (
        "the hose after the highest point ({crest}) does not run full at this flow (it would from "
        "{fills_at}), so its height is not given back: the pump lifts {height} all the time."
    ),
    "valve_in_suction": (
        'check valve "{valve}" stands on the suction side: it eats the little head there is, and '
        "it sticks. Common practice is to have none there."
    ),
    # What each unit needs.
    "at_need": "Leaves at, rise and to cut-out: with just this water.",
    "criterion": "{what} asks {flow}",
    "criterion_unknown": "{what}: not recorded",
    "criterion_hopeless": "{what}: no flow does that",
    "need_of": "{unit}: {criteria}. Least flow when dirty: {least}.",
    "rules": (
        "Rules of thumb disagree: 2 gpm per ton asks {lower}, 3 gpm per ton {upper}; the need "
        "found is {says}."
    ),
    # Where the head goes.
    "friction": "Friction to {unit}: {head}.",
    "friction_to_outlet": "Friction to the outlet: {head}.",
    "lift": "Static: {outlet}, the height of the outlet, to start and to run.",
    "lift_full": (
        "Static: {highest} to start, up to the highest point ({crest}). Once full, the hose down "
        "to the outlet pulls like a siphon, and only {outlet} is left."
    ),
    "lift_airy": (
        "Static: {highest} to start, up to the highest point ({crest}), {outlet} at the outlet. "
        "The hose down to the outlet does not run full at this flow: its fall pays only for its "
        "own friction."
    ),
    "must_give": "The pump must give {head} at {flow}.",
    # Pumps, worst cases and bores.
    "fitted_mark": "* fitted now",
    "asked_mark": "* asked for",
    "margins": (
        "To need: the worst unit against its need, all clean. When dirty: the worst unit against "
        "its least flow (no trip, maker's least) with a blocked strainer, low volts or growth."
    ),
    "tried_on_boats": (
        "{pumps}: tried on {boats} boats drawn from what is typical of yours. The others were "
        "not, so a yes beside one of them is a yes for the middle of those boats alone."
    ),
    "tight_with_this": "tight with {pump}: {reason}.",
    "not_this": "not {pump}: {reason}.",
    "bore_enough": "enough",
    "bore_narrow": "narrow: {velocity}, where {aim} is usual",
    "bore_below_port": "narrower than the pump's port",
    "bore_too_fast": "too narrow: {velocity}, where {most} is the most",
    "bore_costly": "{verdict}, and it costs {share:.0%} of the friction",
    "bore_wide_but_costly": (
        "wide enough, and it costs {share:.0%} of the friction: shorten it or ease its fittings"
    ),
    # Suction and pressures.
    "gauge_signs": "Plus: the sea pushes water in. Minus: the pump sucks a vacuum.",
    "npsh": "NPSH available {available}, required {required}: {decides}.",
    "npsh_required_unknown": "NPSH available {available}, required not given: {decides}.",
    "npsh_unknown": "NPSH: {decides}.",
    "npsh_enough": "NPSH is no concern",
    "npsh_short": "the NPSH margin is too small: the pump would cavitate",
    "vacuum_decides": "the suction vacuum decides, and it should stay above {least} at the inlet",
    "pump_height_unknown": "the pump's height is not recorded",
    "npsh_by_gauge": (
        "By the gauge reading of the case it was {head} at {flow}, in the warmest sea."
    ),
    "height_unknown": "Height of {point}: not recorded, so its pressure is not known.",
    # Supply of the pump.
    "draws": "Draws up to {current}; starts with {start:range}.",
    "draws_by_factor": (
        "Draws up to {current} at a power factor of {factor:.2g}; starts with {start:range}."
    ),
    "draws_of_all": (
        "That is of {pumps} pumps on one cable. Each draws up to {each} and starts with "
        "{start:range}: its own breaker goes by that."
    ),
    "draws_of_one": "That is of one of the {pumps} pumps, on a cable and breaker of its own.",
    "cable": _cable,
    "cable_unknown": "Cable: not recorded, so neither its drop nor its size is checked.",
    "cable_too_long": (
        "Cable of {length} one way: no standard conductor is thick enough. Shorten the run."
    ),
    "conductor_unknown": "Conductor fitted: not recorded.",
    "conductor_enough": "Fitted: {area}, drop {drop} ({share:.1%}): enough.",
    "conductor_too_thin": "Fitted: {area}, drop {drop} ({share:.1%}): too thin.",
    "protection": (
        "Over-current protection: check that a breaker or fuse at the source of supply protects "
        "the conductor, and that it lets the starting current pass. Check the current editions of "
        "ISO 13297 and ABYC E-11."
    ),
    # How sure.
    "drawn": (
        "{days} simulated days, each on a boat drawn anew, seed {seed}; sea from {sea:range} "
        "({season}). Bands hold nine days in ten."
    ),
    "sampling_error": "Sampling error of the likelihood: at most {error:.1%} (one standard error).",
    "moves_most": "What moves the flow most, and how to measure it:",
    "moves": (
        "{input}, {share:.0%} of the variance: {low} in its lowest third, {high} in its highest. "
        "To know it, {measure}. ({source})"
    ),
    # The basis of some figures.
    "siphon_basis": (
        "whether the hose down from {crest} runs full is told by the Froude number in it "
        "(Wisner, Mohsen and Kouwen 1975)."
    ),
    "strainer_by_reading": (
        'strainer "{strainer}": its loss when dirty is taken from the measured suction, which '
        "overrules every table."
    ),
    "strainer_by_table": (
        'strainer "{strainer}": no basket data, so an invented table of blockage is used. A screen '
        "correlation gives more than ten times less at 80 % blocked; a measured suction vacuum "
        "overrules both."
    ),
    "strainer_by_screen": (
        'strainer "{strainer}": blocked is the share of the basket\'s open area lost. The worst '
        "case takes the dirt as a mat, which may cost ten times as much as the same dirt evenly "
        "spread; a measured suction vacuum overrules both."
    ),
    "curve_note": "curve of {pump}: {note}.",
    # Many boats.
}
