"""The ledger of a survey: things are rows, each with one recommendation; findings are kept."""

from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from survey_boats import DROP, case_of, patched

from seaflow.base.tables import read_table
from seaflow.boat.load import load_case
from seaflow.boat.tables.recorded_record import Followed
from seaflow.present.card import briefs
from seaflow.present.survey.record import says
from seaflow.present.survey.walk import walk
from seaflow.studies.survey.findings import followed, survey
from seaflow.studies.survey.ledger import rule_codes
from seaflow.studies.survey.rules import rules

CASES = Path(__file__).parents[2] / "cases"


@cache
def answer(name):
    return survey(load_case(str(CASES / f"{name}.toml"), gaps=True).case)


BOATS = ["badly-arranged", "motor-three-units", "catamaran-two-loops"]


@pytest.mark.parametrize("name", BOATS)
def test_every_thing_of_the_case_is_one_row(name):
    case = load_case(str(CASES / f"{name}.toml")).case
    rows = Counter(row.thing for row in answer(name).ledger)
    named = [item.name for item in (*case.things, *case.skin_fitting) if item.name in rows]
    none = {cock.name for cock in case.seacock if cock.type == "none"}
    assert {item.name for item in (*case.things, *case.skin_fitting)} - none == set(named)
    assert {hose.label for hose in case.hose} <= set(rows)
    assert {f"cable of {pump.name}" for pump in case.pump} <= set(rows)
    assert max(rows.values()) == 1
    marks = [row.mark for row in answer(name).ledger]
    assert len(set(marks)) == len(marks)


@pytest.mark.parametrize("name", BOATS)
def test_findings_hang_on_rows_and_each_is_cured_or_left_by_the_one_recommendation(name):
    found = [item.number for item in answer(name).findings]
    assert len(set(found)) == len(found)
    hung = [number for row in answer(name).ledger for number in row.findings]
    assert sorted(hung) == sorted(found)
    for row in answer(name).ledger:
        assert all(number.startswith(f"{row.mark}-") for number in row.findings)
        advice = row.recommendation
        assert (advice is None) == (not row.findings)
        if advice is not None:
            assert sorted((*advice.cures, *advice.leaves)) == sorted(row.findings)
            assert advice.cures


def test_one_bad_valve_has_one_recommendation_that_cures_nearly_all_of_it():
    row = next(item for item in answer("badly-arranged").ledger if item.thing == "wheel valve")
    assert len(row.findings) > 9
    assert len(row.recommendation.cures) >= len(row.findings) - 2  # reach and label stay
    assert row.recommendation.do.startswith("Haul out and replace the seacock")


def test_electric_power_is_told_as_power_and_cooling_as_heat():
    facts = [one for row in answer("motor-three-units").ledger for one in row.facts]
    kinds = {one.key: one.value.kind for one in facts if one.key in ("input_power", "cooling")}
    assert kinds == {"input_power": "power", "cooling": "heat"}


def test_what_was_in_order_is_told_by_thing():
    rows = {row.thing: row for row in answer("motor-three-units").ledger}
    assert {"seacock-seized", "seacock-metal"} <= set(rows["chest seacock"].in_order)
    assert "pump-wire-too-thin" in rows["cable of pump"].in_order
    assert "pump-leaks" in rows["pump"].in_order
    assert rows["cable of pump"].facts
    for row in answer("badly-arranged").ledger:
        broken = {
            one.rule for one in answer("badly-arranged").findings if one.number in row.findings
        }
        assert not broken & set(row.in_order)


@pytest.mark.parametrize("name", BOATS)
def test_nothing_is_in_order_of_an_item_with_a_finding_or_of_a_thing_without_facts(name):
    said = says(answer(name), "metric")
    of = {rule.id: rule.item for rule in rules()}
    short = {one["number"]: one["short"] for one in read_table("survey_items.toml")["item"]}
    rows = {row.mark: row for row in answer(name).ledger}
    for told in said.ledger():
        row = rows[told.mark]
        found = {item.item for item in answer(name).findings if item.number in row.findings}
        as_before = rows.get(told.in_order.removeprefix("as "))
        kept = {part.removesuffix(" (in part)") for part in told.in_order.split("; ")}
        assert as_before or not kept & {short[item] for item in found}
        assert row.facts or not told.in_order
    assert any(row.facts and {of[rule] for rule in row.in_order} for row in rows.values())


@pytest.mark.parametrize("key", ["moves_freely", "full_turn"])
def test_nobody_is_told_to_shut_a_seacock_that_does_not_shut(tmp_path, key):
    usual = survey(case_of(patched({}), tmp_path))
    case = case_of(
        patched({f"seacock.0.seen.{key}": False, "seacock.0.seen.weeps": DROP}), tmp_path
    )
    stuck = survey(case)
    shut = read_table("cautions.toml")["flooding"]["brief"]
    instead = read_table("cautions.toml")["stuck_seacock"]["brief"]
    assert shut in briefs(usual.cautions)
    assert instead not in briefs(usual.cautions)
    assert briefs(stuck.cautions)[0] == instead
    assert shut not in briefs(stuck.cautions)
    heeded = [one.brief for stop in walk(stuck, case) for one in stop.careful]
    assert instead in heeded
    assert shut not in heeded
    row = next(one for one in stuck.ledger if one.table == "seacock")
    assert row.recommendation.first.kind == "survey.until_it_shuts"


def test_a_remedy_names_rules_there_are():
    known = {rule.id for rule in rules()}
    for remedy in read_table("remedies.toml")["remedy"]:
        assert {*remedy["calls"], *remedy.get("cures", ())} <= known
    assert len(set(rule_codes().values())) == len(known)


def flawed(tmp_path, **more):
    raw = patched({"seacock.0.seen.weeps": True, "strainer.0.seen.bowl": "crazed"})
    raw.update(more)
    return case_of(raw, tmp_path)


def test_numbers_stay_when_one_thing_is_cured(tmp_path):
    both = {item.rule: item.number for item in survey(flawed(tmp_path)).findings}
    left = survey(case_of(patched({"strainer.0.seen.bowl": "crazed"}), tmp_path))
    assert [item.number for item in left.findings] == [both["strainer-bowl"]]


def test_a_later_visit_tells_what_was_cured_what_is_open_and_what_is_new(tmp_path):
    first = survey(flawed(tmp_path))
    raw = patched({"strainer.0.seen.bowl": "crazed", "outlet.0.seen.cracked": True})
    raw["strainer"].insert(0, {**raw["strainer"][0], "name": "spare"})  # rows shift, numbers not
    raw["strainer"] = raw["strainer"][1:]
    later = survey(case_of(raw, tmp_path), earlier=followed(first))
    became = {item.rule: item.became for item in later.changes}
    assert became == {
        "strainer-bowl": "still open",
        "seacock-weeps": "cured",
        "outlet-cracked": "new",
    }
    assert survey(case_of(raw, tmp_path)).changes == ()  # the first visit changes nothing


def test_a_kept_number_is_never_given_twice(tmp_path):
    first = survey(flawed(tmp_path)).findings
    taken = next(item.number for item in first if item.rule == "seacock-weeps")
    kept = Followed(number=taken, thing="gone", rule="seacock-weeps")
    now = survey(flawed(tmp_path), earlier=(kept,))
    numbers = [item.number for item in now.findings]
    assert taken not in numbers
    assert len(set(numbers)) == len(numbers)


def test_what_became_of_a_finding_is_told_and_cures_nothing_by_itself(tmp_path):
    item = next(one for one in survey(flawed(tmp_path)).findings if one.rule == "seacock-weeps")
    told = {"number": item.number, "thing": item.where, "rule": item.rule}
    case = flawed(tmp_path, finding=[{**told, "state": "done", "on": "1 June"}])
    now = survey(case)
    again = next(one for one in now.findings if one.rule == "seacock-weeps")
    assert (again.number, again.state, again.on) == (item.number, "done", "1 June")
    assert now.fitness == "not fit"  # until somebody sees that it is done


def test_points_by_word_alone_and_points_nobody_could_see_are_counted(tmp_path):
    told = survey(case_of(patched({}), tmp_path))
    assert told.points_told == told.points_seen == told.points
    raw = patched({"seacock.0.seen.weeps": "not accessible: behind a tank"})
    raw["visit"] = [{"saw": ["everything"]}]
    seen = survey(case_of(raw, tmp_path))
    assert seen.points_told == 0
    assert seen.points_not_accessible == seen.points - seen.points_seen == 1
    assert seen.look_at[0].not_accessible == "behind a tank"
    assert seen.fitness == "fit"  # a major point is open, no critical one


def test_a_verdict_on_several_facts_is_told_if_one_of_them_is(tmp_path):
    raw = patched({})
    raw["visit"] = [{"saw": ["everything"]}]
    assert survey(case_of(raw, tmp_path)).points_told == 0
    raw["seacock"][0]["type"] = f"told: {raw['seacock'][0]['type']}"
    told = survey(case_of(raw, tmp_path))  # whether it is a gate valve, and more that lean on that
    assert 0 < told.points_told < told.points_seen
