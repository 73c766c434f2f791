"""The survey: what was found, what comes of it, and what the tables are.

What a rule asks, why, and what to do stand with the rules in seaflow/data/rules.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from typing import Any

from seaflow.base.tables import read_folder

YEAR = 365.25 * 86400.0  # s
LONG, VERY_LONG = 180.0, 2880.0  # minutes
SAID_AS = {"no label": "nothing"}
STRAINER_COLUMNS = (
    "Gauge: at the pump inlet. Rise: of the water of the unit that gets warmest, a dash where none "
    "cools; one that has tripped or gets no water counts as stopped, and no longer there. In "
    "{pressure} and {rise}."
)
WATCH_THE_GAUGE = "Watch the gauge: it falls while the rise still looks right."
RECORD, CAUTIONS, FINDINGS, ASSUMED = "Record", "Cautions", "Findings", "What was assumed"
IN_SHORT = "Critical and major, in short"
WATERLINES = "Heeled waterlines"
PLACES = "Where openings and pumps are, at rest and at {heel}°"
PLACES_WITHOUT_HEEL = "Where openings and pumps are; the working heel is not recorded or typical"
TRIMMED = "The same, heeled and trimmed"
RUNS = "Runs, upright"
OVERRULED = "Answers that differ from what was recorded; the answer counts"
STANDS = "Answers that differ from what was seen; what was seen counts until it is looked at again"
WHY_STANDS = {"told": "only told", "earlier": "of an earlier day"}
LOOK_AT = "Check on board"
IF_A_HOSE_FAILS = "If a hose fails"
NO_FINDINGS = "None. Anything not recorded is a question, not a pass: see below."
NOTHING_OPEN = "Nothing is left to check."
Values = Mapping[str, Any]


def _seen(values: Values, show: Any) -> str:
    """Say what was seen in the words of its rule."""
    value = values["value"]
    if values["unit"]:
        value = f"{value / YEAR if values['unit'] == 's' else value:.3g}"
    found: str = read_folder("rules")[values["rule"]]["found"]
    return found.format(value=SAID_AS.get(value, value))


def _published(values: Values, show: Any) -> str:
    named = "; ".join(values["standards"])
    return (
        f"Published requirement, in our words: {values['says']}. {named}. Check the current edition"
    )


def _counted(values: Values, show: Any) -> str:
    words = ("critical", "major", "minor", "advisory")
    counts = ", ".join(f"{values[word]} {word}" for word in words)
    left = values["left"]
    items = "1 item is" if left == 1 else f"{left} items are"
    return f"Findings: {counts}. {f'{items} left' if left else 'Nothing is left'} to check on board"


def _coverage(values: Values, show: Any) -> str:
    told, shut = values.get("told", 0), values["not_accessible"]
    said = f"{values['seen']} of {values['points']} critical and major points seen"
    if told:
        only = "all of them" if told == values["seen"] else f"{told} of them"
        said += f" or told, {only} only told"
    if before := values.get("before", 0):
        day = datetime.date.fromisoformat(values["on"])
        last = f"{day.day} {day:%B %Y}"
        said += f"; {values['now']} at this visit, {before} earlier, the last on {last}"
    return f"{said}; {shut} not accessible" if shut else said


def _fills(values: Values, show: Any) -> str:
    """Say how soon a volume is full: in minutes, in hours, or that there is time."""
    minutes, volume = values["minutes"], show(values["volume"].kind, values["volume"].value)
    if minutes < LONG:
        return f"{volume} fill in {minutes:.0f} minutes at the soonest"
    if minutes < VERY_LONG:
        return f"{volume} fill in {minutes / 60.0:.0f} hours at the soonest"
    return f"{volume} take more than two days to fill"


WORDS: dict[str, str | Callable[[Values, Any], str]] = {
    # The card.
    "card_title": "{boat}: survey of the seawater loop, {hull}",
    "hull_not_recorded": "kind of hull not recorded",
    "card_fit": (
        "Fit for use: nothing found is critical or major, and no critical question is open"
    ),
    "card_fit_told": (
        "Fit for use by what is told, which nobody is recorded to have seen: nothing told is "
        "critical or major, and no critical question is open"
    ),
    "card_not_fit": "Not fit for unattended use",
    "card_not_fit_at_all": (
        "Not fit for unattended use, and not for any before the critical findings are mended"
    ),
    "card_not_seen": (
        "Nothing found is critical or major, but {open} critical "
        "{open:question is|questions are} open"
    ),
    # How many, and what they rest on.
    "coverage": _coverage,
    "coverage_told": _coverage,
    "counted": _counted,
    "seen": _seen,
    "published": _published,
    "practice": "Common practice, no source",
    "practice_says": "Common practice, no source: {says}",
    "derived": "Derived: {says}",
    # Openings.
    "no_seacock": "no seacock is on it",
    "no_seacock_under_water": "no seacock is on it, and it is {depth} under water",
    "inflow": (
        "if the hose fails, {least} to {most} come in at {depth} of depth, by the discharge "
        "coefficients in print, 0.61 to 1"
    ),
    "goes_under_heeled": "heel puts it under water, and it has no seacock",
    "under_at_waterline": "{name}: at {angle} it is {depth} under water",
    "dry_at_waterline": "{name}: at {angle} it is {height} above the water",
    "waterline_not_recorded": "{name}: {asks} is not recorded",
    "steep_or_sheer": "30 degrees, or the deck edge in the water if that comes first",
    "steep_without_sheer": (
        "30 degrees, or the deck edge in the water if that comes first; the deck edge is not "
        "recorded, so 30 degrees"
    ),
    "sheer": "the heel that puts the deck edge amidships in the water",
    "modest_sailing": "7 degrees for a sailing multihull; if ABYC H-27 applies, read it there",
    "modest_motor": "7 degrees for a motor boat",
    "modest_power": "7 degrees for a power boat",
    "weak_exhaust": (
        "its line is not as strong as a seacock would be up to above the heeled waterline, and "
        "nothing shuts it"
    ),
    "seacock_narrow": "it is {bore:down} on an intake of {intake}",
    "no_lever": "it is a {type}, which does not show whether it is open",
    "valve_loss": "open, it costs {coefficient:.2g} times the velocity head in its bore",
    "valve_head": "as it runs, that is {head} of head",
    "carries_no_load": "it is an {type} on a through-hull",
    "metals": "{parts} in a hull of {hull}",
    "metals_alone": "{parts}",
    "starved_of_air": (
        "{parts}: in standing water stainless steel gets too little oxygen, and pits unseen"
    ),
    "made_of": "{name} of {material}",
    "tail_of": "tail of {name} of {material}",
    "barb_of": "barb of {name} of {material}",
    "of_weak_material": "it is of {material}",
    "pink_patches": "it shows pink patches",
    "cracked": "it is cracked or chalky",
    "barb_of_weak": "a barb of it is of {material}",
    "siphons_back": (
        "it is {depth} under water at rest or at the working heel, with neither vent nor seacock"
    ),
    "outlet_under_water": "it is {depth} under water",
    "outlet_low": "it is only {height:down} above the waterline",
    "outlet_high": "it is {height:up} above the waterline",
    "costs_head": "that costs {head} of head more than it must",
    "until_it_shuts": "until it shuts, open no hose or lid behind it, keep a softwood plug at "
    "hand, and do not leave her unattended",
    "shut_first": "shut the seacock first; if it does not shut, haul out",
    "haul_out_first": 'haul out first: "{opening}" cannot be shut',
    "other_supply": "it is made for {volts} {current}, and the supply is {supply}",
    "no_bilge_pump": 'no bilge pump is there, and "{opening}" can let in {least} to {most}',
    "bilge_pumps": (
        'its bilge pumps deliver {capacity}, and "{opening}" can let in {least} to {most}'
    ),
    "stays_in_the_boat": "{least} to {most} stay in the boat",
    "may_stay_in_the_boat": "up to {most} stay in the boat",
    "fills": _fills,
    "unattended": "the cooling runs with nobody aboard",
    "unattended_unnoticed": (
        "the cooling runs with nobody aboard, without both an alarm and a bilge pump that starts "
        "by itself"
    ),
    "no_automatic_pump": "no bilge pump of that compartment starts by itself",
    # Intakes.
    "scoop_faces_aft": "its scoop faces aft",
    "scoop_takes": "at {knots:.0f} knots it takes about {head} of head from the pump",
    "through_hull_narrow": "it is {bore:down}, and its hose {hose}",
    "shared_too_small": "it has only {ratio:down.2f} times the area of all hoses that draw from it",
    "shared_shallow": "it is shared and only {depth:down} deep",
    "shared_above_water": "it is shared and {height} above the water",
    "engine_shares": "an engine draws from it too",
    "only_engine_shares": "the only engine draws from it too",
    "intake_shallow_at_heel": (
        "at {heel} only {depth:down} of water is left over it on one tack, of {upright} at rest"
    ),
    "intake_out_at_rest": "it is {height} above the water at rest",
    "intake_out_at_heel": (
        "at {heel} it is {height} out of the water on one tack; at rest it is {upright} deep"
    ),
    "emerges_at": "it comes out of the water at {heel}",
    "scoop_feeds_engine": "a scoop that faces forward feeds an engine too",
    "scoop_presses": "at {knots:.0f} knots it presses with up to {head}",
    "no_scoop": "it has no scoop, on a light and shallow hull",
    "discharge_near": "a discharge is {distance:down} from it",
    "opening_near": '"{opening}" is {distance:down} from it',
    "in_stream_of": 'it is in the stream of "{opening}", {distance} ahead of it',
    "opening_in_line": '"{opening}" is directly in line with it, {distance} off',
    "outlet_near": "it is {distance:down} from the intake",
    "outlet_ahead": "it is {distance} ahead of the intake, in line with it",
    # Heel and trim together.
    "out_when_trimmed": (
        "with {heel} of heel and {trim} of trim, {side} side and {end} down, it is {height} out of "
        "the water"
    ),
    "shallow_when_trimmed": (
        "with {heel} of heel and {trim} of trim, {side} side and {end} down, only {depth:down} of "
        "water is left over it"
    ),
    "under_when_trimmed": (
        "with {heel} of heel and {trim} of trim, {side} side and {end} down, it is {depth} under "
        "water, and it has no seacock"
    ),
    "pump_above_when_trimmed": (
        "with {heel} of heel and {trim} of trim, {side} side and {end} down, it is {height} above "
        "the water"
    ),
    # The suction side.
    "dip": "it has a dip of {by} at {point}",
    "burnt_before": "a pump burnt out here before",
    "draws_air": "once it runs, the pressure there is {gauge}, which draws air in at any leak",
    "draws_no_air": "once it runs, the pressure there is {gauge}, which keeps air out",
    "slope_reverses": "{start} to {end} falls from {heel} of heel",
    "rises_little": "from {start} to {end} it rises only {rise:down} over {run}",
    "falls": "from {start} to {end} it falls {fall} over {run}",
    "check_valve": "a check valve is in the suction line",
    "suction_long": "there are {length:up} of hose between intake and pump",
    "narrow_at_port": "it is {hose:down} on a port of {port}",
    "collapses": "it is {hose} on the suction side",
    "lifts": "it lifts {height:up} from the waterline",
    "pump_above_water": "it is {height} above the waterline",
    "pump_above_at_heel": "at {heel} it is {height} above the water on one tack",
    "pump_below_at_heel": "at {heel} it is {depth} below the water on the worse tack",
    "pump_at_rest": "at rest it is {depth} below the waterline",
    "unless_it_primes": "it counts unless the pump primes itself, and its kind is not known",
    "pump_shallow": "it is only {depth:down} below the waterline at rest",
    "runs": "primed and basket clean, {flow} run by the model",
    "no_water_runs": "by the model no water runs, basket clean",
    "gauge_at_inlet": "a gauge at the pump inlet shows {gauge}",
    # After the pump.
    "weak_start": (
        "its shut-off head is {shut_off}, and the highest point, {crest}, is {height} above the "
        "waterline"
    ),
    "unit_below_water": "it is {depth} below the waterline",
    "warmed_by": "it gets its water from {units}",
    "crosses_hulls": "its line crosses from one hull to the other",
    "no_flushing": "it can be neither flushed nor drained for the winter",
    "one_clamp": "only 1 clamp is on each end",
    "no_clamp": "no clamp is on its ends",
    "narrow_trunk": (
        "the line that all its water passes, {bore}, has {share:down.0%} of the area of its "
        "{branches} branches"
    ),
    "runs_at": "its water runs at {velocity:up}",
    "no_branch_valve": "no valve is between where it parts and its unit",
    "many_units": "{units} units are on it",
    # Strainers, wiring, units.
    "no_strainer": "no strainer is between intake and pump",
    "strainer_above_water": "it is {height} above the waterline",
    "small_basket": "its open area is {ratio:down.1f} times that of its hose",
    "holes": "its holes are {hole} wide",
    "narrow_ports": "its ports are {port:down} on a hose of {hose}",
    "rated_too_low": "it is rated for {rated}, and {flow} run through it",
    "starved_by_dirt": (
        "it falls below its least flow of {least} when {share:.0%} of the basket is blocked"
    ),
    "below_need": (
        "with a clean basket it gets {clean}, {share:.0%} less than the {need} that it needs"
    ),
    "need_set_by": "that need is set by the {set_by}",
    "may_trip": "it gets less than its least flow of {least} and may trip",
    "has_least": "it gets its least flow of {least}",
    "seldom_cleaned": (
        "it is cleaned every {days:up.0f} days; in {water} water {usual:.0f} are usual"
    ),
    "fuse_too_large": (
        "a fuse or breaker of {breaker:up} protects a conductor that carries only {carries}"
    ),
    "largest_fuse": "published rules that were read let up to {most} pass on it",
    "derated": "in an engine space it carries {share:.0%} of what it carries elsewhere",
    "no_fuse": "no fuse or breaker is on its circuit",
    "small_conductor": "its conductor is {area}; the least that lasts on a boat is {least}",
    "pump_not_earthed": "no protective conductor is on it",
    "unearthed_beside_mains": (
        "no protective conductor is on it; it runs on DC, with mains on board that can reach it"
    ),
    "pump_not_guarded": "no residual-current device protects its circuit",
    "not_guarded_beside_mains": (
        "no residual-current device is recorded for it; it runs on DC, with mains on board"
    ),
    "mains_not_earthed": "not all that runs on mains has a protective conductor",
    "mains_not_guarded": "no residual-current device protects all mains circuits",
    "cable_drop": "the cable loses {drop}, {share:up.1%}, at {current}",
    "not_ignition_protected": (
        "petrol vapour can gather where it is, and it is not ignition-protected"
    ),
    "blocked_now": "its basket is {share:.0%} blocked",
    "gets_less_than_need": "{unit} gets {flow} now and needs {asks}",
    "gets_less_than_least": "{unit} gets {flow} now, less than its least flow of {asks}",
    "cleaning_due": "she is to be cleaned at {share:.0%}",
    "drain_before_pump": "a drain is teed into it before the pump",
    "drain_behind_pump": "a drain is teed into it behind the pump, which can fill what it drains",
    "drain_lets_air_in": (
        "the pressure in the hose falls to {gauge} as the basket gets dirty, so the pump draws air "
        "down the drain"
    ),
    "drain_stays_full": (
        "the pressure in the hose stays at {gauge} or more, so a drain that stands still keeps its "
        "water; one that runs takes air down with it"
    ),
    "coil_reversed": "its water goes in where it should come out",
    "liquid_warmer": (
        "its water warms by {rise}, and its liquid refrigerant leaves beside the warm end: up to "
        "{share:.0%} less cooling"
    ),
    "coil_clears": "at {flow} its air is carried down and out; that takes {least}",
    "coil_holds_air": "at {flow} air stays in it; {least} would carry it down and out",
    "no_low_flow_trip": "no flow switch stops it when the water fails, only its pressure switch",
    "trips_clean": "its flow switch opens below {trip}, and it gets {flow} with a clean basket",
    "trips_dirty": (
        "its flow switch opens below {trip}, and it gets {flow} with {share:.0%} of the basket "
        "blocked"
    ),
    "fast_in_coil": "its water runs at {velocity:up}, and {alloy} stands {most}",
    # The strainer by numbers.
    "basket": (
        "ports {port}, open area of the basket {open_area}, {over_hose:.1f} times that of its hose"
    ),
    "basket_not_recorded": "neither basket area nor open share is recorded",
    "need_kept": "{unit} gets its need of {need} ({set_by}) {until}",
    "need_not_met": "{unit} gets {clean} with a clean basket and needs {need} ({set_by})",
    "least_kept": "{unit} gets its least flow of {least} {until}",
    "least_not_met": "{unit} gets less than its least flow of {least} with a clean basket",
    "until_blocked": (
        "until {even:.0%} of the basket is blocked by evenly spread dirt, or {matted:.0%} by "
        "matted dirt"
    ),
    "until_even": (
        "until {even:.0%} of the basket is blocked by evenly spread dirt; matted dirt does no harm "
        "up to {most:.0%}"
    ),
    "until_matted": (
        "until {matted:.0%} of the basket is blocked by matted dirt; evenly spread dirt does no "
        "harm up to {most:.0%}"
    ),
    "always": "even with {most:.0%} of the basket blocked",
    "gauge_then": "a gauge at the pump inlet then shows {gauge}",
    "strainer_loss": (
        "The first figure takes the dirt as evenly spread over the holes, the second as a mat, "
        "which may cost ten times as much; findings go by the worse. A reading at the pump inlet "
        "beats both"
    ),
    # Where things are, and what was simplified.
    "no_heel": (
        "Heel and trim together are left out: the heel up to which the cooling must work is not "
        "recorded"
    ),
    "no_trim": (
        "Trim is left out: the waterline length, on whose middle she trims, is not recorded"
    ),
    "heel_and_trim": (
        "Heights with {heel} of heel and {trim} of trim: which side and which end is down. Turns "
        "at: the least heel at which, with that trim, an intake comes out of the water or an "
        "opening goes under"
    ),
    "crest_not_recorded": (
        "{loop}: the highest point is not known, because a height on its way is not recorded"
    ),
    "lifts_to": (
        "{loop}: until the run is full the pump lifts to {crest}, {height} above the waterline"
    ),
    "bilge_delivers": "the bilge pumps deliver {capacity}",
    "bilge_without_pump": "no bilge pump is there",
    "bilge_not_recorded": "what the bilge pumps really deliver is not recorded",
    "no_sinkage": (
        "the boat: as she heels she turns about the waterline at the centreline and half the "
        "waterline length, without sinking or lifting (our assumption)"
    ),
    "sharp_edge": (
        "openings: a hose that fails lets in what lies between a sharp edge, discharge coefficient "
        "{coefficient:g}, and the printed figures that take 1, {times:.2f} times as large; bilge "
        "pumps are held to the larger"
    ),
    "one_volume": (
        "the boat: alarm, drains to the bilge pump and the volume that may flood have one answer "
        "for both hulls, which holds for the worse; bilge pumps go by their hull (our assumption)"
    ),
}
