"""What a diagnosis may not leave out: what follows work, outlets untold, and rough odds."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from source_tree import ROOT

from seaflow.base.tables import read_table
from seaflow.boat.load import load_case
from seaflow.boat.network import loops, upstream
from seaflow.present.diagnose_card import diagnose_card
from seaflow.present.quantities import Show
from seaflow.studies.design.cautions import named_cautions
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.agreement import untold_outlets
from seaflow.studies.diagnose.answer import DOUBTS, _basis, diagnose, setup_of
from seaflow.studies.diagnose.faults import faults
from seaflow.studies.diagnose.infer import ROUGH_BELOW, Posterior
from seaflow.studies.diagnose.readings import instruments, signs
from seaflow.studies.diagnose.verdict import ACT, STOP, Verdict
from seaflow.studies.diagnose.written import read_rows

AFTER = read_table("cautions.toml")["after_work"]["title"]
WORK = {one.name: one.cautions for one in faults()}
WORK |= {one: row.cautions for one, row in (signs() | instruments()).items()}
FEW = Sampling(2048, 20)


@pytest.mark.parametrize("work", [name for name, cautions in WORK.items() if cautions])
def test_who_is_told_to_shut_the_seacock_is_told_last_to_open_it(work):
    told = named_cautions(WORK[work])
    shuts = any("seacock shut" in one.brief for one in told)
    assert [one.title for one in told if one.after] == ([AFTER] if shuts else [])
    assert not shuts or told[-1].after
    assert not told or not told[0].after  # what stands just before the work is no afterthought


@pytest.fixture(scope="module")
def three():
    case = load_case(str(ROOT / "cases" / "motor-three-units.toml")).case
    return setup_of(case, loops(case)[0])


def readings(setup, **more):
    return read_rows({"sea": "29 degC"} | more, setup.places)


def test_outlets_of_which_nothing_was_told_are_those_without_stream_bucket_or_thermometer(three):
    first, second = three.places.outlets
    for row, untold in (
        ({"stream": [f"{first}=weak"]}, (second,)),
        ({"bucket": [f"{second}=10 L in 60 s"]}, (first,)),
        ({"stream": [f"{first}=weak"], "bucket": [f"{second}=10 L in 60 s"]}, ()),
        ({"stream": "weak"}, ()),
        ({}, ()),
    ):
        assert untold_outlets(three, readings(three, **row)) == untold
    for unit in three.places.units:  # what leaves a unit is told of its outlet
        (other,) = untold_outlets(three, readings(three, discharge=[f"{unit}=44 degC"]))
        assert unit not in upstream(three.built.network, other)


def test_untold_outlets_are_noted_of_what_is_not_normal_alone(three):
    first = three.places.outlets[0]
    for word, noted in (("weak", True), ("strong", False)):
        row = {"sea": "26 degC", "stream": [f"{first}={word}"]}
        found = diagnose(three, read_rows(row, three.places), FEW)
        assert ("diagnose.other_outlets" in [one.kind for one in found.notes]) is noted


def doubts(effective, wider=1.0, word=ACT):
    """What is said of the odds that so many boats carry."""
    hypotheses = SimpleNamespace(size=9)
    boats = SimpleNamespace(now=SimpleNamespace(mode="cooling"))
    flotilla = SimpleNamespace(hypotheses=hypotheses, boats=boats)
    found = Posterior(flotilla, None, effective, wider)
    return [one for one in _basis(None, Verdict(word, word), found) if one.kind in DOUBTS]


def kinds(*given, **more):
    return [one.kind for one in doubts(*given, **more)]


def test_odds_that_few_boats_carry_are_called_rough():
    assert kinds(ROUGH_BELOW) == []
    assert kinds(ROUGH_BELOW - 1.0) == ["diagnose.rough"]
    assert kinds(ROUGH_BELOW - 1.0, word=STOP) == []
    assert kinds(ROUGH_BELOW - 1.0, wider=1.3) == ["diagnose.coarser"]


def test_the_card_never_drops_that_the_odds_are_rough(three):
    found = diagnose(three, readings(three, stream="weak"), FEW)
    plain = tuple(one for one in found.basis if one.kind not in DOUBTS)
    show = Show("metric")
    for doubt in (*doubts(1.0), *doubts(1.0, wider=1.3)):
        told = diagnose_card(replace(found, basis=(*plain, doubt)), show)
        (sure,) = (one for one in told.blocks if one.label == "How sure")
        assert show.sentence(doubt) in sure.says[: sure.kept]


def test_the_card_says_what_follows_the_work_it_names(three):
    """Whether the work is at a place or for the next reading."""
    found = diagnose(three, readings(three, stream="weak"), FEW)
    show, lid = Show("metric"), named_cautions(["lid"])
    looks = tuple(replace(one, cautions=()) for one in found.looks)
    bare = replace(found, looks=looks, next_reading=replace(found.next_reading, cautions=()))
    at_place = replace(bare, looks=(replace(looks[0], cautions=lid), *looks[1:]))
    to_read = replace(bare, next_reading=replace(bare.next_reading, cautions=lid))
    for one, told in ((bare, False), (at_place, True), (to_read, True)):
        careful = [block for block in diagnose_card(one, show).blocks if block.label == "Careful"]
        assert any(lid[-1].brief in says for block in careful for says in block.says) is told
