"""The bill of materials: what a line is, by which rule, and what is not recorded."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from seaflow.present.quantities import Show


def _area(text: str) -> str:
    return text.replace("mm2", "mm²")


def _size(values: Mapping[str, Any]) -> str:
    return f"at least {_area(values['least'])} ({values['american']})"


def _cable(cores: str) -> Callable[[Mapping[str, Any], Any], str]:
    def said(values: Mapping[str, Any], show: Show) -> str:
        both = values["both"]
        return f"{cores}, {_size(values)}; {show(both.kind, both.value)} out and back"

    return said


def _set_by(values: Mapping[str, Any], show: Show) -> str:
    decided = {"least size": "the smallest size allowed"}.get(values["set_by"], values["set_by"])
    return f"Cable: set by {decided}; it loses {values['drop']:.0%} of the volts, out and back."


def _terminals(values: Mapping[str, Any], show: Show) -> str:
    return f"crimp terminals for stranded wire of {_size(values).removeprefix('at least ')}"


def _fitted(text: str) -> Callable[[Mapping[str, Any], Any], str]:
    def said(values: Mapping[str, Any], show: Show) -> str:
        area = f"{show.value('area', values['fitted'].value):g} {show.unit('area')}"
        return text.format(fitted=area, least=_area(values.get("least", "")))

    return said


WORDS: dict[str, str | Callable[[Mapping[str, Any], Any], str]] = {
    # Hoses and their ends.
    "hose": "hose {bore:both}, {hose}",
    "slack": (
        "Hose: {share:.0%} more than the runs measure, for square cuts and easy bends (our "
        "assumption)."
    ),
    "which_hose": (
        "Which kind of hose is it? {hose} is assumed; below the waterline only hose made for that."
    ),
    "clamps": "clamps for {bore:both} hose",
    "two_clamps": (
        "Clamps: two on every barb whose hose lets the sea in if it comes off, now or heeled, and "
        "on the whole suction side, as the survey asks. All stainless, with solid bands; their "
        "size goes by the outside of the hose you buy."
    ),
    "one_clamp": "Clamps: one on every barb that stays above the water, even heeled.",
    "short_barb": "Clamps: one where the barb was seen too short for two; a longer barb is better.",
    "does_it_flood": (
        "Do the ends of {hose} go under water as she heels? Record their places; until then two "
        "clamps are counted."
    ),
    "fitting": "{name}, {bore:both}",
    "balancing_valve": "balancing valve {bore:both}",
    "tail": "hose tail {hose:both} on a port of {port:both}",
    "reducing_tail": "reducing hose tail, hose {hose:both} on a port of {port:both}",
    "tail_for_inlet": "hose tail {hose:both} to suit the inlet of the pump you buy",
    "tail_for_outlet": "hose tail {hose:both} to suit the outlet of the pump you buy",
    "adapter": "adapter, hose {hose:both} to {port:both}",
    "adapter_clamps": (
        "Adapters: each sits between the new hose and a short piece of the old size on the tail "
        "that stays; the old clamps are not used again."
    ),
    # Things.
    "through_hull": "through-hull {bore:both}, {entry}",
    "sea_chest": "sea chest, opening {bore:both}, {entry}",
    "chest_vent": "vent of the sea chest, led above the heeled waterline",
    "is_it_vented": "Does {thing} have a vent, and where does it end?",
    "outlet": "outlet through the hull {bore:both}",
    "seacock": "seacock {bore:both}, {type}",
    "seacock_wanted": "seacock {bore:both}, flanged, full bore",
    "survey_finds": "Seacock of {thing}: the survey finds that {found}.",
    "is_there_a_seacock": (
        "Does a seacock close {thing}, or must one? Record it, or its type as none, and where the "
        "opening is."
    ),
    "which_seacock": "{thing}: what kind of valve is it? {type} is assumed.",
    "which_entry": "{thing}: what does the water meet outside? {entry} is assumed.",
    "strainer": "strainer, ports {port:both}, open area of the basket {area:both}",
    "strainer_port": "strainer, ports {port:both}",
    "basket": (
        "How large is the basket of {thing}: area of its wall, and the share of it that is holes?"
    ),
    "unit": "air conditioner of {cooling:both}, its water ports",
    "unit_ports": (
        "What size are the water ports of {thing}? Its hoses are {hoses}: buy tails or adapters "
        "to suit."
    ),
    "size": "{bore:both}",
    "manifold": "manifold {bore:both}, with barbs for {ends}",
    "tee": "tee {bore:both}, with barbs for {ends}",
    "reducer": "reducer or joint, {bore:both} to {other:both}",
    "check_valve": "check valve {bore:both}",
    "pump_check_valve": "check valve on the delivery of the pump",
    "vented_loop": "vented loop {bore:both}",
    "flush_tee": "tee for flushing {bore:both}, with a plug",
    # The pump.
    "pump": "pump for {supply}, continuous duty, at least {flow:upboth} at {head:upboth}",
    "pump_each": "pump for {supply}, continuous duty, each at least {flow:upboth} at {head:upboth}",
    "pump_at_most": "{pump}, in this loop at most {most:downboth}",
    "for_hoses": "{pump}, for hoses of {suction:both} in and {delivery:both} out",
    "self_priming": "{pump}, self-priming",
    "ignition_protected": "{pump}, marked as ignition-protected",
    "any_priming": "{pump}; it need not be self-priming",
    "no_pump_is_enough": "pump: nothing to ask of one before the loop itself is changed",
    "no_pump_gives": "pump: for the loop as it stands it would have to give {flow:upboth} "
    "at {head:upboth}, and no pump of the table does; change the loop first",
    "is_it_under_water": (
        "Does {thing} stay under water on both tacks? Record its place; if not, the pump must be "
        "self-priming."
    ),
    "fitted_does": "Pump: {pump}, fitted now, is the one this list goes by.",
    "fitted_does_not": (
        "Pump: {pump}, fitted now, does not do; of those tried it comes nearest, and "
        "cable and breaker go by it."
    ),
    "asked_does": "Pump: {pump}, asked for, is the one this list goes by.",
    "asked_does_not": (
        "Pump: {pump}, asked for, does not do; cable and breaker go by it all the same."
    ),
    "own_sheet": "Pump: {pump} is the one this list goes by.",
    "invented": (
        "Pump: {pump} is invented. Buy a real one with these figures, and check cable, "
        "breaker and ports against its sheet."
    ),
    "dry_run": "flow switch or outlet temperature sensor that stops the pump when it runs dry",
    # Cable and protection.
    "cable_ac": "cable of three cores, one of them the protective conductor",
    "cable_dc": "cable of two cores",
    "cable_ac_of": _cable("cable of three cores, one of them the protective conductor"),
    "cable_dc_of": _cable("cable of two cores"),
    "cable_set_by": _set_by,
    "cable_enough": _fitted("Cable: {fitted} is fitted, and that is enough."),
    "cable_too_thin": _fitted("Cable: {fitted} is fitted; at least {least} is needed."),
    "cable_length": "How long is the cable from the panel to {thing}, one way?",
    "no_cable_is_enough": "The run to {thing} is too long for any standard cable: shorten it.",
    "protection": (
        "breaker or fuse above {least} and up to {most}, of a kind that lets {start:range} pass at "
        "starting"
    ),
    "shared_protection": "{what}, for the cable that feeds the {pumps} pumps",
    "own_protection": "breaker or fuse of each pump, above {least}",
    "protection_unknown": "breaker or fuse above {least}",
    "no_protection_fits": (
        "breaker or fuse: none fits, since the pump draws {least} and the conductor allows {most}; "
        "take a thicker cable"
    ),
    "protection_rule": (
        "Breaker or fuse: at the source of supply, more than the pump draws and no more than 33 "
        "CFR 183.455 lets protect a conductor that carries {carries}; check the current editions "
        "of ISO 13297 and ABYC E-11, and local codes."
    ),
    "breaker_fits": "{rule} The one fitted, {rated}, is in that range.",
    "breaker_does_not_fit": "{rule} The one fitted, {rated}, is not in that range.",
    "protection_needs_cable": (
        "Which cable feeds {thing}? The largest breaker or fuse follows from its conductor."
    ),
    "is_it_hot": (
        "Does the cable of {thing} run through an engine space? Until that is recorded it is "
        "counted as if: such a cable carries {share:.0%} of its rating."
    ),
    "terminals": _terminals,
    "terminals_fitted": _fitted("crimp terminals for stranded wire of {fitted}"),
    # The list itself.
    "consists": "What this loop consists of",
    "to_buy": "To buy",
    "not_told": "Part of the loop; the case does not say whether it is aboard",
    "aboard": "Aboard now",
    "old_parts": (
        "Aboard does not mean sound: seaflow survey says what to replace. Measure ports and hose "
        "ends before you buy."
    ),
    "questions": "Not recorded",
}
