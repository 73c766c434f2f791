"""Amps of several pumps in one loop are read of each, and told of which they are."""

import numpy as np
import pytest
from abreast import abreast, single
from sizing import load_text

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.physics.electric.motor import supply_current
from seaflow.present.baseline_card import baseline_card
from seaflow.present.page.dock import dock_sheet
from seaflow.present.quantities import Show
from seaflow.studies.baseline.sheet import baseline
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.answer import diagnose, posterior_of, setup_of
from seaflow.studies.diagnose.drawn import drawn_boats
from seaflow.studies.diagnose.predict import predicted
from seaflow.studies.diagnose.readings import Readings
from seaflow.studies.diagnose.written import read_rows

FEW = Sampling(512, 20)
ROUNDING = 1e-9


def setup(tmp_path, text):
    case = load_text(tmp_path, text)
    return setup_of(case, network.loops(case)[0])


def amps_on(setup, place):
    """Return the predicted amps at a place, and those by the watts that the model has there."""
    flotilla = posterior_of(setup, Readings(), FEW).flotilla
    on = next(item for item in flotilla.point.loop.pumps if item.name == place)
    watts = flotilla.point.pumps[place].power * flotilla.power_factor
    volts = np.broadcast_to(np.asarray(flotilla.boats.now.voltage, dtype=float), watts.shape)
    runs = flotilla.boats.locked == 0
    own = supply_current(on.drive.motor, watts, volts, on.drive.power_factor)
    return predicted(flotilla, "amps", place)[runs], np.asarray(own)[runs]


def test_amps_at_each_pump_are_by_its_own_watts(tmp_path):
    uneven = setup(tmp_path, abreast(longer="9 m"))
    assert uneven.places.pumps == ("P1", "P2")
    seen = {}
    for place in uneven.places.pumps:
        seen[place], own = amps_on(uneven, place)
        assert seen[place] == pytest.approx(own, rel=ROUNDING)
    moves = seen["P2"] > 0.0
    assert np.median(seen["P2"][moves]) < np.median(seen["P1"][moves])  # it gives less water
    both, _ = amps_on(setup(tmp_path, abreast(in_parallel=2)), "P2")
    alone, _ = amps_on(setup(tmp_path, abreast()), "P2")
    assert 1.2 < np.median(both) / np.median(alone) < 2.0  # two, each on less of the water


def test_amps_that_do_not_say_of_which_pump_are_asked_for_it(tmp_path):
    two = setup(tmp_path, abreast())
    with pytest.raises(SeaflowError) as refused:
        read_rows({"amps": "1.5 A"}, two.places)
    (problem,) = refused.value.problems
    assert problem.code == "D02" and "P1=" in problem.write
    read = read_rows({"amps": ["P1=1.5 A", "P2=1.4 A"]}, two.places)
    assert [(one.place, one.value) for one in read.numbers] == [("P1", 1.5), ("P2", 1.4)]


def test_each_pump_that_draws_nothing_tells_against_a_healthy_boat(tmp_path):
    two = setup(tmp_path, abreast())
    for place in two.places.pumps:
        read = read_rows({"sea": "27 degC", "amps": f"{place}=0.05 A"}, two.places)
        answer = diagnose(two, read, FEW)
        assert not answer.verdict.is_met


@pytest.mark.parametrize("in_parallel", [1, 2])
def test_the_sheet_has_a_line_for_each_pump_and_says_of_which(tmp_path, in_parallel):
    sheet = baseline(setup(tmp_path, abreast(in_parallel=in_parallel)), Readings())
    lines = [(one.what.kind, one.place) for one in sheet.expected if one.show == "current"]
    second = "baseline.amps_of_one" if in_parallel == 1 else "baseline.amps_together_at"
    assert lines == [("baseline.amps_of_one", "P1"), (second, "P2")]
    assert any(one.sees.startswith("amps") for one in sheet.astray)
    (told,) = (one for one in baseline_card(sheet, Show()).whole if one.label == "Amps")
    assert ["P1" in told.says[0], "P2" in told.says[1]] == [True, True]


def test_a_page_asks_for_amps_of_the_first_pump_and_says_so(tmp_path):
    two = setup(tmp_path, abreast())
    boats = drawn_boats(two, 1024)
    sheet, packed = dock_sheet("boat", [boats])
    labels = [one["label"] for one in sheet.given["loops"][0]["meters"]]
    assert [one for one in labels if "P1" in one] and not [one for one in labels if "P2" in one]
    assert '"ampsAt":"P1"' in packed


def test_a_single_pump_needs_no_name(tmp_path):
    one = setup(tmp_path, single())
    assert one.places.pumps == () and one.places.at(("pump",)) == ("",)
    (number,) = read_rows({"amps": "1.5 A"}, one.places).numbers
    assert number.place == ""
