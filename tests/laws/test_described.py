"""What a diagnosis says of a boat nobody described: how much wider, and what would help most."""

from __future__ import annotations

from functools import cache

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.forms.typical.boat import spoken_boat
from seaflow.present.diagnose_card import diagnose_card
from seaflow.present.quantities import Show
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.answer import diagnose, setup_of
from seaflow.studies.diagnose.written import read_rows

FEW = Sampling(4096, 20)
UNIT = {"unit": ["16000 BTU/h"]}


@cache
def answer(case, **rows):
    setup = setup_of(case, network.loops(case)[0])
    return diagnose(setup, read_rows(rows, setup.places), FEW)


@cache
def spoken(**texts):
    return spoken_boat(UNIT | texts).loaded.case


def test_an_owner_who_knows_only_her_unit_is_told_what_that_costs_and_what_would_help():
    found = answer(spoken(), sea="28C", discharge="45C", stream="weak")
    told = found.undescribed
    assert told.times >= 1.1 and told.find_out.how
    blocks = {block.label: " ".join(block.says) for block in diagnose_card(found, Show()).blocks}
    assert f"{told.times:.1f} times" in blocks["Wider"]
    assert told.find_out.how in blocks["Find out"]


def test_a_boat_described_in_full_loses_nothing():
    case = load_case("cases/ketch-one-unit.toml").case
    assert answer(case, sea="28C", discharge="40C").undescribed is None


def test_a_pump_that_is_named_narrows_what_a_healthy_boat_reads():
    readings = {"sea": "28C", "bucket": "35", "pump": "normal"}
    none, named = (
        answer(spoken(**pump), **readings).undescribed
        for pump in ({}, {"pump": "demo-pedestal-230"})
    )
    assert none.times > 1.2 * named.times
    assert "pump" in none.find_out.what and "pump" not in named.find_out.what


def test_the_fact_named_moves_the_cause_named_whatever_the_seed():
    case = spoken_boat({"unit": ["5000 BTU/h"]}).loaded.case
    setup = setup_of(case, network.loops(case)[0])
    readings = read_rows({"sea": "28C", "discharge": "45C", "stream": "weak"}, setup.places)
    found = [diagnose(setup, readings, Sampling(16384, seed)).undescribed for seed in (20, 520)]
    assert all(one.find_out.tells > 0.02 for one in found)
    mine, other = (dict(one.find_out.says.values) for one in found)
    assert (mine["what"], mine["cause"]) == (other["what"], other["cause"])
    assert (mine["if_low"] > mine["if_high"]) == (other["if_low"] > other["if_high"])
