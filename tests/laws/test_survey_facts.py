"""The ledger names each fact of a thing once, and nothing but what case and answers tell."""

from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from seaflow.base.glossary import glossary_entry
from seaflow.base.units import read_quantity
from seaflow.boat.keys import keys_of
from seaflow.boat.load import load_case
from seaflow.boat.tables.things import Place
from seaflow.forms.answers import read_answers
from seaflow.forms.checklist import KINDS, PLACE, SEEN, declared_key, name_of_thing, things_of
from seaflow.forms.starter import value_text
from seaflow.forms.typical.boat import spoken_boat
from seaflow.studies.survey.evidence import Evidence
from seaflow.studies.survey.findings import survey
from seaflow.studies.survey.ledger import rows_of

TOLD = {
    "9 m": {"boat": "sailing monohull 9 m", "unit": ["12k"]},
    "14 m": {"boat": "14 m motor yacht", "unit": ["16k", "10k"]},
    "11 m": {"boat": "11 m catamaran", "unit": ["16k", "9k"]},
    "unit alone": {"unit": ["12k"]},
}
SHIPPED = sorted(Path("cases").glob("*.toml"))
WHO = "A. Nobody of this test"


def typical(name):
    return spoken_boat(TOLD[name], gaps=True).loaded.case


@cache
def boat(name):
    return typical(name) if name in TOLD else load_case(f"cases/{name}.toml", gaps=True).case


def facts(case):
    """What the ledger tells of each thing, as key, value and how it is known."""
    rows = rows_of(Evidence(case, (), ()))
    return {
        (row.table, row.thing): [(o.key, o.value, o.how, o.by) for o in row.facts] for row in rows
    }


def measurable(table):
    """Keys of a kind of thing that hold one figure, each with its example."""
    for record in (SEEN.get(table), KINDS[table]):
        for _, spelled, declared in keys_of(record) if record else ():
            if declared.quantity is not None and not declared.many and declared.of is None:
                yield spelled, declared
    if any(spelled == "at" for _, spelled, _ in keys_of(KINDS[table])):
        yield from ((key, declared_key(Place, key)) for key in PLACE)


def answered(case, table, key, text, folder):
    """The case with one answer to each thing of a table."""
    names = [name_of_thing(thing) for thing in things_of(case, table)]
    rows = [f"[[{table}]]\nname = {value_text(name)}\n{key} = {value_text(text)}" for name in names]
    path = folder / "answers.toml"
    head = f'[record]\nsurveyor = "{WHO}"\n'
    path.write_text(head + "\n".join(rows) + "\n", encoding="utf-8")
    return read_answers((str(path),), case).case


@pytest.mark.parametrize("name", [*TOLD, *(file.stem for file in SHIPPED)])
def test_an_answer_adds_itself_and_nothing_else(name, tmp_path):
    """Each measurable key of each kind, answered: told once, as answered, all else as before."""
    case, tried = boat(name), 0
    before = facts(case)
    for table in KINDS:
        for key, declared in measurable(table) if things_of(case, table) else ():
            text = declared.example.strip('"')
            value = read_quantity(text, glossary_entry(declared.quantity).unit)
            now = facts(answered(case, table, key, text, tmp_path))
            tried += 1
            assert now.keys() == before.keys()
            for thing, told in now.items():
                assert max(Counter(one[0] for one in told).values(), default=1) == 1
                mine = [one for one in told if one[3] == WHO]
                for one in mine:
                    assert (one[0], one[2]) == (key, "measured")
                    assert getattr(one[1], "value", value) == pytest.approx(value), thing
                was = [one for one in before[thing] if one[0] != key or not mine]
                others = [one for one in told if one not in mine]
                assert sorted(others, key=repr) == sorted(was, key=repr), thing
            assert any(one[3] == WHO for told in now.values() for one in told), (table, key)
    assert tried > 20


@pytest.mark.parametrize("name", TOLD)
def test_of_a_boat_told_in_few_words_the_ledger_tells_those(name):
    """Kind of hull and plates as they were said; nothing typical, its supply least of all."""
    told = {(thing, one[0]) for (_, thing), found in facts(boat(name)).items() for one in found}
    plates = {("cooling", unit.name) for unit in boat(name).unit}
    assert {(key, thing) for thing, key in told if thing != "the boat"} == plates
    assert {key for thing, key in told if thing == "the boat"} == (
        {"hull"} if "boat" in TOLD[name] else set()
    )


def test_an_answer_along_the_boat_does_not_make_a_height_known(tmp_path):
    """What stands in for a height is tried at its other values wherever the thing lies."""
    case = boat("9 m")
    now = answered(case, "pump", "aft", "4 m", tmp_path)
    before, after = survey(case), survey(now)
    for one in (before, after):
        assert ("pump", "pump", "height") in {(o.table, o.thing, o.key) for o in one.look_at}
        assert not any(item.where == "pump" for item in one.findings)
    heights = [{item.rule for item in o.findings} | {*o.kept} for o in (before, after)]
    assert heights[0] == heights[1]
