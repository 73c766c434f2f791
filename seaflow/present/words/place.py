"""Where the pump goes: what `place` says."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from seaflow.present.sentences import Shown, listed, say

Values = Mapping[str, Any]
UNSURE = ", which is within the uncertainty"


def _none_will_do(values: Values, show: Shown) -> str:
    if values["count"] == 1:
        return "The only place will not do."
    return f"None of the {values['count']} places will do."


def _out(values: Values, show: Shown) -> str:
    reason, fault = say(values["reason"], show), values["fault"]
    return f"is out: {reason}" if fault is None else f"is out, for {say(fault, show)}: {reason}"


def _nearest_is_out(values: Values, show: Shown) -> str:
    which = "The quietest" if values["which"] == "quietest" else "The first of them"
    return f'{which}, "{values["place"]}", {_out(values, show)}.'


def _quietest_is_out(values: Values, show: Shown) -> str:
    return _quietest(values, show, _out(values, show))


def _quietest_is_tight(values: Values, show: Shown) -> str:
    return _quietest(values, show, f"is tight: {say(values['reason'], show)}")


def _quietest(values: Values, show: Shown, grade: str) -> str:
    less = show("decibels", values["less"].value)
    how = {
        "told": f"{less} quieter",
        "left open": f"{less} quieter by the model",
        "not told": f"{less} quieter, no audible difference",
    }[values["told"]]
    level = show("sound_level", values["level"].value)
    return f'The quietest place, "{values["place"]}" ({level}, {how}), {grade}.'


def _compared(values: Values, show: Shown) -> str:
    more = [say(item, show) for item in values["more"]] or ["nothing that counts"]
    return f'Compared with "{values["other"]}", which has the shortest hoses: {listed(more)}'


def _price(values: Values, show: Shown) -> str:
    return f"{_compared(values, show)}."


def _price_of_quiet(values: Values, show: Shown) -> str:
    return f"{_compared(values, show)}, for {show('decibels', values['gain'].value)} less."


def _price_of_nothing_heard(values: Values, show: Shown) -> str:
    width = show("decibels", values["width"].value)
    return f"{_compared(values, show)}; the two differ by less than {width}, which does not count."


def _guideline(side: str) -> Callable[[Values, Shown], str]:
    def words(values: Values, show: Shown) -> str:
        by, guide = show("decibels", values["by"].value), values["guideline"].value
        unsure = "" if values["sure"] else UNSURE
        level = show("sound_level", guide)
        return f"That is {by} {side} the {level} of the WHO 1999 guideline for bedrooms{unsure}."

    return words


def _start(over: bool) -> Callable[[Values, Shown], str]:
    def words(values: Values, show: Shown) -> str:
        by, level = (show(*pair) for pair in _by_and_level(values))
        unsure = "" if values["sure"] else UNSURE
        guide = f"The WHO 1999 guideline allows {level} at the loudest moment of a night"
        if over:
            return f"{guide}, and the pump is {by} over that while it merely runs{unsure}."
        return (
            f"{guide}. A start may be {by} louder than the running pump before it reaches "
            f"that{unsure}. No figure was found for how loud the knock and hum of a start are. A "
            "pump that runs on between compressor cycles starts less often."
        )

    return words


def _by_and_level(values: Values) -> tuple[tuple[str, float], tuple[str, float]]:
    return ("decibels", values["by"].value), ("sound_level", values["guideline"].value)


def _first_is_unsure(values: Values, show: Shown) -> str:
    others = listed([f'"{name}"' for name in values["others"]], "or")
    shift, low, high = (show(values[key].kind, values[key].value) for key in _SHIFT)
    return (
        f"Which place is first is not sure: with every path through the structure {shift} quieter "
        f"or louder {others} comes first; this place would then give {low} or {high}."
    )


_SHIFT = ("shift", "low", "high")


def _drawing(values: Values, show: Shown) -> str:
    title = {
        "recommended": "Recommended place",
        "quietest": "No place will do; the quietest",
        "first": "No place will do; the first of them",
    }[values["which"]]
    pump = f" for {values['pump']}" if values["pump"] else ""
    return f"{title}{pump}: {values['place']}"


WORDS: dict[str, str | Callable[..., str]] = {
    "on_drawn_boats": (
        "On {boats} of {of} boats like this one no other place that holds is audibly quieter."
    ),
    # The card
    "card_title": "{boat}: where the pump goes",
    "card_title_of_several": "{boat}: where {pumps} pumps go",
    "card_here": "Put the pump here: {place}. It is {depth:both} under water upright, at least "
    "{least:both} {when} either way, and feeds every unit.",
    "card_heard": "Loudest berth: {berth}, about {level} +/- {half_width}.",
    "card_heard_over": "Loudest berth: {berth}, about {level} +/- {half_width}: {by} above the "
    "{guideline} of the WHO 1999 guideline for bedrooms.",
    "card_unheard": "No berth is drawn, so it wakes nobody.",
    "card_quietest": 'The quietest place, "{place}" ({level}), is not taken: {reason}.',
    "card_tight": "But {reason}.",
    "card_run": (
        "Hose {hose:both} from the sea to the units, cable {cable:both} one way; there {gives} "
        "{flow:both}, warmest sea, all clean."
    ),
    "card_run_hose": (
        "Hose {hose:both} from the sea to the units; there {gives} {flow:both}, warmest sea, all "
        "clean."
    ),
    "card_together": "With all pumps running the loudest berth is {berth}, about {level} +/- "
    "{half_width}.",
    # The advice
    "here": "Put the pump here: {place}. It stays {stays} and feeds every unit. Loudest berth: "
    "{berth}, about {level} +/- {half_width}.",
    "here_unheard": "Put the pump here: {place}. It stays {stays} and feeds every unit. No berth "
    "is drawn, so it wakes nobody.",
    "none_will_do": _none_will_do,
    "nearest_is_out": _nearest_is_out,
    "none_with_this_pump": (
        "{count:The place offered will not do|None of the places offered will do} with this pump: "
        "{reason}."
    ),
    "sound_but_for_the_pump": (
        'But for that "{place}" comes first: it is {depth:both} under water upright, at least '
        "{least:both} {when} either way. {heard} Settle the pump first, then ask again."
    ),
    "no_other": "It is the only place of those offered that will do.",
    "next": 'The next best is "{other}".',
    "next_louder": 'It is {less} quieter than "{other}", the next best.',
    "next_left_open": 'By the model it is {less} quieter than "{other}", the next best; the '
    "assumed vibration could turn that round.",
    "no_audible_difference": "No audible difference from {others:quoted} "
    "({count:|at most }{most}; under {width} does not count); {why}.",
    "easier_to_reach": "chosen because it is easier to reach",
    "fewer_drawbacks": "chosen because it has fewer drawbacks",
    "less_hose": "chosen because it needs less hose",
    "either_will_do": "either will do",
    "quietest_is_out": _quietest_is_out,
    "quietest_is_tight": _quietest_is_tight,
    # What it costs
    "shortest_hoses": "It also has the shortest hoses of the places that will do: quiet costs "
    "nothing here.",
    "shortest_hoses_yet_loud": "It also has the shortest hoses of the places that will do.",
    "price": _price,
    "price_of_quiet": _price_of_quiet,
    "price_of_nothing_heard": _price_of_nothing_heard,
    "more_hose": "{more} more hose",
    "less_flow": "{less} less flow",
    "more_head": "{more} more head",
    "more_vacuum": "{more} more suction at the pump",
    "more_energy": "{more} more a day",
    "more_cable": "{more} more cable",
    "less_voltage": "{less} less at the pump",
    # How loud it is
    "below_background": "{level} is probably lost in the background of a quiet anchorage ({least} "
    "to {most}).",
    "like_background": "{level} is about as loud as the background of a quiet anchorage ({least} "
    "to {most}), so a hum is noticed.",
    "above_background": "{level} is heard above the background of a quiet anchorage ({least} to "
    "{most}).",
    "below_guideline": _guideline("below"),
    "above_guideline": _guideline("above"),
    "rules_for_ships": "Rules for ships' cabins allow {allowed} and do not apply to this boat.",
    "ways": "By air alone it would be {air}, through the structure alone {structure}: most comes "
    "through the {most}. The structure's part rests on invented force levels.",
    "unheard": "nothing",
    "heard": "{level}",
    "hum": "Both carry a hum of {hum}, twice the frequency of the current; its share of the force "
    "is our assumption. A steady tone is noticed sooner than broadband noise of the same level.",
    "no_hum": "The table gives this pump no hum. It shakes lowest at its shaft, {shaft}; that or "
    "its blades may be heard as a tone, which is not calculated.",
    "start_is_over": _start(over=True),
    "start_may_be_louder": _start(over=False),
    # How sure it is
    "order_stays": "With every path through the structure {shift} quieter or louder the order "
    "stays; this place would then give {low} or {high}.",
    "first_stays": "With every path through the structure {shift} quieter or louder this place "
    "stays first and the order behind it changes; it would then give {low} or {high}.",
    "first_is_unsure": _first_is_unsure,
    "stays_first_alone": "If this place alone is {shift} louder than estimated, it stays first.",
    "falls_behind_alone": 'If this place alone is {shift} louder than estimated, "{other}" is '
    "better.",
    "quieter": '"{place}" is {less} quieter than "{other}".',
    "quieter_left_open": 'By the model "{place}" is {less} quieter than "{other}"; the assumed '
    "vibration could turn that round.",
    "tied": '"{place}" comes before "{other}", but not for its sound: {less} is no audible '
    "difference (under {width} does not count). Access, drawbacks and hose decide.",
    "tied_behind": '"{place}" comes before "{other}", but not for a difference between the two: '
    '{less} is not audible (under {width} does not count). "{behind}" is audibly quieter than '
    '"{other}".',
    # Depth, at a heel and trim
    "under_water": "{depth} under water {when}",
    "over_water": "{depth} above the water {when}",
    # What the water does
    "will_not_start": "the pump will not start there",
    "starved": "its suction is starved there",
    "too_little_water": "there is not enough water there",
    # The suction
    "suction_level": "the suction runs level from {start} to {end}, where bubbles do not move on: "
    "lay it rising",
    "suction_falls_on_a_tack": "on one tack the hose from {start} to {end} falls {by} towards the "
    "pump: start the pump upright",
    # Petrol
    "petrol": "petrol can get there, and the pump is not known to be ignition-protected",
    "petrol_unknown": "there is petrol on board, whether it can get into this {room} is not "
    "recorded, and the pump is not known to be ignition-protected: look, and record petrol = true "
    "or false at the place or its compartment",
    "petrol_next_door": 'an opening leads to "{room}", where petrol is: the vapour can drift in, '
    "so seal it or take an ignition-protected pump",
    "petrol_maybe_next_door": 'an opening leads to "{room}", where petrol may be: the vapour can '
    "drift in, so seal it or take an ignition-protected pump",
    # Reach and comfort
    "out_of_reach": "nobody can reach it for service",
    "barely_in_reach": "it can only just be reached for service",
    "above_electrics": "it would hang over electrical gear, and every pump drips one day",
    "strainer_out_of_reach": "strainer and seacock can no longer be reached together",
    "strainer_barely_in_reach": "strainer and seacock can only just be reached together",
    "strainer_too_far": '"{strainer}" is {away} from "{seacock}"; one hand reaches {reach}',
    "strainer_far_but_seen": '"{strainer}" is {away} from "{seacock}", more than the {reach} that '
    "one hand reaches; the case records that both are in reach",
    "strainer_reach_unknown": 'how far "{strainer}" is from "{seacock}" is not known, because a '
    "position is not recorded: look whether one hand reaches both",
    "outside_its_room": 'its position is {by} outside the box of "{room}", where it is said to be: '
    "mend one of the two",
    "heel_unknown": "the working heel is not recorded, so the depth is known upright only",
    "length_unknown": "the waterline length is not recorded, so the depth is known without trim",
    "gets_wet": (
        "it gets wet there: raise it only as far as it stays flooded, and keep the motor and its "
        "plug out of the splash"
    ),
    "no_air": "no air moves there, and the motor must shed its heat: give it a lined duct",
    # Pump and cable
    "other_pump_would_do": "another pump, {pump}, would meet the need there; how loud "
    "that one is was not calculated",
    "other_pump_is_tight": "another pump, {pump}, would be tight there: {reason}; how loud "
    "that one is was not calculated",
    "mount_too_stiff": "the pump turns at {shaft} and bounces on its {mount} at {bounces}: a mount "
    "makes it worse below 1.41 times that, so take a softer one",
    "cable_too_thin": "{length} of cable with a conductor of {area} lose {drop}, {share:.1%}: at "
    "least {least}",
    "cable_too_long": "{length} of cable with a conductor of {area} lose {drop}, {share:.1%}: a "
    "shorter run is needed",
    "speeds_differ": "The pump does not turn equally fast everywhere, and faster is louder. Of "
    "rated speed: {places}. A place with less cable or less load can be louder for that alone.",
    "speed": '"{place}" {share:.1%}',
    "several_pumps": "{pumps} pumps run in this loop: flow, head, power and what a day takes are "
    "those of all together.",
    "stands_here_now": '"{place}" is where the pump is now: its hoses, and its cable if recorded, '
    "are as long as the case says. Those of the other places are led along, across and up, with "
    "their slack.",
    "cable_as_now_everywhere": "The cable is taken as long as it is now at every place. Give panel "
    "in [placing], or cable_length at a place, and it follows the place.",
    "cable_as_now": "The cable is taken as long as it is now where no other is given. Give panel "
    "in [placing], or cable_length at a place, and it follows the place.",
    "cable_unknown": "No cable is recorded, so all the volts of the panel reach the pump. Give "
    "panel in [placing], or cable_length at a place, and it follows the place.",
    "cable_from_panel": "The cable is led from the panel along, across and up, with its slack.",
    # Cures
    "cure_mount": "{mount} in place of {now}",
    "cure_locker": "a lined locker round it",
    "cure_hose": "{clip}",
    "cure_speed": "set to {share:.0%} of full speed, which still meets the need",
    "cure_all": "all of these together",
    "no_slower_speed": "slower speed: not with this pump, or not without starving a unit",
    # The drawing
    "drawing": _drawing,
    "drawn_under": "{boat}. All views to one scale. The pump stays {stays}. Heights are from the "
    "waterline, afloat and loaded. Boats and pumps shipped with this program are invented.",
    "drawn_thing": "{name}, then {runs}",
    "drawn_end": "{name}",
    "drawn_level": "{length} of {bore} to {to} (level)",
    "drawn_rises": "{length} of {bore} to {to} (rises {by}, {slope:.0f}°)",
    "drawn_falls": "{length} of {bore} to {to} (falls {by}, {slope:.0f}°)",
    "drawn_taken": "{name}: the pump goes here",
    "drawn_other": "{name}: another place",
    "drawn_out": "{name}: out",
    "drawn_for_want": "{name}: out, and drawn here only because no place will do",
    "drawn_intake": "{name}: another place for the intake",
    "drawn_suction": "hose to the pump",
    "drawn_delivery": "hose from the pump",
    "drawn_water": "water, boat upright",
    "drawn_trimmed": "water on the centreline, {trim:.3g}° of trim either way",
    "drawn_heeled": "water at the pump's side, {heel:.3g}° of heel",
    "drawn_heeled_trimmed": "water at the pump's side, {heel:.3g}° of heel and trim",
    "drawn_hull": "length on the water, beam and freeboard, as recorded",
    "drawn_hull_curved": "hull: length on the water, beam and freeboard as recorded, curve assumed",
    "drawn_berth": "someone sleeps here, pillow or middle of the room; level with the pump running",
    "drawn_room": "{name}",
    "drawn_not": "not drawn, for their place is not recorded: {names}",
    "drawn_slopes": "Slopes are the rise or fall over the length of the hose. Hoses are drawn "
    "straight.",
}

# What stands round the tables, by name.
NOTES = {
    "depth": "depth: water over the pump, upright and the least at the working heel and trim.",
    "seacock": "seacock: the longest way from a strainer before the pump to a seacock that feeds "
    "it, with what the case records of reaching both; - : a position is not recorded, or no "
    "strainer.",
    "louder": "> : louder than that, because the pump draws air or cavitates there.",
    "intakes": "Places for the intake, best first; by sound they cannot differ:",
    "costs": "flow, head, power, volts at the pump: warmest sea, all clean, nominal supply; "
    "suction: lowest pressure at its inlet in any worst case; a day: all that cooling takes for "
    "the duties; hose: all from the intakes to the units; cable: one way.",
    "no_level": "the level given for it does not hold. A pump that draws air or cavitates is "
    "{least:.0f} to {most:.0f} dB louder, and gravelly (common practice, no source).",
    "sound": "The pump gives {level:.0f} dB(A) at 1 m at the speed of the first place, "
    "{speed:.0%} of rated; its kind is an invented row of a table, and levels are for ranking. By "
    "air and by structure apart, both A-weighted; the structure's part rests on invented force "
    "levels:",
    "bands": "Octave bands for {place}, unweighted, in dB:",
    "not_parted": "No partition recorded between {pairs}: plywood with a louvred door is "
    "assumed, the usual that lets most sound through. Record what stands there.",
    "metres": "Vibration spreads evenly within one board: metres along it do not count here, only "
    "the joints on the way to a berth.",
    "cures": "The gains of single cures do not add up: the loudest way that is left decides. "
    "Shutting a door on the way to a berth never makes it louder there, but shutting one to a soft "
    "side room can, since that room absorbed some of the sound.",
    "not_all_placed": "Not every pump has a place that will do and a berth that hears it.",
    "together": "Each pump was placed by itself, with the others where the case has them, and "
    "heard alone.",
}

# What stands in the drawing itself, by name.
DRAWN = {
    "side": "Side view, bow to the left",
    "one_side": "Side view, bow to the left; the other side's rooms are left out",
    "plan": "Plan, starboard above; lower rooms over higher ones",
    "section": "Across, looking forward",
    "water_upright": "water, upright",
    "berth_level": "berth, {level:.0f} dB(A)",
}
