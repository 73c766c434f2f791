"""What each fault does to a loop, how bad it may be, and what replies tell: on paper."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from made import made
from sizing import BAD, KETCH, MOTOR, shipped

from seaflow.base.facts import fact
from seaflow.boat import network
from seaflow.boat.defaults import default
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Coil, HoseRun
from seaflow.studies.diagnose import agreement, next_reading
from seaflow.studies.diagnose.cabins import _drawn
from seaflow.studies.diagnose.effects import EFFECTS, Boats, Struck
from seaflow.studies.diagnose.faults import Fault
from seaflow.studies.diagnose.hypotheses import (
    NONE,
    Guess,
    _moved,
    _severity,
    healthy_boats,
    joined,
    spread_evenly,
    with_severity,
)
from seaflow.studies.diagnose.next_reading import NextReading, Reply, by_cause, information
from seaflow.studies.diagnose.readings import Number, Readings, instruments, signs

N = 4
NOUGHT, BAD_ONE = np.zeros(N), np.asarray([0.0, 0.2, 0.4, 0.8])
ONE_WAY = np.asarray([True, True, False, False])


def loop_of(name):
    case = shipped(name)
    found = network.loops(case)[0]
    part = next(
        one
        for one in case.catalogue.pumps()
        if one.runs_on(case.supply.current, case.supply.voltage)
    )
    return build_loop(case, found, {place.name: part for place in found.pumps})


@pytest.fixture(scope="module")
def built():
    return loop_of(MOTOR)


def struck(built, severity=BAD_ONE, unit=None, heads=ONE_WAY):
    """A fault on four boats, on one unit or on all of them."""
    names = [coil.unit for coil in built.loop.coils]
    mine = {name: severity if unit in (None, name) else NOUGHT for name in names}
    return Struck(severity, mine, heads, built)


def after(built, fault, *more, now=None, **changes):
    boats = replace(Boats.sound(built.loop, now or Conditions(sea_temperature=28.0), N), **changes)
    return EFFECTS[fault](boats, struck(built, *more))


def same(one, other):
    return np.broadcast_to(one, N).tolist() == pytest.approx(np.broadcast_to(other, N).tolist())


@pytest.mark.parametrize(
    ("fault", "field"),
    [
        ("intake_blocked", "intake_blockage"),
        ("strainer", "strainer_blockage"),
        ("air_lock", "air_fraction"),
        ("air_drawn_in", "air_fraction"),
        ("aeration", "air_fraction"),
        ("pump_worn", "pump_wear"),
        ("pump_reversed", "pump_wear"),
        ("growth", "growth"),
        ("recirculated", "recirculated"),
    ],
)
def test_a_condition_is_as_bad_as_the_worse_of_two_faults(built, fault, field):
    now = Conditions(sea_temperature=28.0, **{field: np.full(N, 0.3)})
    found = after(built, fault, now=now)
    assert same(getattr(found.now, field), [0.3, 0.3, 0.4, 0.8])
    assert found.loop is built.loop


def test_a_seacock_is_shut_in_part_or_whole(built):
    now = Conditions(sea_temperature=28.0, seacock_opening=np.full(N, 0.5))
    assert same(
        after(built, "seacock_part_shut", now=now).now.seacock_opening, [0.5, 0.4, 0.3, 0.1]
    )
    found = after(built, "seacock_shut", now=now, shut_in=np.full(N, 0.3))
    assert same(found.now.seacock_opening, [0.5, 0.0, 0.0, 0.0])
    assert same(found.shut_in, [0.3, 0.3, 0.4, 0.8])


def test_a_pump_that_stands_still_stands(built):
    for fault in ("not_commanded", "thermal_cut_out", "motor_shorted", "pump_jammed", "set_point"):
        found = after(built, fault)
        assert np.asarray(found.now.pump_running).tolist() == [True, False, False, False]
        assert same(found.locked, BAD_ONE if fault == "pump_jammed" else 0.0)
        for coil in built.loop.coils:
            on = found.now.running.get(coil.unit, True)
            wanted = [True, False, False, False] if fault == "set_point" else True
            assert np.asarray(on).tolist() == np.broadcast_to(wanted, np.shape(on)).tolist()
    was = Conditions(sea_temperature=28.0, pump_running=np.asarray([False, True, True, True]))
    assert not np.asarray(after(built, "not_commanded", now=was).now.pump_running).any()


def test_the_other_frequency_is_fifty_for_sixty(built):
    assert built.loop.rated_frequency == 50.0
    assert same(after(built, "other_frequency").now.frequency, [50.0, 60.0, 60.0, 60.0])


def test_part_load_is_the_share_that_is_left_of_one_unit_or_of_all(built):
    """One way the night is that of every unit, whichever was picked; the other way of that one."""
    (first, second, third) = (coil.unit for coil in built.loop.coils)
    now = Conditions(sea_temperature=28.0, load={first: np.full(N, 0.5)})
    found = after(built, "part_load", BAD_ONE, second, now=now).now.load
    of_all = np.where(ONE_WAY, 1.0 - BAD_ONE, 1.0)
    assert same(found[second], 1.0 - BAD_ONE)
    assert same(found[first], 0.5 * of_all) and same(found[third], of_all)
    other = after(built, "part_load", BAD_ONE, third, now=now).now.load
    assert all(same((found[unit] - other[unit])[ONE_WAY].sum(), 0.0) for unit in other)


def coefficients(loop):
    return {
        hose.name: np.asarray(hose.fittings_coefficient) + NOUGHT for hose in loop.elements(HoseRun)
    }


def more_loss(built, found):
    before, now = coefficients(built.loop), coefficients(found.loop)
    return {name: now[name] - before[name] for name in now if np.any(now[name] != before[name])}


def test_a_kink_is_in_the_hose_beside_the_pump(built):
    pump = built.network.pumps[0].name
    hoses = built.network.hoses
    for fault, mine in (
        ("suction_kinked", [hose.label for hose in hoses if hose.to == pump]),
        ("delivery_kinked", [hose.label for hose in hoses if hose.from_ == pump]),
    ):
        found = more_loss(built, after(built, fault))
        assert list(found) == mine and same(found[mine[0]], BAD_ONE)


def test_a_branch_is_kinked_shut_or_full_of_air_at_the_unit_that_is_struck(built):
    units, apart = [coil.unit for coil in built.loop.coils], False
    for unit in units:
        link = built.loop.links[built.loop.link_of(unit)]
        first = next(one for one in link.elements if isinstance(one, HoseRun)).name
        found = more_loss(built, after(built, "branch_kinked", BAD_ONE, unit))
        assert list(found) == [first] and same(found[first], BAD_ONE)
        air = after(built, "branch_air", BAD_ONE, unit)
        full = {hose.name: np.asarray(hose.trapped_head) for hose in air.loop.elements(HoseRun)}
        assert same(full[first], BAD_ONE) and all(
            not np.any(v) for k, v in full.items() if k != first
        )
        # on half of the boats it is what leads to the outlet of that unit
        shut = more_loss(built, after(built, "branch_shut", BAD_ONE, unit))
        assert same(sum(shut.values()), BAD_ONE)
        own = np.zeros(N) if len(shut) == 1 else np.where(ONE_WAY, BAD_ONE, 0.0)
        assert same(shut[first] + own, BAD_ONE)
        apart |= len(shut) == 2
    assert apart


def coil_of(loop, unit):
    return next(one for one in loop.coils if one.unit == unit)


@pytest.mark.parametrize(
    ("fault", "capacity", "power"),
    [("low_refrigerant", 1.0, 0.7), ("not_pumping", 0.97, 0.85), ("overcharge", 0.0, -0.2)],
)
def test_a_machine_loses_shares_of_its_cooling_and_power(built, fault, capacity, power):
    unit = built.loop.coils[1].unit
    found = after(built, fault, BAD_ONE, unit)
    for coil in built.loop.coils:
        now, bad = coil_of(found.loop, coil.unit), BAD_ONE if coil.unit == unit else NOUGHT
        assert same(
            now.machine.rated_capacity, coil.machine.rated_capacity * (1.0 - capacity * bad)
        )
        assert same(now.machine.rated_power, coil.machine.rated_power * (1.0 - power * bad))
        held = 1.0 - bad if fault == "overcharge" else 1.0
        assert same(now.conductance, coil.conductance * held)


def test_a_heating_machine_is_weakened_alike_and_takes_no_more_than_it_gives():
    built = loop_of(KETCH)
    (coil,) = built.loop.coils
    assert coil.heating is not None
    found = after(built, "low_refrigerant")
    heater, was = coil_of(found.loop, coil.unit).heating.heater, coil.heating.heater
    heat = was.rated_heating * (1.0 - BAD_ONE)
    assert same(heater.rated_heating, heat)
    assert same(heater.rated_power, np.minimum(was.rated_power * (1.0 - 0.7 * BAD_ONE), 0.8 * heat))


def test_a_pressure_switch_cuts_out_sooner_and_a_blocked_coil_loses_more_head(built):
    unit = built.loop.coils[0].unit
    found = after(built, "pressure_switch", BAD_ONE, unit)
    was = built.loop.coils[0]
    assert same(coil_of(found.loop, unit).cut_out_temperature, was.cut_out_temperature - BAD_ONE)
    times = np.asarray([0.0, 1.0, 2.0, 5.0])
    found = coil_of(after(built, "coil_blocked", times, unit).loop, unit)
    grows = np.asarray([1.0, 1.0, 2.0, 5.0])
    if was.loss is not None:
        assert same(found.loss.head, was.loss.head * grows)
    else:
        assert same(found.pipe.multiplier, was.pipe.multiplier * grows)


def test_scale_is_on_all_coils_of_half_of_the_boats_and_on_one_of_the_others(built):
    bad, unit = BAD_ONE * 1e-3, built.loop.coils[1].unit
    found = after(built, "coil_scaled", bad, unit)
    assert same(found.now.coil_scale, np.where(ONE_WAY, bad, 0.0))
    for coil in built.loop.coils:
        mine = np.where(ONE_WAY, 0.0, bad if coil.unit == unit else 0.0)
        now = coil_of(found.loop, coil.unit)
        assert same(now.scale, coil.scale + mine)
        if coil.loss is not None:
            narrow = narrowed(coil.velocity_bore or 0.015, np.where(ONE_WAY, bad, mine))
            assert same(now.loss.head, coil.loss.head * narrow)


def narrowed(bore, scale):
    """As thick as 0.74 W/m K means on either side of the bore; Blasius has d to the -4.75."""
    return ((bore - 2.0 * 0.74 * scale) / bore) ** -4.75


def test_scale_narrows_bores_that_differ_from_boat_to_boat(built):
    """Of a tube whose bore is unsure each boat has its own."""
    bores, bad = np.asarray([0.012, 0.013, 0.014, 0.015]), BAD_ONE * 1e-3
    drawn = built.loop.each(Coil, lambda coil: replace(coil, velocity_bore=bores))
    found = after(replace(built, loop=drawn), "coil_scaled", bad, None, ~ONE_WAY | ONE_WAY)
    known = [coil for coil in built.loop.coils if coil.loss is not None]
    assert known
    for coil in known:
        now = coil_of(found.loop, coil.unit)
        assert same(now.loss.head, coil.loss.head * narrowed(bores, bad))


def test_a_filter_takes_the_air_or_ices(built):
    bad, heads = np.asarray([0.5, 0.6, 0.5, 0.6]), np.asarray([True, True, False, False])
    found = after(built, "filter", bad, None, heads, air_side=np.full(N, 0.9))
    assert same(found.air_side, [0.45, 0.9, 0.45, 0.36])
    for coil in built.loop.coils:
        machine = coil_of(found.loop, coil.unit).machine
        lost = np.asarray([0.5, 0.9, 0.5, 0.5]) * bad
        assert same(machine.rated_capacity, coil.machine.rated_capacity * (1.0 - lost))
        assert same(machine.rated_power, coil.machine.rated_power * (1.0 - 0.25 * bad))


def test_a_heating_unit_without_air_condenses_hotter_until_it_trips(built):
    now = Conditions(sea_temperature=12.0, mode="heating")
    bad = np.asarray([0.0, 0.1, 0.3, 0.9])
    found = after(built, "filter", bad, now=now)
    usual = default("heating.condensing").value
    trips = np.zeros(N, dtype=bool)
    for coil in built.loop.coils:
        rated = usual if coil.heating is None else coil.heating.heater.condensing_temperature
        hot = 20.0 + (rated - 20.0) / np.maximum(1.0 - bad, 0.01)
        mine = (hot > coil.cut_out_temperature) & (bad > 0.0)
        trips |= mine
        assert np.asarray(found.now.running[coil.unit]).tolist() == (~mine).tolist()
        if coil.heating is not None:
            heater = coil_of(found.loop, coil.unit).heating.heater
            assert same(heater.condensing_temperature, np.minimum(hot, coil.cut_out_temperature))
    assert found.airless.tolist() == trips.tolist() and trips[-1] and not trips[0]


def test_what_an_observer_meets(built):
    assert same(after(built, "leak", leaking=np.full(N, 0.3)).leaking, [0.3, 0.3, 0.4, 0.8])
    found = after(built, "thermometer", reads_high=np.full(N, 0.1))
    assert same(found.reads_high, [0.1, 0.3, -0.3, -0.7])
    warm = after(built, "units_in_series", BAD_ONE, built.loop.coils[0].unit).now.preheat
    assert same(warm[built.loop.coils[0].unit], BAD_ONE) and same(
        warm[built.loop.coils[1].unit], 0.0
    )
    for fault in ("scoop_reversed", "shared_intake"):
        for entry, was in zip(after(built, fault).loop.entries, built.loop.entries, strict=True):
            assert same(entry.lost_head, was.lost_head + BAD_ONE)
    for fault in ("low_volts", "warm_sea"):
        assert after(built, fault).loop is built.loop
    none = Boats.sound(built.loop, Conditions(sea_temperature=28.0), N)
    assert same(none.air_side, 1.0) and not none.pulses.any() and not none.airless.any()
    for name in ("leaking", "reads_high", "locked", "shut_in"):
        assert same(getattr(none, name), 0.0)


# ---------------------------------------------------------------------------------- which, how bad


def fault(low, high, **more):
    return made(Fault, low=low, high=high, **{"name": "f", "weight": 1.0} | more)


def test_a_severity_runs_from_its_least_to_its_most_in_its_own_measure():
    share = np.asarray([0.0, 0.5, 1.0])
    plain = _severity(fault(0.2, 0.8), share, 1.0)
    assert plain.tolist() == pytest.approx([0.2, 0.5, 0.8])
    wide = _severity(fault(0.1, 90.0), share, 1.0)
    assert wide.tolist() == pytest.approx([0.1, 3.0, 90.0])
    # of what is left open from 0.4 to 0.04, so many leave more than 0.2: the mean of two shares
    upto = 0.5 * (np.log(2.0) / np.log(10.0) + 0.2 / 0.36)
    open_ = _severity(fault(0.6, 0.96, open_share=True), np.asarray([0.0, upto, 1.0]), 1.0)
    assert (1.0 - open_).tolist() == pytest.approx([0.4, 0.2, 0.04], rel=1e-4)
    assert _severity(fault(0.1, 0.5), share, 1.0)[1] == pytest.approx(0.3)  # five times: evenly
    assert _severity(fault(0.1, 0.52), share, 1.0)[1] == pytest.approx(np.sqrt(0.052))
    wider = _severity(fault(0.2, 0.8), share, 2.0)
    assert wider.tolist() == pytest.approx([0.3 * 0.2, 0.5, 0.998])
    assert _severity(fault(0.9, 0.9999, open_share=True), share, 1.0)[2] == pytest.approx(0.9999)
    assert _severity(fault(2.0, 8.0), share, 2.0)[2] == pytest.approx(11.0)  # nothing that fills up


def test_each_fault_of_a_pair_has_its_own_share():
    faults = [fault(0.2, 0.6, name="a"), fault(2.0, 6.0, name="b")]
    first, second = np.asarray([0, 1, NONE]), np.asarray([1, NONE, NONE])
    shares = np.asarray([[0.25, 0.5, 0.9], [0.5, 0.9, 0.9], [0.1, 0.6, 0.9], [0.4, 0.99, 0.0]])
    found = with_severity(faults, (first, second, np.zeros(3)), shares)
    assert found.severity == pytest.approx(np.asarray([[0.3, 0, 0], [4.0, 4.0, 0]]))
    assert found.units(2).tolist() == [[0, 1, 1], [0, 1, 0]]
    assert found.units(3).tolist() == [[0, 1, 2], [1, 2, 0]]
    assert found.present(1).tolist() == [True, True, False]
    assert found.healthy.tolist() == [False, False, True] and found.size == 3
    assert replace(found, unit_shares=np.ones((2, 3))).units(2).max() == 1


def test_tosses_come_in_fours_and_shares_move_to_their_density():
    boats = healthy_boats(2, 10)
    assert boats.healthy.all() and np.exp(boats.log_prior).sum() == pytest.approx(1.0)
    for start in (0, 4):
        four = boats.tosses[:, start : start + 4]
        assert {tuple(column) for column in four.T} == {(a, b) for a in (0, 1) for b in (0, 1)}
    assert boats.tosses.shape == (2, 10)
    shares = (np.arange(1000) + 0.5) / 1000.0
    density = np.asarray([[1.0, 1.0, 1.0, 1.0], [0.4, 1.6, 1.2, 0.8]])
    of_second = np.ones(shares.size, dtype=np.intp)
    assert _moved(shares, density, 0 * of_second) == pytest.approx(shares)
    moved = _moved(shares, density, of_second)
    counts = np.histogram(moved, 4, (0.0, 1.0))[0] / 250.0
    assert counts.tolist() == pytest.approx([0.4, 1.6, 1.2, 0.8], abs=0.01)
    assert np.all(np.diff(moved) > 0.0)


def test_draws_weighed_by_their_odds_are_the_odds_with_and_without_a_guess():
    faults = [
        fault(0.1, 0.5, name=name, weight=weight)
        for name, weight in (("a", 1.0), ("b", 3.0), ("c", 6.0))
    ]
    plain = spread_evenly(faults, 4096, np.random.RandomState(1))
    chances = np.full(1 + 3 + 3, 1.0 / 7.0)
    even = np.full((3, 20), 1.0 / 20)
    guess = Guess(chances, even, np.full((3, 2), 0.5), np.full((4, 1, 10), 0.1))
    steered = spread_evenly(faults, 4096, np.random.RandomState(1), guess)
    for boats in (plain, steered):
        weight = np.exp(boats.log_prior)
        assert weight.sum() == pytest.approx(1.0, rel=0.02)
        single = (boats.first != NONE) & (boats.second == NONE)
        of = [weight[single & (boats.first == number)].sum() for number in range(3)]
        assert np.asarray(of) / sum(of) == pytest.approx([0.1, 0.3, 0.6], rel=0.05)
    both = joined([guess, replace(guess, chances=np.eye(7)[0])], np.asarray([0.25, 0.75]))
    assert both.chances.tolist() == pytest.approx([0.75 + 0.25 / 7, *([0.25 / 7] * 6)])


def test_a_step_of_the_spread_is_drawn_as_often_as_it_is_likely():
    chances = np.full((24, 2000), 0.5 / 23.0)
    chances[7] = 0.5
    at = (np.arange(2000) + 0.5) / 2000.0
    step, share = _drawn(chances, at)
    assert np.mean(step == 7) == pytest.approx(0.5, abs=0.002)
    assert np.all((share * 24.0).astype(int) == step)
    assert np.all(np.diff(share) > 0.0) and share[0] < 1e-3 and share[-1] > 0.999


# -------------------------------------------------------------------------- what replies would tell


def cloud(first, second, weight, n_faults=2):
    hypotheses = SimpleNamespace(first=np.asarray(first), second=np.asarray(second))
    faults = [SimpleNamespace(title=title) for title in "ab"[:n_faults]]
    flotilla = SimpleNamespace(hypotheses=hypotheses, setup=SimpleNamespace(faults=faults))
    return SimpleNamespace(flotilla=flotilla, weight=np.asarray(weight))


def test_weights_by_cause_are_shared_between_two_and_whole_for_each():
    found = cloud([0, 1, 0, NONE], [NONE, NONE, 1, NONE], [0.1, 0.2, 0.3, 0.4])
    shared, present = by_cause(found, found.weight)
    assert shared.tolist() == pytest.approx([0.25, 0.35, 0.4]) and shared.sum() == pytest.approx(
        1.0
    )
    assert present.tolist() == pytest.approx([0.4, 0.5, 0.4])


def test_what_replies_tell_is_their_mutual_information():
    assert information(np.eye(2)) == pytest.approx(1.0)
    assert information(np.eye(4) * 3.0) == pytest.approx(2.0)
    assert information(np.ones((2, 3))) == pytest.approx(0.0)
    table = np.asarray([[0.4, 0.1], [0.1, 0.4]])
    assert information(table) == pytest.approx(1.0 + 0.8 * np.log2(0.8) + 0.2 * np.log2(0.2))


def test_a_reply_names_the_cause_that_would_lead():
    found = cloud([0, 1, NONE], [NONE] * 3, [0.5, 0.3, 0.2])
    yes, no = np.asarray([0.9, 0.1, 0.0]), np.asarray([0.1, 0.9, 1.0])
    never = np.asarray([0.0, 0.0, 0.024])
    says = [fact("x", word=word) for word in ("yes", "no", "never")]
    tells, replies = next_reading._judged(found, list(zip(says, (yes, no, never), strict=True)))
    assert tells > 0.2
    assert [(one.says["word"], one.leads) for one in replies] == [("yes", "a"), ("no", "b")]
    assert replies[0].chance == pytest.approx(0.48)
    assert replies[0].then == pytest.approx(0.45 / 0.48)


def reading(kind="amps", place="", tells=0.1, effort=2.0, leads="ab", **more):
    replies = tuple(
        Reply(fact("x"), 0.5, lead, then)
        for lead, then in zip(leads, more.pop("then", (0.5, 0.6)), strict=True)
    )
    return made(
        NextReading,
        kind=kind,
        place=place,
        title="",
        how="",
        effort=effort,
        tells=tells,
        replies=replies,
        **more,
    )


def test_a_reading_helps_if_it_tells_and_moves():
    assert reading().helps and not reading(tells=0.019).helps
    assert reading(tells=0.02).helps
    assert not reading(leads="aa", then=(0.50, 0.529)).helps
    assert reading(leads="aa", then=(0.50, 0.531)).helps
    assert not reading(leads="", then=()).helps
    assert reading().worth == 0.05
    for kind in ("amps", "stream"):
        row = instruments().get(kind) or signs()[kind]
        assert reading(kind).running == row.running


def test_readings_come_by_what_they_tell_for_each_minute(monkeypatch):
    rows = [
        reading("amps", tells=0.3, effort=2.0),
        reading("volts", tells=0.3, effort=1.0),
        reading("suction", tells=9.0, is_fitted=True),
        reading("stream", tells=0.05, effort=9.0),
    ]
    monkeypatch.setattr(next_reading, "_numbers", lambda *_: iter(rows[:3]))
    monkeypatch.setattr(next_reading, "_signs", lambda *_: iter(rows[3:]))

    def kinds(readings):
        return [one.kind for one in next_reading.open_readings(None, readings)]

    assert kinds(Readings()) == ["volts", "amps", "stream", "suction"]
    hot = Readings((Number("discharge", "a", 40.0),))
    assert kinds(hot) == ["stream", "volts", "amps", "suction"]
    for told in (
        replace(hot, signs=(("stream", "weak"),)),
        replace(hot, streams=(("port", "weak"),)),
        replace(hot, numbers=(*hot.numbers, Number("flow", "port", 1e-4))),
    ):
        assert kinds(told)[0] == "volts"
    rows[3] = replace(rows[3], tells=0.0)
    assert kinds(hot)[0] == "volts"


def test_what_is_read_first_is_what_was_not():
    def kinds(*numbers):
        told = Readings(tuple(Number(kind, "", 1.0) for kind in numbers))
        return {one.kind for one in next_reading.first_readings(told)}

    assert kinds() == {"sea", "discharge", "flow"} and kinds("sea") == {"discharge", "flow"}
    assert kinds("sea", "discharge", "flow") == set()


def test_thirds_of_what_may_be_read_are_as_likely():
    seen = np.asarray([*np.linspace(10.0, 40.0, 900), np.nan, np.nan])
    weight = np.full(seen.size, 1.0 / seen.size)
    amps = replace(instruments()["amps"], error=1e-6, share=0.0)
    rows = next_reading._bands(SimpleNamespace(weight=weight), amps, seen)
    assert [said.kind.removeprefix("diagnose.") for said, _ in rows] == [
        *("no_reading", "below", "between", "above")
    ]
    shares = [float(weight @ chance) for _, chance in rows]
    assert shares == pytest.approx([2 / 902, *([300 / 902] * 3)], abs=2e-3)
    assert rows[1][0]["edge"].value == pytest.approx(20.0, abs=0.1)
    assert rows[3][0]["edge"].value == pytest.approx(30.0, abs=0.1)
    total = sum(chance for _, chance in rows)
    assert total.tolist() == pytest.approx([1.0] * seen.size)
    only = next_reading._bands(SimpleNamespace(weight=weight), amps, np.full(seen.size, np.nan))
    assert len(only) == 1
    flat = next_reading._bands(SimpleNamespace(weight=weight), amps, np.full(seen.size, 5.0))
    assert len(flat) == 3


# ------------------------------------------------------------------------------------ what agrees


def test_a_sea_is_warm_from_a_third_of_a_kelvin_over_the_design():
    case = SimpleNamespace(sea=SimpleNamespace(warmest=30.0))
    found = SimpleNamespace(flotilla=SimpleNamespace(setup=SimpleNamespace(case=case)))

    def told(sea, **more):
        return agreement.warm_sea(found, Readings((Number("sea", "", sea),), **more))

    assert told(30.3) == () and told(33.0, mode="heating") == ()
    assert agreement.warm_sea(found, Readings()) == ()
    (said,) = told(31.5)
    assert (said["above"].value, said["design"].value) == (1.5, 30.0)
    assert told(30.32)


@pytest.mark.parametrize(
    ("found", "agrees", "kind"),
    [
        (7500.0, True, "heat_agrees"),
        (12500.0, True, "heat_agrees"),
        (7499.0, False, "heat_short"),
        (12501.0, False, "heat_over"),
    ],
)
def test_heat_agrees_within_a_quarter(monkeypatch, found, agrees, kind):
    worst = Number("flow", "port", 1e-4)
    monkeypatch.setattr(agreement, "_least_believed", lambda *_: worst)
    check = agreement._heats(None, Readings(), found, 10000.0)
    assert (check.agrees, check.says.kind) == (agrees, f"diagnose.{kind}")
    assert (check.found, check.plate) == (found, 10000.0)
    if not agrees:
        assert check.says["place"] == "port"


def test_the_heat_overboard_is_flow_times_rise_of_each_outlet():
    """Seawater of 35 g/kg at 25 degC: 1023.3 kg/m3 and 3998 J/(kg K)."""
    built = loop_of(MOTOR)
    setup = SimpleNamespace(built=built, case=shipped(MOTOR))
    found = SimpleNamespace(flotilla=SimpleNamespace(setup=setup))
    outlets = [link.elements[-1].name for link in built.loop.links if link.to_sea]
    of = {name: agreement._units_before(found, name) for name in outlets}
    assert sorted(unit for units in of.values() for unit in units) == sorted(
        coil.unit for coil in built.loop.coils
    )
    numbers = [Number("sea", "", 25.0)]
    for number, name in enumerate(outlets):
        numbers += [
            Number("flow", name, (number + 2) * 1e-4),
            Number("discharge", name, 30.0 + number),
        ]
    heat = sum(1023.3 * 3998.0 * (n + 2) * 1e-4 * (5.0 + n) for n in range(len(outlets)))
    plate = sum(float(c.machine.rated_capacity + c.machine.rated_power) for c in built.loop.coils)
    seen = {}

    def kept(_, readings, one, other):
        seen.update(found=one, plate=other)

    real, agreement._heats = agreement._heats, kept
    try:
        agreement.heat_check(found, Readings(tuple(numbers), load=0.5))
    finally:
        agreement._heats = real
    assert seen["found"] == pytest.approx(heat, rel=2e-3)
    assert seen["plate"] == pytest.approx(0.5 * plate)
    for fewer in (numbers[1:], numbers[:-1], [*numbers[:1], *numbers[2:]]):
        assert agreement.heat_check(found, Readings(tuple(fewer))) is None
    assert agreement.heat_check(found, Readings(tuple(numbers), mode="heating")) is None


def test_a_discharge_of_an_outlet_stands_before_that_of_its_only_unit():
    both = Readings((Number("discharge", "a", 31.0), Number("discharge", "port", 32.0)))
    assert agreement._discharge(both, "port", ("a",)) == 32.0
    assert agreement._discharge(both, "starboard", ("a",)) == 31.0
    assert agreement._discharge(both, "starboard", ("a", "b")) is None
    assert loop_of(BAD).network.units
