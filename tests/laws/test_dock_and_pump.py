"""What the owner's part of a page says beside "normal" when the pump fitted now does not do."""

import json

import pytest
from source_tree import ROOT

from seaflow.boat.load import load_case
from seaflow.present.page.dock import dock_sheet
from seaflow.studies.design.judge import NO, TIGHT, YES
from seaflow.studies.page.study import owners_boats


@pytest.fixture(scope="module")
def boats():
    return owners_boats(load_case(str(ROOT / "cases" / "ketch-one-unit.toml")).case)


@pytest.mark.parametrize("grade", [YES, TIGHT, NO, None])
def test_only_a_pump_that_does_is_called_normal_without_a_word(boats, grade):
    (name,) = (one.setup.built.network.name for one in boats)
    sheet, packed = dock_sheet("Boat", boats, fitted={} if grade is None else {name: grade})
    told = json.loads(packed)
    said = {**told["alike"], **told["loops"][0]}["short"]
    assert bool(said) is (grade in (TIGHT, NO))
    assert sheet.given["loops"][0]["short"] == said
