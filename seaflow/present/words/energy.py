"""Energy of a day, the best speed of the pump, and whether it starts the water."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from seaflow.present.quantities import Show

_FAILS = {
    "flowing": "some unit does not run",
    "branch dry": "some unit gets no water",
    "no operating point": "the pump moves no water",
    "would run backward": "water would run backward",
    "at rest": "the pump does not turn",
    "not settled": "no steady state was found",
}


def _fails(values: Mapping[str, Any], show: Show) -> str:
    return f"{values['duty']}: {_FAILS[values['ending']]}, so its figures say little."


WORDS: Mapping[str, str | Callable[[Mapping[str, Any], Any], str]] = {
    # The card.
    "card_title": "{boat}: {loops}, {day}",
    "day_given": "energy of the day that the file describes",
    "day_typical": "energy of a typical day",
    "speeds": "{duties}.",
    "duty_speed": "{duty} {speed:.0%} of full speed",
    "sure_given": "Taken for clean hoses and the duties of the file.",
    "sure_typical": (
        "Taken for clean hoses and a typical day, since no hours of use are recorded: record them "
        "as duties."
    ),
    # The day and the battery.
    "takes": (
        "{energy} in {time} of duties, with fans and controls; {pump} of it for the pump "
        "({share:.0%})."
    ),
    "at_full_speed": (
        "{energy} in {time} of duties, with fans and controls; {pump} of it for the pump "
        "({share:.0%}) at full speed."
    ),
    "fails": _fails,
    "day_band": "A day takes {energy:range}, nine times in ten.",
    "whole_boat": "{energy} a day.",
    # The night on the battery.
    "card_night_no": (
        "The battery does not last the night: it reaches its limit at {until}, and nothing that "
        "was tried makes it last."
    ),
    "card_night_asks": (
        "What the battery holds is not given: it lasts the night if {energy} may be drawn from it "
        "({needed} at {voltage})."
    ),
    "card_night_short": "The battery lasts the night only if less runs.",
    "card_night_seldom": "The battery lasts only {share:.0%} of nights.",
    "night_lasts": (
        "From full at {start} the battery lasts: {left} ({share:.0%}) are left at dawn, {dawn}."
    ),
    "night_least": "It is lowest at {time}, with {left}.",
    "night_limit": (
        "From full at {start} the battery reaches its limit at {limit} ({early} to {late}, nine "
        "times in ten)."
    ),
    "night_limit_or_not": (
        "From full at {start} the battery reaches its limit at {limit} (from {early} on, or not at "
        "all, nine times in ten)."
    ),
    "night_lasts_with": "With {changes} it lasts, and {left} are left at dawn.",
    "night_until_with": "With {changes} it lasts until {until}.",
    "bank_typical": "What the battery holds is not given: {charge} are taken.",
    "house_typical": "What else the boat draws is taken as {power}, which is typical.",
    "night_share": "On {share:.0%} of the simulated nights it lasts.",
    "not_made_good": "The day does not make it good: by {time} {missing} are missing.",
    "full_again": "The day makes it good: full again by {time}.",
    "way_speed": "the pump at {speed:.0%}",
    "way_speeds": "the pump at {low:.0%} to {high:.0%}",
    "way_switched": "the pump switched with the units",
    "way_off": "{unit} off",
    "way_less": "{less:.0%} less cooling",
    "below_nothing": (
        "Below nothing is what would be missing by then. Ways and shares hold for what runs on the "
        "battery."
    ),
    "chart_title": "Battery of {boat} from {start}",
    "chart_band": "line: as written; band: nine nights in ten; grey: from sunset to sunrise",
    "chart_dawn": "{left} at {dawn}",
    "chart_limit": "limit at {limit}",
    "chart_part": "{starts} to {ends} {name}, on {source}: {draws} out, {charges} in",
    "chart_rest": "{starts} to {ends} nothing cools: {draws} out, {charges} in",
    # The start of a compressor.
    "inverter_asked": (
        "as the compressor of {unit} starts beside {running} already running, {low} to {high} are "
        "asked for a moment, unless it has a soft start: the inverter must give that."
    ),
    "inverter_starts": (
        "as the compressor of {unit} starts beside {running} already running, {low} to {high} are "
        "asked for a moment; the inverter gives about {gives}: enough."
    ),
    "inverter_may_not": (
        "as the compressor of {unit} starts beside {running} already running, {low} to {high} are "
        "asked for a moment; the inverter gives about {gives}: fit a soft start if it trips."
    ),
    "inverter_too_small": (
        "as the compressor of {unit} starts beside {running} already running, {low} to {high} are "
        "asked for a moment; the inverter gives only about {gives}: it needs a soft start, or a "
        "larger inverter."
    ),
    "left_on": ("pump on 24 h: {power}, {energy} a day, of which {wasted} is wasted."),
    # The best speed, or throttle.
    "best_speed": (
        "Over the season the best speed saves {least} to {most}, {least_share:.0%} to "
        "{most_share:.0%} of what full speed takes; most at a sea of {sea} and {load:.0%} load."
    ),
    "no_speed_gains": (
        "no speed takes less than full speed at any sea or load: leave it at full speed."
    ),
    "no_speed_holds": "no speed keeps every limit at any sea or load; at the warmest sea {why}.",
    "saves_at": (
        "Run the pump at {speed:.0%} of full speed on this day: that saves {saved} ({share:.0%} of "
        "all)."
    ),
    "saves_between": (
        "Run the pump at {low:.0%} to {high:.0%} of full speed on this day: that saves {saved} "
        "({share:.0%} of all)."
    ),
    "best_throttle": (
        "The best throttle saves {least} to {most}, {least_share:.0%} to {most_share:.0%} of what "
        "full flow takes; most at a sea of {sea} and {load:.0%} load."
    ),
    "no_throttle_gains": (
        "leave the pump at full flow: no throttle saves energy at any sea or load."
    ),
    "no_throttle_holds": (
        "leave the pump at full flow: even that does not keep every limit at the warmest sea "
        "({why})."
    ),
    "other_saves": "a variable-speed pump would save {saved} a day ({share:.0%}).",
    "other_saves_nothing": (
        "a variable-speed pump would save almost nothing: the compressor would use what the pump "
        "saves."
    ),
    # What sets the best speed.
    "set_by": "For the same cooling. The speed is set by {reasons}.",
    "least_power": "least power",
    "full_speed": "full speed takes least",
    "least_setting": "the slowest it can be set to",
    "breaks": "missed: {limit}",
    "not_all_limits": "some limit is always missed",
    "runs": "{unit} gets water and runs",
    "least_flow": "maker's least flow of {unit}, {flow}",
    "most_flow": "maker's most flow of {unit}, {flow}",
    "silt": "{velocity} in the coil of {unit}, so that silt moves",
    "alloy": "{velocity} in the coil of {unit}, the most its alloy stands",
    "rise": "permitted rise of {unit}, {rise}",
    "cut_out": "{rise} from {unit} to its cut-out",
    # Whether it starts.
    "lifts": (
        "Shut-off head {shut_off} against {height} to the highest point ({highest}), {times:.1f} "
        "times: enough."
    ),
    "lifts_barely": (
        "Shut-off head {shut_off} against {height} to the highest point ({highest}), {times:.1f} "
        "times: less than the {wanted:g} times of common practice."
    ),
    "cannot_lift": (
        "Shut-off head {shut_off} against {height} to the highest point ({highest}), {times:.1f} "
        "times: it cannot start the water."
    ),
    "nothing_to_lift": (
        "Nothing of the run stands above the water; its shut-off head is {shut_off}."
    ),
    "once_full": "Once every leg runs full only {left} are left to lift, to the outlet.",
    "once_full_nothing": "Once every leg runs full nothing is left to lift.",
    # How slowly it may turn.
    "slowest": (
        "from rest, below {speed:.0%} of full speed no water gets over the highest point, or not "
        "to every unit (shut-off head falls with speed squared: {by_affinity:.0%} by that alone)."
    ),
    "holds_on": "A leg that runs full already holds on to {speed:.0%}.",
    "can_be_set": "It can be set down to {speed:.0%}, so the water never stops.",
    "can_be_set_too_low": "It can be set down to {speed:.0%}: set it no lower than needed.",
    "any_speed": "it delivers at any speed, since nothing stands above the water.",
    "no_speed_delivers": "even at full speed some branch gets no water.",
}
