"""How facts are known: written before a value, of a visit, or of the answers of one."""

from types import SimpleNamespace

import pytest
from survey_boats import FILE, case_of, patched, text_of

from seaflow.boat.known import how_known
from seaflow.boat.load import load_case
from seaflow.boat.reader.known import HowKnown, mark_of
from seaflow.forms.answers import read_answers
from seaflow.studies.survey.findings import survey
from seaflow.studies.survey.machines import _rise_is_given

COCK, OUTLET = "intake seacock", "topside outlet"
SKIN = "toilet discharge"


@pytest.mark.parametrize(
    ("text", "known", "value"),
    [
        ("seen: yes", HowKnown("seen"), "yes"),
        ("measured 3 May 2026: -0.4 m", HowKnown("measured", "3 May 2026"), "-0.4 m"),
        ("Seen on 3 May, photo 14: no", HowKnown("seen", "3 May", photo="14"), "no"),
        ("told, by the owner: 4 year", HowKnown("told", by="the owner"), "4 year"),
        ("not accessible: behind the tank", HowKnown("not accessible", why="behind the tank"), ""),
        ("not accessible", HowKnown("not accessible"), ""),
    ],
)
def test_what_stands_before_a_value(text, known, value):
    assert mark_of(text) == (known, value)


@pytest.mark.parametrize("text", ["yes", "-0.4 m", "seen", "seen:", "seenable: yes", "told us"])
def test_what_is_no_mark_is_the_value(text):
    assert mark_of(text) is None


def test_a_mark_changes_how_a_fact_is_known_and_nothing_else(tmp_path):
    plain = survey(case_of(patched({}), tmp_path))
    patch = {
        "seacock.0.seen.moves_freely": "seen 3 May, photo 14: yes",
        "seacock.0.seen.threads_engaged": "measured: 6",
        "outlet.0.at.height": "measured 3 May: 0.15 m",
        "seen.fuel": "told: diesel",
    }
    raw = patched(patch)
    height = patched({})["outlet"][0]["at"]["height"]
    raw["outlet"][0]["at"]["height"] = f"measured 3 May: {height}"
    marked = case_of(raw, tmp_path)
    answer = survey(marked)
    assert [(item.rule, item.where) for item in answer.findings] == [
        (item.rule, item.where) for item in plain.findings
    ]
    assert answer.look_at == plain.look_at
    name = marked.seacock[0].name
    assert how_known(marked, ("seacock", name, "moves_freely"), False) == HowKnown(
        "seen", "3 May", photo="14"
    )
    assert how_known(marked, ("outlet", marked.outlet[0].name, "height"), True).how == "measured"
    assert how_known(marked, ("boat", "the boat", "fuel"), False).how == "told"
    assert how_known(marked, ("seacock", name, "weeps"), False) == HowKnown()  # told


def test_what_was_not_accessible_is_asked_and_neither_found_nor_kept(tmp_path):
    case = case_of(patched({"seacock.0.seen.weeps": "not accessible: behind a tank"}), tmp_path)
    answer = survey(case)
    assert [item.key for item in answer.look_at] == ["weeps"]
    assert "seacock-weeps" not in answer.kept
    assert case.known["seacock", case.seacock[0].name, "weeps"].why == "behind a tank"


def test_a_visit_tells_of_the_things_that_it_saw(tmp_path):
    raw = patched({})
    cock, strainer = raw["seacock"][0]["name"], raw["strainer"][0]["name"]
    raw["visit"] = [{"date": "3 May", "saw": [cock]}, {"saw": ["everything"], "measured": [cock]}]
    case = case_of(raw, tmp_path)
    assert how_known(case, ("seacock", cock, "weeps"), False).how == "seen"
    assert how_known(case, ("seacock", cock, "height"), True).how == "measured"
    assert how_known(case, ("strainer", strainer, "bowl"), False).date == ""


def test_answers_are_seen_or_measured_on_their_day(tmp_path):
    file = tmp_path / "visit.toml"
    name = patched({})["seacock"][0]["name"]
    file.write_text(
        '[record]\ndate = "4 May"\nsurveyor = "A"\n'
        f'[[seacock]]\nname = "{name}"\nweeps = "yes"\nbolted = "told: no"\n'
        'labelled = "not accessible: painted over"\n'
        '[boat]\nworks_to_heel = "10 deg"\n',
        encoding="utf-8",
    )
    told = read_answers((str(file),), load_case(str(FILE)).case)
    known = told.case.known
    assert known["seacock", name, "weeps"] == HowKnown("seen", "4 May", "A", visit=str(file))
    assert known["seacock", name, "bolted"].how == "told"
    assert known["boat", "the boat", "works_to_heel"].how == "measured"
    assert known["seacock", name, "labelled"].how == "not accessible"
    answer = survey(told.case)
    assert {"seacock-weeps", "seacock-not-bolted"} == {item.rule for item in answer.findings}
    assert "seacock-no-label" in answer.kept  # told before, and nobody could look this time


def test_seacock_hose_and_fitting_of_another_opening_are_judged_as_those_of_the_loop(tmp_path):
    raw = patched({})
    raw["seacock"].append(
        {"name": "toilet cock", "on": SKIN, "bore": "38 mm", "seen": {"moves_freely": False}}
    )
    raw["skin_hose"] = [{"on": "toilet cock", "seen": {"clamp_condition": "broken"}}]
    fitting = next(item for item in raw["skin_fitting"] if item["name"] == SKIN)
    fitting["seen"] = {"material": "plain brass", "firm": False}
    answer = survey(case_of(raw, tmp_path))
    assert {(item.severity, item.rule, item.where) for item in answer.findings} == {
        ("critical", "seacock-seized", "toilet cock"),
        ("critical", "clamp-broken", "hose on toilet cock"),
        ("critical", "outlet-metal", SKIN),
        ("major", "intake-loose", SKIN),
    }
    asked = {(item.table, item.thing, item.key) for item in answer.look_at}
    assert ("skin_hose", "hose on toilet cock", "label") in asked
    assert ("skin_fitting", SKIN, "pink_patches") in asked


def test_a_hose_on_nothing_is_refused(tmp_path):
    raw = patched({})
    raw["skin_hose"] = [{"on": "nowhere"}]
    path = tmp_path / "boat.toml"
    path.write_text(text_of(raw), encoding="utf-8")
    with pytest.raises(Exception, match="nowhere"):
        load_case(str(path))


@pytest.mark.parametrize("of_the_boat", [False, True])
@pytest.mark.parametrize("rises", [(5.0, 5.0), (5.0, None), (None, 5.0), (None, None), (None,)])
def test_a_rise_is_given_by_every_unit_or_by_the_boat(rises, of_the_boat):
    where = {("design", "permitted_rise"): 1} if of_the_boat else {}
    evidence = SimpleNamespace(case=SimpleNamespace(text=SimpleNamespace(where=where)))
    units = [SimpleNamespace(permitted_rise=rise) for rise in rises]
    loop = SimpleNamespace(network=SimpleNamespace(units=units))
    assert _rise_is_given(evidence, loop) == (of_the_boat or None not in rises)
