"""The survey as a whole is the sum of its rules: counted again here, verdict by verdict."""

from dataclasses import replace
from functools import cache

import pytest
from sizing import BAD, CATAMARAN, KETCH, MOTOR, SLOOP, shipped
from survey_boats import sound_case, sound_evidence

from seaflow.boat.tables.recorded_record import Record
from seaflow.studies.design.limits import limits_used
from seaflow.studies.survey.findings import survey
from seaflow.studies.survey.gathered import evidence_of
from seaflow.studies.survey.judged import judged
from seaflow.studies.survey.rules import Breach, Kept, Unknown, rules
from seaflow.studies.survey.severity import SEVERITIES

BOATS = ("sound", BAD, KETCH, CATAMARAN, MOTOR, SLOOP)
GRAVE = ("critical", "major")


def case_of(name):
    return sound_case() if name == "sound" else shipped(name)


@cache
def answer(name):
    return survey(case_of(name))


@cache
def verdicts(name):
    evidence = sound_evidence() if name == "sound" else evidence_of(case_of(name))
    return [(rule, item) for rule in rules() for item in judged(rule, evidence)]


def of_kind(name, kind):
    return [(rule, item) for rule, item in verdicts(name) if isinstance(item, kind)]


def grave_as(rule, item):
    return rule.severity if isinstance(item, Kept) else item.severity or rule.severity


@pytest.mark.parametrize("name", BOATS)
def test_every_breach_is_a_finding_the_gravest_first_and_within_that_in_the_order_of_items(name):
    found = answer(name).findings
    told = [(grave_as(rule, item), rule.id, item.where) for rule, item in of_kind(name, Breach)]
    assert sorted((one.severity, one.rule, one.where) for one in found) == sorted(told)
    order = [(SEVERITIES.index(one.severity), one.item) for one in found]
    assert order == sorted(order)
    assert answer(name).is_fit is not any(one.severity in GRAVE for one in found)


@pytest.mark.parametrize("name", BOATS)
def test_a_rule_is_kept_if_all_that_it_is_held_to_keeps_it(name):
    held = {}
    for rule, item in verdicts(name):
        held.setdefault(rule.id, []).append(type(item))
    assert set(answer(name).kept) == {
        rule for rule, kinds in held.items() if all(kind is Kept for kind in kinds)
    }


@pytest.mark.parametrize("name", BOATS)
def test_points_are_the_grave_rules_thing_by_thing_and_seen_unless_left_open(name):
    found = {}
    for rule, item in verdicts(name):
        if grave_as(rule, item) in GRAVE:
            where = item.thing if isinstance(item, Unknown) else item.where
            found.setdefault((rule.id, where), []).append(item)
    seen = [
        items
        for items in found.values()
        if any(isinstance(item, Breach) for item in items)
        or not any(isinstance(item, Unknown) for item in items)
    ]
    assert (answer(name).points, answer(name).points_seen) == (len(found), len(seen))


@pytest.mark.parametrize("name", BOATS)
def test_each_key_that_is_not_recorded_is_asked_for_once_the_gravest_first(name):
    waiting = {}
    for rule, item in of_kind(name, Unknown):
        waiting.setdefault((item.table, item.thing, item.key), {}).setdefault(
            rule.id, grave_as(rule, item)
        )
    asked = answer(name).look_at
    assert len(asked) == len(waiting)
    for one in asked:
        rules_of = waiting[one.table, one.thing, one.key]
        assert set(one.rules) == set(rules_of)
        assert one.severity == min(rules_of.values(), key=SEVERITIES.index)
    order = [SEVERITIES.index(one.severity) for one in asked]
    assert order == sorted(order)


@pytest.mark.parametrize("name", BOATS)
def test_what_is_taken_as_simpler_is_said_where_it_is(name):
    case, found = case_of(name), answer(name)
    kinds = {fact.kind for fact in found.simplified}
    assert ("survey.one_volume" in kinds) is ("multihull" in case.boat.hull)
    fitted = [case.catalogue.pump(pump.fitted) for pump in case.pump if pump.fitted is not None]
    assert found.invented_parts is any(part.invented for part in fitted)
    assert len(found.assumptions) == len(set(found.assumptions))
    assert (limits_used("survey_trim")[0] in found.assumptions) is (case.boat.works_to_trim is None)
    for item in case.assumptions:
        assert item in found.assumptions


def test_a_record_of_the_day_is_carried_and_one_that_is_not_given_is_empty():
    record = Record(surveyor="A. Surveyor")
    assert survey(sound_case(), record).record is record
    assert survey(sound_case()).record.surveyor is None


def test_bilge_pumps_add_up_and_one_not_known_is_not_nought():
    case = sound_case()
    first = case.seen.bilge_pump[0]
    for rates, total in (
        ((1e-3, 2e-3), 3e-3),
        ((1e-3, None), 1e-3),
        ((None, None), None),
        ((), None),
    ):
        pumps = tuple(
            replace(first, name=f"bilge pump {n}", capacity=rate) for n, rate in enumerate(rates)
        )
        found = survey(replace(case, seen=replace(case.seen, bilge_pump=pumps)))
        assert found.bilge_capacity == (None if total is None else pytest.approx(total))
        assert found.bilge_pumps == tuple(pump.name for pump in pumps)
