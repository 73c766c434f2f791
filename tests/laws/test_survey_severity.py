"""One table says how grave a finding is; what comes in only raises it, no bilge pump lowers it."""

import re
from itertools import pairwise

import pytest
from survey_boats import case_with

from seaflow.base.tables import read_folder, read_table
from seaflow.studies.survey.findings import survey
from seaflow.studies.survey.severity import (
    BOAT,
    NEAR,
    NEXT,
    NOW,
    SEVERITIES,
    near_by_size,
    severity_of,
)

TABLE = read_table("severity.toml")
HARMS = tuple(TABLE["harm"])
CAPACITIES = ("none", "5 L/min", "40 L/min", "400 L/min")
# Boats with something wrong where the sea could come in: what stands in for a bilge pump must not
# make any of it lighter.
LEAKY = (
    {"seacock.0.type": "none"},
    {"seacock.0.seen.moves_freely": False},
    {"hose.0.seen.condition": "chafed"},
    {"hose.0.seen.clamps_at_each_end": 0},
    {"outlet.0.seen.cracked": True},
    {"seen.runs_unattended": True},
)


def rank(severity):
    return SEVERITIES.index(severity)


def test_what_is_nearer_and_what_hurts_more_is_never_less_grave():
    for harm in HARMS:
        ranks = [rank(severity_of(harm, near)) for near in NEAR]
        assert ranks == sorted(ranks), harm
    for near in NEAR:
        ranks = [rank(severity_of(harm, near)) for harm in HARMS]
        assert ranks == sorted(ranks), near


def test_only_the_boat_and_her_people_make_a_critical_finding():
    critical = [
        (harm, near) for harm in HARMS for near in NEAR if severity_of(harm, near) == SEVERITIES[0]
    ]
    assert critical == [(BOAT, NOW)]


def test_rules_have_a_row_and_a_column_and_no_severity_of_their_own():
    for name, row in read_folder("rules").items():
        assert "severity" not in row, name
        assert row["harm"] in HARMS, name
        assert row["near"] in NEAR, name
        assert row.get("otherwise", row["near"]) in NEAR, name


def test_what_a_rule_says_of_its_severity_can_be_found_in_its_row():
    for name, row in read_folder("rules").items():
        reached = {severity_of(row["harm"], near) for near in NEAR}
        told = set(re.findall("|".join(SEVERITIES), row.get("varies", "")))
        reached |= (
            {SEVERITIES[0]} if name == "shared-engine" else set()
        )  # she loses her only engine
        assert told <= reached, name


@pytest.mark.parametrize(
    ("measure", "size", "near"),
    [
        ("cable_drop", 0.05, NEXT),
        ("cable_drop", 0.12, NOW),  # more than ABYC E-11 lets any circuit lose
        ("out_of_water", 0.015, NEXT),
        ("out_of_water", 0.03, NOW),  # more than heights are known to
        ("flow_short", 0.19, NEXT),
        ("flow_short", 0.21, NOW),
    ],
)
def test_size_decides_the_column(measure, size, near):
    assert near_by_size(measure, size) == near


@pytest.mark.parametrize("patch", LEAKY, ids=lambda patch: next(iter(patch)))
def test_less_of_a_bilge_pump_makes_nothing_lighter(patch, tmp_path):
    found = []
    for capacity in CAPACITIES:
        pump = [{"name": "pump", "capacity": capacity, "automatic": True}]
        answer = survey(case_with({**patch, "seen.bilge_pump": pump}, tmp_path))
        found.append({(one.rule, one.where): rank(one.severity) for one in answer.findings})
    for fewer, more in pairwise(found):
        assert all(fewer.get(where, len(SEVERITIES)) <= grave for where, grave in more.items())
    assert found[0] != found[-1]
