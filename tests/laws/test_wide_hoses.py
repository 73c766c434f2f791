"""A hose far wider than what it joins, or than is usual for the units, is asked about."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from seaflow.boat.load import load_case
from seaflow.cli.main import main
from seaflow.forms.typical.facts import BoatFacts, Facts
from seaflow.forms.typical.hull import layouts
from seaflow.forms.typical.text import case_of

CASES = Path(__file__).parents[2] / "cases"
KETCH = (CASES / "ketch-one-unit.toml").read_text(encoding="utf-8")


def asked(text: str, tmp_path) -> list[str]:
    file = tmp_path / "boat.toml"
    file.write_text(text, encoding="utf-8")
    found = load_case(str(file)).warnings
    return [one.what for one in found if one.code == "Q03" and "bore" in one.what]


def with_bores(bore: str, which: slice = slice(None)) -> str:
    """The ketch with other bores of some of her hoses, in the order of the file."""
    head, *hoses = KETCH.split("[[hose]]")
    for row in range(len(hoses))[which]:
        hoses[row] = re.sub(r'\nbore = ".*?"', f'\nbore = "{bore}"', hoses[row], count=1)
    return "[[hose]]".join([head, *hoses])


@pytest.mark.parametrize("row", range(4))
def test_one_hose_four_times_as_wide_as_the_rest_is_asked_about(row, tmp_path):
    told = asked(with_bores("3 in", slice(row, row + 1)), tmp_path)
    assert len(told) == 1 and "3 in" in told[0]


def test_hoses_that_are_all_far_too_wide_are_asked_about(tmp_path):
    assert len(asked(with_bores("76 mm"), tmp_path)) == KETCH.count("[[hose]]")


@pytest.mark.parametrize("bore", ["16 mm", "3/4 in", "25 mm", "1 1/4 in"])
def test_sizes_that_are_fitted_to_such_a_unit_are_not(bore, tmp_path):
    assert asked(with_bores(bore), tmp_path) == []


@pytest.mark.parametrize("case", sorted(CASES.glob("*.toml")), ids=lambda case: case.stem)
def test_no_shipped_boat_is_asked(case, tmp_path):
    assert asked(case.read_text(encoding="utf-8"), tmp_path) == []


@pytest.mark.parametrize("kind", layouts())
@pytest.mark.parametrize("length", [8.0, 14.0, 22.0])
def test_no_typical_boat_is_asked(kind, length, tmp_path):
    assert asked(case_of(Facts(BoatFacts(kind, length))), tmp_path) == []


def test_a_bore_that_was_meant_as_a_length_is_asked_about_in_an_interview(tmp_path):
    from click.testing import CliRunner

    lines = ["", "", "36 ft", "", "1", "16k", "", "115 V 60 Hz", "86 F", "", "3", "write"]
    typed = "".join(f"{line}\n" for line in lines)
    boat = str(tmp_path / "boat.toml")
    answer = CliRunner().invoke(main, ["new", boat, "--ask", "--units", "us"], input=typed)
    first = answer.output.rpartition("To find out")[2]
    assert "ore of the" in first  # a bore is what narrows the answer most
    assert "Q03" in first
