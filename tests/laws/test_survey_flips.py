"""Flip one recorded fact of a good boat: the findings are those written down before, and no more.

The whole list is put to the tests' own boat; what is critical also to shipped boats, who have two
loops, a pump on DC, a sea chest and a manifold.
"""

import tomllib
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from survey_boats import FILE, case_of, case_with, patched

from seaflow.base.tables import read_table
from seaflow.boat.keys import keys_of
from seaflow.boat.load import load_case
from seaflow.forms.checklist import KINDS, SEEN, declared_key, record_of
from seaflow.studies.survey.findings import survey
from seaflow.studies.survey.rules import rules

pytestmark = pytest.mark.usefixtures("loops_run_once")

FLIPS = tomllib.loads(Path(__file__).with_name("survey_flips.toml").read_text(encoding="utf-8"))[
    "flip"
]
CATAMARAN = FILE.with_name("power_catamaran.toml")  # by another hand
HERS = tomllib.loads(
    Path(__file__).with_name("survey_flips_power_catamaran.toml").read_text(encoding="utf-8")
)
MEASURES = tomllib.loads(
    Path(__file__).with_name("survey_measures.toml").read_text(encoding="utf-8")
)
RULES = {rule.id: rule for rule in rules()}
TABLES = {"intake": "through_hull"}
WHOLE = ("boat", "bilge_pump")
NOT_HERS = ("sea_chest", "manifold")
OWN = {"skin_fitting": ("seacock", "strong_line"), "seacock": ("type",)}  # beside what was seen
# Of her four hoses that all flood: one before the pump, one at the outlet.
ALIKE = {(FILE, "hose"): (0, 3)}


OTHERS = {
    name: FILE.parents[2] / "cases" / f"{name}.toml"
    for name in ("battery-sloop-variable", "catamaran-two-loops", "motor-three-units")
}


@cache
def raw(file=FILE):
    return tomllib.loads(file.read_text(encoding="utf-8"))


def things(table, file=FILE):
    """Path in the file and name of every thing of a table."""
    if table == "boat":
        return [("seen", "the boat")]
    if table == "bilge_pump":
        return [("seen.bilge_pump.0", "")]
    name = TABLES.get(table, table)
    rows = ALIKE.get((file, table), range(len(raw(file).get(name, ()))))
    return [(f"{name}.{row}", raw(file)[name][row].get("name", "")) for row in rows]


def holder(path, file=FILE):
    """The table that a path leads to."""
    found = raw(file)
    for part in path.split("."):
        found = found[int(part) if part.isdigit() else part]
    return found


def place(table, key):
    """Where a key stands below its thing."""
    own = table in WHOLE or key in OWN.get(table, ())
    return key if own else f"seen.{key}"


@cache
def verdicts_of(file):
    return verdicts(survey(load_case(str(file)).case))


def verdicts(answer):
    """What each row of the ledger says: rules kept, rules broken and how gravely."""
    graded = {item.number: f"{item.rule} {item.severity}" for item in answer.findings}
    found = set()
    for row in answer.ledger:
        found |= {(row.thing, rule, "kept") for rule in (*row.in_order, *row.as_told)}
        found |= {(row.thing, *graded[number].split(" ")) for number in row.findings}
    return found


def fact_of(path):
    """What rules call the fact at a path of a case."""
    table, *rest = path.split(".")
    if table == "seen":
        return f"boat.{rest[0]}"
    if "seen" in rest or (table, rest[-1]) in (("seacock", "type"), ("skin_fitting", "seacock")):
        name = "intake" if table in ("through_hull", "sea_chest") else table
        return f"{name}.{rest[-1]}"
    if rest[-1] == "strong_line":
        return f"{table}.strong_line"
    if table == "boat" or "at" in rest or rest[-1] == "height":
        return "places"
    if table == "pump" and "cable" in rest:
        return "pump.cable"
    return table if table in ("supply", "design") else "loop"


def undeclared(file, path, answer):
    """The verdicts on other rows that a flip changed though their rules do not name the fact."""
    table, row, *_ = path.split(".")
    rows = {"the boat"} if table == "seen" else set()
    if row.isdigit():
        own = holder(f"{table}.{row}", file)
        named = own.get("name") or f"hose {own.get('from')} to {own.get('to')}"
        rows = {named, f"cable of {named}"}
    changed = verdicts_of(file) ^ verdicts(answer)
    told = {rule for rule in RULES if fact_of(path) in RULES[rule].decided_by}
    return {(row, rule) for row, rule, _ in changed if row not in rows and rule not in told}


def flips():
    for flip in FLIPS:
        for path, name in things(flip["table"]) if flip["table"] not in NOT_HERS else ():
            if flip.get("thing", name) == name:
                where = f"{path}.{place(flip['table'], flip['key'])}"
                for value in flip["to"]:
                    yield pytest.param(where, value, flip["finds"], id=f"{where}={value}")


@pytest.mark.parametrize(("path", "value", "finds"), list(flips()))
def test_one_flipped_fact_finds_what_was_written_down(path, value, finds, tmp_path):
    answer = survey(case_with({path: value}, tmp_path))
    found = [f"{item.severity} {item.rule}" for item in answer.findings]
    assert sorted(found) == sorted(finds)
    assert undeclared(FILE, path, answer) == set()


def flips_of_hers():
    """The list of the power catamaran, put to the things that each of its tables names."""
    for told, rows in HERS["flips"].items():
        table = told.removeprefix("dry_")
        own = HERS["alike"].get(told)
        for path, name in things(table, CATAMARAN):
            for flip in rows if own is None or name in own else ():
                if flip.get("thing", name) == name:
                    where = f"{path}.{place(table, flip['key'])}"
                    for value in flip["to"]:
                        yield pytest.param(where, value, flip["finds"], id=f"{where}={value}")


@pytest.mark.parametrize(("path", "value", "finds"), list(flips_of_hers()))
def test_one_flipped_fact_of_the_catamaran_finds_what_was_written_down(
    path, value, finds, tmp_path
):
    answer = survey(case_of(patched({path: value}, CATAMARAN), tmp_path))
    found = [f"{item.severity} {item.rule}" for item in answer.findings]
    assert sorted(found) == sorted(finds)
    assert undeclared(CATAMARAN, path, answer) == set()


def measures():
    for group in MEASURES["measure"]:
        for flip in group["flips"]:
            ident = f"{group['boat']}:{flip['path']}={flip['to']}"
            file = FILE.with_name(f"{group['boat']}.toml")
            yield pytest.param(file, flip["path"], flip["to"], flip["finds"], id=ident)


@pytest.mark.parametrize(("file", "path", "value", "finds"), list(measures()))
def test_another_measure_finds_what_was_written_down(file, path, value, finds, tmp_path):
    answer = survey(case_of(patched({path: value}, file), tmp_path))
    found = [f"{item.severity} {item.rule}" for item in answer.findings]
    assert sorted(found) == sorted(finds)
    assert undeclared(file, path, answer) == set()


def on_others():
    """What is critical, and what the tests' own boat has not, on the boats that record it."""
    for boat, file in OTHERS.items():
        for flip in FLIPS:
            own = flip["table"] in NOT_HERS
            grave = any(item.startswith("critical") for item in flip["finds"])
            if "thing" in flip or flip["to"] == ["40 A"] or not (own or grave):
                continue
            table, key = flip["table"], flip["key"]
            for path, _ in things(table, file)[:2]:
                thing = holder(path, file)
                if key in (thing if table in WHOLE else thing["seen"]):
                    where = f"{path}.{place(table, key)}"
                    ident = f"{boat}:{where}"
                    yield pytest.param(file, where, flip["to"][0], flip["finds"], id=ident)


@cache
def findings_of(file):
    answer = survey(load_case(str(file)).case)
    return Counter(f"{item.severity} {item.rule}" for item in answer.findings)


@pytest.mark.parametrize(("file", "path", "value", "finds"), list(on_others()))
def test_one_flipped_fact_of_another_boat_adds_what_was_written_down(
    file, path, value, finds, tmp_path
):
    answer = survey(case_of(patched({path: value}, file), tmp_path))
    found = Counter(f"{item.severity} {item.rule}" for item in answer.findings)
    assert found - findings_of(file) == Counter(finds)
    assert findings_of(file) - found == Counter()


def recorded(table, file=FILE):
    """Every key that a good boat records of some thing of a table, of those that may flip."""
    for path, _ in things(table, file):
        thing = holder(path, file)
        yield from (key for key in thing if key in OWN.get(table, ()))
        inner = thing if table in WHOLE else thing.get("seen", {})
        yield from (key for key in inner if key not in ("name", "hull", "bilge_pump"))


@pytest.mark.parametrize("table", sorted({*KINDS, *WHOLE} - {"manifold"}))
def test_no_recorded_fact_is_left_out_of_the_list(table):
    told = {flip["key"] for flip in FLIPS if flip["table"] == table}
    assert set(recorded(table)) - told == set()


@pytest.mark.parametrize("table", sorted({*KINDS, *WHOLE}))
def test_no_recorded_fact_of_the_catamaran_is_left_out_of_hers(table):
    told = {flip["key"] for flip in HERS["flips"].get(table, ())}
    assert set(recorded(table, CATAMARAN)) - told == set()


@pytest.mark.parametrize("table", sorted(set(SEEN) & {flip["table"] for flip in FLIPS}))
def test_every_choice_is_flipped_to_or_is_hers(table):
    for key in {flip["key"] for flip in FLIPS if flip["table"] == table}:
        if all(spelled != key for _, spelled, _ in keys_of(SEEN[table])):
            continue
        choices = set(declared_key(SEEN[table], key).choices)
        same = [flip for flip in FLIPS if (flip["table"], flip["key"]) == (table, key)]
        to = {one for flip in same for one in flip["to"]}
        assert len(choices - to) <= 1, (table, key, choices - to)


def test_a_rule_names_facts_that_there_are():
    kinds = read_table("survey_items.toml")["inputs"]
    for rule in RULES.values():
        for name in rule.decided_by:
            table, _, key = name.partition(".")
            assert name in kinds or record_of(table, key) is not None, (rule.id, name)
