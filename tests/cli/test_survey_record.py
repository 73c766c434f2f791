"""The record of a survey: page one, the ledger with what was in order, limits, and its sizes."""

import re
from functools import cache
from pathlib import Path

import pytest

from seaflow.base.shipped import PACKAGE
from seaflow.boat.load import load_case
from seaflow.forms.answers import read_answers
from seaflow.present.survey.checklist import checklist_text
from seaflow.present.survey.page import survey_page
from seaflow.present.survey.text import survey_text
from seaflow.studies.survey.findings import followed, survey

CASES = Path(__file__).parents[2] / "cases"
HELPERS = Path(__file__).parents[1] / "helpers"
GRAVE = ("critical", "major")
VISIT = """
[record]
date = "4 June 2026"
surveyor = "B. Nobody"
[[seacock]]
name = "intake seacock"
weeps = "yes"
moves_freely = "not accessible: locked"
labelled = "not accessible: painted over"
[[strainer]]
name = "strainer"
bowl = "seen, photo 3: crazed"
"""


@cache
def surveyed(name):
    return survey(load_case(str(CASES / f"{name}.toml"), gaps=True).case)


@pytest.fixture(scope="module")
def visited(tmp_path_factory):
    """A good boat after a visit that found two things and could not look at others."""
    file = tmp_path_factory.mktemp("visit") / "visit.toml"
    file.write_text(VISIT, encoding="utf-8")
    case = load_case(str(CASES / "ketch-one-unit.toml"), gaps=True).case
    told = read_answers((str(file),), case)
    first = followed(survey(case))
    return survey(told.case, told.record, told.partial, told.overruled, first)


def visible(page):
    return " ".join(re.sub(r"<[^>]+>", " ", page.partition("<main>")[2]).split())


@pytest.mark.parametrize("face", [survey_text, survey_page])
def test_the_record_says_who_when_what_was_seen_and_what_became_of_it(visited, face):
    said = " ".join(face(visited, "metric").split())
    said = visible(said) if face is survey_page else said
    for word in ("4 June 2026", "B. Nobody", "Not fit for unattended use", "not accessible"):
        assert word in said
    assert f"{visited.points_seen} of {visited.points} critical and major points seen" in said
    for title in ("What decides", "Since the visit before", "Ledger", "Limitations", "Legend"):
        assert title in said
    for number in [item.number for item in visited.findings]:
        assert number in said
    assert "bowl (photo 3) crazed" in said
    assert re.search(r"Made with seaflow \d", said)


def test_what_was_known_before_stays_known_where_nobody_could_look(visited):
    """The case says that the valve moves; a visit that could not try it changes nothing of that."""
    assert not any(item.key == "moves_freely" for item in visited.look_at)
    row = next(item for item in visited.ledger if item.thing == "intake seacock")
    fact = next(item for item in row.facts if item.key == "moves_freely")
    assert fact.value is True


def test_page_one_leads_from_who_to_what_stops_use():
    page = visible(survey_page(surveyed("badly-arranged"), "metric"))
    order = ("Date", "Scope", "Not fit", "points seen", "What decides", "still open")
    order += ("Cautions", "Ledger:", "Limitations")
    places = [page.index(word) for word in order]
    assert places == sorted(places)
    answer = surveyed("badly-arranged")
    first = page[places[4] : places[5]]
    for item in (*answer.found_at("critical"), *answer.found_at("major")):
        assert re.search(rf"{re.escape(item.number)}[ ,]", first)
    grave = {item.number for severity in GRAVE for item in answer.found_at(severity)}
    things = [row for row in answer.ledger if grave & {*row.findings}]
    assert first.count(" Do: ") == len(things)
    for item in answer.found_at("minor"):
        assert not re.search(rf"{re.escape(item.number)}[ ,]", first)


@pytest.mark.parametrize("name", ["badly-arranged", "motor-three-units"])
@pytest.mark.parametrize("face", [survey_text, survey_page])
def test_what_is_signed_is_findings_and_limits_and_the_checklist_is_an_annex(face, name):
    text = face(surveyed(name), "metric")
    text = visible(text) if face is survey_page else text
    order = [text.index(word) for word in ("Ledger:", "Limitations:", "Legend")]
    signed = text.rindex("Signed" if face is survey_text else "Owner or master")
    order += [signed, text.rindex("Check on board")]
    assert order == sorted(order)


@pytest.mark.parametrize("face", [survey_text, survey_page])
def test_no_record_names_a_fact_by_its_key(face):
    case = load_case(str(HELPERS / "half_known_boat.toml"), gaps=True).case
    for answer in (survey(case), surveyed("badly-arranged")):
        said = face(answer, "metric")
        said = visible(said) if face is survey_page else said
        assert not re.findall(r"\b[a-z]+_[a-z_]+\b", said)


def test_a_good_boat_is_told_what_was_in_order():
    text = survey_text(surveyed("ketch-one-unit"), "metric")
    assert "°C" in text and not re.search(r"deg[CF]", text)
    ledger = text.partition("Ledger")[2].partition("\nFindings\n")[0]
    told = ledger.count("In order")
    kept = sum(bool(row.in_order) for row in surveyed("ketch-one-unit").ledger)
    assert told == kept > 15
    assert "handle" in ledger and "clamps" in ledger


def test_paper_has_page_numbers_no_size_of_its_own_and_letters_of_nine_points():
    style = (PACKAGE / "data" / "page" / "record.css").read_text(encoding="utf-8")
    assert "counter(page)" in style and "counter(pages)" in style
    assert not re.search(r"@page[^}]*\bsize\s*:", style)  # A4 and Letter alike
    paper = style.partition("@media print")[2]
    assert min(float(size) for size in re.findall(r"font-size:([\d.]+)pt", paper)) >= 9.0


def test_us_units_reach_the_ledger():
    page = visible(survey_page(surveyed("ketch-one-unit"), "us"))
    ledger = page.partition("Ledger")[2].partition("Findings")[0]
    assert not re.search(r" (mm|m|L/min)\b(?!²)", ledger)
    assert " in" in ledger and " ft" in ledger


def test_the_checklist_of_a_second_round_keeps_days_numbers_and_states(tmp_path):
    first, second = tmp_path / "first.toml", tmp_path / "second.toml"
    first.write_text(VISIT, encoding="utf-8")
    case = load_case(str(CASES / "ketch-one-unit.toml"), gaps=True).case
    told = read_answers((str(first),), case)
    answer = survey(told.case, told.record)
    text = checklist_text(answer, told.case, told.given)  # the day of an answer stands before it
    text = text.replace('\ndate = ""', '\ndate = "5 July 2026"', 1)
    text = re.sub(r'^weeps = ".*?"', 'weeps = "no"', text, flags=re.M)
    second.write_text(text.replace('state = "open"', 'state = "accepted"'), encoding="utf-8")
    again = read_answers((str(second),), case)
    later = survey(again.case, again.record)
    name = "intake seacock"
    assert again.case.known["strainer", "strainer", "bowl"].date == "4 June 2026"
    assert again.case.known["seacock", name, "weeps"].date == "5 July 2026"
    became = {item.rule: item.became for item in later.changes}
    assert became["seacock-weeps"] == "cured" and became["strainer-bowl"] == "not again"
    numbers = {item.rule: item.number for item in answer.findings}
    assert all(numbers[item.rule] == item.number for item in later.findings)
    assert {item.state for item in later.findings} == {"accepted"}


def test_every_printed_sheet_bears_the_name_of_the_boat():
    page = survey_page(surveyed("motor-three-units"), "metric")
    (foot,) = re.findall(r'@bottom-left\{content:"([^"]*)"', page)
    plain = re.sub(r"\\([0-9a-f]+) ", lambda one: chr(int(one[1], 16)), foot)
    assert plain.startswith(surveyed("motor-three-units").boat)
