"""What balance makes of flows and judgements: each edge, and whose name is told, on paper."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from made import L, made
from sizing import BAD, MOTOR, shipped

from seaflow.boat import network
from seaflow.boat.tables.balancing import BalancingValve, ValvePoint
from seaflow.model.point import COOLING, OFF, TRIPS, UNIT_STATES
from seaflow.studies.balance.answer import (
    BranchFlow,
    Sharing,
    Trunk,
    TrunkBore,
    ValveSetting,
    ValveSettings,
    sets,
    throttles,
)
from seaflow.studies.balance.branches import Branch, _branch_flow, _rated, branches_of
from seaflow.studies.balance.setting import _alone, _check, _rise, _row, _turns
from seaflow.studies.balance.study import _a_day, _on_days, _to_set, _water, _wider, balance
from seaflow.studies.balance.warm import _cost, drawn_back
from seaflow.studies.design.judge import NO, TIGHT, YES
from seaflow.studies.design.need import unit_needs
from seaflow.studies.design.which_pump import picked_loop


def branch_flow(name, flow, need):
    return BranchFlow(name, flow * L, need * L, flow / need - 1.0)


def sharing(*rows):
    return made(Sharing, shut="", branches=rows)


def test_who_starves_is_told_worst_first_and_rounding_starves_nobody():
    rows = (
        branch_flow("little", 9.0, 10.0),
        branch_flow("met", 10.0, 10.0),
        branch_flow("hair", 10.0 - 1e-6, 10.0),  # a ten millionth
        branch_flow("less", 7.0, 10.0),
        branch_flow("just", 9.9999, 10.0),
    )
    now = sharing(*rows)
    assert [item.branch for item in now.starving] == ["less", "little", "just"]
    told = _water(now)
    assert [item["branch"] for item in told] == ["less", "little", "just"]
    assert [item["short"] for item in told] == pytest.approx([0.3, 0.1, 1e-5])
    assert (told[0]["flow"].value, told[0]["need"].value) == (7.0 * L, 10.0 * L)
    # of 11.3 and 11.3 nobody sees who is short
    near = _water(sharing(branch_flow("a", 9.91, 10.0), branch_flow("b", 9.89, 10.0)))
    assert [item.kind for item in near] == ["balance.starves", "balance.starves_just"]


def test_where_nobody_starves_the_nearest_to_it_is_told():
    rows = (branch_flow("a", 15.0, 10.0), branch_flow("b", 11.0, 10.0), branch_flow("c", 9.0, 8.0))
    (told,) = _water(sharing(*rows))
    assert (told.kind, told["branch"]) == ("balance.none_starves", "b")
    assert told["margin"] == pytest.approx(0.1)
    (alone,) = _water(sharing(rows[0]))
    assert (alone.kind, alone["branch"]) == ("balance.only_one", "a")
    assert (alone["flow"].value, alone["margin"]) == (15.0 * L, pytest.approx(0.5))


JUDGED = [  # now, then, and whether valves are worth setting: days, in shares
    ((TIGHT, 0.5), (YES, 0.5), True),
    ((TIGHT, 0.5), (NO, 0.9), False),
    ((NO, 0.0), (TIGHT, 0.0), True),
    ((YES, 0.9), (YES, 1.0), False),
    ((YES, 0.9), (TIGHT, 0.9), False),
    ((TIGHT, 0.50), (TIGHT, 0.56), True),
    ((TIGHT, 0.50), (TIGHT, 0.55), True),
    ((TIGHT, 0.50), (TIGHT, 0.54), False),
    ((NO, None), (NO, 0.06), True),
    ((NO, 0.02), (NO, None), False),
    ((NO, None), (NO, None), False),
]


@pytest.mark.parametrize(("now", "then", "worth"), JUDGED)
def test_valves_are_worth_setting_for_a_grade_or_one_day_in_twenty(now, then, worth):
    before, after = (SimpleNamespace(grade=grade, keeps_rise=days) for grade, days in (now, then))
    assert sets(before, after) == worth
    assert not sets(before, None)


def test_a_loss_below_a_twentieth_is_a_valve_wide_open():
    assert [throttles(loss) for loss in (0.0, 0.05, 0.0501, 0.054, 1.0)] == [False] * 2 + [True] * 3
    row = made(ValveSetting, extra_loss=0.052)
    assert row.throttled and not replace(row, extra_loss=0.049).throttled


def test_the_narrowest_bore_that_is_enough_is_taken_and_without_one_the_best():
    tried = (TrunkBore("b", 0.019, -0.2), TrunkBore("a", 0.025, 0.0), TrunkBore("a", 0.032, 0.1))
    trunk = Trunk(("one", "two"), 0.016, tried)
    assert trunk.enough == tried[1]
    told = _wider(trunk)
    assert (told.kind, told["hoses"], told["margin"]) == ("balance.widen", 2, 0.0)
    assert told["bore"].value == 0.025
    short = (TrunkBore("b", 0.019, -0.05), TrunkBore("a", 0.025, -0.2))
    told = _wider(Trunk(("one",), 0.016, short))
    assert (told["bore"].value, told["branch"], told["short"]) == (0.019, "b", 0.05)
    assert Trunk(("one",), 0.016, short).enough is None
    assert _wider(Trunk(("one",), 0.016)).kind == "balance.no_wider"


def test_days_and_energy_are_told_as_it_is_and_with_the_valves_set():
    now, then = SimpleNamespace(keeps_rise=0.4), SimpleNamespace(keeps_rise=0.7)
    assert dict(_on_days(now, None).values) == {"share": 0.4}
    assert dict(_on_days(now, then).values) == {"share": 0.7, "before": 0.4}
    never = SimpleNamespace(keeps_rise=None)
    assert dict(_on_days(never, never).values) == {"share": 0.0, "before": 0.0}
    one, two, stops = (SimpleNamespace(energy_per_day=energy) for energy in (5e6, 4e6, None))
    assert _a_day(stops, two) is None
    assert _a_day(one, None)["energy"].value == _a_day(one, stops)["energy"].value == 5e6
    told = _a_day(one, two)
    assert (told["before"].value, told["energy"].value) == (5e6, 4e6)


def setting(losses, margin, meets=True, settled=True, turns=None):
    rows = tuple(
        made(ValveSetting, branch=str(i), hose=f"hose {i}", extra_loss=loss, turns=turns)
        for i, loss in enumerate(losses)
    )
    return made(ValveSettings, branches=rows, meets=meets, settled=settled, margin=margin)


FOUND = ("throttle", "best_found")


@pytest.mark.parametrize(
    ("losses", "margin", "meets", "settled", "helps", "kinds"),
    [
        ((0.0, 0.04), 0.3, True, True, True, ["alike_already"]),
        ((0.0, 2.0), 0.3, True, True, True, ["throttle", "all_get_it"]),
        ((0.0, 2.0), 0.3, True, True, False, ["throttle", "all_get_it_anyway"]),
        ((0.0, 2.0), 0.1, True, True, True, ["throttle", "all_get_it"]),
        ((0.0, 2.0), 0.099, True, True, True, ["throttle", "all_get_it", "thin"]),
        ((0.0, 2.0), -1e-7, True, True, True, ["throttle", "all_get_it", "thin"]),
        ((0.0, 2.0), 0.3, True, False, True, [*FOUND, "all_get_it"]),
        ((0.0, 2.0), -0.3, False, True, True, ["throttle", "pump_too_small"]),
        (
            (0.0, 2.0),
            -0.3,
            False,
            False,
            True,
            ["throttle", "best_found", "pump_too_small_unevenly"],
        ),
    ],
)
def test_what_is_said_of_a_setting(losses, margin, meets, settled, helps, kinds):
    told = _to_set(setting(losses, margin, meets, settled), SimpleNamespace(name="p"), helps)
    assert [item.kind.removeprefix("balance.") for item in told] == kinds
    if not meets:
        assert told[-1]["share"] == pytest.approx(0.7) and told[-1]["pump"] == "p"
    elif "all_get_it" in kinds:
        assert told[kinds.index("all_get_it")]["more"] == max(margin, 0.0)


def test_valves_are_told_by_turns_where_these_are_known_and_what_stays_wide_open():
    part = SimpleNamespace(name="p")
    (first, *_) = _to_set(setting((0.0, 2.0, 3.0), 0.3), part, True)
    assert [(one.kind, one["hose"], one["loss"]) for one in first["valves"]] == [
        ("balance.valve", "hose 1", 2.0),
        ("balance.valve", "hose 2", 3.0),
    ]
    assert first["wide"] == ("hose 0",)
    (first, *_) = _to_set(setting((0.0, 2.0), 0.3, turns=1.5), part, True)
    assert [(one.kind, one["turns"]) for one in first["valves"]] == [("balance.valve_turns", 1.5)]
    assert _to_set(None, part, True) == ()


VALVE = BalancingValve(
    bore=0.016, points=(ValvePoint(turns=0.5, loss=60.0), ValvePoint(turns=4.0, loss=0.8))
)


def branch(name="a", outlets=("out",), valve=None, units=("a",)):
    return Branch(name, units, 0, outlets, 2e-4, f"hose of {name}", 0.019, valve)


def test_a_valve_of_another_bore_counts_by_the_fourth_power_of_the_bores():
    wide = branch(valve=VALVE)
    assert wide.loss_open == pytest.approx(0.8 * (19.0 / 16.0) ** 4)
    half = replace(wide, valve=replace(VALVE, set_to=0.5))
    assert half.loss_now == pytest.approx(60.0 * (19.0 / 16.0) ** 4)
    assert half.loss_open == wide.loss_open == wide.loss_now
    assert branch().loss_now == branch().loss_open == 0.0
    # its extra loss is on the hose, its curve on the valve
    turns, note = _turns(wide, 30.0)
    assert note is None
    assert VALVE.loss_at(turns) == pytest.approx(0.8 + 30.0 * (16.0 / 19.0) ** 4)
    turns, note = _turns(wide, 200.0)
    assert turns is None
    assert (note["hose"], note["bore"].value) == ("hose of a", 0.016)
    assert note["loss"] == pytest.approx(0.8 + 200.0 * (16.0 / 19.0) ** 4)
    assert _turns(branch(), 30.0) == (None, None)
    row = _row(wide, 0.4, 30.0, 1.2)
    assert row.extra_head == pytest.approx(0.4 * 1.44)  # heads go with the square of the flow
    assert row.loss == pytest.approx(30.0 + wide.loss_open)
    assert (row.flow, row.margin) == (pytest.approx(2.4e-4), pytest.approx(0.2))


def test_a_stream_that_comes_out_alone_is_watched_and_others_are_measured():
    one, two = branch("one", ("port", "own")), branch("two", ("port",))
    three = branch("three", ("starboard",))
    assert _alone((one, two, three)) == ("three",)
    assert _check((one, two, three), ("three",)).kind == "balance.check_by_both"
    assert _check((one, two, three), ("three",))["sharing"] == ("one", "two")
    assert _check((one, two), ()).kind == "balance.check_by_rise"
    assert _check((three,), ("three",)).kind == "balance.check_by_stream"


def unit(inlet, outlet, state=COOLING, margin=5.0, power=300.0, flow=2e-4):
    return SimpleNamespace(
        volume_flow=np.asarray([flow]),
        inlet_temperature=np.asarray([inlet]),
        outlet_temperature=np.asarray([outlet]),
        state=np.asarray([state, OFF]),  # the first is as they all run
        cut_out_margin=np.asarray([margin]),
        power=np.asarray([power]),
    )


def test_the_rise_over_units_in_a_row_is_from_the_first_inlet_to_the_last_outlet():
    row = branch(units=("first", "second"))
    units = {"first": unit(28.0, 33.0), "second": unit(33.0, 37.0), "beside": unit(28.0, 45.0)}
    assert _rise(row, SimpleNamespace(units=units)) == pytest.approx(9.0)
    for name in ("first", "second"):
        off = {**units, name: unit(33.0, 33.0, OFF)}
        assert _rise(row, SimpleNamespace(units=off)) is None


def test_warm_water_costs_all_that_units_draw_and_is_told_of_the_nearest_to_its_cut_out():
    now = SimpleNamespace(sea_temperature=28.0)
    units = {"a": unit(29.5, 35.0, margin=4.0), "b": unit(30.0, 39.0, margin=6.0, power=500.0)}
    found = _cost(units, 0, now)
    assert (found.unit, found.cut_out_margin, found.power) == ("a", 4.0, 800.0)
    assert found.intake_warmer == pytest.approx(1.5)
    assert found.rise_over_sea == pytest.approx(11.0)
    units["b"] = unit(30.0, 30.0, TRIPS, margin=9.0)
    found = _cost(units, 0, now)  # one that stops is nearer than any that cools
    assert (found.unit, found.cut_out_margin, found.state) == ("b", None, UNIT_STATES[TRIPS])
    units["c"] = unit(30.0, 30.0, TRIPS, flow=1e-4)
    assert _cost(units, 0, now).unit == "c"  # of two that stop the one that gets less


def swallowed(share, warmer, margin, unit="a"):
    return SimpleNamespace(share=share, intake_warmer=warmer, cut_out_margin=margin, unit=unit)


def test_a_tenth_drawn_back_is_told_with_what_is_left_then_and_before():
    rows = (swallowed(0.0, 0.0, 9.0), swallowed(0.05, 0.4, 8.0), swallowed(0.1, 0.9, 7.0, "b"))
    told = drawn_back(rows)
    assert (told.kind, told["unit"], told["share"]) == ("balance.drawn_back", "b", 0.1)
    assert [told[key].value for key in ("warmer", "left", "before")] == [0.9, 7.0, 9.0]
    told = drawn_back((*rows[:2], swallowed(0.1, 0.9, None, "b")))
    assert (told.kind, told["unit"]) == ("balance.drawn_back_stops", "b")
    told = drawn_back((swallowed(0.0, 0.0, None, "c"), *rows[1:]))
    assert (told.kind, told["unit"]) == ("balance.not_cooling", "c")


def test_branches_of_units_in_a_row_need_the_larger_flow_and_throttle_their_first_hose():
    case = shipped(BAD)
    (found,) = network.loops(case)
    built, _, _ = picked_loop(case, found, None)
    needs = {need.name: need for need in unit_needs(case, built)}
    (row,) = branches_of(built, needs)
    assert row.name == "saloon unit and fore cabin unit"
    flows = [needs[name].flow for name in row.units]
    assert flows[0] != flows[1] and row.need == max(flows)
    link = built.loop.links[row.link]
    hoses = [one.name for one in link.elements if hasattr(one, "fittings_coefficient")]
    assert row.hose == hoses[0]
    nothing = {name: replace(need, flow=0.0) for name, need in needs.items()}
    rated = [float(np.asarray(coil.rated_flow)) for coil in built.loop.coils]
    assert branches_of(built, nothing)[0].need == max(rated) == _rated(link, list(row.units))
    assert min(rated) < max(rated) and _rated(link, [row.units[int(np.argmin(rated))]]) == min(
        rated
    )


def test_what_a_branch_gains_is_over_what_it_gets_with_all_open():
    one = Branch("a", ("a",), 0, ("out",), 2.0, "hose", 0.019)
    here = _branch_flow(one, np.asarray([2.0, 3.0]), 1)
    assert (here.flow, here.margin, here.gained) == (3.0, 0.5, 0.5)
    assert _branch_flow(one, np.asarray([0.0, 3.0]), 1).gained == 0.0


def test_all_units_draw_swallowed_water_even_those_switched_off():
    case = shipped(MOTOR)
    first, *others = case.unit
    off = replace(case, unit=(replace(first, switched_on=False), *others))
    plain, other = (balance(one).loops[0].recirculation for one in (case, off))
    assert [row.power for row in plain] == pytest.approx([row.power for row in other])


@pytest.mark.parametrize("sea", [29.3, 31.9])  # of which sums of shares are rounded
def test_with_no_discharge_drawn_back_the_intake_is_not_warmer_at_all(sea):
    case = shipped(MOTOR)
    case = replace(case, sea=replace(case.sea, warmest=sea))
    (clean,) = (one for one in balance(case).loops[0].recirculation if one.share == 0.0)
    assert clean.intake_warmer == 0.0
