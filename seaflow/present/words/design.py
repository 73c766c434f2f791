"""What all questions share: worst cases, judgement of a pump, need, season, how sure, ranges."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from seaflow.base.facts import Amount
from seaflow.present.quantities import Show

MOST_NAMED = 3  # things that a sentence names
LEAST_SHARE = 0.005  # less is not told as a whole per cent
_PEOPLE = {"reynolds": "Reynolds", "darcy": "Darcy", "nusselt": "Nusselt", "prandtl": "Prandtl"}


def _outside_range(values: Mapping[str, Any], show: Show) -> str:
    things, more = values["things"], len(values["things"]) - MOST_NAMED
    who = ", ".join(things[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
    value, limit = values["value"], values["limit"]
    is_below = value.value < limit.value if isinstance(value, Amount) else value < limit
    side = "from" if is_below else "up to"
    by = f", {values['source']}" if values["source"] else ""
    return (
        f"{who}: outside the tested range of the {_words(values['formula'])} "
        f"({_words(values['quantity'])} {_plain(value, show)}, tested {side} "
        f"{_plain(limit, show)}{by})"
    )


def _seldom(what: str) -> Callable[[Mapping[str, Any], Show], str]:
    """Return what says on how few days something is so; a share that rounds to nought is none."""

    def said(values: Mapping[str, Any], show: Show) -> str:
        share = values["share"]
        few = f"only {share:.0%}" if share >= LEAST_SHARE else "less than 1%" if share else "none"
        return f"{what} {few} of the simulated days"

    return said


def _shallow(values: Mapping[str, Any], show: Show) -> str:
    depth, least = (show(values[key].kind, values[key].value) for key in ("depth", "least"))
    sits = f"only {depth}" if depth != least else f"a hair less than {depth}"
    heeled = " heeled" if values["heeled"] else ""
    return (
        f"sits {sits} below the waterline{heeled}; for a pump that cannot prime, {least} heeled "
        "either way is common practice"
    )


def _words(name: str) -> str:
    """Return a name of the code in words, those of people with a capital."""
    return " ".join(_PEOPLE.get(word, word) for word in name.split("_"))


def _plain(value: float | Amount, show: Show) -> str:
    if isinstance(value, Amount):
        return show(value.kind, value.value)
    return f"{value:.0f}" if abs(value) >= 1000.0 else f"{value:.3g}"


def _times(values: Mapping[str, Any], show: Show) -> str:
    """Return how much of its sheet a coil takes, as people say it."""
    times = values["times"]
    steps = (
        *((0.6, "about half of what"), (0.85, "about three quarters of what")),
        *((1.0, "a little less than"), (1.15, "a little more than")),
        *((1.35, "a quarter more than"), (1.7, "half as much again as"), (2.5, "twice what")),
    )
    said = next((words for most, words in steps if times <= most), "far more than")
    return (
        f"This boat's coil takes {said} its sheet says ({values['low']:.1f} to "
        f"{values['high']:.1f} times; {values['label']})."
    )


def _unusable(values: Mapping[str, Any], show: Show) -> str:
    line = f"line {values['line']}: " if values["line"] else ""
    more = f" (and {values['more']} more)" if values["more"] else ""
    return f"{values['code']} {line}{values['what']}{more}"


WORDS: dict[str, str | Callable[[Mapping[str, Any], Any], str]] = {
    # What kept a boat of many from an answer.
    "unusable": _unusable,
    "fault_of_the_program": "a fault of seaflow, not of this boat ({place}): please report it",
    # What stored readings say of a coil.
    "coil_takes_more": _times,
    "coil_takes_less": _times,
    # Worst cases; each stands in a table and behind a reason.
    "warmest_sea": "warmest sea, {what}",
    "coldest_sea": "sea at {sea}, all clean, {volts}",
    "all_clean": "all clean, nominal supply",
    "blocked": "strainer {share:.0%} blocked",
    "low_voltage": "only {volts} at the panel",
    "other_frequency": "plugged into {hertz}",
    "growth": "{growth} of growth in every hose",
    # The supply of a boat.
    "supply": "{volts} {current}",
    "supply_ac": "{volts} {hertz}",
    # Musts: what speaks against a pump.
    "no_flow_cools": "no flow of water keeps {unit} clear of its cut-out in this sea",
    "all_shut": "the branch of every unit is shut, so no water can flow",
    "all_off": "every unit is switched off, so there is no need to meet",
    "at_rest": (
        "the loop {loop} is left out: every unit of it is switched off, so nothing in it can be "
        "judged"
    ),
    "too_little_water": "it gives {unit} {flow} of the {asked} asked, {short:.1%} short ({where})",
    "cannot_lift": "it moves no water: it cannot lift it to the highest point ({where})",
    "does_not_turn": "it does not turn: only {volts} reach it ({where})",
    "unit_trips": "it gives {unit} {flow}, and the unit trips ({where})",
    "unit_dry": "it gives {unit} no water ({where})",
    "too_much_water": "it forces {flow} through {unit}, whose maker allows {most} ({where})",
    "too_fast_for_the_coil": (
        "it drives the water in the coil of {unit} at {velocity}, and {alloy} stands {most} "
        "({where})"
    ),
    "not_continuous": "it is not rated for continuous duty, and cooling runs for hours",
    "start_not_known": (
        "whether it starts is not known: the height of {things:quoted} is not recorded"
    ),
    "start_not_known_and": "{start}; and {also}",
    "cavitates": (
        "it would cavitate: its NPSH margin is {margin}, and {least} is the least ({where})"
    ),
    "narrow_suction": (
        "its suction is too narrow: {gauge} at its inlet, and {least} is the lowest ({where})"
    ),
    "deep_suction": (
        "its suction is deep: {gauge} at its inlet, where air leaves the water below {least} "
        "({where})"
    ),
    "seldom_runs": _seldom("it keeps every unit running on"),
    # Aims.
    "misses_rise": (
        "it gives {unit} {flow} of the {need} that keep the permitted rise, {short:.1%} short "
        "(warmest sea, all clean)"
    ),
    "seldom_keeps_rise": _seldom("it keeps the permitted rise on"),
    "often_too_fast": (
        "on {share:.0%} of the simulated days the water in the coil of {unit} is faster than its "
        "alloy stands"
    ),
    # What would cure it.
    "cures": "{cures}",
    "even_then_no": "even then {said}: it takes another pump, or another loop, as well",
    "even_then_tight": "even then it is tight: {said}",
    "deeper": "put the pump {depth} lower, or shorten and widen the hose before it",
    "throttle": "set a valve in the branch of {unit}",
    "volts": "bring at least {least} to the pump: thicker cable, or a steadier supply",
    # Remarks.
    "left_on_its_curve": (
        "runs far left on its curve, at {share:.0%} of its open flow: air will not clear well"
    ),
    "right_on_its_curve": (
        "runs far right on its curve, at {share:.0%} of its open flow: noisy, and draws most "
        "current"
    ),
    "no_dry_run_protection": (
        "its sheet shows no dry-run protection: add a flow switch or an outlet temperature sensor"
    ),
    "typical_watts": ("its sheet gives no watts: its power, and what follows from it, is typical"),
    "shallow_pump": _shallow,
    "frequency_scaled": (
        "its curve is for {rated} and the supply is {supply}; the speed is scaled"
    ),
    # The cards: how many loops, and which pump.
    "one_loop": "one loop",
    "loops": "{loops} loops",
    "card_pump_yes": "{chosen}, {pump}, will do.",
    "card_pump_tight": "{chosen}, {pump}, is tight: {said}.",
    "card_pump_no": "{chosen}, {pump}, will not do: {said}.",
    "card_days": (
        "on {running:.0%} of the simulated days every unit ran, and on {rise:.0%} it kept the "
        "permitted rise"
    ),
    "card_pump": "{pump}, {chosen}.",
    "card_pump_gives": "{pump}, {chosen}. It gives {flow:both}.",
    "card_pumps_give": "{pump}, {chosen}. The {pumps} pumps together give {flow:both}.",
    # What is said of the flow of a pump, or of all pumps of a loop.
    "gives": "it gives",
    "give": "the {pumps} pumps together give",
    # A pump by title and name.
    "pump_titled": "{title} ({name})",
    "pump_titled_invented": "{title} ({name}, invented)",
    "pump_untitled": "{name}",
    "pump_untitled_invented": "{name} (invented)",
    # Which pump a question is asked of.
    "pump_asked_for": "the pump asked for",
    "pump_fitted": "the pump fitted now",
    "pump_recommended": "the pump that size recommends",
    "pump_nearest": "the pump that comes nearest to the need",
    "size_would_recommend": "as the boat stands, size would recommend {pump}",
    "other_curves": (
        "{pump} is the curve of its sheet for this supply; the same pump on another, "
        "{others:quoted}, is left out."
    ),
    "left_out": (
        "{pump} is made for {volts} {current} and the supply is {supply_volts} "
        "{supply_current}: it is left out."
    ),
    # What sets the need of a unit, and the rules of thumb beside it.
    "permitted_rise": "permitted rise of {rise}",
    "clear_of_cut_out": "condensing temperature {margin} below the cut-out",
    "makers_least": "maker's least flow",
    "no_flow_is_enough": "nothing: no flow of water is enough",
    "below_any_rating": (
        "below {least} per ton, at which coaxial coils are not rated: look at the plate again"
    ),
    "below_the_rules": "less than even the lower rule asks",
    "between_the_rules": "between the two rules",
    "above_the_rules": "more than either rule asks",
    "card_typical": "{values} {values:value|values} typical, not read on board",
    # The season, spreads, and what to measure first.
    "season_of_months": "the months of the case",
    "season_of_three": "coldest, typical and warmest sea of the case",
    "season_by_name": "a {season} sea: typically {below} below its warmest",
    "season_of_place": "months of the table of seas for {place}",
    "no_season": "no season given: typical sea {below} below the warmest, {source}",
    "typical": "typical of such boats: nobody looked at it on this one",
    "given_half_width": "plus or minus, as given with the value",
    "no_measurement_decides": "No single measurement would change the choice.",
    "low_end_is_tight": (
        "What decides is the {input}: at the low end of its range {pump} is only tight. To know "
        "it, {measure}."
    ),
    "high_end_is_tight": (
        "What decides is the {input}: at the high end of its range {pump} is only tight. To know "
        "it, {measure}."
    ),
    "both_ends_are_tight": (
        "What decides is the {input}: at either end of its range {pump} is only tight. To know "
        "it, {measure}."
    ),
    "low_end_decides": (
        "What decides is the {input}: at the low end of its range {other} comes before {pump}. To "
        "know it, {measure}."
    ),
    "high_end_decides": (
        "What decides is the {input}: at the high end of its range {other} comes before {pump}. "
        "To know it, {measure}."
    ),
    "low_end_leaves_none": (
        "What decides is the {input}: at the low end of its range no pump that was tried will do. "
        "To know it, {measure}."
    ),
    "high_end_leaves_none": (
        "What decides is the {input}: at the high end of its range no pump that was tried will "
        "do. To know it, {measure}."
    ),
    "low_end_finds_one": (
        "What decides is the {input}: at the low end of its range {other} would do. To know it, "
        "{measure}."
    ),
    "high_end_finds_one": (
        "What decides is the {input}: at the high end of its range {other} would do. To know it, "
        "{measure}."
    ),
    "both_ends_decide": (
        "What decides is the {input}: at the low end of its range {low} would be chosen, at the "
        "high end {high}, and {pump} only between. To know it, {measure}."
    ),
    "measure_first": (
        "What decides is the {input}: at the low end of its range {pump} keeps the permitted rise "
        "on {low:.0%} of the days, at the high end on {high:.0%}. To know it, {measure}."
    ),
    "measure_or_take": "{first} Or take {other}, which keeps it on {share:.0%} either way.",
    # What is typical of such boats, and what to find out next.
    "typical_values": (
        "{values} {values:value is|values are} only typical of such boats: each that is found out "
        "narrows the band."
    ),
    "typical_is_enough": (
        "{values} {values:value is|values are} only typical of such boats; no one of them would "
        "change much."
    ),
    "typical_but_one_leads": (
        "{values} {values:value is|values are} only typical of such boats; what moves the flow "
        "most is none of them: {input}, {share:.0%} of its variance."
    ),
    "in_such_boats": "on {boats} of {of} boats like this one {such_as}",
    "card_same_words": "(...: the boat as you typed it)",
    "find_out": "{what}: {how}",
    "find_out_moves": (
        "{what}: it alone explains {flow:.0%} of how far the flow may go, and the pump is enough "
        "on {low:.0%} of the days at its low end, on {high:.0%} at its high end. To know it, {how}."
    ),
    "typical_rest": (
        "{values} further typical {values:value|values} {values:explains|explain} less than "
        "{least:.0%} each."
    ),
    # Formulas used outside the range of their source.
    "outside_range": _outside_range,
}
