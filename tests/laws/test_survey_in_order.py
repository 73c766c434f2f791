"""In order is what somebody looked at; what is told is marked, and what nobody saw is neither."""

from functools import cache
from pathlib import Path

import pytest

from seaflow.boat.load import load_case
from seaflow.boat.reader.known import NOT_ACCESSIBLE, SEEN, TOLD
from seaflow.forms.answers import read_answers
from seaflow.forms.typical.boat import spoken_boat
from seaflow.present.survey.record import says
from seaflow.studies.survey.findings import survey

SHIPPED = [path.stem for path in sorted(Path("cases").glob("*.toml"))]
HEAD = '[record]\ndate = "10 June 2026"\nsurveyor = "A. Nobody"\n'
AFLOAT = '[[intake]]\nname = "intake"\nclear_outside = "{shut}"\nentry = "{shut}"\n'


@cache
def sloop():
    return spoken_boat({"boat": "sailing monohull 9 m", "unit": ["12k"]}, gaps=True).loaded.case


def answered(text, folder):
    path = folder / "answers.toml"
    path.write_text(HEAD + text, encoding="utf-8")
    return survey(read_answers((str(path),), sloop()).case)


def rows(answer):
    """The ledger in words, by mark."""
    return {row.mark: row for row in says(answer, "metric").ledger()}


def test_what_was_not_accessible_is_neither_in_order_nor_told(tmp_path):
    answer = answered(AFLOAT.format(shut="not accessible: afloat"), tmp_path)
    (row,) = [one for one in answer.ledger if one.mark == "I1"]
    assert not row.in_order
    assert not row.as_told
    assert {"clear_outside", "entry"} <= {*row.left_open}
    assert {one.why for one in row.facts} == {"afloat"}
    assert "scoop" not in rows(answer)["I1"].in_order


def test_one_thing_told_is_no_wiring_in_order(tmp_path):
    """Of the wiring the earth is told and all else is open; seen, it is in order in part."""
    told, seen = (
        answered(f'[[pump]]\nname = "pump"\nearthed = "{how}yes"\n', tmp_path)
        for how in ("told, by the owner: ", "")
    )
    (by_word,), (by_eye,) = ([o for o in one.ledger if o.mark == "C1"] for one in (told, seen))
    assert (by_word.in_order, by_word.as_told) == ((), ("pump-not-earthed",))
    assert (by_eye.in_order, by_eye.as_told) == (("pump-not-earthed",), ())
    assert rows(told)["C1"].in_order == ""
    assert rows(told)["C1"].as_told.endswith("(in part)")
    assert rows(seen)["C1"].in_order.endswith("(in part)")
    (line,) = rows(told)["C1"].recorded
    assert line.startswith("Told by the owner, 10 June 2026: ")
    assert line.count(":") == 1


@pytest.mark.parametrize("name", [None, *SHIPPED])
def test_every_point_in_order_rests_on_a_fact_of_its_thing_or_of_what_it_is_joined_to(name):
    """And one in order, unlike one as told, on a fact that is not told by word alone."""
    case = sloop() if name is None else load_case(f"cases/{name}.toml", gaps=True).case
    ledger = survey(case).ledger
    facts = {row.thing: {one.how for one in row.facts} - {NOT_ACCESSIBLE} for row in ledger}
    for row in ledger:
        names = {row.thing, row.thing.removeprefix("cable of "), *row.ends}
        hows = set().union(*(facts.get(one, set()) for one in names))
        whole = row.table == "boat"
        assert hows or whole or not (row.in_order or row.as_told), row.mark
        assert hows - {TOLD} or whole or not row.in_order, row.mark
        assert not {*row.in_order, *row.as_told} & {*row.waiting}
        assert not {*row.in_order} & {*row.as_told}
    if name is not None and any(SEEN in hows for hows in facts.values()):
        assert any(row.in_order for row in ledger)
