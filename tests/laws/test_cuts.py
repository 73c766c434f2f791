"""A hose that is missing is told as that, with what it would join, and nothing that follows."""

from pathlib import Path
from random import Random

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


def turned_round(raw, rows):
    """The boat with the ends of these hoses swapped."""
    hoses = list(raw["hose"])
    for row in rows:
        hoses[row] = {**hoses[row], "from": hoses[row]["to"], "to": hoses[row]["from"]}
    return {**raw, "hose": hoses}


@pytest.mark.parametrize("name", NAMES)
def test_every_hose_turned_round_is_named_and_nothing_else(tmp_path, name):
    raw, chance = read(CASES / f"{name}.toml"), Random(name)
    every = range(len(raw["hose"]))
    some = [chance.sample(every, count) for count in every[1:] for _ in range(3)]
    for rows in (*([row] for row in every), *some, [*every]):
        problems = told(tmp_path, turned_round(raw, rows))
        assert [problem.code for problem in problems] == ["S64"] * len(rows)
        for row, problem in zip(sorted(rows), problems, strict=True):
            assert names_both(problem, raw["hose"][row])
            assert f'from = "{raw["hose"][row]["from"]}"' in problem.write


def test_hoses_turned_round_hide_no_missing_hose(tmp_path):
    raw = turned_round(read(CASES / "catamaran-two-loops.toml"), [5, 6])
    problems = told(tmp_path, without_hoses(raw, 1))  # one of the other loop
    assert sorted(problem.code for problem in problems) == ["S14", "S64", "S64"]


def led_to(raw, row, key, name):
    """The boat with one end of a hose at another thing."""
    hoses = [
        {**hose, key: name} if number == row else hose for number, hose in enumerate(raw["hose"])
    ]
    return {**raw, "hose": hoses}


@pytest.mark.parametrize("name", NAMES)
def test_a_hose_with_both_ends_misspelt_is_told_for_each_of_them(tmp_path, name):
    raw = read(CASES / f"{name}.toml")
    for row in range(len(raw["hose"])):
        found = told(tmp_path, led_to(led_to(raw, row, "from", "fillter"), row, "to", "pmmp"))
        misspelt = [one for one in found if "fillter" in one.what or "pmmp" in one.what]
        assert [one.code for one in misspelt] == ["S03", "S03"]


@pytest.mark.parametrize("name", ["ketch-one-unit", "catamaran-two-loops", "badly-arranged"])
def test_an_end_at_the_wrong_thing_is_one_problem_with_the_thing_that_goes_without(tmp_path, name):
    """On boats where no water parts, so that each thing has one hose in and one out."""
    raw = read(CASES / f"{name}.toml")
    cocks = {cock["name"]: cock["on"] for cock in raw.get("seacock", ())}
    tables = ("through_hull", "strainer", "pump", "unit", "outlet", "check_valve")
    names = [thing["name"] for table in tables for thing in raw.get(table, ())]
    tried = 0
    for row, hose in enumerate(raw["hose"]):
        ends = {cocks.get(hose[key], hose[key]) for key in ("from", "to")}
        for key in ("from", "to"):
            for wrong in (one for one in names if one not in ends):
                (problem,) = told(tmp_path, led_to(raw, row, key, wrong))
                right = cocks.get(hose[key], hose[key])
                led = {**hose, key: wrong}
                assert problem.code == "S66"
                assert f'{key} = "{right}"' in problem.write
                assert f'"{led["from"]}" to "{led["to"]}"' in f"{problem.what} {problem.write}"
                assert f'"{right}"' in problem.why and f'"{wrong}"' in problem.why
                tried += 1
    assert tried > 20


def test_a_tee_at_which_water_neither_parts_nor_joins_is_what_a_hose_misses(tmp_path):
    """Water of two units joins there; led elsewhere, one of the two leaves it without a branch."""
    raw = read(CASES / "motor-three-units.toml")
    at_it = [row for row, hose in enumerate(raw["hose"]) if hose["to"] == "outlet tee"]
    assert len(at_it) == 2
    for row in at_it:
        own = raw["hose"][row]["from"]
        for wrong in ("strainer", "pump", "manifold", "wheelhouse unit", "port outlet"):
            (problem,) = told(tmp_path, led_to(raw, row, "to", wrong))
            assert problem.code == "S66" and 'to = "outlet tee"' in problem.write
            assert f'"{own}"' in problem.what + problem.write and '"outlet tee"' in problem.why


def test_where_water_parts_just_before_a_manifold_that_is_offered(tmp_path):
    raw = read(CASES / "motor-three-units.toml")
    rows = {(hose["from"], hose["to"]): row for row, hose in enumerate(raw["hose"])}
    for unit in ("saloon unit", "wheelhouse unit"):
        (problem,) = told(tmp_path, led_to(raw, rows["manifold", unit], "from", "pump"))
        assert problem.code == "S15"
        assert 'from = "manifold"' in problem.write and f'to "{unit}"' in problem.write
        (problem,) = told(tmp_path, led_to(raw, rows["manifold", unit], "from", "strainer"))
        assert problem.code == "S15" and "from =" not in problem.write


def test_a_hose_copied_with_its_ends_is_led_where_one_is_missing(tmp_path):
    raw = read(CASES / "motor-three-units.toml")
    rows = {(hose["from"], hose["to"]): row for row, hose in enumerate(raw["hose"])}
    row = rows["manifold", "wheelhouse unit"]
    problems = told(tmp_path, led_to(raw, row, "to", "saloon unit"))
    (astray,) = (one for one in problems if one.code == "S66")
    assert 'to = "wheelhouse unit"' in astray.write


def test_a_tee_that_is_missing_is_no_wrong_end(tmp_path):
    raw = read(CASES / "motor-three-units.toml")
    for row, hose in enumerate(raw["hose"]):
        if hose["from"] == "manifold":
            raw = led_to(raw, row, "from", "pump")
    found = {problem.code for problem in told(tmp_path, raw)}
    assert "S15" in found and "S66" not in found


def test_one_of_each_kind_of_fault_is_told_as_that(tmp_path):
    """A hose turned round in one loop, and one at the wrong thing in the other."""
    raw = read(CASES / "catamaran-two-loops.toml")
    rows = {(hose["from"], hose["to"]): row for row, hose in enumerate(raw["hose"])}
    raw = turned_round(raw, [rows["port pump", "saloon unit"]])
    raw = led_to(raw, rows["starboard strainer", "starboard pump"], "to", "cabin unit")
    found = sorted(problem.code for problem in told(tmp_path, raw))
    assert found == ["S64", "S66"]


@pytest.mark.parametrize("table", ["strainer", "pump", "unit"])
def test_a_thing_that_hoses_pass_and_that_is_not_there_is_asked_for(tmp_path, table):
    raw = read(CASES / "catamaran-two-loops.toml")
    gone, *raw[table] = raw[table]
    problems = told(tmp_path, raw)
    assert any(problem.code == "S03" for problem in problems)
    for problem in problems:
        if f'"{gone["name"]}"' in problem.what and "hose" in problem.what:
            assert problem.code == "S03" and f"[[{table}]]" in problem.write
