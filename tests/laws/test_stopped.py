"""Where all is to stop, nothing is told that takes a pump or unit that runs."""

from functools import cache

import pytest
from sizing import KETCH, shipped

from seaflow.boat import network
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.answer import diagnose, setup_of
from seaflow.studies.diagnose.faults import faults
from seaflow.studies.diagnose.readings import instruments, signs
from seaflow.studies.diagnose.verdict import STOP, stops
from seaflow.studies.diagnose.written import read_rows


@cache
def setup():
    case = shipped(KETCH)
    return setup_of(case, network.loops(case)[0])


def test_both_kinds_of_advice_are_in_the_tables():
    for table in (faults(), instruments().values(), signs().values()):
        assert {one.running for one in table} == {False, True}


@pytest.mark.parametrize("sign", [sign for sign, _ in stops()])
def test_beside_stop_nothing_takes_what_runs(sign):
    kind, word = sign
    readings = read_rows({"sea": "28 degC", "discharge": "31 degC", kind: word}, setup().places)
    answer = diagnose(setup(), readings, Sampling(2048, 20))
    assert answer.verdict.word == STOP
    running = {fault.look: fault.act for fault in faults() if fault.running}
    assert not any(running.get(one.place) == one.act for one in answer.looks)
    assert answer.looks and (answer.next_reading is None or not answer.next_reading.running)
