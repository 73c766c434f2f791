"""What a boat would read, how well a reading agrees with it, and what odds follow: on paper."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from made import made
from sizing import KETCH, shipped

from seaflow.base.constants import ATMOSPHERE
from seaflow.model.point import COOLING, HEATING, NO_WATER, OFF, TRIPS
from seaflow.physics.heat.refrigerant import saturation_pressure
from seaflow.studies.design.certainty.spreads import season
from seaflow.studies.diagnose import infer, predict, simulate
from seaflow.studies.diagnose.drawn import _grows, _of_pump
from seaflow.studies.diagnose.faults import Fault
from seaflow.studies.diagnose.guess import _evened, _smoothed
from seaflow.studies.diagnose.hypotheses import NONE, Hypotheses, listed
from seaflow.studies.diagnose.infer import Posterior, weigh
from seaflow.studies.diagnose.own_boat import Learnt, OwnBoat, coils_apart
from seaflow.studies.diagnose.predict import (
    at_rest,
    chances_of,
    log_of_sign,
    log_of_tried,
    margin,
    predicted,
    trips,
    water_shares,
)
from seaflow.studies.diagnose.read_number import (
    error_of,
    log_of_number,
    log_of_read,
    range_of,
    seen_on,
)
from seaflow.studies.diagnose.readings import Number, Readings, instruments, signs
from seaflow.studies.diagnose.trip_seas import trips_from
from seaflow.studies.diagnose.trip_told import before_trip
from seaflow.studies.page.study import room_for

N = 4
ONES = np.ones(N)
UNIT = {
    "state": np.full(N, COOLING),
    "volume_flow": 1e-4 * ONES,
    "inlet_temperature": 25.0 * ONES,
    "outlet_temperature": 30.0 * ONES,
    "condensing_temperature": 40.0 * ONES,
    "cut_out_margin": 20.0 * ONES,
    "power": 900.0 * ONES,
    "cooling": 3000.0 * ONES,
}


def unit(**more):
    return SimpleNamespace(**UNIT | more)


def fault(name, **more):
    return made(
        Fault, **{"name": name, "weight": 1.0, "low": 0.1, "high": 0.5, "title": name} | more
    )


def coil(name, **more):
    machine = SimpleNamespace(rated_capacity=3000.0, rated_power=1000.0)
    told = {"unit": name, "machine": machine, "cut_out_temperature": 60.0, "heating": None}
    return SimpleNamespace(**told | more)


def fleet(units=None, faults=(), first=None, second=None, mode="cooling", **more):
    """Boats with two units; the flow of the one outlet is that of the second link."""
    units = units or {"a": unit(), "b": unit()}
    nobody = np.full(N, NONE)
    n = len(faults)
    hypotheses = Hypotheses(
        np.asarray(nobody if first is None else first),
        np.asarray(nobody if second is None else second),
        np.zeros((n, N)),
        np.log(ONES / N),
        np.zeros((2, N)),
        np.zeros((2, N)),
    )
    drive = SimpleNamespace(
        motor="unregulated dc", power=((0.0, 40.0), (1.0, 48.0)), voltage=12.0, power_factor=None
    )
    pump = SimpleNamespace(name="pump", drive=drive, n_pumps=1)
    coils = [coil(name) for name in units]
    loop = SimpleNamespace(
        pumps=[pump], coils=coils, link_of=lambda name: {"port": 0, "starboard": 1}[name]
    )
    pumps = {"pump": SimpleNamespace(power=36.0 * ONES, speed_ratio=ONES, head=3.0 * ONES)}
    water = SimpleNamespace(density=1023.0 * ONES, heat_capacity=3990.0 * ONES)
    point = SimpleNamespace(
        units=units,
        loop=loop,
        flow=np.asarray([[1e-4, 2e-4, 3e-4, 0.0], [2e-4] * 4]),
        pumps=pumps,
        water=water,
        outlet_temperature={"port": 33.0 * ONES},
    )
    boats = SimpleNamespace(
        now=SimpleNamespace(mode=mode, voltage=12.0),
        reads_high=np.zeros(N),
        leaking=np.zeros(N),
        locked=np.zeros(N),
        shut_in=np.zeros(N),
        air_side=ONES,
        airless=np.zeros(N, dtype=bool),
        pulses=np.zeros(N, dtype=bool),
    )
    places = SimpleNamespace(
        outlets=("port", "starboard"), units=tuple(units), refrigerants={"a": "R-134a"}
    )
    hoses = [SimpleNamespace(from_=name, to="port") for name in units]
    network = SimpleNamespace(
        units_by_size=[SimpleNamespace(name=name) for name in units],
        reached={},
        arriving=lambda name: [one for one in hoses if one.to == name],
        leaving=lambda name: [one for one in hoses if one.from_ == name],
    )
    built = SimpleNamespace(loop=SimpleNamespace(coils=coils), network=network)
    names = [one.name for one in faults]
    setup = SimpleNamespace(
        faults=tuple(faults),
        places=places,
        built=built,
        index=lambda name: names.index(name) if name in names else NONE,
    )
    told = {
        "hypotheses": hypotheses,
        "point": point,
        "boats": boats,
        "setup": setup,
        "met": SimpleNamespace(sea=25.0 * ONES, volts=12.0 * ONES),
        "power_factor": ONES,
    }
    found = SimpleNamespace(**told | more)
    found.as_they_come = more.get("as_they_come", found)
    return found


def with_boats(found, **more):
    found.boats = SimpleNamespace(
        **vars(found.boats) | {key: np.asarray(v) for key, v in more.items()}
    )
    return found


# ------------------------------------------------------------------------------- what would be read


def test_what_instruments_show():
    found = with_boats(fleet(), reads_high=[0.0, 1.0, -1.0, 0.0], leaking=[0.0, 0.25, 0.0, 0.0])
    assert predicted(found, "sea", "").tolist() == [25.0] * N
    assert predicted(found, "volts", "").tolist() == [12.0] * N
    assert predicted(found, "discharge", "a").tolist() == [30.0, 31.0, 29.0, 30.0]
    assert predicted(found, "discharge", "port").tolist() == [33.0, 34.0, 32.0, 33.0]
    assert predicted(found, "flow", "port").tolist() == pytest.approx([1e-4, 1.5e-4, 3e-4, 0.0])
    assert predicted(found, "watts", "b").tolist() == [900.0] * N
    assert predicted(found, "condensing", "b").tolist() == [40.0] * N
    assert predicted(found, "high_side", "b") is None
    bar = float(saturation_pressure(40.0, "R-134a")) - ATMOSPHERE
    assert predicted(found, "high_side", "a").tolist() == pytest.approx([bar] * N)
    found.boats.air_side = np.asarray([1.0, 0.5, 0.05, 1.0])
    split = predicted(found, "split", "a")
    assert split.tolist() == pytest.approx([9.5, 19.0, 95.0, 9.5])


def test_amps_are_of_the_power_drawn_or_of_a_jammed_pump():
    found = with_boats(fleet(), locked=[0.0, 3.0, 0.0, 0.0])
    found.power_factor = np.asarray([1.0, 1.0, 1.1, 1.0])
    assert predicted(found, "amps", "").tolist() == pytest.approx([3.0, 12.0, 3.3, 3.0])


def test_while_heating_the_high_side_is_in_the_cabin_and_a_machine_is_known_by_its_plate():
    found = fleet(mode="heating")
    for kind in ("condensing", "high_side", "discharge", "watts", "split"):
        assert predicted(found, kind, "a") is None
    found.point.loop.coils[0].heating = "a plate"
    assert predicted(found, "discharge", "a") is not None
    assert predicted(found, "discharge", "b") is None and predicted(found, "watts", "b") is None
    assert predicted(found, "discharge", "port") is None  # of both, and one is not known


# ------------------------------------------------------------------------------ how well it agrees


def normal(off, deviation):
    return -0.5 * (off / deviation) ** 2 - np.log(deviation * np.sqrt(2.0 * np.pi))


def test_an_error_is_of_the_instrument_and_of_the_model_on_the_rise():
    found = with_boats(fleet(), reads_high=[0.0, 2.0, 0.0, 0.0])
    seen = np.asarray([35.0, 37.0, 25.0, 45.0])
    instrument = instruments()["discharge"]
    own = np.hypot(instrument.error, instrument.share * seen)
    by_hand = np.hypot(own, instrument.model * np.asarray([10.0, 10.0, 0.0, 20.0]))
    assert error_of(found, "discharge", seen).tolist() == pytest.approx(by_hand.tolist())
    flow = instruments()["flow"]
    litres = np.full(N, 2e-4)
    by_hand = np.hypot(np.hypot(flow.error, flow.share * litres), flow.model * litres)
    assert error_of(found, "flow", litres).tolist() == pytest.approx(by_hand.tolist())


def test_a_number_agrees_by_its_distance_over_the_error():
    found = fleet()
    seen = predicted(found, "flow", "port")
    number = Number("flow", "port", 2.2e-4)
    for wider in (1.0, 3.0):
        by_hand = np.maximum(normal(2.2e-4 - seen, wider * error_of(found, "flow", seen)), -30.0)
        assert log_of_number(found, number, wider).tolist() == pytest.approx(by_hand.tolist())
    for kind in ("sea", "volts"):
        assert log_of_number(found, Number(kind, "", 99.0)).tolist() == [0.0] * N
    assert log_of_number(found, Number("high_side", "b", 1e6)).tolist() == [0.0] * N
    found.point.units["b"].power = np.asarray([900.0, np.nan, 900.0, 900.0])
    assert log_of_number(found, Number("watts", "b", 900.0))[1] == -30.0


def test_a_number_may_be_read_badly_or_be_quite_another():
    found = fleet()
    number, seen = Number("flow", "port", 2.2e-4), predicted(found, "flow", "port")
    logs, astray = log_of_read(seen_on(found, "flow", "port"), number.value)
    wide = range_of("flow", seen)
    assert astray == pytest.approx(-np.log(wide))
    chance = 0.003 / wide
    for share, coarser in ((0.875, 1.0), (0.1, 3.0), (0.022, 8.0)):
        chance = chance + share * np.exp(log_of_number(found, number, coarser))
    assert np.exp(logs).tolist() == pytest.approx(chance.tolist())
    for kind in ("sea", "volts"):  # which the draws know already
        assert seen_on(found, kind, "") is None
    evenly = np.linspace(10.0, 20.0, 2001)
    more = 6.0 * float(instruments()["amps"].deviation(19.95))
    assert range_of("amps", evenly) == pytest.approx(1.2 * 9.9 + more, rel=1e-3)
    instrument = instruments()["amps"]
    assert range_of("amps", np.full(3, np.nan)) == instrument.most - instrument.least


def test_a_unit_that_trips_was_read_before_or_after():
    states = np.asarray([COOLING, TRIPS, TRIPS, NO_WATER])
    flows = np.asarray([1e-4, 1e-4, 1e-5, 0.0])
    found = fleet({"a": unit(state=states, volume_flow=flows), "b": unit()})
    just = before_trip(found, "a")
    rate = 1023.0 * 3990.0 * flows[:2]
    assert just[:2].tolist() == pytest.approx((25.0 + 4000.0 / rate).tolist())
    assert just[2] == 65.0  # no more than forty kelvin
    number = Number("discharge", "a", 34.0)
    logs = log_of_number(found, number)
    plain = normal(34.0 - 30.0, error_of(found, "discharge", 30.0 * ONES))
    assert logs[0] == pytest.approx(max(plain[0], -30.0))
    both = np.logaddexp(plain[1], normal(34.0 - just[1], 2.0)) - np.log(2.0)
    assert logs[1] == pytest.approx(both)
    assert logs[3] == pytest.approx(np.log(0.02 / 40.0))
    outlet = log_of_number(found, Number("discharge", "port", 34.0))
    assert np.ptp(outlet) == 0.0


def test_the_high_side_of_a_unit_that_trips_stands_at_its_cut_out_or_lower_some_time_after():
    states = np.asarray([COOLING, TRIPS, NO_WATER, OFF])
    found = fleet({"a": unit(state=states), "b": unit()})
    logs = log_of_number(found, Number("condensing", "a", 58.0))
    plain = np.maximum(normal(18.0, error_of(found, "condensing", 40.0 * ONES)), -30.0)
    either = np.logaddexp(normal(-2.0, 2.0), -np.log(40.0)) - np.log(2.0)
    assert logs.tolist() == pytest.approx([plain[0], either, either, plain[3]])
    at = float(saturation_pressure(60.0, "R-134a")) - ATMOSPHERE
    spread = 2.0 * 0.025 * at
    logs = log_of_number(found, Number("high_side", "a", at))
    either = np.logaddexp(normal(0.0, spread), -np.log(40.0 * spread / 2.0)) - np.log(2.0)
    assert logs[1] == pytest.approx(either)


def test_room_to_the_cut_out_is_the_least_and_nought_after_a_trip():
    a = unit(
        cut_out_margin=np.asarray([9.0, 9.0, np.nan, 9.0]),
        state=np.asarray([COOLING, COOLING, OFF, COOLING]),
    )
    b = unit(
        cut_out_margin=np.asarray([5.0, 12.0, np.nan, 3.0]),
        state=np.asarray([COOLING, COOLING, OFF, TRIPS]),
    )
    found = fleet({"a": a, "b": b})
    assert margin(found).tolist() == [5.0, 9.0, np.inf, 0.0]
    assert margin(found, "a").tolist() == [9.0, 9.0, np.inf, 9.0]
    assert trips(found).tolist() == [False, False, False, True]
    assert trips(found, "a").tolist() == [False] * N
    assert at_rest(found).tolist() == [False, False, True, False]
    airless = with_boats(found, airless=[True, False, True, False])
    assert trips(airless, "a").tolist() == [True, False, True, False]
    assert at_rest(airless).tolist() == [False] * N
    dry = fleet({"a": unit(state=np.full(N, NO_WATER)), "b": unit()})
    assert trips(dry).all() and not trips(dry, "b").any()


def test_room_to_ice_is_of_coils_that_heat(monkeypatch):
    monkeypatch.setattr(predict, "room_to_ice", lambda unit, freezing: unit.room)
    a = unit(
        state=np.asarray([HEATING, HEATING, OFF, NO_WATER]), room=np.asarray([4.0, 2.0, 1.0, 1.0])
    )
    b = unit(state=np.asarray([HEATING, OFF, OFF, HEATING]), room=np.asarray([3.0, 9.0, 9.0, 9.0]))
    found = fleet({"a": a, "b": b})
    found.setup.case = shipped(KETCH)
    assert predict.to_ice(found).tolist() == [3.0, 2.0, np.inf, 0.0]


def test_shares_of_the_usual_water_are_those_of_healthy_boats():
    flows = np.asarray([1e-4, 2e-4, 3e-4, 4e-4])
    plain = fleet(
        {"a": unit(volume_flow=flows), "b": unit()},
        faults=[fault("x")],
        first=[NONE, NONE, NONE, 0],
    )
    found = fleet(
        {"a": unit(volume_flow=np.asarray([1e-4, 2e-4, 4e-4, 0.0])), "b": unit()},
        as_they_come=plain,
    )
    usual = {"port": [1e-4, 2e-4, 3e-4]}
    assert usual and water_shares(found)[:2].tolist() == pytest.approx([0.5, 1.0])
    assert water_shares(found)[3] == 0.0


# ------------------------------------------------------------------------------------ words


def test_a_trip_is_told_of_what_trips_or_runs_close_to_it():
    goes = [fault("switch", trips=0.5), fault("other")]
    room = np.asarray([20.0, 5.9, 6.0, 5.9])
    found = fleet({"a": unit(cut_out_margin=room)}, goes, [NONE, NONE, 0, 0])
    assert chances_of(found, "tripped")["yes"].tolist() == [0.005, 0.3, 0.5, 0.5]
    both = fleet({"a": unit(cut_out_margin=room)}, goes, [1, 1, 1, 0], [NONE, NONE, 0, 1])
    assert chances_of(both, "tripped", "a")["yes"].tolist() == [0.005, 0.3, 0.5, 0.5]
    lean = fleet({"a": unit(volume_flow=1e-4 * np.asarray([1.0, 1.0, 0.75, 0.5]))}, goes)
    assert chances_of(lean, "tripped", "a")["yes"].tolist() == [0.005] * N  # none is at fault
    lean.hypotheses.first[:] = 1
    usual = fleet({"a": unit()}, goes)
    lean.as_they_come = usual
    told = chances_of(lean, "tripped", "a")["yes"].tolist()
    assert told == pytest.approx([0.005, 0.005, 0.075, 0.15])
    gone = fleet({"a": unit(state=np.full(N, TRIPS)), "b": unit()}, goes)
    assert chances_of(gone, "tripped")["yes"].tolist() == [0.9] * N
    assert chances_of(gone, "tripped", "b")["yes"].tolist() == [0.005] * N
    heats = with_boats(fleet(mode="heating"), airless=[True, False, False, False])
    assert chances_of(heats, "tripped")["yes"].tolist() == [0.9, 0.005, 0.005, 0.005]


def test_words_of_two_faults_leave_the_usual_one_only_if_both_do():
    kind = "bubbles"
    words = tuple(signs()[kind].healthy)
    usual = max(words, key=signs()[kind].healthy.get)
    (other,) = (word for word in words if word != usual)
    rows = [
        fault("p", signs={kind: {usual: 0.2, other: 0.8}}),
        fault("q", signs={kind: {usual: 0.5, other: 0.5}}),
        fault("r"),
    ]
    found = fleet(faults=rows, first=[NONE, 0, 0, 2], second=[NONE, NONE, 1, NONE])
    chances = chances_of(found, kind)
    healthy = signs()[kind].healthy[usual] / sum(signs()[kind].healthy.values())
    assert chances[usual].tolist() == pytest.approx([healthy, 0.2, 0.1, healthy])
    total = sum(chances.values())
    assert total.tolist() == pytest.approx([1.0] * N)
    assert log_of_sign(found, kind, usual).tolist() == pytest.approx(
        np.log(chances[usual]).tolist()
    )


def test_what_was_tried_in_vain_leaves_a_tenth():
    rows = [fault("p", tried=("cleaned",)), fault("q", tried=("bled",))]
    found = fleet(faults=rows, first=[NONE, 0, 1, 1], second=[NONE, NONE, NONE, 0])
    logs = log_of_tried(found, "cleaned")
    assert np.exp(logs).tolist() == pytest.approx([1.0, 0.1, 1.0, 0.1])


def test_a_pump_that_stands_still_hums_or_is_silent():
    kind = "pump"
    names = tuple(signs()[kind].healthy)
    rows = [
        fault("loud", signs={kind: {"gravel": 0.9}}),
        fault("dead", signs={kind: {"silent": 0.9}}),
    ]
    found = fleet(faults=rows, first=[NONE, NONE, 0, 1])
    turning = chances_of(found, kind)
    found.point.pumps["pump"].speed_ratio = np.asarray([1.0, 0.0, 0.0, 0.0])
    still = chances_of(found, kind)
    assert [turning[name][0] for name in names] == [still[name][0] for name in names]
    for boat in (1, 2):
        assert still["silent"][boat] == pytest.approx(0.49) and still["humming"][
            boat
        ] == pytest.approx(0.48)
    assert still["silent"][3] > 0.9
    assert sum(still.values()).tolist() == pytest.approx([1.0] * N)


# --------------------------------------------------------------------------------------- the odds


def posterior(weight, first, second, n_faults=2, prior=None):
    rows = [fault(str(number), weight=number + 1.0) for number in range(n_faults)]
    found = fleet(faults=rows, first=first, second=second)
    if prior is not None:
        found.hypotheses = replace(found.hypotheses, log_prior=np.log(prior))
    return Posterior(found, np.asarray(weight), 4.0, 1.0)


def test_odds_of_faults_pairs_and_nothing():
    found = posterior([0.1, 0.2, 0.3, 0.4], [0, 1, 0, NONE], [NONE, NONE, 1, NONE])
    assert found.present.tolist() == pytest.approx([0.4, 0.5]) and found.nothing == 0.4
    assert found.by_hypothesis.tolist() == pytest.approx([0.4, 0.1, 0.2, 0.3])
    assert found.pairs() == {(0, 1): pytest.approx(0.3)}
    starts, others, chances = listed(found.flotilla.setup.faults)
    assert (starts.tolist(), others.tolist()) == ([NONE, 0, 1, 0], [NONE, NONE, NONE, 1])
    assert chances.sum() == pytest.approx(1.0) and chances[2] == pytest.approx(2.0 * chances[1])


def test_support_is_the_weight_after_over_that_before():
    found = posterior(
        [0.1, 0.2, 0.3, 0.4], [0, 1, 0, NONE], [NONE, NONE, 1, NONE], prior=[0.2, 0.1, 0.5, 0.2]
    )
    assert np.exp(found.mean_support()).tolist() == pytest.approx([0.5, 2.0, 2.0])


def test_weights_are_evened_until_enough_boats_carry_them():
    few = np.zeros(4000) + 1e-9
    few[0] = 1.0
    flat = _evened(few)
    assert flat.sum() == pytest.approx(1.0) and 1.0 / (flat**2).sum() >= 150.0
    even = np.full(1000, 0.001)
    assert _evened(even).tolist() == pytest.approx(even.tolist())
    rows = _smoothed(np.asarray([[4.0, 0.0, 0.0, 0.0], [1.0, 1.0, 1.0, 1.0]]))
    assert rows.tolist() == pytest.approx(np.asarray([[0.75, 0.25, 0, 0], [0.25] * 4]))


def test_boats_weigh_by_their_odds_and_by_how_well_they_read(monkeypatch):
    found = fleet()
    found.log_prior = np.log([0.1, 0.2, 0.3, 0.4])
    logs = {"flow": np.log([1.0, 2.0, 1.0, 0.5])}
    monkeypatch.setattr(
        infer, "log_of_read", lambda seen, value, wider: (logs[seen.kind], np.log(0.1))
    )
    monkeypatch.setattr(
        infer, "log_of_sign", lambda f, kind, word, place: np.log([1.0, 1.0, 0.5, 1.0])
    )
    monkeypatch.setattr(infer, "log_of_tried", lambda f, remedy: np.log([1.0, 0.5, 1.0, 1.0]))
    monkeypatch.setattr(infer, "LEAST_EFFECTIVE", 1.0)
    readings = Readings((Number("flow", "port", 1e-4),), (("stream", "weak"),), ("cleaned",))
    answer = weigh(found, readings)
    likely = 0.99 * np.asarray([1.0, 2.0, 1.0, 0.5]) + 0.01 * 0.1
    weight = np.asarray([0.1, 0.2, 0.3, 0.4]) * likely * [1.0, 0.5, 0.5, 1.0]
    assert answer.weight.tolist() == pytest.approx((weight / weight.sum()).tolist())
    assert answer.effective == pytest.approx(weight.sum() ** 2 / (weight**2).sum())
    astray = 0.001 / likely
    assert answer.astray == pytest.approx(float(answer.weight @ astray))
    assert answer.wider == 1.0
    monkeypatch.setattr(infer, "LEAST_EFFECTIVE", 40.0)
    assert weigh(found, readings, 3).wider == pytest.approx(1.3**3)
    told = weigh(found, Readings(signs=(("stream", "weak"),)))
    assert told.wider == 1.0 and told.astray == 0.0
    streams = weigh(found, Readings(streams=(("port", "weak"),)))
    assert streams.weight.tolist() == pytest.approx(told.weight.tolist())


# --------------------------------------------------------------------------------- sea and volts


def test_a_sea_is_looked_at_three_kelvin_beyond_the_season_and_believed_five_more():
    case = shipped(KETCH)
    known = season(case).temperatures
    low, high = simulate.usual_seas(case)
    assert (low, high) == (max(min(known) - 3.0, 2.0), min(max(known) + 3.0, 36.0))
    assert simulate.believed_seas(case) == (low - 5.0, high + 5.0)


def test_the_density_of_evenly_drawn_values():
    values = np.linspace(0.8, 1.2, 401)
    found = simulate._density(np.asarray([0.5, 0.8, 1.0, 1.2, 1.5]), values)
    assert found.tolist() == pytest.approx([0.0, 1.25, 2.5, 1.25, 0.0], abs=1e-6)


def test_volts_and_sea_that_were_read_are_met_by_every_boat(monkeypatch):
    monkeypatch.setattr(simulate, "supply_range", lambda _: (10.0, 12.0, 14.0))
    rows = (fault("low_volts", low=0.2, high=0.6),)
    setup = SimpleNamespace(faults=rows, index=lambda name: 0 if name == "low_volts" else NONE)
    hypotheses = fleet(faults=rows).hypotheses
    hypotheses = replace(hypotheses, severity=np.asarray([[0.0, 0.0, 0.5, 0.5]]))
    drawn = (np.asarray([0.0, 0.5, 0.5, 1.0]), np.asarray([0.0, 1.0, 0.0, 0.0]))
    volts, weight = simulate._volts(setup, hypotheses, None, drawn)
    assert volts.tolist() == pytest.approx([10.0, 12.0, 6.0, 7.0]) and not weight.any()
    volts, weight = simulate._volts(setup, hypotheses, 12.0, drawn)
    off = float(instruments()["volts"].deviation(12.0))
    assert volts.tolist() == pytest.approx([12.0, 12.0 + off, 12.0, 12.0])
    # a triangle of 10 to 14 V about 12 V is 6 high for a share of one; nothing sags so little
    stray = 0.01
    assert np.exp(weight[0]) == pytest.approx(6.0, rel=0.05)
    assert np.exp(weight[2]) == pytest.approx(stray)
    volts, weight = simulate._volts(setup, hypotheses, 7.2, drawn)
    assert np.exp(weight[0]) == pytest.approx(stray)
    assert np.exp(weight[2]) == pytest.approx(2.5, rel=0.02)
    assert simulate._volts(setup, hypotheses, 2.4, drawn)[1][2] > np.log(1.0)  # still further
    case = shipped(KETCH)
    warm = SimpleNamespace(
        case=case, faults=rows, index=lambda name: 0 if name == "warm_sea" else NONE
    )
    hypotheses = replace(hypotheses, severity=np.asarray([[0.0, 0.0, 4.0, 4.0]]))
    sea, weight = simulate._sea(warm, hypotheses, None, drawn)
    known = season(case)
    assert sea[2:].tolist() == pytest.approx([max(known.temperatures) + 4.0] * 2)
    assert sea[0] == pytest.approx(float(known.at(np.zeros(1))[0])) and not weight.any()
    sea, _ = simulate._sea(warm, hypotheses, 20.0, drawn)
    assert sea.tolist() == pytest.approx([20.0, 20.0 + instruments()["sea"].error, 20.0, 20.0])
    assert simulate._sea(warm, hypotheses, -5.0, drawn)[0].tolist() == [-1.5] * N


# ------------------------------------------------------------------------- drawn once, and learnt


def test_the_sea_from_which_on_a_boat_trips():
    """Room falls by two kelvin for each of the sea, or as it did."""
    seas = (10.0, 15.0, 20.0, 25.0, 30.0)
    room = np.asarray(
        [
            [30.0, 20.0, 12.0, 6.0],
            [20.0, 10.0, 2.0, 0.0],
            [10.0, 1.0, 0.0, 0.0],
            [4.0, 0.0, 0.0, 0.0],
            [2.0, 0.0, 0.0, 0.0],
        ]
    )
    dry = room == 0.0
    found = trips_from(seas, dry, room)
    assert found[0] == np.inf
    assert found[1] == pytest.approx(20.0 + 1.0 / (9.0 / 5.0))
    assert found[2] == pytest.approx(15.0 + 2.0 / 2.0)
    assert 10.0 < found[3] <= 15.0
    assert trips_from(seas, np.ones((5, 1), dtype=bool), np.zeros((5, 1)))[0] == -np.inf


def test_how_a_rise_grows_is_of_boats_that_run_and_rise_at_all():
    rises = np.asarray([[5.0, 10.0, 0.5, 8.0], [5.5, 12.0, 9.0, 16.0]])
    assert _grows(rises, np.asarray([False, False, False, True])) == pytest.approx(0.15)
    assert _grows(rises, np.ones(4, dtype=bool)) == 0.0
    assert _grows(
        np.asarray([[5.0, 5.0], [np.nan, 6.0]]), np.zeros(2, dtype=bool)
    ) == pytest.approx(0.2)


def test_sounds_are_of_boats_that_turn_or_of_those_that_stand():
    pair, still = np.asarray([0, 0, 1]), np.asarray([False, True, False])
    found = np.asarray([[0.9, 0.1], [0.2, 0.8], [0.5, 0.5]])
    assert _of_pump(pair, found, still, False).tolist() == [[0.9, 0.1], [0.5, 0.5]]
    assert _of_pump(pair, found, still, True).tolist() == [[0.2, 0.8], [0.5, 0.5]]


def test_boats_on_a_page_are_as_many_as_it_can_carry():
    def plan(units, outlets):
        return SimpleNamespace(
            places=SimpleNamespace(units=("u",) * units, outlets=("o",) * outlets)
        )

    assert room_for([plan(1, 1)]) == 1_350_000 // 110 // 512 * 512
    assert room_for([plan(1, 1), plan(1, 2)]) == 1_350_000 // (110 + 148) // 512 * 512
    assert room_for([plan(3, 2)]) == 3_800_000 // 148 // 512 * 512
    assert room_for([plan(2, 2)] * 2) == 3_800_000 // 296 // 512 * 512
    assert room_for([plan(2, 2)] * 4) == 3_800_000 // 592 // 512 * 512
    assert room_for([plan(6, 1)]) == room_for([plan(8, 1)]) == 3_800_000 // 110 // 512 * 512


@pytest.mark.parametrize(
    ("after", "told", "apart"),
    [
        ((0.95, 1.0, 1.05), True, False),
        ((0.84, 1.0, 1.16), True, False),
        ((0.82, 1.0, 1.17), False, False),
        ((1.031, 1.2, 1.43), True, True),
        ((1.02, 1.2, 1.43), False, False),
        ((0.6, 0.8, 0.969), True, True),
        ((0.6, 0.8, 0.98), False, False),
    ],
)
def test_a_figure_is_told_where_it_was_narrowed_or_is_another(after, told, apart):
    one = Learnt("coil", (0.8, 1.0, 1.2), after, "coil_given", True)
    assert (one.told, one.apart) == (told, apart)
    offset = replace(one, is_factor=False)
    assert not offset.apart
    assert not replace(one, before=(1.0, 1.0, 1.0), after=(1.0, 1.0, 1.0)).told


def test_a_coil_that_takes_more_than_its_sheet_is_told():
    more = Learnt("coil of a", (0.8, 1.0, 1.2), (1.1, 1.3, 1.5), "coil_given", True)
    less = replace(more, label="coil of b", after=(0.5, 0.6, 0.7), name="coil_generic")
    other = replace(more, name="barbs")
    own = OwnBoat(np.zeros((3, 4)), (more, less, other), 2)
    one, two = coils_apart(own)
    assert (one.kind, one["label"], one["times"]) == ("design.coil_takes_more", "coil of a", 1.3)
    assert (one["low"], one["high"]) == (1.1, 1.5)
    assert (two.kind, two["label"], two["times"]) == ("design.coil_takes_less", "coil of b", 0.6)
