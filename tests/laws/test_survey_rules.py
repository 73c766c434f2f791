"""Each rule has a boat that breaks it, one that keeps it and one that does not record it."""

import dataclasses
import tomllib
from functools import cache
from pathlib import Path

import pytest
from survey_boats import case_with, sound_case, sound_evidence

from seaflow.base.tables import read_folder, read_table
from seaflow.boat.case import Boat, Design
from seaflow.boat.keys import keys_of
from seaflow.boat.load import load_case
from seaflow.boat.tables.recorded_machines import BoatSeen
from seaflow.forms.checklist import (
    PLACE,
    SEEN,
    declared_key,
    name_of_thing,
    record_of,
    things_of,
)
from seaflow.studies.survey.findings import survey
from seaflow.studies.survey.gathered import evidence_of
from seaflow.studies.survey.judged import CHECKS, judged, judged_things
from seaflow.studies.survey.rules import Breach, Kept, Unknown, items, rules
from seaflow.studies.survey.severity import SEVERITIES

ROWS = tomllib.loads(Path(__file__).with_name("survey_rules.toml").read_text(encoding="utf-8"))
CASES = Path(__file__).parents[2] / "cases"
RULES = {rule.id: rule for rule in rules()}
BY_KEY = [rule.id for rule in RULES.values() if rule.key is not None]
BY_FUNCTION = [rule.id for rule in RULES.values() if rule.key is None]
CHESTS = ("through_hull", "sea_chest")  # both are asked about as intakes
FAR = {"least": 0.5, "most": 2.0}  # times a bound: clearly beyond it
# What makes a rule apply that the sound boat gives no occasion for.
OCCASION = {
    "strainer-anode": ("strainer", "metal", True),
}
GOOD_VALUE = {"strainer-anode": True, "seacock-no-label": True}


def with_fact(evidence, table, key, value):
    """The evidence of a boat with one thing seen changed on every thing of a table."""
    case = evidence.case
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
    return dataclasses.replace(evidence, case=changed)


@cache
def chest_evidence():
    """The evidence of the shipped motor yacht, who has a sea chest and a manifold."""
    return evidence_of(load_case(str(CASES / "motor-three-units.toml")).case)


def occasion(rule):
    """The evidence of the sound boat, changed so that the rule applies."""
    needs_chest = rule.table == "manifold" or rule.when == "sea_chest"
    evidence = chest_evidence() if needs_chest else sound_evidence()
    if rule.id in OCCASION:
        evidence = with_fact(evidence, *OCCASION[rule.id])
    if rule.key is not None and rule.id in OCCASION:
        evidence = with_fact(evidence, rule.table, rule.key, GOOD_VALUE[rule.id])
    return evidence


def bad_value(rule):
    word, wanted = rule.test
    key = declared_key(SEEN[rule.table], rule.key)
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
    evidence = occasion(rule)
    assert kinds(judged(rule, evidence)) == {Kept}
    broken = judged(rule, with_fact(evidence, rule.table, rule.key, bad_value(rule)))
    assert Breach in kinds(broken)
    assert Unknown not in kinds(broken)
    breach = next(item for item in broken if isinstance(item, Breach))
    assert breach.found["rule"] == name
    unknown = judged(rule, with_fact(evidence, rule.table, rule.key, None))
    assert kinds(unknown) == {Unknown}
    assert all((item.table, item.key) == (rule.table, rule.key) for item in unknown)


@pytest.mark.parametrize("name", BY_FUNCTION)
def test_a_boat_breaks_it(name, tmp_path):
    evidence = evidence_of(case_with(ROWS[name]["breaks"], tmp_path))
    assert Breach in kinds(judged(RULES[name], evidence))


@pytest.mark.parametrize("name", BY_FUNCTION)
def test_a_boat_keeps_it(name, tmp_path):
    patch = ROWS[name].get("passes")
    evidence = sound_evidence() if patch is None else evidence_of(case_with(patch, tmp_path))
    assert kinds(judged(RULES[name], evidence)) == {Kept}


@pytest.mark.parametrize("name", BY_FUNCTION)
def test_a_boat_does_not_record_it(name, tmp_path):
    patch = ROWS[name].get("unknown")
    if patch is None:
        assert ROWS[name]["never_unknown"]
        return
    evidence = evidence_of(case_with(patch, tmp_path))
    found = judged(RULES[name], evidence)
    assert Unknown in kinds(found)
    for item in found:
        assert not isinstance(item, Unknown) or not is_recorded(evidence.case, item)


def is_recorded(case, item):
    """Whether a case holds what a rule says that it lacks; a default does not count."""
    if item.table == "boat":
        record = record_of("boat", item.key)
        holder = {BoatSeen: case.seen, Boat: case.boat, Design: case.design}[record]
        return not lacking(getattr(holder, item.key, None))
    if item.table == "point":
        return False
    things = {name_of_thing(thing): thing for thing in things_of(case, item.table)}
    thing = things[item.thing]
    if item.key in PLACE:
        return thing.level is not None if item.key == "height" else place_of(thing, item.key)
    if item.key == "seacock":
        return any(cock.on == item.thing for cock in case.seacock)
    if item.table == "skin_fitting":
        return not lacking(getattr(thing, item.key))
    if hasattr(thing.seen, item.key):
        return not lacking(getattr(thing.seen, item.key))
    labels = [hose.label for hose in case.hose]
    row = labels.index(item.thing) if item.table == "hose" else thing.row
    given = (item.table, row, item.key) if item.table == "hose" else (thing.table, row, item.key)
    return given in case.text.where and not lacking(getattr(thing, item.key))


def place_of(thing, key):
    return thing.at is not None and getattr(thing.at, key) is not None


def lacking(value):
    """Whether a value leaves something open: itself, or a part of one of its rows."""
    if isinstance(value, tuple):
        return not value or any(
            getattr(row, field.name) is None
            for row in value
            for field in dataclasses.fields(row)
            if field.name in ("capacity", "automatic", "bore")
        )
    return value is None


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
        for text in (rule.why, rule.do):
            assert text.endswith("."), name
        assert sum(word in row for word in ("published", "practice", "derived")) == 1, name
        if rule.key is not None:
            assert rule.table in SEEN, name
            assert rule.test is not None, name
            assert rule.found, name
            assert any(spelled == rule.key for _, spelled, _ in keys_of(SEEN[rule.table])), name
        for key in row.get("published", ()):
            assert key in read_table("requirements.toml"), name
        assert (rule.rests_on.kind == "survey.published") == ("published" in row), name


def test_nothing_critical_rests_on_memory():
    known = read_table("requirements.toml")
    for name, row in read_folder("rules").items():
        if "critical" in (RULES[name].severity, *row.get("varies", "").split()):
            told = [row.get("says", ""), *(known[key]["seen"] for key in row.get("published", ()))]
            assert not [text for text in told if "memory" in text], name


def test_every_requirement_is_named_by_a_rule():
    named = {key for row in read_folder("rules").values() for key in row.get("published", ())}
    assert named == set(read_table("requirements.toml"))


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
        ("strainer", "blocked_now"),
        ("hose", "drain_teed_in"),
        ("unit", "water_reversed"),
        ("unit", "low_flow_trip"),
        ("outlet", "material"),
        ("outlet", "pink_patches"),
        ("outlet", "cracked"),
        ("outlet", "strong_line"),
        ("hose", "clamps_at_each_end"),
        ("hose", "barb_material"),
        ("pump", "burnt_before"),
        ("pump", "kind"),
        ("pump", "breaker"),
        ("pump", "earthed"),
        ("pump", "residual_current_device"),
        ("boat", "mains_aboard"),
        ("boat", "mains_earthed"),
        ("boat", "mains_residual_current_device"),
        ("pump", "in_petrol_space"),
        ("pump", "ignition_protected"),
        ("unit", "in_petrol_space"),
        ("unit", "ignition_protected"),
        ("boat", "hull_material"),
        ("boat", "fuel"),  # for `seaflow place`
        ("boat", "only_engine_shares"),
        ("boat", "bilge_pump"),
        ("boat", "floodable_volume"),
    }
    alike = {"skin_hose": "hose", "skin_fitting": "outlet"}  # judged as those of the loop are
    declared_keys = {
        (alike.get(table, table), key)
        for table, kind in SEEN.items()
        if table not in CHESTS
        for _, key, _ in keys_of(kind)
    }
    assert declared_keys - used == {("outlet", "firm")}  # asked as of an intake


def test_a_rule_is_judged_on_every_thing():
    assert [name for name, _ in judged_things(sound_evidence(), "hose")]
    assert len(list(judged_things(sound_evidence(), "seacock"))) == 2
