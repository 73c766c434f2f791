"""Before a hose or a strainer is opened the sea is shut out, or she is out of the water."""

import pytest
from survey_boats import FILE, case_of, patched

from seaflow.base.tables import read_folder
from seaflow.studies.survey.findings import survey

HOSE, TAIL = "hose.0.seen.clamp_condition", "seacock.0.seen.tail_material"
STUCK = {
    "seized": {"seacock.0.seen.moves_freely": False},
    "hindered": {"seacock.0.seen.full_turn": False},
    "none": {"seacock.0.type": "none"},
}


def first(rule, patch, folder):
    found = survey(case_of(patched(patch, FILE), folder)).findings
    return next(item.first for item in found if item.rule == rule)


@pytest.mark.parametrize("broken", STUCK.values(), ids=STUCK)
@pytest.mark.parametrize(
    ("rule", "path", "value"),
    [
        ("clamp-broken", HOSE, "broken"),
        ("strainer-bowl", "strainer.0.seen.bowl", "cracked"),
        ("pump-leaks", "pump.0.seen.leaks", True),
    ],
)
def test_nothing_is_opened_afloat_below_a_seacock_that_does_not_shut(
    broken, rule, path, value, tmp_path
):
    assert first(rule, {path: value}, tmp_path).kind == "survey.shut_first"
    said = first(rule, {path: value, **broken}, tmp_path)
    assert said.kind == "survey.haul_out_first"
    assert said["opening"] == "cooling intake"


def test_a_tail_is_changed_ashore_where_its_seacock_is_seized(tmp_path):
    patch = {TAIL: "plain brass", "seacock.0.seen.moves_freely": False}
    assert first("tail-metal", patch, tmp_path).kind == "survey.haul_out_first"


def test_a_seacock_that_is_not_recorded_to_shut_is_not_said_to(tmp_path):
    patch = {HOSE: "broken", "seacock.0.seen.moves_freely": "drop"}
    assert first("clamp-broken", patch, tmp_path).kind == "survey.shut_first"


def test_what_no_sea_reaches_needs_no_seacock_shut(tmp_path):
    """The hose from the unit ends above every heeled waterline, once the outlet is that high."""
    patch = {
        "outlet.0.at.height": "2.0 m",
        "unit.0.at.height": "2.1 m",
        "hose.3.seen.condition": "kinked",
    }
    assert first("hose-state", patch, tmp_path) is None


def test_what_is_done_at_a_seacock_or_its_fitting_is_done_ashore():
    """Labels, handles and what is cleaned or looked at from outside apart."""
    afloat = {"seacock-no-label", "seacock-out-of-reach", "seacock-turn-hindered", "intake-choked"}
    for name, row in read_folder("rules").items():
        if row.get("table") == "seacock" and name not in afloat and not row.get("opens"):
            assert "ashore" in row["do"] or "Haul out" in row["do"], name
