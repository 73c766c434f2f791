"""The page of a boat: what its own figures and pictures say."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "at_head": "at {head:both} of head; warmest sea, all clean",
    "over_need": "it gets {share:.0%} more",
    "under_need": "it gets {share:.0%} less",
    "uneven": "{more}; its units need {units} in all, but share it unevenly",
    "warmer": "{rise} warmer than the sea",
    "gives": "gives {flow}",
    "in_both": "{amount:both}",
    "no_pump_alone": (
        "none of the table gives so much: see first what costs head; seaflow improve names what "
        "helps most"
    ),
    "each_of": "{pumps}, and each of them as follows",
    "at_least": "{amount:upboth}",
    "at_most": "{amount:downboth}",
    "head_of_one": "At the {flow} that is needed the pump must give {head}",
    "head_of_many": (
        "With every unit at just its need, {flow} in all, the way through {unit} takes the most "
        "head: {head}"
    ),
    "head_shared": (
        "{head}. Left to itself this loop gives the others more than that, so the pump must give "
        "{asked} at {at} before every unit has its need"
    ),
    "ignition_protected": "may come to the pump: take one that is marked as ignition-protected",
    "dry_run_protection": "stops when it runs dry, or has a flow switch or outlet sensor beside it",
    "enough_on": "on {days:.0%} of simulated days",
    "trunk": "from the sea to {end}, shared by all",
    "branch": "{units}: from {start} to {end}",
    "branch_to_sea": "{units}: from {start} to the sea",
    "common_way_out": "from {start} to the sea, shared",
    "half_title": "{boat}: not told in full yet",
    "half_told": "{problems} {problems:thing is|things are} missing that every calculation needs; "
    "the page has what can be told without them",
    "hose_onward": "then {length} of {bore}",
    "then": "{before} then {after}",
    "outside": "open",
    "rests_air": "air",
    "with_pump": "with {pump}, in the warmest sea, all clean",
    "with_asked_pump": "with the pump asked for, {pump}, in the warmest sea, all clean",
    "with_fitted_pump": "with the pump fitted now, {pump}, in the warmest sea, all clean",
    "sheet_of_fitted": "this is of the pump fitted now, {pump}",
    "sheet_of_first": (
        "this is of the pump that is put first, {pump}. The part “Why is the water warm?” is of "
        "the pump fitted now"
    ),
    "sheet_of": "this is of {pump}",
    "profile": "Profile of the run through {units}: heights, sea and head",
    "height_axis": "height and head, {unit} from the waterline",
    "hose_axis": "{length} of hose in all",
    "air_stays": "from {crest} down to {dip}, {fall} deep",
    "air_clears": (
        "from {crest} down to {dip}, {fall} deep: the running pump clears it, which takes {flow}"
    ),
    "air_remains": (
        "from {crest} down to {dip}, {fall} deep: the running pump does not clear it, which would "
        "take {flow}"
    ),
    "sound": "Sound of the pump at each berth, by place",
    "lift": "lift to the outlet",
    "not_given_back": "fall after the highest point: it does not run full, and is lost",
    "in_all": "in all",
    "lift_to_crest": "only for the first start: lift to the highest point, {crest}",
    "window": "Water window: {need} are needed, {flow} are given",
}
