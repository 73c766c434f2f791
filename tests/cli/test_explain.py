"""The command explain: codes as they are shipped, as text and as data, and codes there are not."""

import json

import pytest
from click.testing import CliRunner

from seaflow.base.problems import SeaflowError, meanings
from seaflow.base.tables import read_table
from seaflow.cli.main import main

ROWS = read_table("problems.toml")


def run(*arguments):
    return CliRunner().invoke(main, ["explain", *arguments])


def test_data_is_the_shipped_table():
    told = json.loads(run("--json").stdout)["codes"]
    assert {row.pop("code"): row for row in told} == ROWS
    assert json.loads(run("S25", "K02", "--json").stdout)["codes"] == [
        {"code": code, **ROWS[code]} for code in ("S25", "K02")
    ]


@pytest.mark.parametrize("code", ["K02", "k02", " K02 "])
def test_a_code_is_told_whole(code):
    answer = run(code)
    assert answer.exit_code == 0
    said = " ".join(answer.stdout.split())
    for key in ("title", "meaning", "mend"):
        assert ROWS["K02"][key] in said


def test_no_code_lists_every_one():
    answer = run()
    assert answer.exit_code == 0
    assert [line.split()[0] for line in answer.stdout.splitlines()[1 : len(ROWS) + 1]] == [*ROWS]


def test_a_warning_is_told_apart_from_what_stops():
    stops, warns = run("K02").stdout.splitlines()[-1], run("S25").stdout.splitlines()[-1]
    assert ROWS["K02"]["exit"] == 2
    assert ROWS["S25"]["exit"] == 0
    assert stops != warns


def test_every_unknown_code_is_refused_at_once_with_near_ones():
    with pytest.raises(SeaflowError) as caught:
        meanings(["K02", "K99", "nonsense"])
    first, second = caught.value.problems
    assert {first.code, second.code} == {"F14"}
    assert "K09" in first.write
    assert not set(second.write.split()) & set(ROWS)
    answer = run("K99", "nonsense", "--json")
    assert answer.exit_code == 2
    assert len(json.loads(answer.stdout)["problems"]) == 2


def test_a_problem_names_the_command_that_tells_more(tmp_path):
    case = tmp_path / "boat.toml"
    case.write_text('schema = 1\n[boat]\nname = "x"\nhull = "raft"\ncolour = 1\n', encoding="utf-8")
    said = CliRunner().invoke(main, ["check", str(case)]).stdout
    last = said.strip().splitlines()[-1].split()
    assert last[:2] == ["seaflow", "explain"]
    codes = [word for word in last if word in ROWS]
    assert codes
    assert run(*codes).exit_code == 0
