"""Each shipped boat gets the findings that it deserves, and no others."""

import tomllib
from functools import cache
from pathlib import Path

import pytest

from seaflow.boat.load import load_case
from seaflow.studies.survey.findings import survey

HERE = Path(__file__).parent
FOLDER = HERE.parents[1] / "cases"
EXPECTED = tomllib.loads((HERE / "expected_findings.toml").read_text(encoding="utf-8"))
SEVERITIES = ("critical", "major", "minor", "advisory")
GOOD = [name for name in EXPECTED if name != "badly-arranged"]


@cache
def surveyed(name):
    return survey(load_case(str(FOLDER / f"{name}.toml")).case)


def found(name, severity):
    return sorted(
        f"{item.rule}: {item.where}"
        for item in surveyed(name).findings
        if item.severity == severity
    )


def test_every_shipped_boat_is_listed():
    assert {path.stem for path in FOLDER.glob("*.toml")} == set(EXPECTED)


@pytest.mark.parametrize("name", EXPECTED)
@pytest.mark.parametrize("severity", SEVERITIES)
def test_findings_are_those_expected(name, severity):
    assert found(name, severity) == sorted(EXPECTED[name].get(severity, []))


@pytest.mark.parametrize("name", GOOD)
def test_a_good_boat_leaves_nothing_open_but_what_is_listed(name):
    asked = [f"{item.key}: {item.thing}" for item in surveyed(name).look_at]
    assert asked == EXPECTED[name].get("asked", [])


def test_the_bad_boat_is_asked_for_what_it_does_not_record():
    asked = {(item.thing, item.key) for item in surveyed("badly-arranged").look_at}
    assert ("the boat", "freeboard") not in asked  # her outlet is under water whatever the heel
    assert ("fore cabin unit", "return_air_from") in asked
    assert ("old log hole", "sound_core") in asked
    assert ("outlet", "material") in asked
    assert len(asked) > 30
