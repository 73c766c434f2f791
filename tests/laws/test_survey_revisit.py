"""A second visit: what is from today and what is from before are told apart, nothing back-dated."""

import tomllib

import pytest

from seaflow.boat.keys import keys_of
from seaflow.boat.load import load_case
from seaflow.boat.tables.recorded_record import OPEN, Record
from seaflow.forms.answers import read_answers
from seaflow.present.survey.checklist import checklist_text
from seaflow.present.survey.checklist_page import checklist_page
from seaflow.present.survey.record import says
from seaflow.present.survey.sections import record_rows
from seaflow.present.survey.titles import BECAME
from seaflow.present.survey.walk import walk
from seaflow.studies.survey.findings import followed, survey
from seaflow.studies.survey.following import CURED, NEW, NOT_AGAIN, STILL_OPEN

BOAT = """
schema = 1
[[through_hull]]
name = "intake"
[[strainer]]
name = "strainer"
[[pump]]
name = "pump"
[[unit]]
name = "unit"
[[outlet]]
name = "outlet"
"""
FIRST = """
[record]
date = "14 May 2025"
surveyor = "A. Nobody"
place = "yard"
lay = "ashore"
identity = "hull no. 7"
[[hose]]
name = "hose intake to strainer"
clamps_at_each_end = "1"
clamp_condition = "rusty"
[[strainer]]
name = "strainer"
height = "0.1 m"
[[outlet]]
name = "outlet"
height = "0.08 m"
cracked = "no"
"""
DAY = '[record]\ndate = "10 June 2026"\nsurveyor = "B. Nobody"\n'
DONE = """
[[finding]]
number = "H1-12a"
thing = "hose intake to strainer"
rule = "clamps-too-few"
state = "done"
on = "3 June 2025"
"""


@pytest.fixture
def visited(tmp_path):
    """What a survey says after the first visit and others, each a text of answers."""
    (tmp_path / "boat.toml").write_text(BOAT, encoding="utf-8")
    case = load_case(str(tmp_path / "boat.toml"), gaps=True).case

    def read(*visits):
        files = []
        for number, text in enumerate((FIRST, *visits)):
            files.append(str(tmp_path / f"visit-{number}.toml"))
            (tmp_path / f"visit-{number}.toml").write_text(text, encoding="utf-8")
        told = read_answers(files, case)
        earlier = ()
        if told.before is not None:
            before = told.before
            earlier = followed(survey(before.case, before.record, before.partial))
        return told, survey(told.case, told.record, told.partial, told.overruled, earlier)

    return read


def became(answer):
    return {item.number: item.became for item in answer.changes}


def test_points_of_today_and_of_earlier_visits_are_counted_apart(visited):
    _, first = visited()
    assert (first.points_before, first.seen_before) == (0, "")
    assert first.points_now > 3
    undated = first.points_seen - first.points_now  # that no fact of a thing decides
    _, again = visited(DAY + '[[outlet]]\nname = "outlet"\nheight = "0.09 m"\n')
    assert again.points_seen == first.points_seen
    assert again.points_now + again.points_before == again.points_seen - undated
    assert again.points_before == first.points_now - again.points_now > 0
    assert again.seen_before == "2025-05-14"
    values = dict(again.coverage.values)
    assert (values["now"], values["before"]) == (again.points_now, again.points_before)
    _, empty = visited(DAY)
    assert (empty.points_now, empty.points_before) == (0, first.points_now)


def test_a_finding_that_nobody_looked_at_again_is_not_still_there(visited):
    told = '[[outlet]]\nname = "outlet"\nheight = "0.09 m"\n'
    _, answer = visited(DAY + told + DONE)
    now = became(answer)
    assert now["H1-12a"] == now["S1-14b"] == NOT_AGAIN
    assert now["O1-22a"] == STILL_OPEN
    (row,) = [row for row in says(answer, "metric").changed().rows if row[0] == "H1-12a"]
    assert row[2] == BECAME[NOT_AGAIN]
    assert "3 June 2025" in row[3]
    one = '[[hose]]\nname = "hose intake to strainer"\nclamps_at_each_end = "{}"\n'
    _, same = visited(DAY + one.format(1) + DONE)
    assert became(same)["H1-12a"] == STILL_OPEN
    _, cured = visited(DAY + one.format(2) + DONE)
    assert became(cured)["H1-12a"] == CURED
    assert became(cured)["H1-12e"] == NOT_AGAIN
    assert NEW not in became(cured).values()


def test_the_record_of_a_later_day_takes_over_neither_who_nor_where_nor_how_she_lay(visited):
    told, _ = visited(DAY)
    record = told.record
    assert (record.date, record.surveyor) == ("10 June 2026", "B. Nobody")
    assert (record.place, record.lay) == (None, None)
    assert record.identity == "hull no. 7"
    same, _ = visited('[record]\ndate = "14 May 2025"\n')
    assert (same.record.surveyor, same.record.lay) == ("A. Nobody", "ashore")


def test_a_new_checklist_is_neither_dated_nor_signed_and_keeps_the_days_of_its_answers(visited):
    told, answer = visited()
    head, _, rest = checklist_text(answer, told.case, told.given).partition("[[")
    record = tomllib.loads(head)["record"]
    assert not any(record[key] for key in ("date", "surveyor", "lay", "not_seen"))
    assert record["identity"] == "hull no. 7"
    assert "14 May 2025, by A. Nobody: 1" in rest
    told, later = visited(DAY + "[[" + rest)
    assert later.points_now == 0
    assert later.points_before == answer.points_now
    assert {item.state for item in later.findings} == {OPEN}


def test_paper_lists_earlier_findings_by_number_with_room_for_what_is_seen_now(visited):
    told, answer = visited()
    plain = checklist_page(answer, told.case)
    page = checklist_page(answer, told.case, visited=True)
    for item in answer.findings:
        assert f">{item.number}<" in page
        assert f">{item.number}<" not in plain
    assert page.index("H1-12a") < page.index("1. ")
    ticked = page.count('class="box"') - plain.count('class="box"')
    assert ticked == 3 * len(answer.findings)  # so still, put right, and not reached
    assert page.count('class="blank"') - plain.count('class="blank"') == len(answer.findings)


def test_paper_has_room_for_all_that_the_head_of_a_record_holds(visited):
    told, answer = visited()
    page = checklist_page(answer, told.case)
    head = page.partition('<dl class="who">')[2].partition("</dl>")[0]
    assert head.count("<dd></dd>") == len(keys_of(Record))


def test_a_record_promises_no_scope_that_nobody_gave(visited):
    _, answer = visited()
    assert dict(record_rows(answer))["Scope"] == ""


@pytest.mark.parametrize(
    ("hull", "tacks"), [("motor monohull", False), ("sailing multihull", True)]
)
def test_a_trial_turns_as_she_can_and_sends_nobody_into_the_water(hull, tacks, visited):
    told, answer = visited(DAY + f'[boat]\nhull = "{hull}"\n')
    (trial,) = [stop for stop in walk(answer, told.case) if stop.title.startswith("Trial")]
    assert ("tacks" in trial.about) == tacks
    assert [one.title for one in trial.careful] == ["A trial afloat"]
