"""Slips that stand beside another slip, or beside what was meant, are told as what they are."""

from pathlib import Path

import pytest
from click.testing import CliRunner
from sizing import said_of

from seaflow.base.units import Misread, split
from seaflow.boat.load import load_case
from seaflow.cli.main import main
from seaflow.physics.electric.wiring import awg_area, conductor_sizes

GOOD = (Path(__file__).parents[1] / "messages" / "good.toml").read_text(encoding="utf-8")
PORT = 'fitted = "demo-mag-medium-230"\n'
SECOND = """[[unit]]
name = "unit"
height = "0.50 m"
cooling = "9000 BTU/h"

[[outlet]]"""


def told(tmp_path, *changes):
    """What is said of the good case with texts replaced: its problems or its warnings."""
    return said_of(tmp_path, GOOD, *changes)


@pytest.mark.parametrize("written", ["Intake", "inTake", " intake"])
def test_a_name_in_other_letters_is_no_name_of_a_second_thing(tmp_path, written):
    on = ('on = "intake"', f'on = "{written}"')
    found = told(tmp_path, on, ("[[outlet]]", SECOND))
    assert sorted(one.code for one in found) == ["S02", "S03"]
    (lost,) = (one for one in found if one.code == "S03")
    assert 'Did you mean "intake"?' in lost.write


def test_a_pump_that_was_left_out_is_asked_for_as_a_pump(tmp_path):
    start, end = GOOD.index("[[pump]]"), GOOD.index("[[unit]]")
    found = told(tmp_path, (GOOD[start:end], ""), ('"pump"', '"P1"'))
    assert {one.code for one in found} == {"S03"}
    assert all("Add the [[pump]] with" in one.write for one in found)


def test_a_unit_that_was_left_out_is_asked_for_as_a_unit(tmp_path):
    start, end = GOOD.index("[[unit]]"), GOOD.index("[[outlet]]")
    found = told(tmp_path, (GOOD[start:end], ""), ('"unit"', '"U1"'))
    assert all("Add the [[unit]] with" in one.write for one in found if one.code == "S03")
    assert "S03" in {one.code for one in found}


def test_a_pump_to_consider_that_the_supply_cannot_drive_is_named_on_its_line(tmp_path):
    both = 'pumps = ["demo-mag-small-230", "demo-dc-variable-24"]'
    found = told(tmp_path, ("[[through_hull]]", f"[design]\n{both}\n\n[[through_hull]]"))
    (one,) = found
    assert one.code == "S63" and one.warning and "demo-dc-variable-24" in one.what
    assert GOOD.split("[[through_hull]]")[0].count("\n") + 2 == one.line


def test_where_no_pump_to_consider_fits_the_list_is_named(tmp_path):
    file = tmp_path / "boat.toml"
    wrong = '[design]\npumps = ["demo-dc-variable-24"]\n\n[[through_hull]]'
    file.write_text(GOOD.replace("[[through_hull]]", wrong).replace(PORT, ""), encoding="utf-8")
    answer = CliRunner().invoke(main, ["balance", str(file)])
    assert answer.exit_code == 2
    assert "F13  " in answer.output and 'pumps = ["demo-dc-variable-24"]' in answer.output


@pytest.mark.parametrize("command", ["size", "balance"])
def test_a_pump_said_for_another_supply_is_refused_once_and_not_on_a_line(tmp_path, command):
    file = tmp_path / "boat.toml"
    file.write_text(GOOD, encoding="utf-8")
    answer = CliRunner().invoke(main, [command, str(file), "--pump", "demo-dc-variable-24"])
    assert answer.exit_code == 2
    assert "F13  " in answer.output and "S63" not in answer.output


@pytest.mark.parametrize("minus", ["-", "\u2212", "\u2013"])
@pytest.mark.parametrize("blank", ["", " "])
def test_a_comma_is_told_behind_any_minus(minus, blank):
    with pytest.raises(Misread) as misread:
        split(f"{minus}{blank}0,4 m")
    assert misread.value.kind == "comma"
    assert misread.value.hint.startswith(f'"{minus}{blank}0.4 m"')


@pytest.mark.parametrize("written", [*(row["name"] for row in conductor_sizes("awg")), "2/0 AWG"])
def test_a_conductor_may_be_told_by_its_gauge(tmp_path, written):
    cable = f'cable = {{ length = "6 m", conductor = "{written}" }}\n'
    file = tmp_path / "boat.toml"
    file.write_text(GOOD.replace(PORT, PORT + cable), encoding="utf-8")
    (pump,) = load_case(str(file)).case.pump
    gauge = -1.0 if written == "2/0 AWG" else float(written.split()[0])
    assert pump.cable.conductor == pytest.approx(awg_area(gauge), rel=1e-5)


def test_no_wire_is_so_thin_or_thick_as_a_gauge_that_is_not_made(tmp_path):
    cable = 'cable = { length = "6 m", conductor = "41 AWG" }\n'
    assert [one.code for one in told(tmp_path, (PORT, PORT + cable))] == ["K06"]


def test_the_row_of_a_boat_counts_problems_alone_and_begins_with_one(tmp_path):
    sea = ('warmest = "30 degC"', 'place = "Lesser Antilles"\nwarmest = "18 degC"')  # asked about
    found = told(tmp_path, sea, ('length = "2.4 m"', "length = 2.4"), ('"swept bend"', '"bent"'))
    assert [one.code for one in found] == ["Q03", "K03", "S16"]
    file = str(tmp_path / "boat.toml")
    answer = CliRunner().invoke(main, ["size", file, file, "--samples", "0"])
    assert "K03 line" in answer.output and "Q03" not in answer.output
    assert "(and 1 more)" in " ".join(answer.output.split())
