"""Commands of a diagnosis in US units: whatever an owner there types comes back as he reads it."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli.main import main

KETCH = Path(__file__).parents[2] / "cases" / "ketch-one-unit.toml"
METRIC = re.compile(r"(?<![\w-])\d[\d.,]* ?(?:m|cm|mm|km|L|kPa|bar|°C|degC)(?![\w/²³])")
ANY = ("--boat", "40 ft sailing monohull", "--unit", "16000 BTU/h", "--supply", "115 V 60 Hz")
READ = ("--sea", "82F", "--discharge", "95F", "--bucket", "2 gal in 50 s")


@pytest.fixture(scope="module")
def boat(tmp_path_factory):
    """A case with two stored days."""
    case = str(shutil.copy(KETCH, tmp_path_factory.mktemp("us")))
    for day, seconds in (("2026-07-01", "30"), ("2026-08-01", "31")):
        read = ("--sea", "82F", "--discharge", "92F", "--bucket", f"2 gal in {seconds} s")
        told("baseline", case, *read, "--store", day)
    return case


def told(*words):
    done = CliRunner().invoke(main, [*words, "--units", "us"])
    assert done.exit_code in (0, 1), done.output
    return done.output


@pytest.mark.parametrize("more", [(), ("--full",)])
@pytest.mark.parametrize("command", ["diagnose", "baseline"])
@pytest.mark.parametrize("described", [True, False])
def test_nothing_is_told_in_metres_litres_or_celsius(boat, command, more, described):
    said = told(command, *((boat,) if described else ANY), *READ, *more)
    assert METRIC.findall(said) == []
    assert "2 gal" in said or command == "diagnose"  # which tells only what is odd
    assert described or "40 ft" in said


def test_a_sheet_in_us_units_has_two_gallons_where_no_bucket_was_told():
    said = told("baseline", str(KETCH), "--no-baseline")
    assert "2 gal in" in said and METRIC.findall(said) == []


def test_a_boat_of_which_no_length_was_told_has_none_in_her_name():
    said = told("diagnose", "--unit", "16000 BTU/h", "--stream", "weak", "--draws", "2048")
    assert METRIC.findall(said) == []


def test_metric_units_are_found_where_they_stand():
    for text in ("10 L in 38 s", "a boat of 12.2 m, loop", "29 °C", "30 degC", "5 bar"):
        assert METRIC.search(text)
    for text in ("4.2 gpm", "5 min", "demo-mag-12", "3 motors", "115 V"):
        assert not METRIC.search(text)
