"""What a survey makes of numbers, at each edge: baskets, metals, bilge pumps, points, on paper."""

from dataclasses import replace
from functools import partial
from types import SimpleNamespace

import numpy as np
import pytest
from made import L, kinds_of, made

from seaflow.base.facts import fact
from seaflow.boat.tables.recorded_machines import BilgePump
from seaflow.model.geometry import Immersion
from seaflow.model.point import COOLING, OFF, TRIPS
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.survey import intakes, metals, openings, running, suction
from seaflow.studies.survey.following import changes, earlier_findings, numbered, pairs_of
from seaflow.studies.survey.judged import holds
from seaflow.studies.survey.rules import Breach, Kept, Unknown
from seaflow.studies.survey.running import (
    AtBlockage,
    LoopRun,
    StrainerResult,
    UnitLimit,
    limits,
    strainer_result,
)
from seaflow.studies.survey.severity import NEXT, NOW, near_by_size

kinds = partial(kinds_of, "survey")


# ------------------------------------------------------------------------------ as a basket blocks


def unit(flow, rise=5.0, state=COOLING):
    flow = np.broadcast_to(flow, 100) * L
    return SimpleNamespace(
        volume_flow=flow,
        temperature_rise=np.broadcast_to(rise, 100),
        state=np.broadcast_to(state, 100),
    )


def point(gauge=None, **units):
    total = sum(one.volume_flow for one in units.values())
    return SimpleNamespace(units=units, total_flow=lambda: total, gauge=gauge)


BLOCKED = np.arange(100) / 100.0
FALLING = 10.0 * (1.0 - BLOCKED**2)  # L/min


def need(flow, least, name="a"):
    return made(UnitNeed, name=name, flow=flow * L, least=least * L, set_by=fact("need.rise"))


@pytest.fixture(autouse=True)
def gauges(monkeypatch):
    monkeypatch.setattr(running, "pump_gauge", lambda at: at.gauge)


def test_a_basket_is_blocked_too_far_where_a_unit_first_lacks_its_flow():
    even, matted = -1000.0 * (1.0 + BLOCKED), -5000.0 * (1.0 + BLOCKED)
    run = LoopRun(
        {"a": need(8.0, 5.1)},
        point(even, a=unit(FALLING)),
        point(matted, a=unit(10.0 * (1.0 - BLOCKED))),
    )
    (found,) = limits(run)
    assert found.even == pytest.approx(0.71) and found.matted == pytest.approx(0.50)
    # a hundredth less than the need is met still: 7.92 L/min
    assert found.need_even == pytest.approx(0.46) and found.need_matted == pytest.approx(0.21)
    assert (found.need, found.least, found.clean) == (8.0 * L, 5.1 * L, 10.0 * L)
    assert found.gauge_then == pytest.approx(-7500.0)  # at whichever comes first
    assert found.need_gauge == pytest.approx(-5000.0 * 1.21)
    ends = found.of_least[0]["until"]
    assert (ends.kind, ends["even"], ends["matted"]) == (
        "survey.until_blocked",
        found.even,
        found.matted,
    )
    assert found.of_least[1]["gauge"].value == found.gauge_then
    assert found.of_need[0]["need"].value == 8.0 * L


def test_which_of_two_kinds_of_dirt_ends_it():
    one = made(UnitLimit, unit="a", need=8.0 * L, least=5.0 * L, clean=7.0 * L, set_by=fact("x"))
    for even, matted, kind in (
        (None, None, "always"),
        (None, 0.5, "until_matted"),
        (0.7, None, "until_even"),
        (0.7, 0.5, "until_blocked"),
    ):
        for said in (
            replace(one, even=even, matted=matted).of_least[0],
            replace(one, need_even=even, need_matted=matted).of_need[0],
        ):
            assert said["until"].kind == f"survey.{kind}"
            if kind != "until_blocked":
                assert said["until"]["most"] == pytest.approx(0.99)
    none = replace(one, need_even=0.0, even=0.0)
    assert kinds(none.of_need) == ["need_not_met"] and kinds(none.of_least) == ["least_not_met"]
    assert none.of_need[0]["clean"].value == 7.0 * L
    assert kinds(replace(one, gauge_then=-3e3).of_least) == ["least_kept", "gauge_then"]


def test_units_that_need_no_water_or_are_not_there_have_no_limit():
    run = LoopRun(
        {"a": need(0.0, 0.0), "b": need(8.0, 0.0, "b"), "c": need(8.0, 5.0, "c")},
        point(a=unit(FALLING), b=unit(FALLING)),
        point(a=unit(FALLING), b=unit(FALLING)),
    )
    (found,) = limits(run)
    assert (found.unit, found.least) == ("b", 8.0 * L)  # no trip and no maker's least: its need
    assert found.gauge_then is None


def row(gauge, rise, matted_gauge=None, matted_rise=None):
    told = {"inlet_gauge": gauge, "temperature_rise": rise}
    return made(AtBlockage, **told, matted_gauge=matted_gauge, matted_rise=matted_rise)


@pytest.mark.parametrize(
    ("rows", "tells"),
    [
        ([row(-1e3, 5.0), row(-2.9e3, 5.0)], False),
        ([row(-1e3, 5.0), row(-3.1e3, 5.0)], True),
        ([row(-1e3, 5.0), row(-3.1e3, 5.49)], True),
        ([row(-1e3, 5.0), row(-3.1e3, 5.51)], False),
        ([row(-1e3, 5.0), row(-2.9e3, 5.0), row(-9e3, 9.0)], False),
        ([row(None, 5.0), row(-9e3, 5.0)], False),
        ([row(-1e3, None), row(-9e3, 5.0)], False),
        ([row(-1e3, 5.0), row(None, 5.0), row(-9e3, None)], False),
        ([row(None, None, -1e3, 5.0), row(None, None, -3.1e3, 5.0)], True),
        ([], False),
    ],
)
def test_a_gauge_tells_where_it_falls_clearly_before_the_rise_does(rows, tells):
    assert made(StrainerResult, name="s", loop="l", at=tuple(rows)).gauge_tells == tells


def basket(area=40e-4, share=0.4):
    return SimpleNamespace(name="s", basket_area=area, open_share=share, bore=0.025)


def test_a_basket_is_told_by_its_open_area_over_that_of_the_hose():
    run = LoopRun(
        {"a": need(8.0, 5.0)},
        point(-1e3 * (1.0 + BLOCKED), a=unit(FALLING, 4.0), b=unit(2.0, 6.0)),
        point(None, a=unit(FALLING, 4.0, TRIPS), b=unit(2.0, 6.0, OFF)),
    )
    found = strainer_result(basket(), "l", 0.019, run)
    assert found.open_area == pytest.approx(16e-4)
    assert found.over_hose == pytest.approx(16e-4 / (np.pi * 0.019**2 / 4.0))
    assert (found.size.kind, found.size["port"].value) == ("survey.basket", 0.025)
    assert [one.blocked for one in found.at] == pytest.approx([0.0, 0.5, 0.75, 0.9, 0.95])
    half = found.at[1]
    assert (half.flow, half.inlet_gauge) == (pytest.approx(9.5 * L), pytest.approx(-1500.0))
    assert (half.temperature_rise, half.matted_rise, half.matted_gauge) == (6.0, None, None)
    assert (half.stopped, half.matted_stopped) == ((), ("a",))
    for area, share in ((None, 0.4), (40e-4, None)):
        bare = strainer_result(basket(area, share), "l", 0.019, None)
        assert bare.size.kind == "survey.basket_not_recorded"
        assert bare.open_area is bare.over_hose is None and bare.at == bare.units == ()


def test_a_loop_as_it_runs_is_told_with_its_gauge():
    wet = LoopRun({}, point(np.full(100, -2e3), a=unit(FALLING)), point(a=unit(FALLING)))
    flow, gauge = running.as_it_runs(wet)
    assert (flow["flow"].value, gauge["gauge"].value) == (10.0 * L, -2e3)
    assert kinds(running.as_it_runs(replace(wet, point=point(a=unit(FALLING))))) == ["runs"]
    dry = replace(wet, point=point(a=unit(0.0)))
    assert kinds(running.as_it_runs(dry)) == ["no_water_runs"]
    assert running.as_it_runs(None) == () == running.pressure_at(None, "x")


# ------------------------------------------------------------------------------------------ metals


def parts(*materials, table="intake", key="material"):
    return tuple((table, f"part {number}", key, one) for number, one in enumerate(materials))


@pytest.mark.parametrize(
    ("found", "hull", "always", "kind"),
    [
        (parts("bronze", "plain brass"), "plastic", True, None),
        (parts("bronze", "stainless steel"), "plastic", True, "metals"),
        (parts("bronze", "stainless steel"), None, True, "metals_alone"),
        (parts("bronze", None), "steel", True, "metals"),
        (parts("bronze"), "wood", True, None),
        (parts("stainless steel"), "wood", True, "starved_of_air"),
        (parts("stainless steel"), "wood", False, None),
        (parts("stainless steel"), "aluminium", True, "metals"),
        (parts("plain plastic", "reinforced plastic"), "steel", True, None),
        (parts(None, None), "wood", True, None),
    ],
)
def test_metals_in_one_water(found, hull, always, kind):
    said = metals._found(found, hull, always)
    assert (said and said.kind) == (kind and f"survey.{kind}")
    if said is not None:
        assert [one["material"] for one in said["parts"]] == [m for *_, m in found if m]


def test_what_is_made_of_what_is_told_by_its_part():
    for table, key, kind in (
        ("seacock", "tail_material", "tail_of"),
        ("hose", "barb_material", "barb_of"),
        ("seacock", "material", "made_of"),
        ("intake", "material", "made_of"),
    ):
        said = metals._made_of(table, "x", key, "bronze")
        assert (said.kind, said["name"]) == (f"survey.{kind}", "x")


# ----------------------------------------------------------------------------- openings and floods


def bilge(capacity=1e-3, automatic=True, **more):
    return made(BilgePump, name="p", capacity=capacity, automatic=automatic, **more)


@pytest.mark.parametrize(
    ("pumps", "starts"),
    [
        ((bilge(),), True),
        ((bilge(automatic=False), bilge()), True),
        ((bilge(automatic=False),), False),
        ((bilge(automatic=None),), None),
        ((bilge(automatic=False), bilge(automatic=None)), None),
        ((bilge(capacity=0.0),), False),
        ((), None),
    ],
)
def test_a_pump_that_starts_by_itself(pumps, starts):
    assert openings._starts_by_itself(pumps) is starts
    assert openings.is_noticed(True, pumps) is starts
    assert openings.is_noticed(False, pumps) is False
    assert openings.is_noticed(None, pumps) is (False if starts is False else None)


def opening(name, least, most):
    return SimpleNamespace(name=name, flow=least, flow_at_one=most)


def against(found, pumps, alarm=True, volume=None):
    boat = SimpleNamespace(bilge_alarm=alarm, floodable_volume=volume)
    return list(openings._against(SimpleNamespace(boat=boat), "boat", found, pumps))


def test_bilge_pumps_are_held_against_the_largest_opening():
    holes = (opening("small", 1e-3, 2e-3), opening("large", 3e-3, 5e-3))
    assert against((), (bilge(),)) == []
    assert isinstance(against(holes, ())[0], Unknown)
    assert isinstance(against(holes, (bilge(2e-3), bilge(3e-3)))[0], Kept)
    (found,) = against(holes, (bilge(1e-3), bilge(3e-3)), volume=0.6)
    assert isinstance(found, Breach) and found.near is None
    said, stays, fills = found.found, *found.in_numbers
    assert (said["opening"], said["capacity"].value) == ("large", 4e-3)
    assert (said["least"].value, said["most"].value) == (3e-3, 5e-3)
    assert (stays.kind, stays["most"].value) == ("survey.may_stay_in_the_boat", pytest.approx(1e-3))
    assert (fills["volume"].value, fills["minutes"]) == (0.6, pytest.approx(10.0))
    (found,) = against(holes, (bilge(1e-3),), alarm=False)
    assert found.near == NEXT
    assert [found.in_numbers[0][key].value for key in ("least", "most")] == pytest.approx(
        [2e-3, 4e-3]
    )
    (found,) = against(holes, (bilge(0.0),))
    assert found.found.kind == "survey.no_bilge_pump" and found.near == NEXT


def test_water_comes_in_only_under_water():
    assert openings.inflow(0.02, 0.0) == () == openings.inflow(0.02, -0.1)
    (said,) = openings.inflow(0.02, 0.3)
    jet = np.pi * 0.02**2 / 4.0 * np.sqrt(2.0 * 9.80665 * 0.3)
    assert said["most"].value == pytest.approx(jet) and said["depth"].value == 0.3
    assert 0.5 * jet < said["least"].value < 0.7 * jet


# ----------------------------------------------------------------------------------------- intakes


def immersed(upright, starboard, port, emerges=(None, None)):
    return intakes._immersed(Immersion("hole", upright, (starboard, port), emerges), 0.3)


def test_an_intake_is_covered_at_heel_or_told_how_far_it_is_out():
    assert isinstance(immersed(0.5, 0.15, 0.9), Kept)
    shallow = immersed(0.5, 0.9, 0.149)
    assert (shallow.found["depth"].value, shallow.near) == (0.149, NEXT)
    assert shallow.found["upright"].value == 0.5 and shallow.found["heel"].value == 0.3
    out = immersed(0.5, 0.9, -0.02, (None, 0.28))
    assert (out.found["height"].value, out.in_numbers[0]["heel"].value) == (0.02, 0.28)
    both = immersed(0.5, -0.02, -0.01, (0.28, 0.25))
    assert both.found["height"].value == 0.02 and both.in_numbers[0]["heel"].value == 0.25
    assert out.near == near_by_size("out_of_water", 0.02)
    dry = immersed(-0.1, -0.2, -0.1)
    assert (dry.found.kind, dry.found["height"].value) == ("survey.intake_out_at_rest", 0.1)
    assert immersed(0.0, -0.1, 0.1).found.kind == "survey.intake_out_at_rest"
    for item, key in (
        (Immersion("hole", None, None, None), "height"),
        (Immersion("hole", 0.5, None, (None, None)), "starboard"),
        (Immersion("hole", 0.5, (0.1, 0.1), None), "starboard"),
    ):
        assert intakes._immersed(item, 0.3).key == key


def hole(aft, starboard, height=-0.3, name="hole"):
    return SimpleNamespace(name=name, point=(aft, starboard, height), table="skin_fitting")


def test_an_opening_ahead_and_in_line_is_upstream():
    here = hole(5.0, 1.0)
    for aft, starboard, ahead in (
        (4.0, 1.0, True),
        (4.9, 1.49, True),
        (4.0, 1.51, False),
        (4.0, 0.51, True),
        (4.0, 0.49, False),
        (5.1, 1.0, False),
        (5.0, 1.0, False),
    ):
        assert intakes.is_upstream(hole(aft, starboard), here) == ahead
    assert not intakes.is_upstream(SimpleNamespace(point=None), here)
    assert not intakes.is_upstream(here, SimpleNamespace(point=None))


def test_an_engines_intake_is_near_or_in_line():
    near = limit("engine_intake_distance")
    here = hole(5.0, 1.0)

    def kind(aft, starboard, height=-0.3):
        found = intakes._from_engine(here, hole(aft, starboard, height))
        return "" if isinstance(found, Kept) else found.found.kind.removeprefix("survey.")

    assert kind(5.0, 1.0, -0.3 - 0.99 * near) == "opening_near"
    assert kind(5.0, 1.0, -0.3 - 1.01 * near) == "opening_in_line"
    deep = -0.3 - 1.5 * near
    assert kind(5.0, 1.149, deep) == "opening_in_line" and kind(5.0, 1.151, deep) == ""
    assert kind(5.99, 1.0, deep) == "opening_in_line" and kind(6.01, 1.0, deep) == ""
    assert kind(4.01, 0.851, deep) == "opening_in_line" and kind(3.99, 1.0, deep) == ""


def test_a_piece_of_the_suction_is_told_by_its_slope():
    leg = SimpleNamespace(start="a", end="b")
    falls = suction._slope(leg, -0.02, 1.5)
    assert (falls.kind, falls["fall"].value, falls["run"].value) == ("survey.falls", 0.02, 1.5)
    flat = suction._slope(leg, 0.01, 1.5)
    assert (flat.kind, flat["rise"].value) == ("survey.rises_little", 0.01)
    assert suction._slope(leg, 0.0, 1.5).kind == "survey.rises_little"


# ----------------------------------------------------------------- what stands from visit to visit


def rule(word, wanted, key="moves_freely", table="seacock"):
    return SimpleNamespace(test=(word, wanted), table=table, key=key)


def test_a_value_is_held_to_what_a_rule_asks():
    assert holds(rule("good", True), True) and not holds(rule("good", True), False)
    assert holds(rule("good", ["a", "b"]), "b") and not holds(rule("good", ["a", "b"]), "c")
    assert holds(rule("bad", ["a", "b"]), "c") and not holds(rule("bad", ["a", "b"]), "a")
    threads = rule("least", "5", "threads_engaged")
    assert holds(threads, 5) and not holds(threads, 4)
    most = rule("most", "5", "threads_engaged")
    assert holds(most, 5) and not holds(most, 6)


def followed(number, thing, name, state=None, on=None):
    return SimpleNamespace(number=number, thing=thing, rule=name, state=state, on=on)


def test_findings_keep_their_numbers_and_tell_what_became_of_them():
    pairs = list(pairs_of([("a", "r"), ("b", "r"), ("a", "r")]))
    assert pairs == [("a", "r", 0), ("b", "r", 0), ("a", "r", 1)]
    kept = earlier_findings([followed("1", "a", "r"), followed("2", "c", "r", "cured", "May")])
    assert set(kept) == {("a", "r", 0), ("c", "r", 0)}
    later = earlier_findings([followed("1", "a", "r")], [followed("9", "a", "r")])
    assert later[("a", "r", 0)].number == "9"
    numbers = numbered(pairs, kept, lambda pair: "1" if pair[0] == "a" else "2")
    assert numbers == {
        **{("a", "r", 0): "1", ("c", "r", 0): "2"},
        **{("b", "r", 0): "2'", ("a", "r", 1): "1'"},
    }
    found = changes(pairs, frozenset({("c", "r")}), kept, numbers)
    assert [(one.number, one.thing) for one in found] == [
        *(("1", "a"), ("2", "c"), ("2'", "b"), ("1'", "a"))
    ]
    became = [one.became for one in found]
    assert became[2] == became[3] and len(set(became)) == 3
    assert (found[1].state, found[1].on) == ("cured", "May") and found[0].on == ""
    unseen = changes([], frozenset(), kept, numbers)
    assert unseen[0].became == unseen[1].became not in became
    assert changes(pairs, frozenset(), {}, numbers) == ()


def test_size_decides_how_near_harm_is():
    bound = limit("must_level")  # no farther out of the water than a must allows
    assert near_by_size("out_of_water", bound + 1e-6) == NOW
    assert near_by_size("out_of_water", bound) == NEXT
