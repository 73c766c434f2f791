"""Rules of the survey on wires, mains, baskets and coils, and lines of a picture: on paper."""

from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from made import L, made
from sizing import MOTOR, shipped

from seaflow.base.facts import fact
from seaflow.physics.electric.wiring import conductor_sizes, largest_fuse
from seaflow.studies.design.limits import limit
from seaflow.studies.size import curves
from seaflow.studies.size.curves import Crossing, PumpLine
from seaflow.studies.size.demand import flow_from
from seaflow.studies.survey import machines, wiring
from seaflow.studies.survey.rules import Breach, Kept, Unknown
from seaflow.studies.survey.running import UnitLimit
from seaflow.studies.survey.severity import LATER, NEXT, NOW
from seaflow.studies.survey.wiring import Conductor, conductor_of

AC, DC = SimpleNamespace(current="ac", voltage=230.0), SimpleNamespace(current="dc", voltage=12.0)


def verdict(found):
    """Kept, the key that is asked for, or what was found, in a word."""
    if isinstance(found, Kept):
        return "kept"
    if isinstance(found, Unknown):
        return f"ask {found.key}"
    return found.found.kind.removeprefix("survey.")


def pump(supply=None, cable=None, **seen):
    told = {"breaker": None, "earthed": None, "residual_current_device": None}
    told |= {"in_petrol_space": None, "ignition_protected": None}
    looked = SimpleNamespace(**told | seen) if seen else None
    told = {"supply": supply, "cable": cable, "seen": looked, "point": None}
    return SimpleNamespace(name="pump", table="pump", **told)


def evidence(*pumps, supply=DC, supplies=None, partial=None, battery=None, duty=(), **boat):
    case = SimpleNamespace(
        pump=pumps,
        supply=supply,
        supplies=supplies or (supply,),
        battery=battery,
        duty=[SimpleNamespace(source=one) for one in duty],
    )
    told = {"mains_aboard": None, "mains_earthed": None, "mains_residual_current_device": None}
    return SimpleNamespace(case=case, boat=SimpleNamespace(**told | boat), partial=partial or {})


def cable(area, hot=False):
    return SimpleNamespace(conductor=area, hot_space=hot, length=5.0)


# ------------------------------------------------------------------------------------------- wires


def test_a_conductor_carries_what_the_next_smaller_size_of_the_table_does():
    rows = sorted(conductor_sizes("metric"), key=lambda row: row["area"])
    for less, more in pairwise(rows):
        between = 0.5 * (less["area"] + more["area"])
        for area, row in ((less["area"], less), (between, less), (0.9995 * more["area"], more)):
            found = conductor_of(evidence(), pump(cable=cable(area)))
            assert found.carries == row["ampacity"]
            assert found.carries_hot == pytest.approx(limit("hot_conductor") * row["ampacity"])
    thin = conductor_of(evidence(), pump(cable=cable(0.5 * rows[0]["area"])))
    assert thin.carries == 0.0
    assert conductor_of(evidence(), pump()) is None
    part = {("pump", "pump", "cable"): {"conductor": rows[3]["area"], "hot_space": True}}
    found = conductor_of(evidence(partial=part), pump())
    assert (found.hot, found.area) == (True, rows[3]["area"])
    own = conductor_of(evidence(partial=part), pump(cable=cable(rows[0]["area"], None)))
    assert (own.hot, own.area, own.carries_there) == (None, rows[0]["area"], None)
    wire = Conductor(True, 1e-6, 20.0, 15.0)
    assert wire.carries_there == 15.0 and replace(wire, hot=False).carries_there == 20.0


def fuse(rated, hot):
    wire = Conductor(hot, 2.5e-6, 20.0, 17.0)
    return list(wiring._fuse(evidence(), pump(), rated, wire))


@pytest.mark.parametrize(
    ("rated", "hot", "told"),
    [
        (17.0, None, ["kept"]),
        (17.1, False, ["kept"]),
        (20.0, False, ["kept"]),
        (17.1, True, ["fuse_too_large"]),
        (17.1, None, ["ask cable"]),
        (20.0, None, ["ask cable"]),
        (20.1, None, ["ask cable", "fuse_too_large"]),
        (20.1, False, ["fuse_too_large"]),
        (500.0, None, ["fuse_too_large"]),
    ],
)
def test_a_fuse_is_held_to_what_its_conductor_carries_where_it_runs(rated, hot, told):
    found = fuse(rated, hot)
    assert [verdict(one) for one in found] == told
    breach = found[-1]
    if isinstance(breach, Breach):
        carries = 17.0 if hot else 20.0
        most = largest_fuse(carries, 12.0)
        assert breach.found["breaker"].value == rated and breach.found["carries"].value == carries
        assert breach.in_numbers[0]["most"].value == most
        assert len(breach.in_numbers) == (2 if hot else 1)
        assert breach.near == (None if rated > most else LATER)


def test_a_fuse_that_is_there_and_a_conductor_thick_enough():
    def told(rule, *given, **more):
        return [verdict(one) for one in rule(evidence(pump(*given, **more)))]

    assert told(wiring.pump_no_fuse) == ["ask breaker"]
    assert told(wiring.pump_no_fuse, breaker=0.0) == ["no_fuse"]
    assert told(wiring.pump_no_fuse, breaker=10.0) == ["kept"]
    thick = cable(6e-6)
    assert told(wiring.pump_wire_too_thin, cable=thick) == ["ask breaker"]
    assert told(wiring.pump_wire_too_thin, breaker=10.0) == ["ask cable"]
    assert told(wiring.pump_wire_too_thin, breaker=0.0, cable=thick) == ["kept"]
    assert told(wiring.pump_wire_too_thin, breaker=10.0, cable=thick) == ["kept"]
    least = min(row["area"] for row in conductor_sizes("metric") if row["allowed"])
    for area, word in (
        (least, "kept"),
        (0.9995 * least, "kept"),
        (0.998 * least, "small_conductor"),
    ):
        (found,) = wiring.pump_conductor_small(evidence(pump(cable=cable(area))))
        assert verdict(found) == word
    for area, near in ((0.82e-6, LATER), (0.8193e-6, LATER), (0.818e-6, None)):
        (found,) = wiring.pump_conductor_small(evidence(pump(cable=cable(area))))
        assert found.near == near and found.found["least"].value == least
    assert [verdict(one) for one in wiring.pump_conductor_small(evidence(pump()))] == ["ask cable"]


# ------------------------------------------------------------------------------------------- mains


@pytest.mark.parametrize(
    ("told", "aboard"),
    [
        ({}, None),
        ({"mains_aboard": False}, False),
        ({"mains_aboard": True}, True),
        ({"supplies": (DC, AC), "mains_aboard": False}, True),
        ({"duty": ("battery", "shore")}, True),
        ({"duty": ("generator",)}, True),
        ({"duty": ("battery",)}, None),
        ({"battery": SimpleNamespace(inverter_efficiency=0.9)}, True),
        ({"battery": SimpleNamespace(inverter_efficiency=None)}, None),
    ],
)
def test_mains_are_aboard_where_anything_tells_of_them(told, aboard):
    assert wiring.mains_aboard(evidence(**told)) is aboard


@pytest.mark.parametrize(
    ("supply", "mains", "there", "word", "near"),
    [
        (AC, None, True, "kept", None),
        (AC, None, None, "ask", None),
        (AC, None, False, "pump", None),
        (DC, None, False, "kept", None),
        (DC, False, False, "kept", None),
        (DC, True, False, "beside", "near"),
        (DC, True, None, "kept", None),
        (DC, True, True, "kept", None),
    ],
)
def test_a_pump_is_guarded_on_mains_and_beside_them(supply, mains, there, word, near):
    for rule, key, alone, close, how in (
        (wiring.pump_not_earthed, "earthed", "pump_not_earthed", "unearthed_beside_mains", NEXT),
        (
            *(wiring.pump_no_residual_current_device, "residual_current_device"),
            *("pump_not_guarded", "not_guarded_beside_mains", LATER),
        ),
    ):
        (found,) = rule(evidence(pump(**{key: there}), supply=supply, mains_aboard=mains))
        wanted = {"ask": f"ask {key}", "pump": alone, "beside": close}.get(word, word)
        assert verdict(found) == wanted
        if near:
            assert found.near == how
        own = pump(supply, **{key: there})
        (again,) = rule(evidence(own, supply=DC, mains_aboard=mains))
        assert verdict(again) == wanted


def test_all_mains_are_guarded():
    for rule, key in (
        (wiring.mains_not_earthed, "mains_earthed"),
        (wiring.mains_no_residual_current_device, "mains_residual_current_device"),
    ):

        def told(aboard, there, rule=rule, key=key):
            (found,) = rule(evidence(mains_aboard=aboard, **{key: there}))
            return verdict(found)

        assert told(False, False) == told(None, True) == told(True, True) == "kept"
        assert told(None, None) == "ask mains_aboard" and told(True, None) == f"ask {key}"
        assert told(True, False) == told(None, False)
        assert told(True, False) in ("mains_not_earthed", "mains_not_guarded")


@pytest.mark.parametrize(
    ("inside", "protected", "word"),
    [
        (False, None, "kept"),
        (None, True, "kept"),
        (True, True, "kept"),
        (None, None, "ask in_petrol_space"),
        (None, False, "ask in_petrol_space"),
        (True, None, "ask ignition_protected"),
        (True, False, "not_ignition_protected"),
    ],
)
def test_what_may_spark_in_petrol_vapour_is_protected(inside, protected, word):
    boat = SimpleNamespace(compartment=())
    thing = pump(in_petrol_space=inside, ignition_protected=protected)
    assert verdict(wiring._ignition(boat, thing)) == word
    assert verdict(wiring._ignition(boat, pump())) == "ask in_petrol_space"


# ------------------------------------------------------------------------------- baskets and coils


def strainer(level=-0.3, hole=None, model=None):
    seen = None if hole is None else SimpleNamespace(hole=hole)
    return SimpleNamespace(name="s", level=level, seen=seen, model=model)


def loop(bore=0.019, port=0.019, area=40e-4, share=0.4, flow=20.0, found=True):
    basket = SimpleNamespace(name="s", basket_area=area, open_share=share, bore=port)
    network = SimpleNamespace(
        arriving=lambda name: [SimpleNamespace(bore=0.016), SimpleNamespace(bore=bore)],
        things={"s": None},
    )
    total = np.full(3, flow * L)
    run = SimpleNamespace(point=SimpleNamespace(total_flow=lambda: total))
    return SimpleNamespace(
        name="l",
        strainers=[strainer()],
        loop=SimpleNamespace(strainers=[basket]),
        network=network,
        before_pump=lambda name: found,
        run=run,
        no_pump=Unknown("pump", "pump", "fitted"),
    )


def of_loops(rule, *loops, **case):
    return [
        verdict(one) for one in rule(SimpleNamespace(loops=loops, case=SimpleNamespace(**case)))
    ]


def test_a_basket_is_held_to_the_widest_hose_that_leads_to_it():
    hose = np.pi * 0.019**2 / 4.0
    for times, word in ((3.0001, "kept"), (2.9999, "small_basket")):
        assert of_loops(machines.strainer_area, loop(area=times * hose / 0.4)) == [word]
    for missing in ({"area": None}, {"share": None}):
        assert of_loops(machines.strainer_area, loop(**missing)) == ["ask basket_area"]
    assert of_loops(machines.strainer_ports, loop()) == ["kept"]
    assert of_loops(machines.strainer_ports, loop(port=0.016)) == ["narrow_ports"]
    assert of_loops(machines.strainer_ports, loop(bore=0.025, port=0.025)) == ["kept"]
    assert of_loops(machines.strainer_missing, loop()) == ["kept"]
    assert of_loops(machines.strainer_missing, loop(found=False)) == ["no_strainer"]


def test_holes_are_neither_too_fine_nor_too_wide(monkeypatch):
    monkeypatch.setattr(machines, "sheet_of", lambda _, one: one.model)

    def told(hole, sheet=None):
        (found,) = machines.strainer_mesh(
            SimpleNamespace(case=SimpleNamespace(strainer=[strainer(hole=hole, model=sheet)]))
        )
        return verdict(found)

    assert told(None) == "ask hole"
    for hole, word in (
        (1.5e-3, "kept"),
        (1.4987e-3, "kept"),
        (1.497e-3, "holes"),
        (3.0e-3, "kept"),
        (3.002e-3, "kept"),
        (3.005e-3, "holes"),
    ):
        assert told(hole) == word
        assert told(None, SimpleNamespace(hole=hole)) == word
    assert told(2e-3, SimpleNamespace(hole=9e-3)) == "kept"  # what was seen stands before the sheet


def test_a_strainer_is_rated_for_twice_what_runs_and_lies_under_water(monkeypatch):
    sheet = SimpleNamespace(rated_flow=40.0 * L)
    monkeypatch.setattr(machines, "sheet_of", lambda *_: sheet)
    assert of_loops(machines.strainer_rating, loop(flow=20.0)) == ["kept"]
    assert of_loops(machines.strainer_rating, loop(flow=20.1)) == ["rated_too_low"]
    sheet.rated_flow = None
    assert of_loops(machines.strainer_rating, loop()) == ["ask model"]
    still = loop()
    still.run = None
    assert of_loops(machines.strainer_rating, still) == ["ask fitted"]
    monkeypatch.setattr(machines, "pressure_at", lambda run, name: (fact("x"),) if run else ())

    def told(level):
        case = SimpleNamespace(strainer=[strainer(level)])
        (found,) = machines.strainer_above_water(SimpleNamespace(case=case, loops=[loop()]))
        return found

    assert verdict(told(None)) == "ask height" and verdict(told(-0.01)) == "kept"
    for level in (0.0, 0.2):
        assert told(level).found["height"].value == level and len(told(level).in_numbers) == 1


def unit_limit(clean, need=10.0, least=6.0):
    told = {"clean": clean * L, "need": need * L, "least": least * L, "set_by": fact("need.rise")}
    return made(UnitLimit, unit="a", **told)


def test_a_unit_below_its_need_is_as_near_to_harm_as_it_is_short():
    assert verdict(machines._short(unit_limit(9.91))) == "kept"
    found = machines._short(unit_limit(9.89))
    assert (found.found["share"], found.found["need"].value) == (pytest.approx(0.011), 10.0 * L)
    assert [one.kind for one in found.in_numbers] == ["survey.need_set_by", "survey.has_least"]
    assert machines._short(unit_limit(6.0)).in_numbers[1].kind == "survey.has_least"
    trips = machines._short(unit_limit(5.99))
    assert trips.in_numbers[1].kind == "survey.may_trip" and trips.near == NOW


def test_water_in_a_coil_is_held_to_its_own_alloy():
    case = shipped(MOTOR)
    alloy = "90-10 copper-nickel"
    most = case.catalogue.fastest_water(alloy)[1]
    for velocity, word in ((most, "kept"), (1.001 * most, "fast_in_coil"), (None, "kept")):
        coil = SimpleNamespace(unit="a", velocity=lambda flow, velocity=velocity: velocity)
        found = machines._speed(SimpleNamespace(case=case), coil, alloy, 1e-4)
        assert verdict(found) == word
    network = SimpleNamespace(
        units=[SimpleNamespace(name="a", water_loss=()), SimpleNamespace(name="b", water_loss=(1,))]
    )
    some = SimpleNamespace(network=network)
    assert machines._loss_unknown(some, "a").key == "water_loss"
    assert machines._loss_unknown(some, "b") is None


# ------------------------------------------------------------------------------ lines of a picture


def test_from_which_flow_of_the_pump_on_a_unit_has_enough():
    flow = np.asarray([1.0, 2.0, 3.0, 4.0])
    assert flow_from(flow, np.asarray([0.5, 1.0, 1.5, 2.0]), 1.25) == pytest.approx(2.5)
    assert flow_from(flow, np.asarray([0.5, 1.6, 1.0, 2.0]), 1.5) == pytest.approx(3.5)  # a step
    assert flow_from(flow, np.asarray([0.5, 1.0, 1.5, 2.0]), 2.1) is None
    assert flow_from(flow, np.asarray([0.5, 1.0, 1.5, 2.0]), 0.5) == 1.0
    assert flow_from(flow, np.asarray([0.5, 1.0, 1.5, 2.0]), 2.0) == pytest.approx(4.0)


def swept(flow, full):
    found = SimpleNamespace(volume_flow=np.asarray(flow), head=np.asarray(flow) * 10.0)
    place = SimpleNamespace(name="p")
    return SimpleNamespace(
        pumps={"p": found}, loop=SimpleNamespace(pumps=[place]), full=np.asarray(full)
    )


def test_from_which_flow_on_every_leg_runs_full():
    both = [[True, False, True, True, True], [True, False, False, True, True]]
    assert curves._fills_at(swept([0.0, 1.0, 2.0, 3.0, 4.0], both)) == 3.0
    assert curves._fills_at(swept([1.0, 2.0], [[True, True]])) is None
    assert curves._fills_at(swept([1.0, 2.0], [[True, False]])) is None
    assert curves._fills_at(swept([0.0, 2.0], [[False, True]])) is None  # at rest nothing is empty
    worst = [SimpleNamespace(name=name, where=fact(f"where.{name}")) for name in ("design", "cold")]
    (line,) = curves._loop_lines({"design": swept([0.0, 1.0, 2.0], [[True] * 3])}, worst)
    assert (line.name, line.flow, line.head) == ("design", (1.0, 2.0), (10.0, 20.0))
    assert not list(curves._loop_lines({"design": swept([0.0], [[True]])}, worst))


def test_crossings_worth_drawing_and_the_curve_at_low_volts(monkeypatch):
    names = ("design", "strainer blocked", "low voltage", "growth", "port down", "cold")
    rows = [
        Crossing(1, name, fact("x"), 2.0 if name != "port down" else 1.0, 1.0) for name in names
    ]
    assert [one.name for one in curves._worth_drawing(rows)] == [*names[:4], "port down"]
    assert curves._worth_drawing([]) == []
    full = made(PumpLine, number=1, flow=(0.0, 2.0), head=(4.0, 0.0))
    points = {"at": ((0.0, 1.8), (3.5, 0.0))}
    monkeypatch.setattr(curves, "_pump_points", lambda *_: points["at"])
    monkeypatch.setattr(curves, "supplied", lambda *_: None)
    place = SimpleNamespace(name="p")
    built = SimpleNamespace(network=SimpleNamespace(pumps=[place]), pumps={"p": None})
    low = [SimpleNamespace(name="low voltage", conditions=None)]
    found = curves._low_volts(None, built, full, low)
    assert (found.flow, found.head, found.number) == ((0.0, 1.8), (3.5, 0.0), 1)
    assert curves._low_volts(None, built, full, []) is None
    for same, drawn in ((((0.0, 2.0), (3.97, 0.0)), False), (((0.0, 2.0), (3.95, 0.0)), True)):
        points["at"] = same
        assert (curves._low_volts(None, built, full, low) is not None) == drawn
    points["at"] = ((0.0, 0.0), (0.0, 0.0))
    assert curves._low_volts(None, built, full, low) is None


def test_a_demand_is_of_the_unit_that_asks_most_of_the_pump():
    flow = np.asarray([1.0, 2.0, 3.0, 4.0])
    point = swept(flow, [[True] * 4])
    point.units = {
        "a": SimpleNamespace(volume_flow=0.25 * flow),
        "b": SimpleNamespace(volume_flow=0.5 * flow),
        "off": SimpleNamespace(volume_flow=0.0 * flow),
    }
    coils = [SimpleNamespace(unit=name, switched_on=name != "off") for name in point.units]
    network = SimpleNamespace(pumps=[None, None])
    built = SimpleNamespace(loop=SimpleNamespace(coils=coils), network=network)
    needs = [
        SimpleNamespace(name=name, flow=need, least=least)
        for name, need, least in (("a", 0.5, 0.3), ("b", 1.5, 0.5), ("off", 9.0, 9.0))
    ]
    asks = SimpleNamespace(most=3.5, limited_by="maker")
    found = curves._asked(point, built, SimpleNamespace(needs=needs, asks=asks))
    assert (found.flow, found.head, found.least) == pytest.approx((3.0, 30.0, 1.2))
    assert (found.most, found.limited_by) == (3.5, "maker")
    bare = curves._asked(point, built, SimpleNamespace(needs=needs, asks=None))
    assert (bare.most, bare.limited_by) == (None, "")
    alone = SimpleNamespace(**vars(built) | {"network": SimpleNamespace(pumps=[None])})
    held = SimpleNamespace(**vars(asks) | {"clean_flow": 3.1, "clean_head": 31.0})
    same = curves._asked(point, alone, SimpleNamespace(needs=needs, asks=held))
    assert (same.flow, same.head, same.least) == pytest.approx((3.1, 31.0, 1.2))
    needs[0] = SimpleNamespace(name="a", flow=9.0, least=0.3)
    assert curves._asked(point, built, SimpleNamespace(needs=needs, asks=asks)) is None
