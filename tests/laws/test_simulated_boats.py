"""Simulated boats: what one fault changes of each reading, and how draws are weighed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
from diagnosis_proof import beside_healthy, by_odds, ends_of_faults
from numpy.random import RandomState

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.model.operate import operate
from seaflow.model.point import TRIPS
from seaflow.physics.water.seawater import seawater
from seaflow.studies.baseline.sheet import UNDER_WAY, baseline
from seaflow.studies.design.certainty.spreads import season
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.cabins import rows_of_cabins
from seaflow.studies.diagnose.crowd import Crowd
from seaflow.studies.diagnose.effects import CABIN
from seaflow.studies.diagnose.faults import nothing
from seaflow.studies.diagnose.guess import POINTED, guess_from
from seaflow.studies.diagnose.hypotheses import (
    EVEN,
    GUESSED,
    NONE,
    OWN_GUESSED,
    PLAIN,
    SHARES,
    STEPS,
    Guess,
    listed,
    own_oftener,
    prior_present,
    spread_evenly,
    steered_own,
)
from seaflow.studies.diagnose.infer import (
    FEW,
    Known,
    Posterior,
    _round,
    _told_by_all,
    infer,
    simulate,
    weigh,
)
from seaflow.studies.diagnose.next_reading import LEAST_CHANCE, open_readings
from seaflow.studies.diagnose.predict import USUAL_SPLIT, chances_of, predicted
from seaflow.studies.diagnose.read_number import log_of_number
from seaflow.studies.diagnose.readings import Number, Readings, instruments, signs
from seaflow.studies.diagnose.simulate import STRAY, run, supply_range
from seaflow.studies.diagnose.written import read_rows

KETCH, SLOOP, THREE = "ketch-one-unit", "battery-sloop-variable", "motor-three-units"


@cache
def setup(name=KETCH, in_parallel=None, mode="cooling"):
    case = load_case(f"cases/{name}.toml").case
    case = replace(case, pump=tuple(replace(pump, in_parallel=in_parallel) for pump in case.pump))
    return setup_of(case, network.loops(case)[0], mode)


def both(flotilla, kind, place=None):
    """A reading of the healthy boat and of the one with the fault."""
    if place is None:
        place = flotilla.setup.places.at(instruments()[kind].where)[0]
    return tuple(float(value) for value in predicted(flotilla, kind, place))


def struck_first(flotilla):
    """The operating points of the units, that of the unit with the fault first."""
    units = flotilla.setup.built.network.units_by_size
    return [flotilla.point.units[unit.name] for unit in units]


@pytest.mark.parametrize("in_parallel", [1, 2, 3])
@pytest.mark.parametrize("name", [KETCH, SLOOP, THREE])
def test_jammed_pumps_each_draw_their_share_of_the_amps_on_the_plate(name, in_parallel):
    """Watts over volts and power factor, by hand; side by side each jams for itself."""
    one = setup(name, in_parallel)
    plate = one.part.power[-1][1] / one.part.voltage
    if one.part.current == "ac":
        plate /= one.part.power_factor
    _, jammed = both(beside_healthy(one, "pump_jammed", 4.0), "amps")
    assert jammed == pytest.approx(4.0 * in_parallel * plate)


@pytest.mark.parametrize("name", [KETCH, SLOOP])
def test_the_amps_of_a_pump_that_runs_are_its_watts_over_its_volts(name):
    one = setup(name)
    flotilla = beside_healthy(one, "strainer", 0.9)
    for amps, watts in zip(
        both(flotilla, "amps"), flotilla.point.pumps[one.place.name].power, strict=True
    ):
        factor = one.part.power_factor or 1.0
        assert amps == pytest.approx(watts / (one.case.supply.voltage * factor))


def test_a_leak_takes_its_share_of_the_stream_and_nothing_else():
    flotilla = beside_healthy(setup(), "leak", 0.3)
    dry, leaking = both(flotilla, "flow")
    assert leaking == pytest.approx(0.7 * dry)
    for kind in ("discharge", "amps", "suction", "delivery", "watts"):
        assert both(flotilla, kind)[0] == pytest.approx(both(flotilla, kind)[1])


def test_a_wrong_thermometer_is_wrong_of_the_discharge_alone_and_by_its_severity():
    flotilla = beside_healthy(setup(), "thermometer", 5.0)
    right, wrong = both(flotilla, "discharge")
    assert abs(wrong - right) == pytest.approx(5.0)
    for kind in ("flow", "watts", "condensing", "high_side"):
        assert both(flotilla, kind)[0] == pytest.approx(both(flotilla, kind)[1])


def test_little_air_makes_the_split_larger_and_the_machine_smaller():
    """Half of the air lost takes a quarter of the capacity, and the rest leaves with half the air.

    A machine that does less condenses cooler, which gives back a little of the quarter.
    """
    flotilla = beside_healthy(setup(), "filter", 0.5)
    usual, starved = both(flotilla, "split")
    cooling = flotilla.point.units[flotilla.setup.places.units[0]].cooling
    assert usual == pytest.approx(USUAL_SPLIT, rel=0.1)
    assert starved / usual == pytest.approx(2.0 * cooling[1] / cooling[0])
    assert 0.75 < cooling[1] / cooling[0] < 0.8


def test_a_machine_short_of_refrigerant_warms_the_water_less_by_what_it_lacks():
    flotilla = beside_healthy(setup(), "low_refrigerant", 0.4)
    unit = flotilla.point.units[flotilla.setup.places.units[0]]
    full, short = unit.outlet_temperature - unit.inlet_temperature
    machine = flotilla.setup.built.loop.coils[0].machine
    capacity, power = float(machine.rated_capacity), float(machine.rated_power)
    left = (0.6 * capacity + (1.0 - 0.7 * 0.4) * power) / (capacity + power)
    assert short / full == pytest.approx(left, abs=0.02)


@pytest.mark.parametrize(("name", "other"), [(KETCH, 60.0), ("motor-three-units", 60.0)])
def test_the_other_frequency_is_the_other_one(name, other):
    flotilla = beside_healthy(setup(name), "other_frequency", 1.0)
    rated = flotilla.setup.built.loop.rated_frequency
    assert list(flotilla.boats.now.frequency) == [rated, 110.0 - rated]
    assert {rated, 110.0 - rated} == {50.0, other}


def test_water_that_another_unit_warmed_comes_to_one_unit_alone():
    flotilla = beside_healthy(setup(THREE), "units_in_series", 6.0)
    first, *rest = struck_first(flotilla)
    assert np.diff(first.inlet_temperature) == pytest.approx(6.0)
    for unit in rest:
        assert np.diff(unit.inlet_temperature) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("fault", ["coil_blocked", "branch_kinked", "branch_air"])
def test_what_chokes_one_branch_gives_the_others_more(fault):
    one = setup(THREE)
    worst = one.faults[one.index(fault)].high
    flotilla = beside_healthy(one, fault, worst)
    first, *rest = (unit.volume_flow for unit in struck_first(flotilla))
    assert first[1] < first[0]
    assert all(flow[1] > flow[0] for flow in rest)


def test_a_kink_before_the_pump_is_felt_before_it_and_one_behind_it_behind():
    flotillas = {
        fault: beside_healthy(setup(), fault, 200.0)
        for fault in ("suction_kinked", "delivery_kinked")
    }
    for kind, sign in (("suction", -1.0), ("delivery", -1.0)):
        free, kinked = both(flotillas["suction_kinked"], kind)
        assert sign * (kinked - free) > 0.0
    for kind in ("suction", "delivery"):
        free, kinked = both(flotillas["delivery_kinked"], kind)
        assert kinked > free


def test_behind_a_shut_seacock_the_pump_pulls_at_most_its_shut_off_head():
    part, whole = (beside_healthy(setup(), "seacock_shut", share) for share in (0.25, 1.0))
    drop = [np.subtract(*both(flotilla, "suction")) for flotilla in (part, whole)]
    level = both(whole, "suction")[0]
    assert 0.0 < drop[0] < drop[1]
    assert drop[1] - drop[0] == pytest.approx(0.75 * _shut_off(whole), rel=1e-6)
    assert np.isfinite(level)


def _shut_off(flotilla):
    head = float(flotilla.point.pumps[flotilla.setup.place.name].head[1])
    return float(np.broadcast_to(flotilla.point.water.density, (2,))[1]) * 9.80665 * head


def weights_of(hypotheses):
    return np.exp(hypotheses.log_prior)


@pytest.mark.parametrize("name", [KETCH, THREE])
def test_draws_spread_evenly_weigh_as_the_odds_say(name):
    """By odds and by severity they stand for boats drawn by the odds themselves."""
    faults = setup(name).faults
    spread = spread_evenly(faults, 20_000, RandomState(1))
    plain = by_odds(faults, 200_000, RandomState(2))
    weight = weights_of(spread)
    assert weight.sum() == pytest.approx(1.0, abs=0.01)
    before = prior_present(faults)
    for number, fault in enumerate(faults):
        assert weight[spread.present(number)].sum() == pytest.approx(before[number], rel=0.06)
        worst = [
            float(np.average(found.severity[number], weights=weights_of(found)))
            for found in (spread, plain)
        ]
        assert worst[0] == pytest.approx(worst[1], rel=0.1), fault.name


def pointed_by(found):
    """Where one round points."""
    return guess_from([(found.flotilla, found.weight)])


def test_a_second_round_weighs_as_the_first():
    """It goes where the first points, and its weights take that back."""
    one, readings = setup(), read_rows({"sea": "27 degC", "discharge": "38 degC"}, setup().places)
    first = weigh(simulate(one, readings, 4096, 20), readings)
    second = simulate(one, readings, 16384, 22, Known(None, (pointed_by(first),)))
    weight = weights_of(second.hypotheses)
    assert weight.sum() == pytest.approx(1.0, abs=0.05)
    before = prior_present(second.setup.faults)
    for name in ("strainer", "seacock_part_shut", "coil_scaled"):
        number = second.setup.index(name)
        here = weight[second.hypotheses.present(number)].sum()
        assert here == pytest.approx(before[number], rel=0.2)
    found = weigh(second, readings)
    assert found.effective > first.effective


def rounds_of(readings, sizes):
    """Rounds of so many boats, each after the first drawn where that points."""
    known, crowd, found = Known(), Crowd(), []
    for place, size in enumerate(sizes):
        told, drawn = _round(setup(), readings, (size, 20 + place), known)
        crowd, found = crowd.joined_by(drawn), [*found, told]
        known = Known(None, (pointed_by(found[0]),))
    return found, crowd


def test_the_odds_are_those_of_the_boats_of_all_rounds():
    readings = read_rows({"sea": "27 degC", "discharge": "38 degC"}, setup().places)
    (first, second), crowd = rounds_of(readings, (8192, 8192))
    found = _told_by_all(second, crowd)
    weight = np.concatenate(crowd.weights)
    for row, told in enumerate(found.present):
        here = np.concatenate([one.flotilla.hypotheses.present(row) for one in (first, second)])
        assert told == pytest.approx(weight[here].sum(), abs=0.002)  # but for pairs of one alone
    assert found.weight.sum() == pytest.approx(1.0)
    # inside a hypothesis boats count as they did
    here = np.flatnonzero(found.flotilla.hypotheses.healthy)
    ratio = found.weight[here] / second.weight[here]
    assert np.ptp(ratio) == pytest.approx(0.0, abs=1e-9 * ratio[0])


def test_a_crowd_of_one_round_weighs_its_boats_as_the_round_does():
    readings = read_rows({"sea": "27 degC", "discharge": "38 degC"}, setup().places)
    (only,), crowd = rounds_of(readings, (4096,))
    assert crowd.weights[0] == pytest.approx(only.weight, rel=1e-9)
    assert crowd.effective == pytest.approx(only.effective)


def test_rounds_drawn_with_a_guess_and_without_weigh_together_as_the_odds_say():
    """Nothing is read, so the odds are those of before, though most boats went elsewhere."""
    readings = read_rows({"sea": "27 degC", "discharge": "43 degC"}, setup().places)
    first = weigh(simulate(setup(), readings, 4096, 20), readings)
    guess = pointed_by(first)
    sea, crowd, boats = read_rows({"sea": "27 degC"}, setup().places), Crowd(), []
    for place, known in enumerate((Known(), Known(None, (guess,)), Known(None, (guess,)))):
        told, drawn = _round(setup(), sea, (8192, 30 + place), known)
        crowd, boats = crowd.joined_by(drawn), [*boats, told.flotilla.hypotheses]
    weight = np.concatenate(crowd.weights)
    faults = setup().given(sea).faults
    for row, before in enumerate(prior_present(faults)):
        here = np.concatenate([one.present(row) for one in boats])
        assert weight[here].sum() == pytest.approx(before, rel=0.1, abs=0.002)
    shares = np.concatenate([one.flotilla.shares for one in crowd.rounds], axis=1)
    assert shares[:-1] @ weight == pytest.approx(0.5, abs=0.03)


def test_boats_in_two_halves_weigh_as_the_odds_say():
    """Each half has a guess of its own, of which nothing is left where nothing is read."""
    readings = read_rows({"sea": "27 degC", "discharge": "43 degC"}, setup().places)
    hot, weak = (
        pointed_by(weigh(simulate(setup(), read_rows(rows, setup().places), 4096, 20), readings))
        for rows in ({"sea": "27 degC"}, {"sea": "27 degC", "stream": "weak"})
    )
    sea, crowd, boats = read_rows({"sea": "27 degC"}, setup().places), Crowd(), []
    for place, guesses in enumerate(((None, None), (hot, weak), (weak, hot))):
        told, drawn = _round(setup(), sea, (8192, 30 + place), Known(None, guesses))
        crowd, boats = crowd.joined_by(drawn), [*boats, told.flotilla.hypotheses]
    before = prior_present(setup().given(sea).faults)
    for weights in (crowd.weights, crowd.weights_of_few):
        weight = np.concatenate(weights)
        assert weight.sum() == pytest.approx(1.0)
        for row, chance in enumerate(before):
            here = np.concatenate([one.present(row) for one in boats])
            assert weight[here].sum() == pytest.approx(chance, rel=0.1, abs=0.002)


def test_a_half_points_without_its_own_boats():
    readings = read_rows({"sea": "27 degC", "discharge": "43 degC"}, setup().places)
    _, drawn = _round(setup(), readings, (8192, 20), Known(None, (None, None)))
    crowd = Crowd().joined_by(drawn)
    for half, part in enumerate((slice(0, 4096), slice(4096, 8192))):
        (flotilla, weight), *rest = crowd.halves[half]
        assert not rest and flotilla is drawn.flotilla
        assert np.array_equal(weight[part], crowd.weights[0][part])
        assert weight.sum() == pytest.approx(weight[part].sum())
    shares = [row.sum() for _, row in (*crowd.halves[0], *crowd.halves[1])]
    assert shares == pytest.approx([0.5, 0.5], abs=0.1)


def test_boats_of_several_rounds_point_together():
    readings = read_rows({"sea": "27 degC", "discharge": "38 degC"}, setup().places)
    (first, _), crowd = rounds_of(readings, (8192, 8192))
    assert first.effective > POINTED  # else weights are evened
    one = pointed_by(first)
    half = (first.flotilla, 0.5 * first.weight)
    twice = guess_from([half, half])
    for name in ("chances", "severity", "units"):
        assert getattr(twice, name) == pytest.approx(getattr(one, name), abs=1e-9)
    together, told = guess_from(crowd.weighed), _told_by_all(first, crowd)
    assert together.chances == pytest.approx(told.by_hypothesis, abs=0.002)


def test_boats_that_one_round_drew_by_luck_carry_less_beside_a_round_that_goes_there():
    readings = read_rows(
        {"sea": "27 degC", "discharge": "43 degC", "bucket": "110"}, setup().places
    )
    (first, second), crowd = rounds_of(readings, (8192, 8192))
    assert crowd.effective > 1.1 * second.effective > first.effective
    assert max(row.max() for row in crowd.weights) < 0.5 * first.weight.max()


def test_what_is_usual_of_a_healthy_boat_does_not_move_with_what_is_read():
    """Boats are drawn towards a reading; the band that it is held against must not be."""
    bands = []
    for discharge in ("30.5 degC", "33 degC", "41 degC"):
        rows = {"sea": "27 degC", "discharge": discharge}
        plain = infer(setup(), read_rows(rows, setup().places), 4096, 20).flotilla.as_they_come
        here = predicted(plain, "discharge", plain.setup.places.units[0])[plain.hypotheses.healthy]
        bands.append(np.quantile(here, (0.05, 0.5, 0.95)))
    assert np.ptp(bands, axis=0) == pytest.approx(0.0, abs=1e-9)


def test_heat_of_the_day_is_drawn_where_it_explains_the_discharge_and_weighs_less_for_it():
    """More boats agree then, and their odds are those of boats whose cabins nobody asked."""
    one, where = setup(THREE), {}
    warm = {unit: "33.5 degC" for unit in one.places.units}
    readings = read_rows({"sea": "27 degC", "discharge": warm}, one.places)
    drawn = simulate(one, readings, 16384, 20)
    plain = drawn.as_they_come
    assert weights_of(drawn.hypotheses).sum() == pytest.approx(1.0, abs=0.05)
    for name, flotilla in {"plain": plain, "drawn": drawn}.items():
        where[name] = weigh(flotilla, readings)
    assert where["drawn"].effective > 1.5 * where["plain"].effective
    assert where["drawn"].nothing == pytest.approx(where["plain"].nothing, abs=0.08)
    for row, unit in rows_of_cabins(one):
        # the machine of each boat is that of her own figure, by the plain way of running her
        assert np.any(drawn.shares[row] != plain.shares[row])
        again = run(drawn.setup, drawn.hypotheses, drawn.met, drawn.shares, readings)
        there, here = (f.point.units[unit].outlet_temperature for f in (again, drawn))
        assert there[:500] == pytest.approx(here[:500], abs=1e-6)


def test_two_faults_come_with_the_product_of_their_weights():
    faults = setup().faults
    starts, others, chances = listed(faults)
    two = {(int(a), int(b)): c for a, b, c in zip(starts, others, chances, strict=True)}
    weights = [fault.weight for fault in faults]
    strainer, growth, leak = (setup().index(name) for name in ("strainer", "growth", "leak"))
    for a, b, c in ((strainer, growth, leak), (growth, leak, strainer)):
        one, other = (two[tuple(sorted(pair))] for pair in ((a, b), (a, c)))
        assert one / other == pytest.approx(weights[b] / weights[c])
    assert two[(strainer, NONE)] / two[(leak, NONE)] == pytest.approx(
        weights[strainer] / weights[leak]
    )


def test_severities_lie_between_their_ends_and_reach_them():
    faults = setup(THREE).faults
    drawn = by_odds(faults, 100_000, RandomState(3))
    for number, fault in enumerate(faults):
        bad = drawn.severity[number][drawn.present(number)]
        assert fault.low * (1.0 - 1e-9) <= bad.min()
        assert bad.max() <= fault.high * (1.0 + 1e-9)
        span = fault.high - fault.low
        assert bad.min() - fault.low <= 0.1 * span
        assert fault.high - bad.max() <= 0.1 * span


@pytest.mark.parametrize("name", ["strainer", "intake_blocked", "seacock_part_shut"])
def test_half_are_shut_in_one_go_and_half_bit_by_bit(name):
    """As many as that leave more open than any share: the mean of even and even in logarithms."""
    faults = setup().faults
    number = setup().index(name)
    drawn, fault = by_odds(faults, 200_000, RandomState(4)), faults[number]
    left = 1.0 - drawn.severity[number][drawn.present(number)]
    most, least = 1.0 - fault.low, 1.0 - fault.high
    for at in (0.7 * most, 0.3 * most, 2.0 * least):
        bit_by_bit = (most - at) / (most - least)
        in_one_go = np.log(most / at) / np.log(most / least)
        assert np.mean(left > at) == pytest.approx(0.5 * (bit_by_bit + in_one_go), abs=0.015)


def test_volts_that_were_read_tell_low_volts_from_healthy_ones():
    """By Bayes by hand: volts between the ends of what low volts leave, out of the usual range."""
    one, odds = setup(), {}
    for volts in ("229 V", "170 V"):
        readings = read_rows({"volts": volts}, one.places)
        found = weigh(simulate(one, readings, 8192, 20), readings)
        odds[volts] = float(found.present[one.index("low_volts")])
    usual = prior_present(one.faults)[one.index("low_volts")]
    assert odds["229 V"] < usual < odds["170 V"]
    low_volts = one.faults[one.index("low_volts")]
    low, _, high = supply_range(one)
    assert 1.0 - low_volts.high < 170.0 / 230.0 < 1.0 - low_volts.low
    assert 170.0 < low < high
    weak = usual / (low_volts.high - low_volts.low)
    assert odds["170 V"] == pytest.approx(weak / (weak + (1.0 - usual) * STRAY), abs=0.03)


def test_a_sea_that_was_read_is_met_by_every_boat_within_its_error():
    one = setup()
    flotilla = simulate(one, read_rows({"sea": "24 degC"}, one.places))
    off = flotilla.met.sea - 24.0
    assert np.std(off) == pytest.approx(instruments()["sea"].error, rel=0.05)
    assert np.mean(off) == pytest.approx(0.0, abs=0.02)


def test_a_sea_that_was_not_read_is_warmer_than_the_design_only_where_that_is_the_fault():
    one = setup()
    flotilla = simulate(one, Readings(), 4096, 3)
    warm = flotilla.hypotheses.present(one.index("warm_sea"))
    above = flotilla.hypotheses.severity[one.index("warm_sea")][warm]
    design = max(season(one.case).temperatures)
    assert flotilla.met.sea[warm] == pytest.approx(design + above)
    assert np.all(flotilla.met.sea[~warm] <= design)
    assert np.std(flotilla.met.sea[~warm]) > 0.5


def test_the_guess_of_a_first_round_is_as_bad_as_what_it_found():
    one, readings = setup(), read_rows({"sea": "27 degC", "discharge": "43 degC"}, setup().places)
    found = weigh(simulate(one, readings, 8192, 20), readings)
    guess, hypotheses = pointed_by(found), found.flotilla.hypotheses
    assert guess.chances == pytest.approx(found.by_hypothesis)
    steps = (np.arange(STEPS) + 0.5) / STEPS
    for name in ("strainer", "seacock_part_shut", "coil_blocked"):
        number = found.flotilla.setup.index(name)
        which = np.stack([hypotheses.first == number, hypotheses.second == number])
        weight = np.where(which, found.weight, 0.0)
        mean = float((weight * hypotheses.severity_shares).sum() / weight.sum())
        # in logarithms, less than half as wide as before anything was read
        bad, has = hypotheses.severity[number], which.any(axis=0)
        log = np.log(1.0 - bad if found.flotilla.setup.faults[number].open_share else bad + ~has)
        now, before = (
            np.sqrt(np.cov(log[has], aweights=carried[has], ddof=0))
            for carried in (found.weight, np.exp(found.flotilla.log_prior))
        )
        if name != "strainer":  # one that is matted costs as much as one far more evenly shut
            assert now < 0.5 * before
        assert steps @ guess.severity[number] == pytest.approx(mean, abs=1.0 / STEPS)


@pytest.mark.parametrize("name", [KETCH, SLOOP])
def test_before_a_trip_the_water_takes_the_whole_heat_of_the_plate(name):
    """The likeliest early reading is the sea and the plate's heat over the flow, by hand."""
    one = setup(name)
    flotilla = beside_healthy(one, "pressure_switch", 40.0)
    unit = one.places.units[0]
    assert flotilla.point.units[unit].state[1] == TRIPS
    machine = one.built.loop.coils[0].machine
    flow = float(flotilla.point.units[unit].volume_flow[1])
    water = seawater(27.0, one.case.sea.salinity)
    heat = float(machine.rated_capacity + machine.rated_power)
    rise = heat / (flow * float(water.density * water.heat_capacity))
    temperatures = 27.0 + rise * np.linspace(0.5, 1.5, 101)
    logs = [log_of_number(flotilla, Number("discharge", unit, t))[1] for t in temperatures]
    assert temperatures[int(np.argmax(logs))] == pytest.approx(27.0 + rise, abs=0.4)


def test_a_thermometer_that_is_wrong_is_wrong_before_a_trip_too():
    one = setup()
    flotilla = beside_healthy(one, "pressure_switch", 40.0)
    off = 5.0
    shifted = replace(flotilla, boats=replace(flotilla.boats, reads_high=np.full(2, off)))
    unit = one.places.units[0]
    for value in (30.0, 33.0, 36.0):
        plain = log_of_number(flotilla, Number("discharge", unit, value))
        moved = log_of_number(shifted, Number("discharge", unit, value + off))
        assert moved == pytest.approx(plain)


@pytest.mark.parametrize("name", [KETCH, THREE])
def test_the_replies_to_a_reading_leave_nothing_out(name):
    """Where all boats read alike, too, and where on some nothing can be read."""
    one = setup(name)
    alike = Posterior(beside_healthy(one, "thermometer", 5.0), np.array([0.5, 0.5]), 2.0, 1.0)
    dry = read_rows({"pump": "silent"}, one.places)
    for posterior in (alike, weigh(simulate(one, dry, 2048, 20), dry)):
        for wanted in open_readings(posterior, Readings()):
            total = sum(reply.chance for reply in wanted.replies)
            assert 1.0 - LEAST_CHANCE * 10 <= total <= 1.0 + 1e-6, wanted.kind


def test_less_air_lifts_a_heating_unit_until_it_trips():
    """As much farther above the cabin as there is less air; power with the lift, by hand."""
    one = setup(mode="heating")
    heats = Readings(mode="heating")
    coil = one.built.loop.coils[0]
    heater = coil.heating.heater
    above = heater.condensing_temperature - CABIN
    share = 0.3
    flotilla = beside_healthy(one, "filter", share, heats)
    struck = flotilla.boats.loop.coils[0].heating.heater
    condensing = CABIN + above / (1.0 - share)
    assert condensing < float(np.max(coil.cut_out_temperature))
    assert struck.condensing_temperature[1] == pytest.approx(condensing)
    healthy = flotilla.boats.loop.coils[0].heating.heater
    lifts = np.array([heater.condensing_temperature, condensing])
    lifts = lifts - heater.rated_evaporating_temperature
    assert healthy.rated_power[1] / healthy.rated_power[0] == pytest.approx(lifts[1] / lifts[0])
    assert not flotilla.boats.airless.any()
    trips = 1.0 - above / (float(np.max(coil.cut_out_temperature)) - CABIN)
    for share, tripped in ((trips - 0.02, False), (trips + 0.02, True)):
        assert beside_healthy(one, "filter", share, heats).boats.airless[1] == tripped


@pytest.mark.parametrize(("volts", "refused"), [(0.61, 0), (0.59, 1), (1.29, 0), (1.31, 1)])
def test_volts_are_another_supply_s_beyond_what_a_supply_sags_or_rises(volts, refused):
    one = setup()
    row = {"volts": f"{volts * one.case.supply.voltage} V"}
    if refused:
        with pytest.raises(SeaflowError):
            read_rows(row, one.places)
    else:
        assert read_rows(row, one.places).of("volts") == pytest.approx(volts * 230.0)


def test_boats_end_as_their_fault_says():
    """The table of tests/proof/faults.py, where a fault leaves no choice."""
    one = setup()
    ends = ends_of_faults(one, 100, 5)
    titles = {fault.name: fault.title for fault in one.faults}
    assert set(ends) == {*titles.values(), nothing().title}
    healthy = ends[nothing().title]
    assert healthy[:3] == (0.0, 0.0, 0.0)
    assert healthy.normal > 0.8
    for name in ("seacock_shut", "not_commanded", "pump_jammed", "air_lock"):
        assert ends[titles[name]] == (1.0, 0.0, 1.0, 0.0), name
    satisfied = ends[titles["set_point"]]
    assert (satisfied.trips, satisfied.dry) == (0.0, 1.0)
    for name, found in ends.items():
        assert found.wet + found.dry + found.normal <= 1.0 + 1e-9, name
        assert found.wet <= found.trips <= found.wet + found.dry + 1e-9, name
    for name in ("strainer", "intake_blocked", "seacock_part_shut", "coil_scaled", "coil_blocked"):
        assert ends[titles[name]].trips > 0.0, name  # as each does in the trade


def test_half_of_the_draws_go_by_odds_and_half_evenly_so_that_rare_faults_come_too():
    faults, n_draws = setup().faults, 20_000
    drawn = spread_evenly(faults, n_draws, RandomState(1))
    alone = drawn.second == NONE
    none, one, two = SHARES
    assert drawn.healthy.mean() == pytest.approx(none, abs=1e-3)
    assert (~alone).mean() == pytest.approx(two, abs=1e-3)
    total = sum(fault.weight for fault in faults)
    for number, fault in enumerate(faults):
        share = EVEN / len(faults) + (1.0 - EVEN) * fault.weight / total
        here = alone & (drawn.first == number)
        assert here.mean() == pytest.approx(one * share, abs=2.0 / n_draws), fault.name


def test_a_reply_leads_where_reading_it_would_lead():
    """Each outlook of a sign is the answer that comes once it is read, of the same boats."""
    one = setup()
    readings = read_rows({"stream": "weak"}, one.places)
    found = weigh(simulate(one, readings, 4096, 20), readings)
    titles = [*(fault.title for fault in found.flotilla.setup.faults), nothing().title]
    for wanted in open_readings(found, readings):
        for reply in wanted.replies if wanted.kind in signs() else ():
            more = (*readings.signs, (wanted.kind, reply.says["word"]))
            then = weigh(found.flotilla, replace(readings, signs=more))
            odds = np.append(then.present, then.nothing)
            assert reply.then == pytest.approx(odds.max())
            assert reply.leads == titles[int(np.argmax(odds))]


@pytest.mark.parametrize("kind", ["basket", "bubbles", "when"])
def test_a_sign_tells_what_is_shared_by_cause_and_word(kind):
    """Mutual information by hand: a boat with two faults counts half for each."""
    one = setup()
    readings = read_rows({"stream": "weak"}, one.places)
    found = weigh(simulate(one, readings, 2048, 20), readings)
    boats, joint = found.flotilla.hypotheses, {}
    for word, chance in chances_of(found.flotilla, kind).items():
        for boat, weight in enumerate(found.weight * chance):
            causes = {int(boats.first[boat]), int(boats.second[boat])}
            causes = causes - {NONE} or {NONE}
            for cause in causes:
                at = (word, cause)
                joint[at] = joint.get(at, 0.0) + float(weight) / len(causes)
    words, causes = {}, {}
    for (word, cause), share in joint.items():
        words[word] = words.get(word, 0.0) + share
        causes[cause] = causes.get(cause, 0.0) + share
    bits = sum(
        share * np.log2(share / (words[word] * causes[cause]))
        for (word, cause), share in joint.items()
        if share > 0.0
    )
    (wanted,) = (item for item in open_readings(found, readings) if item.kind == kind)
    assert wanted.tells == pytest.approx(bits)


def test_the_lowest_stream_under_way_is_that_of_the_worst_attitude():
    """Of a boat in the middle of every spread, run upright and on both tacks by hand."""
    one = setup()
    (line,) = (
        item for item in baseline(one, Readings()).expected if item.what.kind.endswith("under_way")
    )
    middle = beside_healthy(one, "strainer", 0.6).boats
    heel = one.case.boat.works_to_heel
    assert heel
    flows = []
    for tack in (0.0, heel, -heel):
        now = replace(
            middle.now, sea_temperature=one.case.sea.warmest, boat_speed=UNDER_WAY, heel=tack
        )
        flows.append(float(operate(middle.loop, now).total_flow()[0]))
    assert line.middle == pytest.approx(min(flows), rel=0.01)
    assert line.low < line.middle < line.high


def test_a_pump_that_stands_sounds_as_the_fault_that_stops_it_says():
    """Of a fault that is silent or hums by itself its own words are taken, from the table."""
    one, seen = setup(), 0
    names = tuple(signs()["pump"].healthy)
    for fault in one.faults:
        flotilla = beside_healthy(one, fault.name, fault.high)
        pump = flotilla.point.pumps[one.place.name]
        given = (fault.signs or {}).get("pump", {})
        if pump.speed_ratio[1] > 0.0 or given.get("silent", 0.0) + given.get("humming", 0.0) <= 0.5:
            continue
        seen += 1
        chances = chances_of(flotilla, "pump")
        told = np.array([chances[name][1] for name in names])
        own = np.array([given[name] for name in names])
        assert told == pytest.approx(own / own.sum(), abs=0.02), fault.name
    assert seen >= 2


def test_with_a_guess_every_hypothesis_still_weighs_what_its_odds_say():
    """Most draws go where a guess points, and weights take that back for each hypothesis."""
    faults = setup().faults
    starts, others, chances = listed(faults)
    where = int(np.argmax(starts == 3))
    pointed = np.full(chances.size, 1e-6)
    pointed[where] = 1.0
    even = np.full((len(faults), STEPS), 1.0 / STEPS)
    own = np.full((len(faults) + 1, 2, 10), 0.1)
    units = np.tile([1.0, 0.0, 0.0], (len(faults), 1))
    guess = Guess(pointed / pointed.sum(), even, units, own)
    drawn = spread_evenly(faults, 160_000, RandomState(1), guess)
    weight = weights_of(drawn)
    assert weight.sum() == pytest.approx(1.0, abs=0.01)
    here = (drawn.first == starts[where]) & (drawn.second == others[where])
    assert weight[here].sum() == pytest.approx(chances[where], rel=0.01)
    assert 0.5 < np.mean(here) < 0.9
    last = drawn.second == len(faults) - 1  # pairs come last, and are reached as the others are
    by_odds = chances[others == len(faults) - 1].sum()
    assert weight[last].sum() == pytest.approx(by_odds, rel=0.2)
    struck = (
        drawn.units(3)[0] == 0
    )  # the unit that is pointed at comes oftener, and weighs the same
    assert struck[here].mean() == pytest.approx(GUESSED + (1.0 - GUESSED) / 3.0, abs=0.01)
    assert weight[here & struck].sum() == pytest.approx(chances[where] / 3.0, rel=0.02)


def test_a_pair_that_no_scout_had_is_drawn_by_what_its_faults_do_elsewhere():
    """One fault explains all, another is often beside others: both together are not forgotten."""
    faults = setup().faults
    first, second, odds = listed(faults)
    pointed = np.where(first == 3, 100.0 * odds, odds)
    pointed[(first == 3) & (second == 7)] = 0.0
    even = np.full((len(faults), STEPS), 1.0 / STEPS)
    guess = Guess(
        pointed / pointed.sum(),
        even,
        np.ones((len(faults), 1)),
        np.full((len(faults) + 1, 1, 10), 0.1),
    )
    drawn = spread_evenly(faults, 40_000, RandomState(1), guess)
    pairs = (drawn.first == 3) & (drawn.second >= 0)
    alike = np.median(np.bincount(drawn.second[pairs])[10:])
    assert ((drawn.first == 3) & (drawn.second == 7)).sum() > 0.15 * alike


def test_own_figures_go_where_a_guess_points_and_weigh_less_for_it():
    """A figure that is guessed in the last tenth of its spread comes there by the guess's share."""
    own = np.full((2, 1, 10), 1e-9)
    own[:, 0, 9] = 1.0
    even = np.ones((1, STEPS)) / STEPS
    guess = Guess(np.ones(2), even, np.ones((1, 1)), own / own.sum(axis=2, keepdims=True))
    shares = (np.arange(10_000) + 0.5)[np.newaxis] / 10_000.0
    toss = RandomState(1).permutation(10_000) / 10_000.0
    moved = steered_own(guess, np.full(10_000, NONE), shares, toss)
    oftener = own_oftener(guess, np.full(10_000, NONE), moved)
    last = moved[0] >= 0.9
    there = OWN_GUESSED + 0.1 * (1.0 - OWN_GUESSED)
    assert last.mean() == pytest.approx(PLAIN * 0.1 + (1.0 - PLAIN) * there, abs=0.005)
    assert np.exp(-oftener[last]).sum() / 10_000.0 == pytest.approx(0.1, abs=0.002)
    assert np.exp(oftener).min() > PLAIN  # none is drawn much more rarely than it comes
    assert np.exp(-oftener).mean() == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize(("share", "held_to_halves"), [(1.0, False), (0.999, True)])
def test_boats_of_all_rounds_are_held_to_either_half_only_where_few_agree(share, held_to_halves):
    """Nothing in the one weighing, a fault in the other, and which of them counts is seen."""
    best = infer(setup(), read_rows({"sea": "28C"}, setup().places), 1024, 20)
    boats = best.flotilla.hypotheses
    sound = (boats.first == NONE) & (boats.second == NONE)
    crowd = SimpleNamespace(
        rounds=(SimpleNamespace(flotilla=best.flotilla, strays=np.zeros(boats.size)),),
        weights=(sound / sound.sum(),),
        weights_of_few=(~sound / (~sound).sum(),),
        effective=share * FEW,
    )
    found = _told_by_all(best, crowd)
    assert found.nothing == pytest.approx(float(not held_to_halves), abs=1e-9)
