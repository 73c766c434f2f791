"""Petrol that one part of a case tells of reaches every answer that it concerns."""

import pytest
from click.testing import CliRunner
from sizing import KETCH, edited, load_text, text_of

from seaflow.boat.petrol import petrol_aboard, petrol_at
from seaflow.cli.main import main
from seaflow.studies.size.size import size
from seaflow.studies.survey.findings import survey

SEEN = "in_petrol_space = false, ignition_protected = false }\n\n[[unit]]"
ROOM = 'name = "bilge under the saloon"\nuse = "bilge"\n'


def told(room=None, seen=None, protected="false"):
    """The ketch, her pump in that bilge, with what room and pump tell of petrol."""
    said = "" if seen is None else f"in_petrol_space = {seen}, "
    more = "" if room is None else f"petrol = {room}\n"
    changes = (SEEN, f"{said}ignition_protected = {protected} }}\n\n[[unit]]"), (ROOM, ROOM + more)
    return edited(text_of(KETCH), *changes)


@pytest.mark.parametrize(
    ("room", "seen", "there"),
    [
        (None, None, None),
        ("false", None, False),
        ("true", None, True),
        (None, "true", True),
        (None, "false", False),
        ("true", "false", True),
        ("false", "true", True),
    ],
)
def test_petrol_is_where_the_room_or_whoever_looked_says_so(room, seen, there, tmp_path):
    case = load_text(tmp_path, told(room, seen))
    assert petrol_at(case, case.pump[0]) is there
    assert petrol_aboard(case) is (room == "true")
    (loop,) = size(case, 0).loops
    assert loop.asks.ignition_protected is bool(there)


def test_the_survey_finds_a_pump_that_may_spark_in_a_room_with_petrol(tmp_path):
    def found(**more):
        case = load_text(tmp_path, told(**more))
        return [one.rule for one in survey(case).findings if "ignition" in one.rule]

    assert found(room="true") == ["pump-ignition"]
    assert found(room="true", protected="true") == found(room="false") == []


@pytest.mark.parametrize(("room", "says"), [("true", True), ("false", False), (None, False)])
def test_the_card_asks_for_ignition_protection_and_warns(room, says, tmp_path):
    file = tmp_path / "boat.toml"
    file.write_text(told(room), encoding="utf-8")
    card = CliRunner().invoke(main, ["size", str(file), "--samples", "64"]).stdout
    assert ("ignition" in card) is ("petrol" in card) is says
