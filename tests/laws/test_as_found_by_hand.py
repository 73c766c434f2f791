"""Rules of the survey on what is found on board: dirt, drains, turned coils, switches, on paper."""

from types import SimpleNamespace

import numpy as np
import pytest

from seaflow.physics.flow.runs import flow_to_run_full
from seaflow.studies.design.limits import limit
from seaflow.studies.survey import as_found, wiring
from seaflow.studies.survey.rules import Breach, Kept, Unknown
from seaflow.studies.survey.running import BLOCKED
from seaflow.studies.survey.severity import NEXT, NOW
from tests.helpers.made import made

NO_PUMP = Unknown("pump", "pump", "fitted")
CASE = SimpleNamespace(design=SimpleNamespace(blocked_share=0.5))
EVIDENCE = SimpleNamespace(case=CASE, carrier=lambda name: name)


def word(found):
    """Kept, the key that is asked for, or what was found."""
    if isinstance(found, Kept):
        return "kept"
    return f"ask {found.key}" if isinstance(found, Unknown) else found.found.kind.partition(".")[2]


def water(flow, rise=float("nan")):
    flows = np.broadcast_to(np.asarray(flow, float), BLOCKED.shape)
    return SimpleNamespace(volume_flow=flows, temperature_rise=np.full(BLOCKED.shape, rise))


def run(matted, even=None, **more):
    """A loop that runs: of each unit its flow over the blocked share, by either kind of dirt."""
    points = []
    for flows in (even or matted, matted):
        units = {name: water(flow, **more) for name, flow in flows.items()}
        total = np.sum([one.volume_flow for one in units.values()], axis=0)
        points.append(SimpleNamespace(units=units, total_flow=lambda total=total: total))
    return SimpleNamespace(point=points[0], matted=points[1])


def asked(monkeypatch, *units):
    """What units need and the least that they run with."""
    rows = [
        made(as_found.UnitLimit, unit=name, need=need, clean=clean, least=least)
        for name, need, clean, least in units
    ]
    monkeypatch.setattr(as_found, "limits", lambda run: rows)


FALLING = 10.0 * (1.0 - BLOCKED)  # of a unit that has 10 with a clean basket


def test_dirt_is_judged_by_the_worse_of_its_kinds():
    now = run({"a": FALLING}, {"a": 2.0 * FALLING})
    assert as_found._at(now, "a", 0.25) == pytest.approx(7.5)
    now = run({"a": 2.0 * FALLING}, {"a": FALLING})
    assert as_found._at(now, "a", 0.255) == pytest.approx(7.45)
    now = run({"a": np.where(BLOCKED > 0.5, np.nan, 3.0)})
    assert as_found._at(now, "a", 0.8) == 0.0


@pytest.mark.parametrize(
    ("blocked", "told", "in_numbers", "near"),
    [
        (0.10, "kept", None, None),
        (0.39, "kept", None, None),
        (0.42, "blocked_now", ("gets_less_than_need", "a", 5.8, 6.0), None),
        (0.61, "blocked_now", ("gets_less_than_need", "a", 3.9, 6.0), None),
        (0.90, "blocked_now", ("gets_less_than_least", "b", 2.0, 3.0), NOW),
    ],
)
def test_a_dirty_basket_is_judged_by_the_unit_that_is_worst_off(
    monkeypatch, blocked, told, in_numbers, near
):
    asked(
        monkeypatch,
        ("a", 6.0, 10.0, 0.5),
        ("b", 9.0, 20.0, 3.0),
        ("short when clean", 9.0, 1.0, 8.0),
    )
    now = run({"a": FALLING, "b": 2.0 * FALLING, "short when clean": np.ones_like(BLOCKED)})
    found = as_found._dirty(EVIDENCE, SimpleNamespace(name="strainer"), now, blocked)
    assert word(found) == told
    if in_numbers:
        assert found.found["share"] == blocked and found.where == "strainer"
        (fact,) = found.in_numbers
        flow, asks = fact["flow"].value, fact["asks"].value
        assert (fact.kind.partition(".")[2], fact["unit"]) == in_numbers[:2]
        assert (flow, asks) == pytest.approx(in_numbers[2:])
        assert found.near == near


def test_a_need_that_is_all_but_met_is_met_and_then_the_design_says_when_to_clean(monkeypatch):
    asked(monkeypatch, ("a", 6.0, 10.0, 0.5))
    strainer = SimpleNamespace(name="strainer")
    flows = run({"a": np.full_like(BLOCKED, 5.95)})
    assert word(as_found._dirty(EVIDENCE, strainer, flows, 0.49)) == "kept"
    found = as_found._dirty(EVIDENCE, strainer, flows, 0.5)
    assert word(found) == "blocked_now" and found.near is None
    assert found.in_numbers[0].kind == "survey.cleaning_due"
    assert found.in_numbers[0]["share"] == 0.5


def surveyed(**more):
    return SimpleNamespace(**{"no_pump": NO_PUMP, "run": None} | more)


def seen(**more):
    return SimpleNamespace(**more)


def test_a_basket_that_is_clean_or_was_not_looked_at():
    def told(loop, before):
        strainer = SimpleNamespace(name="strainer", seen=before)
        loop.strainers = [strainer]
        (found,) = as_found.basket_dirty(SimpleNamespace(case=CASE, loops=[loop]))
        return word(found)

    assert told(surveyed(), None) == told(surveyed(), seen(blocked_now=None)) == "ask blocked_now"
    assert told(surveyed(), seen(blocked_now=0.0)) == "kept"
    assert told(surveyed(), seen(blocked_now=0.1)) == "ask fitted"


@pytest.mark.parametrize(
    ("teed", "suction", "told"),
    [
        (None, True, "ask drain_teed_in"),
        (False, True, "kept"),
        (True, True, "drain_before_pump"),
        (True, False, "drain_behind_pump"),
    ],
)
def test_a_drain_teed_into_a_hose_is_told_by_its_side_of_the_pump(teed, suction, told):
    hose = SimpleNamespace(label="hose", seen=seen(drain_teed_in=teed))
    network = SimpleNamespace(hoses=[hose])
    loop = surveyed(network=network, is_suction=lambda hose: suction)
    (found,) = as_found.drain_teed_in(SimpleNamespace(case=CASE, loops=[loop]))
    assert word(found) == told
    assert found == Unknown("hose", "hose", "drain_teed_in") or found.where == "hose"
    hose.seen = None
    (found,) = as_found.drain_teed_in(SimpleNamespace(case=CASE, loops=[loop]))
    assert found == Unknown("hose", "hose", "drain_teed_in")


def test_a_drain_before_the_pump_lets_air_in_where_the_gauge_falls_below_nought(monkeypatch):
    hose = SimpleNamespace(label="hose", from_="strainer", to="pump")
    loop = surveyed(run=run({"a": FALLING}, {"a": FALLING}))

    def gauges(at):
        lowest = 100.0 if at is loop.run.point else 60.0
        return [
            SimpleNamespace(label="strainer", gauge=500.0),
            SimpleNamespace(label="pump", gauge=np.where(BLOCKED <= 0.5, lowest - shift, -9e9)),
            SimpleNamespace(label="pump", gauge=float("nan")),
            SimpleNamespace(label="outlet", gauge=-7e9),
        ]

    monkeypatch.setattr(as_found, "pressures", gauges)
    for shift, kind in ((60.0, "drain_stays_full"), (60.5, "drain_lets_air_in")):
        found = as_found._draws(EVIDENCE, loop, hose)
        (told,) = found.in_numbers
        assert told.kind == f"survey.{kind}" and told["gauge"].value == 60.0 - shift
    loop.run = run({"a": np.zeros_like(BLOCKED)})
    assert as_found._draws(EVIDENCE, loop, hose).in_numbers == ()


def coil(bore, tubes, unit="a"):
    return SimpleNamespace(unit=unit, velocity_bore=bore, n_tubes=tubes)


def test_a_turned_coil_clears_its_air_where_each_of_its_tubes_runs_full():
    full = float(flow_to_run_full(0.012))
    assert as_found._clears_at(coil(0.012, 3)) == pytest.approx(3.0 * full)
    assert as_found._clears_at(coil(None, 3)) is None
    loop = surveyed(loop=SimpleNamespace(coils=[coil(0.02, 9, "b"), coil(0.012, 3)]))
    unit = SimpleNamespace(name="a")
    assert as_found._turned(loop, unit).in_numbers == ()
    for flow, kind, near in ((3.001, "coil_clears", None), (2.999, "coil_holds_air", NOW)):
        loop.run = run({"a": flow * full}, rise=0.4)
        found = as_found._turned(loop, unit)
        warmer, clears = found.in_numbers
        assert (clears.kind, found.near) == (f"survey.{kind}", near)
        assert clears["flow"].value == pytest.approx(flow * full)
        assert clears["least"].value == pytest.approx(3.0 * full)
        assert warmer["rise"].value == 0.4
        assert warmer["share"] == pytest.approx(0.4 * limit("liquid_worth"))
    loop.run = run({"a": 9.0}, rise=50.0)
    share = as_found._turned(loop, unit).in_numbers[0]["share"]
    assert share == pytest.approx(limit("liquid_most") * limit("liquid_worth"))
    for rise in (0.0, -1.0, float("nan"), float("inf")):
        loop.run = run({"a": 9.0}, rise=rise)
        assert [one.kind for one in as_found._turned(loop, unit).in_numbers] == [
            "survey.coil_clears"
        ]
    assert as_found._turned(loop, SimpleNamespace(name="b")).in_numbers == ()
    loop.loop.coils[1] = coil(None, 3)
    loop.run = run({"a": 9.0}, rise=0.4)
    found = as_found._turned(loop, unit)
    assert len(found.in_numbers) == 1 and found.near is None


def test_a_switch_trips_a_unit_that_has_enough_and_no_other(monkeypatch):
    asked(monkeypatch, ("a", 6.0, 10.0, 4.0), ("b", 6.0, 10.0, 20.0))
    now = run({"a": FALLING, "b": FALLING, "no limit": FALLING})

    def told(unit, trip):
        found = as_found._trips(EVIDENCE, now, unit, trip)
        return found if isinstance(found, Breach) else "kept"

    assert told("a", 4.9) == told("b", 15.0) == told("no limit", 15.0) == "kept"
    dirty = told("a", 5.1)
    assert (dirty.found.kind, dirty.near, dirty.found["share"]) == ("survey.trips_dirty", NEXT, 0.5)
    assert told("a", 10.0).found.kind == "survey.trips_dirty"
    clean = told("a", 10.1)
    assert (clean.found.kind, clean.near, clean.found["share"]) == ("survey.trips_clean", NOW, 0.0)
    assert (clean.found["trip"].value, clean.found["flow"].value) == (10.1, 10.0)


@pytest.mark.parametrize(
    ("before", "told"),
    [
        (None, "ask low_flow_trip"),
        (seen(low_flow_trip=None), "ask low_flow_trip"),
        (seen(low_flow_trip=0.0), "no_low_flow_trip"),
        (seen(low_flow_trip=1.0), "ask fitted"),
    ],
)
def test_a_switch_that_is_there(before, told):
    network = SimpleNamespace(units=[SimpleNamespace(name="a", seen=before)])
    (found,) = as_found.low_flow_trip(SimpleNamespace(case=CASE, loops=[surveyed(network=network)]))
    assert word(found) == told


def test_a_coil_that_is_turned():
    def told(before):
        network = SimpleNamespace(units=[SimpleNamespace(name="a", seen=before)])
        loop = surveyed(network=network)
        (found,) = as_found.coil_reversed(SimpleNamespace(case=CASE, loops=[loop]))
        return word(found)

    assert told(None) == told(seen(water_reversed=None)) == "ask water_reversed"
    assert told(seen(water_reversed=False)) == "kept"
    assert told(seen(water_reversed=True)) == "coil_reversed"


def test_each_pump_is_held_to_the_supply_that_it_has():
    parts = {
        "dc": SimpleNamespace(voltage=12.0, current="dc", runs_on=lambda *on: on == ("dc", 12.0)),
        "ac": SimpleNamespace(voltage=230.0, current="ac", runs_on=lambda *on: on == ("ac", 230.0)),
    }
    supplies = {"one": ("dc", 12.0), "two": ("ac", 230.0)}

    def on_supply_of(pump):
        current, volts = supplies[pump.name]
        return SimpleNamespace(
            supply=SimpleNamespace(current=current, voltage=volts, frequency=None)
        )

    for fitted, told in (
        (("dc", "ac"), ["kept", "kept"]),
        (("ac", "ac"), ["other_supply", "kept"]),
        (("dc", "dc"), ["kept", "other_supply"]),
        ((None, "dc"), ["ask fitted", "other_supply"]),
        (("dc", None), ["kept", "ask fitted"]),
    ):
        pumps = [
            SimpleNamespace(name=name, fitted=part)
            for name, part in zip(supplies, fitted, strict=True)
        ]
        case = SimpleNamespace(
            pump=pumps, on_supply_of=on_supply_of, catalogue=SimpleNamespace(pump=parts.get)
        )
        found = list(wiring.pump_supply(SimpleNamespace(case=case)))
        assert [word(one) for one in found] == told
        for one, pump in zip(found, pumps, strict=True):
            if isinstance(one, Breach):
                assert one.where == pump.name
                assert one.found["volts"].value == parts[pump.fitted].voltage
                assert one.found["current"] == pump.fitted.upper()
                assert one.found["supply"]["volts"].value == supplies[pump.name][1]
