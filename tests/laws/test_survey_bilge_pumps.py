"""Bilge pumps: none at all can be told, and each hull of a multihull has its own or is asked."""

import pytest
from survey_boats import FILE, case_of, patched

from seaflow.studies.survey.findings import survey

CATAMARAN = FILE.with_name("power_catamaran.toml")
PORT, STARBOARD = (
    {"name": f"{side} pump", "capacity": "120 L/min", "automatic": True, "hull": side}
    for side in ("port", "starboard")
)


def surveyed(pumps, folder, file=FILE, **more):
    return survey(case_of(patched({"seen.bilge_pump": pumps, **more}, file), folder))


def told(pumps, folder, file=FILE, **more):
    answer = surveyed(pumps, folder, file, **more)
    return {(item.rule, item.where): item for item in answer.findings}, answer.look_at


@pytest.mark.parametrize("capacity", ["none", "0 L/min"])
def test_a_boat_without_a_bilge_pump_is_found(capacity, tmp_path):
    found, asked = told([{"name": "bilge pump", "capacity": capacity}], tmp_path)
    assert {rule for rule, _ in found} == {"bilge-pump-too-small", "bilge-pump-not-automatic"}
    assert {item.severity for item in found.values()} == {"major"}
    small = found["bilge-pump-too-small", "the boat"]
    assert small.found.kind == "survey.no_bilge_pump"
    assert asked == ()
    pump = {"name": "bilge pump", "capacity": capacity}
    assert surveyed([pump], tmp_path).bilge.kind == "survey.bilge_without_pump"


def test_a_pump_that_is_not_there_starts_nothing(tmp_path):
    pump = {"name": "bilge pump", "capacity": "none", "automatic": True}
    assert ("bilge-pump-not-automatic", "the boat") in told([pump], tmp_path)[0]


def test_a_pump_that_starts_by_itself_starts_for_its_own_hull_alone(tmp_path):
    """Her loop is in the port hull."""
    found, _ = told([PORT | {"automatic": False}, STARBOARD], tmp_path, CATAMARAN)
    assert set(found) == {("bilge-pump-not-automatic", "the port hull")}
    found, _ = told([PORT, STARBOARD | {"automatic": False}], tmp_path, CATAMARAN)
    assert found == {}


@pytest.mark.parametrize("pump", [PORT, STARBOARD])
def test_the_pump_of_one_hull_convicts_the_other_of_nothing(pump, tmp_path):
    found, asked = told([pump], tmp_path, CATAMARAN)
    assert found == {}
    assert [item.key for item in asked] == ["bilge_pump"]


def test_nobody_meets_a_flood_in_a_hull_whose_pump_is_started_by_hand(tmp_path):
    pumps = [PORT | {"automatic": False}, STARBOARD]
    found, _ = told(pumps, tmp_path, CATAMARAN, **{"seen.runs_unattended": True})
    assert found["unattended", "the boat"].severity == "major"
