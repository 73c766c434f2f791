"""What is said of how sure the answer is: bands hold the answer, and inputs push the right way."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from answer_data import kinds_of
from sizing import BAD, KETCH, MOTOR, NAMES, SLOOP, edited, load_text, shipped, text_of

from seaflow.base.facts import fact
from seaflow.model.build import build_loop
from seaflow.model.operate import operate
from seaflow.studies.design.certainty.inputs import inputs_of
from seaflow.studies.design.certainty.sample import sample
from seaflow.studies.design.worst_cases import worst_cases
from seaflow.studies.size.size import size

SAMPLES = 512
STEPS = 21
FLAT = 1e-9  # relative: what a settled flow may move by rounding alone
# How the flow moves as an input grows; None for those that move the heat and not the water.
UP, DOWN, NOT = 1, -1, 0
SIGNS = {
    "roughness of the growth": NOT,  # no growth is set when each input moves alone
    "coil loss": DOWN,
    "conductance": NOT,
    "heat rejected": NOT,
    "head of the pump": UP,
    "free flow": UP,
    "barbs": DOWN,
    "roughness": DOWN,
    "bore of": UP,
    "length of": DOWN,
    "entry": DOWN,
    "what a blocked basket costs": None,
    "strainer": DOWN,
    "blocked": DOWN,
    "growth": DOWN,
    "scale": NOT,
    "height of the outlets": DOWN,
}


@cache
def answer(name):
    return size(shipped(name), SAMPLES)


@cache
def built_of(name):
    case, chosen = shipped(name), answer(name).loops[0].chosen
    from seaflow.boat import network

    found = network.loops(case)[0]
    return build_loop(case, found, {place.name: chosen.part for place in found.pumps})


def moved(name):
    """Flow of the loop as each input alone goes from its low end to its high end."""
    case, built = shipped(name), built_of(name)
    now = worst_cases(case)[0].conditions
    shares = np.linspace(0.001, 0.999, STEPS)
    for item in inputs_of(case, built):
        loop, changed = item.apply(built.loop, now, item.spread.at(shares))
        flow = operate(loop, changed).total_flow()
        yield item, item.spread.at(shares), flow


@pytest.mark.parametrize("name", NAMES)
def test_bands_are_in_order_and_hold_the_flow_of_the_design(name):
    """Dirt and wear only take from the flow, so the design lies in the band or at its top."""
    for loop in answer(name).loops:
        for item in loop.pumps:
            found = loop.certainty.of(item.part.name)
            for band in (*found.bands, *(band for unit in found.units for band in unit.bands)):
                known = [x for x in (band.low, band.middle, band.high) if not np.isnan(x)]
                assert known == sorted(known)
            flow = found.bands[0]
            assert flow.name == "flow" and flow.unit == "m3/s"
            if item.design.ending == "at rest":  # too few volts reach it
                assert flow.low == flow.high == 0.0
                continue
            assert flow.low < item.design.flow < flow.high * 1.05


@pytest.mark.parametrize("name", NAMES)
def test_likelihoods_are_shares_and_running_is_never_less_likely_than_the_rise(name):
    for loop in answer(name).loops:
        assert {item.pump for item in loop.certainty.pumps} == {
            item.part.name for item in loop.pumps
        }
        for item in loop.certainty.pumps:
            assert 0.0 <= item.keeps_rise <= item.keeps_running <= 1.0
            for unit in item.units:
                assert item.keeps_rise <= unit.keeps_rise <= unit.keeps_running
                assert item.keeps_running <= unit.keeps_running


@pytest.mark.parametrize("name", NAMES)
def test_what_moves_the_answer_most_comes_first(name):
    for loop in answer(name).loops:
        shares = [item.explains for item in loop.certainty.dominant]
        assert shares == sorted(shares, reverse=True)
        assert all(0.0 <= share <= 1.0 for share in shares)
        assert all(item.measure and item.source for item in loop.certainty.dominant)


@pytest.mark.parametrize("name", [KETCH, SLOOP, MOTOR, BAD])
def test_every_input_moves_the_flow_the_right_way(name):
    for item, values, flow in moved(name):
        assert np.all(np.isfinite(values)) and np.all(np.diff(values) >= 0.0), item.label
        assert np.all(flow > 0.0), item.label
        sign = sign_of(item)
        steps = np.diff(flow) / flow.max()
        if sign == NOT:
            assert np.all(np.abs(steps) < FLAT), item.label
        elif sign is not None:
            assert np.all(steps * sign > -FLAT), item.label
            sunk = "outlets" in item.label and name == BAD  # under water its height is no matter
            assert sunk or flow[0] != flow[-1], item.label


def sign_of(item):
    """The sign of the first word that names the input; None for blends, volts and the season."""
    if item.spread.shape == "blend":
        return None
    return next((sign for words, sign in SIGNS.items() if words in item.label), None)


@pytest.mark.parametrize("name", NAMES)
def test_every_kind_of_input_has_its_sign(name):
    """Only how a basket clogs, the volts and the season have none that holds for every boat."""
    unsigned = [item.label for item, _, _ in moved(name) if sign_of(item) is None]
    assert len(unsigned) <= 3, unsigned


def test_more_volts_never_slow_the_pump_down():
    for name in (KETCH, SLOOP, BAD):
        case, built = shipped(name), built_of(name)
        volts = [item for item in inputs_of(case, built) if "volt" in item.label]
        assert len(volts) == 1
        now = worst_cases(case)[0].conditions
        shares = np.linspace(0.001, 0.999, STEPS)
        loop, changed = volts[0].apply(built.loop, now, shares)
        assert np.all(np.diff(changed.voltage) >= 0.0)
        assert np.all(np.diff(operate(loop, changed).total_flow()) >= -1e-12)


def test_a_spread_given_in_the_case_widens_or_narrows_the_band(tmp_path):
    widths = []
    for half in ("0.01 m", "0.6 m"):
        text = edited(text_of(KETCH), ('head = "1.3 m"', f'head = "1.3 m +/- {half}"'))
        found = size(load_text(tmp_path, text), SAMPLES).loops[0]
        band = found.certainty.of("demo-mag-medium-230").bands[0]
        widths.append(band.high - band.low)
        labels = [item.label for item in found.certainty.dominant]
        assert ("coil loss" in labels[0]) == (half == "0.6 m"), labels
        given = [item for item in found.certainty.inputs if "coil loss" in item.label]
        assert given[0].source == fact("design.given_half_width")
    assert widths[0] < widths[1]


def test_all_pumps_meet_the_same_boats():
    case = shipped(KETCH)
    loop = answer(KETCH).loops[0]
    from seaflow.boat import network

    found = network.loops(case)[0]
    drawn = []
    for item in loop.pumps[:2]:
        built = build_loop(case, found, {place.name: item.part for place in found.pumps})
        now = worst_cases(case)[0].conditions
        drawn.append(sample(case, built, now, 64, 20))
    assert np.array_equal(drawn[0].shares, drawn[1].shares)
    assert np.array_equal(
        drawn[0].point.conditions.sea_temperature, drawn[1].point.conditions.sea_temperature
    )


def test_a_pump_that_often_stops_a_unit_is_tight_or_not_recommended():
    """The season is drawn too: a boat whose sea is far warmer than designed for trips its unit."""
    for name in NAMES:
        for loop in answer(name).loops:
            for item in loop.pumps:
                found = loop.certainty.of(item.part.name)
                judged, seldom = item.judgement, "design.seldom_runs"
                assert (seldom in kinds_of(judged.reasons)) == (found.keeps_running < 0.90)
                assert (seldom in kinds_of(judged.doubts)) == (0.90 <= found.keeps_running < 0.95)


def test_without_samples_there_is_no_certainty():
    assert size(replace(shipped(KETCH)), 0).loops[0].certainty is None
