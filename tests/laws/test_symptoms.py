"""The symptoms that the trade names, and whether their causes are among the first of the answer.

The table of symptoms is from trade pages, publisher withheld, in our own words. Odds and noise are
not fitted to it. Where the model puts a named cause lower, EXCUSED says why that is right.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from diagnosis_proof import ranked

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.studies.diagnose.answer import USUAL, posterior_of, setup_of
from seaflow.studies.diagnose.written import read_rows

FIRST = 8  # of some thirty causes
ONE, THREE = "ketch-one-unit", "motor-three-units"
SEEDS = {ONE: (USUAL.seed,), THREE: range(USUAL.seed, USUAL.seed + 4)}

# Symptom: the case, what is read, and the causes named.
TABLE = {
    "trips on high pressure while water comes": (
        ONE,
        {"tripped": "yes", "stream": "weak"},
        (
            *("strainer", "seacock_part_shut", "air_lock", "pump_worn", "coil_scaled"),
            *("warm_sea", "recirculated"),
        ),
    ),
    "warm discharge": (
        ONE,
        {"sea": "29 degC", "discharge": "41 degC"},
        ("seacock_part_shut", "strainer", "pump_worn"),
    ),
    "warm discharge with a normal rise": (
        ONE,
        {"sea": "30 degC", "discharge": "35.8 degC"},
        ("nothing",),
    ),
    "cool discharge and no cooling": (
        ONE,
        {"sea": "27 degC", "discharge": "28 degC"},
        ("not_pumping", "low_refrigerant"),
    ),
    "weak steady stream": (
        ONE,
        {"stream": "weak", "bubbles": "no"},
        ("strainer", "growth", "coil_blocked", "pump_worn", "low_volts"),
    ),
    "no stream, pump hums": (
        ONE,
        {"stream": "none", "pump": "humming"},
        ("air_lock", "pump_jammed", "seacock_shut"),
    ),
    "no stream, pump silent": (
        ONE,
        {"stream": "none", "pump": "silent"},
        ("not_commanded", "thermal_cut_out", "set_point"),
    ),
    "pulsing stream": (ONE, {"stream": "pulsing"}, ("air_drawn_in", "aeration")),
    "noisy pump": (
        ONE,
        {"pump": "gravel"},
        ("air_drawn_in", "air_lock", "pump_worn"),
    ),
    "breaker trips": (ONE, {"breaker": "trips"}, ("pump_jammed", "motor_shorted")),
    "only under way": (
        ONE,
        {"when": "under way"},
        ("aeration", "scoop_reversed", "shared_intake"),
    ),
    "only after launching": (
        ONE,
        {"when": "after launching", "stream": "none"},
        ("air_lock", "seacock_shut"),
    ),
    "only at night": (ONE, {"when": "at night"}, ("low_volts", "strainer", "set_point")),
    "only with all zones on": (
        THREE,
        {"when": "with all zones on"},
        ("units_in_series", "low_volts", "recirculated"),
    ),
    "one zone always worse": (
        THREE,
        {
            "sea": "27 degC",
            "discharge": {
                "saloon unit": "33 degC",
                "guest cabin unit": "33 degC",
                "wheelhouse unit": "41 degC",
            },
        },
        ("coil_blocked", "branch_kinked", "branch_air", "coil_scaled"),
    ),
    "only in a warm harbour": (
        ONE,
        {"when": "in a warm harbour"},
        ("warm_sea", "recirculated", "strainer"),
    ),
    "trips after a while": (
        ONE,
        {"when": "after a while", "tripped": "yes"},
        ("thermal_cut_out", "strainer", "intake_blocked"),
    ),
    "good after a clean strainer, bad in days": (
        ONE,
        {"stream": "weak", "basket": "full", "when": "after a while"},
        ("strainer", "intake_blocked", "growth"),
    ),
    "bad again in days, and the strainer clean": (
        ONE,
        {"stream": "weak", "basket": "clean", "tried": ["cleaned strainer"]},
        ("intake_blocked", "growth"),
    ),
    "water in the bilge": (ONE, {"bilge": "salt water"}, ("leak",)),
    "high rise and high pressure": (
        ONE,
        {"sea": "27 degC", "discharge": "37 degC", "condensing": "48 degC"},
        ("pump_worn", "strainer", "seacock_part_shut"),
    ),
    "normal rise and high pressure": (
        ONE,
        {"sea": "27 degC", "discharge": "32.8 degC", "condensing": "55 degC"},
        ("coil_scaled", "overcharge"),
    ),
    "low rise and low pressure": (
        ONE,
        {"sea": "27 degC", "discharge": "29.5 degC", "condensing": "34 degC"},
        ("low_refrigerant", "filter"),
    ),
    "all normal, and still it trips": (
        ONE,
        {
            "sea": "27 degC",
            "discharge": "32.8 degC",
            "condensing": "42 degC",
            "tripped": "yes",
        },
        ("pressure_switch",),
    ),
}
TRIP = "trips on high pressure while water comes"
EXCUSED: dict[tuple[str, str], str] = {
    (TRIP, "air_lock"): (
        "a pump that turns in air gives no stream, and this one was called weak: what leaves some "
        "water reaches a trip as well, and leads"
    ),
    (TRIP, "warm_sea"): (
        "4 K over the design sea leave this boat three times its margin to the cut-out: a warm sea "
        "trips it only with something else, and its odds before are a sixtieth"
    ),
    (TRIP, "recirculated"): (
        "half of the discharge drawn in again warms the sea by one more rise of 6 K, which leaves "
        "this boat more than its margin: like a warm sea it trips only with something else"
    ),
    ("one zone always worse", "coil_scaled"): (
        "scale takes little of the water, and what it does not take warms no more: a rise of 14 K "
        "beside 6 K needs something else with it; it comes ninth, half a point behind the strainer"
    ),
    ("weak steady stream", "low_volts"): (
        "the pump of this boat has an induction motor: it loses a fiftieth of its speed down to "
        "its least volts, and where it stalls it stands still, which is no weak stream"
    ),
}


@cache
def setup(name):
    case = load_case(f"cases/{name}.toml").case
    return setup_of(case, network.loops(case)[0])


@cache
def order(symptom):
    """Causes by their odds; on three units in the mean of several seeds.

    There a single run carries causes of one or two in a hundred on a handful of boats.
    """
    case, rows, _ = TABLE[symptom]
    readings = read_rows(rows, setup(case).places)
    odds: dict[str, float] = {}
    for seed in SEEDS[case]:
        found = posterior_of(setup(case), readings, replace(USUAL, seed=seed))
        for name, chance in ranked(found):
            odds[name] = odds.get(name, 0.0) + chance
    return sorted(odds, key=lambda name: (-odds[name], name))


@pytest.mark.parametrize("symptom", TABLE)
def test_the_causes_named_are_among_the_first(symptom):
    missing = {
        cause
        for cause in TABLE[symptom][2]
        if order(symptom).index(cause) >= FIRST and (symptom, cause) not in EXCUSED
    }
    assert not missing, order(symptom)[:FIRST]


@pytest.mark.parametrize(("symptom", "cause"), EXCUSED)
def test_what_is_excused_is_still_needed(symptom, cause):
    assert order(symptom).index(cause) >= FIRST
