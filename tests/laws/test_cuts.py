"""A hose that is missing is told as that, with what it would join, and nothing that follows."""

from pathlib import Path

import pytest
from disguise import read, written

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case

CASES = Path(__file__).parents[2] / "cases"
NAMES = ("ketch-one-unit", "motor-three-units", "catamaran-two-loops", "badly-arranged")


def told(folder, raw):
    file = folder / "boat.toml"
    file.write_text(written(raw), encoding="utf-8")
    with pytest.raises(SeaflowError) as refused:
        load_case(str(file))
    return [problem for problem in refused.value.problems if not problem.warning]


def without_hoses(raw, *rows):
    return {**raw, "hose": [hose for row, hose in enumerate(raw["hose"]) if row not in rows]}


def names_both(problem, hose):
    return all(f'= "{hose[key]}"' in problem.write for key in ("from", "to"))


@pytest.mark.parametrize("name", NAMES)
def test_one_hose_that_is_missing_is_one_problem(tmp_path, name):
    raw = read(CASES / f"{name}.toml")
    starts, ends = ([hose[key] for hose in raw["hose"]] for key in ("from", "to"))
    cocks = {cock["name"]: cock["on"] for cock in raw.get("seacock", ())}
    for row, hose in enumerate(raw["hose"]):
        (problem,) = told(tmp_path, without_hoses(raw, row))
        assert problem.code in ("S11", "S14")
        if starts.count(hose["from"]) == ends.count(hose["to"]) == 1:
            assert names_both(
                problem, {key: cocks.get(hose[key], hose[key]) for key in ("from", "to")}
            )


def test_hoses_that_are_missing_one_after_another_are_told_at_once(tmp_path):
    raw = read(CASES / "ketch-one-unit.toml")
    for gone in ((0, 1), (1, 2), (2, 3), (0, 3), (0, 2), (0, 1, 3)):
        problems = told(tmp_path, without_hoses(raw, *gone))
        assert len(problems) == len(gone)
        for row, problem in zip(gone, sorted(problems, key=lambda one: one.line), strict=True):
            assert problem.code == "S14" and names_both(problem, raw["hose"][row])


def test_a_misspelt_end_does_not_hide_a_missing_hose(tmp_path):
    raw = without_hoses(read(CASES / "ketch-one-unit.toml"), 3)
    raw["hose"][1]["to"] = "pmup"
    assert sorted(problem.code for problem in told(tmp_path, raw)) == ["S03", "S14"]
    raw["hose"][1]["to"] = "quite another thing"  # which tells not what is joined
    assert [problem.code for problem in told(tmp_path, raw)] == ["S03"]


def test_a_branch_is_fed_where_water_parts_before_units_and_both_loops_are_offered(tmp_path):
    raw = read(CASES / "motor-three-units.toml")
    rows = {(hose["from"], hose["to"]): row for row, hose in enumerate(raw["hose"])}
    gone = rows["manifold", "wheelhouse unit"]
    (problem,) = told(tmp_path, without_hoses(raw, gone))
    assert problem.code == "S11" and names_both(problem, raw["hose"][gone])
    raw = read(CASES / "catamaran-two-loops.toml")
    for problem in told(tmp_path, without_hoses(raw, 0, 4)):
        assert '"port strainer" or "starboard strainer"' in problem.write


ASKED_FOR = {"outlet": "S08", "pump": "S06", "through_hull": "S05", "unit": "S07"}


@pytest.mark.parametrize(("table", "code"), ASKED_FOR.items())
def test_what_is_not_there_at_all_is_still_asked_for(tmp_path, table, code):
    raw = read(CASES / "ketch-one-unit.toml")
    names = [thing["name"] for thing in raw.pop(table)]
    raw["seacock"] = [cock for cock in raw["seacock"] if cock["on"] not in names]
    raw["hose"] = [hose for hose in raw["hose"] if not {hose["from"], hose["to"]} & {*names}]
    raw = {key: value for key, value in raw.items() if key not in ("visit", "pump_place", "duty")}
    found = {problem.code for problem in told(tmp_path, raw)}
    assert code in found
    assert found == {code} or table in ("outlet", "through_hull")  # no hose past what is missing


def test_a_hose_turned_round_is_no_cut(tmp_path):
    raw = read(CASES / "ketch-one-unit.toml")
    hose = raw["hose"][1]
    hose["from"], hose["to"] = hose["to"], hose["from"]
    assert [problem.code for problem in told(tmp_path, raw)] == ["S64"]
