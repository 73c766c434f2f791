"""The survey of a half-known boat: unknown is neither found nor clean, and answers close the gaps.

Laws, on the shipped boats with their values taken out and on a boat of nothing but names.
"""

import random
import tomllib
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from heavy import half_known, heavy

from seaflow.boat.case import FITTING_TABLES
from seaflow.boat.gaps import _usual_run, filled
from seaflow.boat.load import load_case
from seaflow.forms.answers import read_answers
from seaflow.forms.starter import value_text
from seaflow.forms.typical.facts import BoatFacts, Facts
from seaflow.forms.typical.text import case_of
from seaflow.studies.survey import half_known as rules_of_half_known
from seaflow.studies.survey.findings import NOT_SEEN, survey
from seaflow.studies.survey.gathered import evidence_of
from seaflow.studies.survey.half_known import judged_surely, varied, with_gap
from seaflow.studies.survey.judged import OF_A_LOOP, judged
from seaflow.studies.survey.rules import rules

CASES = sorted(Path("cases").glob("*.toml"))
SLOPE = "suction-flat"
QUANTITIES = {
    "through_hull": ("bore", "at"),
    "seacock": ("bore",),
    "strainer": ("at", "model", "port"),
    "pump": ("at",),
    "unit": ("cooling",),
    "outlet": ("at", "bore"),
    "hose": ("bore", "length"),
    "skin_fitting": ("bore",),
}
NAMES = {
    "boat": {"name": "Invented boat of names"},
    "through_hull": [{"name": "intake"}],
    "seacock": [{"name": "intake seacock", "on": "intake"}],
    "strainer": [{"name": "strainer"}],
    "pump": [{"name": "pump"}],
    "unit": [{"name": "fore unit"}, {"name": "aft unit"}],
    "outlet": [{"name": "outlet"}],
}


def written(raw, path):
    """Write a case of TOML data and return the name of its file."""
    lines = [f"{key} = {value_text(value)}" for key, value in raw.items() if key == "schema"]
    for table, content in raw.items():
        for row in content if isinstance(content, list) else ():
            lines += [f"[[{table}]]", *(f"{key} = {value_text(row[key])}" for key in row)]
        if isinstance(content, dict):
            lines += [f"[{table}]", *(f"{key} = {value_text(content[key])}" for key in content)]
    path.write_text("\n".join(lines), encoding="utf-8")
    return str(path)


def verdicts(answer):
    """Return what was found, as rule and thing."""
    return {(item.rule, item.where) for item in answer.findings}


def test_a_boat_of_nothing_but_names_is_not_seen(tmp_path):
    """Nothing is found, nothing of weight is passed, and every gap is asked for."""
    case = load_case(written(NAMES, tmp_path / "names.toml"), gaps=True).case
    answer = survey(case)
    assert answer.fitness == NOT_SEEN
    assert not answer.findings
    assert answer.hull is None
    assert not answer.openings
    asked = {(item.table, item.thing, item.key) for item in answer.look_at}
    assert {("outlet", "outlet", "height"), ("boat", "the boat", "hull")} <= asked
    assert {("pump", "pump", "height"), ("boat", "the boat", "voltage")} <= asked
    assert ("hose", "hose intake to strainer", "length") in asked
    assert answer.points_seen < 0.1 * answer.points


@pytest.mark.parametrize("file", CASES, ids=lambda path: path.stem)
def test_what_is_taken_out_brings_no_finding_and_no_pass(file, tmp_path):
    """Each finding of a boat with values taken out is one of the whole boat's, or none.

    Nor does a rule count as kept that the whole boat breaks. A slope that belongs to a crest is not
    told beside it; where the crest is not known the slope stands for itself.
    """
    raw = tomllib.loads(file.read_text(encoding="utf-8"))
    draws = random.Random(file.stem)
    for table, keys in QUANTITIES.items():
        for row in raw.get(table, ()):
            for key in keys:
                if key in row and draws.random() < 0.5:
                    row.pop(key)
                    row.pop("height", None)
    half = survey(load_case(written(raw, tmp_path / "half.toml"), gaps=True).case)
    whole = survey(load_case(str(file)).case)
    crests = {(SLOPE, where) for rule, where in verdicts(whole) if rule == "suction-crest"}
    assert verdicts(half) <= verdicts(whole) | crests
    assert not {item.rule for item in whole.findings} & set(half.kept)
    assert half.points_seen < whole.points_seen


@pytest.mark.parametrize("file", CASES, ids=lambda path: path.stem)
def test_a_whole_boat_has_no_gaps(file):
    """What a shipped case records is never filled, and its survey is the same."""
    raw = tomllib.loads(file.read_text(encoding="utf-8"))
    assert filled(raw)[1:] == ((), ())
    assert load_case(str(file), gaps=True).case.gaps == ()


def some_taken_out(raw, rng):
    """The case without six in ten of its values, and half of its seacocks."""
    raw["seacock"] = [row for row in raw["seacock"] if rng.random() < 0.5]
    for table, keys in QUANTITIES.items():
        for row in raw.get(table, []):
            for key in keys:
                if rng.random() < 0.6:
                    row.pop(key, None)
    return {table: content for table, content in raw.items() if content != []}


@pytest.mark.parametrize("file", CASES, ids=lambda file: file.stem)
def test_rules_say_the_same_if_each_is_judged_with_every_gap(file, tmp_path, monkeypatch):
    """What decides a rule, and which loops differ, leaves out nothing that turns it."""
    told = []
    for seed in (2, 9):  # with the latter an opening of unknown bore is told of
        rng = random.Random(seed)
        raw = some_taken_out(tomllib.loads(file.read_text("utf-8")), rng)
        case = load_case(written(raw, tmp_path / "half.toml"), gaps=True).case
        other = case
        for gap in case.gaps:
            other = with_gap(other, gap, rng.randrange(len(gap.values)))
        for evidence in map(evidence_of, (case, other)):
            others = varied(evidence)
            told.append((evidence, others, judged_surely(evidence, others)))
    monkeypatch.setattr(rules_of_half_known, "_may_turn", lambda *_: True)
    monkeypatch.setattr(rules_of_half_known, "OF_A_LOOP", frozenset())
    for evidence, others, found in told:
        for (rule, mine), (_, every) in zip(found, judged_surely(evidence, others), strict=True):
            assert mine == every, rule.id


def test_what_a_rule_of_a_loop_says_hangs_on_no_other_loop(tmp_path):
    """So it need be asked again of those loops alone in which something differs."""
    (tmp_path / "boat.toml").write_text(half_known(heavy(3, 2)), encoding="utf-8")
    for file in (tmp_path / "boat.toml", Path("cases/catamaran-two-loops.toml")):
        evidence = evidence_of(load_case(str(file), gaps=True).case)
        alone = [replace(evidence, loops=(loop,)) for loop in evidence.loops]
        for rule in (one for one in rules() if one.id in OF_A_LOOP):
            told = [item for one in alone for item in judged(rule, one)]
            assert Counter(told) == Counter(judged(rule, evidence)), rule.id


def test_answers_close_gaps_one_at_a_time(tmp_path):
    """A value that is answered is not asked again, and what hangs on it alone is told."""
    case = load_case(written(NAMES, tmp_path / "names.toml"), gaps=True).case
    sheet = tmp_path / "visit.toml"
    sheet.write_text(
        "[boat]\ncurrent = 'dc'\nvoltage = '12 V'\n"
        "[[outlet]]\nname = 'outlet'\nheight = '0.04 m'\nbore = '19 mm'\n"
        "[[hose]]\nname = 'hose intake to strainer'\nlength = '3.1 m'\nbore = '25 mm'\n",
        encoding="utf-8",
    )
    told = read_answers([str(sheet)], case)
    left = {(gap.path, key) for gap in told.case.gaps for key in gap.keys}
    assert not {path for path, _ in left} & {("supply",), ("outlet", 0), ("hose", 0)}
    answer = survey(told.case, told.record, told.partial, told.overruled)
    asked = {(item.table, item.thing, item.key) for item in answer.look_at}
    assert not asked & {("outlet", "outlet", "height"), ("boat", "the boat", "frequency")}
    assert not answer.overruled
    assert ("outlet-height", "outlet") in verdicts(answer)


def test_alternating_current_that_is_answered_still_asks_for_its_frequency(tmp_path):
    """A part of the supply leaves the rest of it open."""
    case = load_case(written(NAMES, tmp_path / "names.toml"), gaps=True).case
    sheet = tmp_path / "visit.toml"
    sheet.write_text("[boat]\ncurrent = 'ac'\nvoltage = '230 V'\n", encoding="utf-8")
    told = read_answers([str(sheet)], case)
    (supply,) = (gap for gap in told.case.gaps if gap.path == ("supply",))
    assert supply.keys == ("frequency",)
    assert {one["voltage"] for one in supply.values} == {230.0}


def test_a_typical_value_is_one_that_nobody_saw(tmp_path):
    """A boat of typical values is asked for every one of them, and nothing is found."""
    text = case_of(Facts(boat=BoatFacts("sailing catamaran", 13.0)))
    file = tmp_path / "typical.toml"
    file.write_text(text, encoding="utf-8")
    case = load_case(str(file), gaps=True).case
    assert not {path[0] for path in case.typical} & set(QUANTITIES)
    answer = survey(case)
    assert answer.fitness == NOT_SEEN
    assert not answer.findings
    asked = {(item.table, item.key) for item in answer.look_at}
    assert {
        ("outlet", "height"),
        ("pump", "height"),
        ("hose", "length"),
        ("intake", "bore"),
    } <= asked
    assert {("boat", "beam"), ("boat", "freeboard")} & asked or answer.hull != "sailing monohull"


def named(**counts):
    """The raw tables of a boat of so many things of each kind, by their names alone."""
    return {
        table: [{"name": f"{table} {number}"} for number in range(count)]
        for table, count in counts.items()
    }


@pytest.mark.parametrize("strainers", [0, 1])
@pytest.mark.parametrize("units, outlets", [(1, 1), (3, 3), (3, 1)])
def test_the_usual_run_leads_from_the_intake_through_all_there_is_to_an_outlet(
    strainers, units, outlets
):
    raw = named(through_hull=1, strainer=strainers, pump=1, unit=units, outlet=outlets)
    run = [(hose["from"], hose["to"]) for hose in _usual_run(raw)]
    places = {"through_hull 0"}
    for start, end in run:  # in the order of the water
        assert start in places
        places.add(end)
    assert places == {row["name"] for rows in raw.values() for row in rows}
    starts = [start for start, _ in run]
    assert starts[:2] == ["through_hull 0", "strainer 0" if strainers else "pump 0"]
    assert places - set(starts) == {row["name"] for row in raw["outlet"]}
    assert len(raw.get("manifold", ())) == (0 if units == 1 else 1 if outlets == units else 2)


@pytest.mark.parametrize(
    "more",
    [
        *({"through_hull": 2}, {"sea_chest": 1}, {"strainer": 2}, {"pump": 2}, {"pump": 0}),
        *({"unit": 0}, {"outlet": 2}, {"outlet": 0}),
        *({table: 1} for table in FITTING_TABLES[:-1]),
    ],
    ids=str,
)
def test_no_run_is_usual_where_it_is_open_what_feeds_what(more):
    one = {"through_hull": 1, "strainer": 1, "pump": 1, "unit": 3, "outlet": 3}
    assert _usual_run(named(**one))
    assert _usual_run(named(**one, flush_tee=1))  # it sits on a run as it is
    assert _usual_run(named(**(one | more))) == []
