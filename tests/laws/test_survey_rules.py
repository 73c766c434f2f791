"""Each rule has a boat that breaks it, one that keeps it and one that does not record it."""

import dataclasses
import tomllib
from functools import cache
from pathlib import Path

import pytest
from survey_boats import case_with, sound_case, sound_facts

from seaflow.base.tables import read_folder, read_table
from seaflow.boat.keys import keys_of
from seaflow.boat.load import load_case
from seaflow.studies.survey.by_key import SEEN, declared, things_of
from seaflow.studies.survey.facts import facts_of
from seaflow.studies.survey.findings import survey
from seaflow.studies.survey.register import CHECKS, judged
from seaflow.studies.survey.rules import SEVERITIES, Fault, Fine, Unknown, items, rules

ROWS = tomllib.loads(Path(__file__).with_name("survey_rules.toml").read_text(encoding="utf-8"))
CASES = Path(__file__).parents[2] / "cases"
RULES = {rule.id: rule for rule in rules()}
BY_KEY = [rule.id for rule in RULES.values() if rule.key is not None]
BY_FUNCTION = [rule.id for rule in RULES.values() if rule.key is None]
FAR = {"least": 0.5, "most": 2.0}  # times a bound: clearly beyond it
# What makes a rule apply that the sound boat gives no occasion for.
OCCASION = {
    "strainer-anode": ("strainer", "metal", True),
    "outlet-cracked": ("outlet", "material", "plain plastic"),
}
GOOD_VALUE = {"strainer-anode": True, "outlet-cracked": False, "seacock-no-label": True}


def with_fact(facts, table, key, value):
    """The facts of a boat with one thing seen changed on every thing of a table."""
    case = facts.case
    if table == "boat":
        changed = dataclasses.replace(case, seen=dataclasses.replace(case.seen, **{key: value}))
    else:
        names = ("through_hull", "sea_chest") if table == "intake" else (table,)
        things = {
            name: tuple(
                dataclasses.replace(thing, seen=dataclasses.replace(thing.seen, **{key: value}))
                for thing in getattr(case, name)
            )
            for name in names
        }
        changed = dataclasses.replace(case, **things)
    return dataclasses.replace(facts, case=changed)


@cache
def chest_facts():
    """The facts of the shipped motor yacht, who has a sea chest and a manifold."""
    return facts_of(load_case(str(CASES / "motor-three-units.toml")).case)


def occasion(rule):
    """The facts of the sound boat, changed so that the rule applies."""
    needs_chest = rule.table == "manifold" or rule.when == "sea_chest"
    facts = chest_facts() if needs_chest else sound_facts()
    if rule.id in OCCASION:
        facts = with_fact(facts, *OCCASION[rule.id])
    if rule.key is not None and rule.id in OCCASION:
        facts = with_fact(facts, rule.table, rule.key, GOOD_VALUE[rule.id])
    return facts


def bad_value(rule):
    word, wanted = rule.test
    key = declared(rule.table, rule.key)
    if word == "bad":
        return wanted[0]
    if word == "good" and key.kind == "flag":
        return not wanted
    if word == "good":
        allowed = wanted if isinstance(wanted, list) else [wanted]
        return next(choice for choice in key.choices if choice not in allowed)
    if key.quantity is None:
        return int(float(wanted) * FAR[word])
    from seaflow.base.glossary import glossary_entry
    from seaflow.base.units import read_quantity

    return read_quantity(wanted, glossary_entry(key.quantity).unit) * FAR[word]


def kinds(verdicts):
    return {type(item) for item in verdicts}


@pytest.mark.parametrize("name", BY_KEY)
def test_a_fact_breaks_keeps_or_leaves_open(name):
    rule = RULES[name]
    facts = occasion(rule)
    assert kinds(judged(rule, facts)) == {Fine}
    broken = judged(rule, with_fact(facts, rule.table, rule.key, bad_value(rule)))
    assert Fault in kinds(broken)
    assert Unknown not in kinds(broken)
    fault = next(item for item in broken if isinstance(item, Fault))
    assert fault.found
    assert "{" not in fault.found
    unknown = judged(rule, with_fact(facts, rule.table, rule.key, None))
    assert kinds(unknown) == {Unknown}
    assert all(item.fact[2] == rule.key for item in unknown)


@pytest.mark.parametrize("name", BY_FUNCTION)
def test_a_boat_breaks_it(name, tmp_path):
    facts = facts_of(case_with(ROWS[name]["breaks"], tmp_path))
    assert Fault in kinds(judged(RULES[name], facts))


@pytest.mark.parametrize("name", BY_FUNCTION)
def test_a_boat_keeps_it(name, tmp_path):
    patch = ROWS[name].get("passes")
    facts = sound_facts() if patch is None else facts_of(case_with(patch, tmp_path))
    assert kinds(judged(RULES[name], facts)) == {Fine}


@pytest.mark.parametrize("name", BY_FUNCTION)
def test_a_boat_does_not_record_it(name, tmp_path):
    patch = ROWS[name].get("unknown")
    if patch is None:
        assert ROWS[name]["never_unknown"]
        return
    found = judged(RULES[name], facts_of(case_with(patch, tmp_path)))
    assert Unknown in kinds(found)


def test_the_sound_boat_has_no_finding_and_leaves_nothing_open():
    answer = survey(sound_case())
    assert answer.findings == ()
    assert answer.look_at == ()
    assert answer.is_fit


def test_every_rule_without_a_key_has_a_function_and_no_function_is_left_over():
    assert set(BY_FUNCTION) == set(CHECKS) == set(ROWS)


def test_rules_are_whole():
    for name, row in read_folder("rules").items():
        rule = RULES[name]
        assert rule.severity in SEVERITIES, name
        assert rule.question.endswith("?"), name
        for text in (rule.why, rule.do, rule.basis_text):
            assert text.endswith("."), name
        assert sum(word in row for word in ("published", "practice", "derived")) == 1, name
        if rule.key is not None:
            assert rule.table in SEEN, name
            assert rule.test is not None, name
            assert rule.found, name
            assert any(spelled == rule.key for _, spelled, _ in keys_of(SEEN[rule.table])), name
        for key in row.get("published", ()):
            assert key in read_table("requirements.toml"), name
        if "published" in row:
            assert "Check the current edition" in rule.basis_text, name


def test_every_item_has_a_rule_or_says_why_not():
    numbers = [number for number, _, _ in items()]
    assert numbers == list(range(1, len(numbers) + 1))
    for number, look_at, why in items():
        assert why or any(rule.item == number for rule in RULES.values()), look_at
    assert {rule.item for rule in RULES.values()} <= set(numbers)


def test_every_recorded_fact_serves_a_rule_or_another_rule_needs_it():
    """A key that no rule asks for would be typed in vain."""
    used = {(rule.table, rule.key) for rule in RULES.values() if rule.key is not None}
    # asked for by functions, or what makes another rule apply
    used |= {
        ("intake", "discharge_distance"),
        ("boat", "runs_unattended"),
        ("boat", "can_be_flushed"),
        ("strainer", "metal"),
        ("strainer", "hole"),
        ("outlet", "material"),
        ("outlet", "strong_line"),
        ("hose", "clamps_at_each_end"),
        ("hose", "short_barb"),
        ("pump", "burnt_before"),
        ("pump", "breaker"),
        ("pump", "in_petrol_space"),
        ("pump", "ignition_protected"),
        ("unit", "in_petrol_space"),
        ("unit", "ignition_protected"),
        ("boat", "hull_material"),
        ("boat", "fuel"),
        ("boat", "only_engine_shares"),
        ("boat", "bilge_pump"),
        ("boat", "floodable_volume"),
    }
    declared_keys = {(table, key) for table, kind in SEEN.items() for _, key, _ in keys_of(kind)}
    assert declared_keys - used == set()


def test_a_rule_is_judged_on_every_thing():
    assert [name for name, _ in things_of(sound_facts(), "hose")]
    assert len(list(things_of(sound_facts(), "seacock"))) == 2
