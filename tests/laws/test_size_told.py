"""What size makes of numbers, at each edge: which words, whose name, which worst case."""

from dataclasses import replace
from functools import partial
from types import SimpleNamespace

import numpy as np
import pytest
from made import L, kinds_of, made
from sizing import BAD, KETCH, MOTOR, NAMES, shipped, sized

from seaflow.base.facts import fact
from seaflow.model.elements import Coil
from seaflow.model.point import COOLING, OFF
from seaflow.present.page.page import _bars
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.design.judge import NO, TIGHT, YES
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.pump_at import PumpAt
from seaflow.studies.size.bores import _standard, _until_pump, _verdict
from seaflow.studies.size.heads import HeadItem, HeadList, _path_shares, needs_with_water
from seaflow.studies.size.remarks import _airy_leg, _curve, _siphon, _strainers, _user
from seaflow.studies.size.suction import _at, _decides
from seaflow.studies.size.to_buy import _allowed, _given_by_some, _most_asked, _port, _together
from seaflow.studies.size.verdict import (
    _how_sure,
    _place,
    _pump,
    _runs_at,
    _unit,
    _why,
    part_of_curve,
    verdict_on,
)

kinds = partial(kinds_of, "size")


# -------------------------------------------------------------------------------------- the verdict


def judged(grade=YES, said=None, cure=None, recommended=None):
    return SimpleNamespace(
        grade=grade,
        decides=None if said is None else fact(said),
        cure=cure,
        keeps_with=cure,
        rulings=(),
        reasons=(fact(said),) if said and grade == NO else (),
        recommended=grade != NO if recommended is None else recommended,
    )


def part(name="p", **more):
    told = {"name": name, "title": name.upper(), "power_is_typical": False, "self_priming": False}
    return SimpleNamespace(**told | more)


def at(flow=20.0, share=0.5, asks="need", ending="flowing", **more):
    told = {"flow": flow * L, "head": 3.0, "share_of_free_flow": share, "power": 60.0}
    return made(PumpAt, asks=asks, ending=ending, units=(), **told | more)


def pump(name="p", judgement=None, **more):
    told = {"part": part(name), "judgement": judgement or judged(), "at": (at(),), "design": at()}
    told |= {"fitted": False, "asked_for": False, "setting": None, "n_pumps": 1}
    return SimpleNamespace(**told | more)


@pytest.mark.parametrize(
    ("fitted", "asked", "kind"),
    [(False, False, "pump"), (True, False, "fitted_pump"), (True, True, "asked_pump")],
)
def test_a_pump_is_named_by_how_it_came_to_be_looked_at(fitted, asked, kind):
    said = _pump(pump(fitted=fitted, asked_for=asked), 7)
    named = said["pump"]
    assert (said.kind, named["name"], named["title"]) == (f"size.{kind}", "p", "P")
    none = _pump(pump(judgement=judged(NO), fitted=fitted, asked_for=asked), 7)
    assert (none.kind, none["tried"], none["nearest"]) == ("size.no_pump", 7, said)
    alone = _pump(pump(judgement=judged(NO), fitted=fitted, asked_for=asked), 1)
    assert (alone.kind, alone["nearest"]) == ("size.not_this_pump", said)


def test_how_many_pumps_do_as_well_and_what_keeps_the_fitted_one_back():
    one, two, tight = pump("a"), pump("b"), pump("c", judged(TIGHT, "judge.rise"))
    said = _why([one, tight])
    assert (said.kind, said["pumps"], said["worst_cases"]) == ("size.only_one", 1, 1)
    assert (_why([one, two, tight]).kind, _why([one, two])["pumps"]) == ("size.all_hold", 2)
    assert (_why([tight]).kind, _why([tight])["pumps"]) == ("size.musts_hold", 1)
    assert _why([pump("d", judged(NO))]).kind == "size.none_hold"
    now = replace_(tight, fitted=True)
    said = _why([one, now])
    assert (said.kind, said["reason"].kind) == ("size.fitted_is_tight", "judge.rise")
    assert said["why"].kind == "size.only_one"
    bad = pump("e", judged(NO, "judge.start"), fitted=True)
    assert _why([one, two, bad]).kind == "size.fitted_fails"
    cured = pump("f", judged(NO, "judge.start", fact("cure.deeper")), fitted=True)
    said = _why([one, cured])
    assert (said.kind, said["cure"].kind) == ("size.fitted_cured", "cure.deeper")
    assert _why([replace_(one, fitted=True), tight]).kind == "size.only_one"
    assert _why([one, pump("g", judged(YES), fitted=True)]).kind == "size.all_hold"


def replace_(thing, **more):
    return SimpleNamespace(**vars(thing) | more)


def test_where_a_pump_runs_and_how_it_ends():
    low, high = limit("free_flow_least"), limit("free_flow_most")
    for share, kind in ((low - 0.01, "far_left"), (low, "middle"), (high, "middle")):
        assert kinds([part_of_curve(share)]) == [kind]
    assert kinds([part_of_curve(high + 0.01)]) == ["far_right"]
    said = _runs_at(pump())
    assert (said.kind, said["share"], said["part"].kind) == ("size.runs_at", 0.5, "size.middle")
    values = [said[key].value for key in ("flow", "head", "power")]
    assert values == [20.0 * L, 3.0, 60.0]
    assert _runs_at(pump(part=part(power_is_typical=True))).kind == "size.runs_at_typical"
    for flow in (0.0, -1e-9):
        assert _runs_at(pump(design=at(flow, ending="at rest"))).kind == "size.moves_nothing"
    assert _runs_at(pump(design=at(1e-3))).kind == "size.runs_at"
    said = _runs_at(pump(design=at(ending="some dry")))
    assert (said.kind, said["ending"]) == ("size.runs_but", "some dry")
    said = _runs_at(pump(setting=SimpleNamespace(speed=0.7, power=30.0)))
    assert (said.kind, said["speed"], said["power"].value) == ("size.runs_slower", 0.7, 30.0)


def test_what_a_unit_gets_is_its_own():
    units = tuple(
        SimpleNamespace(
            name=name,
            state=state,
            flow=flow * L,
            outlet_temperature=30.0 + flow,
            temperature_rise=flow / 2.0,
            margin=margin,
        )
        for name, state, flow, margin in (
            ("a", "cooling", 8.0, 0.2),
            ("b", "trips", 9.0, None),
            ("c", "cooling", 10.0, None),
        )
    )
    here = replace(at(), units=units)
    asked = fact("need.rise")

    def told(name):
        need = made(UnitNeed, name=name, cooling=4000.0, flow=7.0 * L, set_by=asked)
        return _unit(need, here)

    said = told("a")
    assert (said.kind, said["margin"]) == ("size.unit_gets_over", 0.2)
    assert [said[key].value for key in ("flow", "leaves", "rise")] == [8.0 * L, 38.0, 4.0]
    assert [said["needs"][key].value for key in ("cooling", "flow")] == [4000.0, 7.0 * L]
    assert (told("b").kind, told("b")["state"]) == ("size.unit_fails", "trips")
    assert told("c").kind == "size.unit_gets" and told("c")["flow"].value == 10.0 * L


def test_the_least_flow_told_is_of_cases_that_ask_for_flow():
    rows = (at(20.0), at(15.0, asks="least"), at(9.0, asks="most"))
    rows = tuple(replace(one, where=fact(f"where.{i}")) for i, one in enumerate(rows))
    best = pump(at=rows)
    said = _how_sure(best, None)
    assert said.kind == "size.how_sure_without_days"
    assert (said["worst"]["flow"].value, said["worst"]["where"].kind) == (15.0 * L, "where.1")
    band = SimpleNamespace(low=14.0 * L, high=22.0 * L)
    mine = SimpleNamespace(bands=(band, None), keeps_running=0.99, keeps_rise=0.9)
    found = SimpleNamespace(of={"p": mine}.get, n_samples=500, decides=fact("x"))
    said = _how_sure(best, found)
    assert said.kind == "size.how_sure"
    assert (said["days"], said["running"], said["rise"]) == (500, 0.99, 0.9)
    for reason, kind in (("start.pump_above_water", "how_sure_once"), ("judge.rise", "how_sure")):
        held = pump(at=rows, judgement=judged(NO, reason))
        assert _how_sure(held, found).kind == f"size.{kind}"
    assert [one.value for one in said["flow"]] == [14.0 * L, 22.0 * L]
    assert _how_sure(best, SimpleNamespace(of=lambda _: None)).kind.endswith("without_days")


def test_a_pump_that_primes_stands_low_and_another_under_water():
    assert _place(pump(part=part(self_priming=True))).kind == "size.place_low"
    said = _place(pump())
    assert said["depth"].value == limit("pump_below_water")


def test_the_verdict_is_on_the_first_and_a_yes_asks_for_no_more():
    cure = fact("cure.deeper")
    first = pump("a", judged(TIGHT, "judge.rise", cure))
    found = verdict_on([first, pump("b")], (), None)
    assert (found.grade, found.decides.kind, found.cure) == (TIGHT, "judge.rise", cure)
    assert found.measure is None and found.next.kind == "size.improve_helps"
    best = verdict_on([pump("b"), first], (), None)
    assert (best.grade, best.decides, best.next) == (YES, None, None)


# ----------------------------------------------------------------------------------------- remarks


def head_list(**more):
    told = {"crest": "coil", "leg_runs_full": False, "static_starting": 0.8, "fills_at": 10.0 * L}
    told |= {"head": 3.0, "friction": 2.0, "static_running": 0.5, "items": ()}
    return made(HeadList, **told | more)


def test_a_leg_with_air_is_worth_a_word_from_two_centimetres_on():
    (said,) = _airy_leg(head_list())
    assert (said.kind, said["crest"]) == ("size.airy_leg", "coil")
    assert (said["height"].value, said["fills_at"].value) == (0.8, 10.0 * L)
    assert kinds(_airy_leg(head_list(fills_at=None))) == ["vented_leg"]
    assert len(list(_airy_leg(head_list(head=2.5201)))) == 1
    for no in ({"head": 2.5199}, {"leg_runs_full": True}, {"crest": ""}):
        assert not list(_airy_leg(head_list(**no)))
    assert kinds(_siphon(head_list())) == ["siphon_basis"]
    assert not list(_siphon(head_list(crest="")))


def test_other_users_strainers_and_notes_of_a_curve():
    assert _user(SimpleNamespace(name="tap", flow=None)).kind == "size.other_user_unknown"
    said = _user(SimpleNamespace(name="tap", flow=5.0 * L))
    assert (said.kind, said["user"], said["flow"].value) == ("size.other_user", "tap", 5.0 * L)
    rows = [(1, None, None), (None, None, 0.4), (None, 0.01, None), (None, 0.01, 0.4)]
    strainers = [
        SimpleNamespace(name=str(i), measured=measured, basket_area=area, open_share=share)
        for i, (measured, area, share) in enumerate(rows)
    ]
    found = list(_strainers(SimpleNamespace(loop=SimpleNamespace(strainers=strainers))))
    words = ["by_reading", "by_table", "by_table", "by_screen"]
    assert kinds(found) == [f"strainer_{word}" for word in words]
    assert [one["strainer"] for one in found] == ["0", "1", "2", "3"]
    noted = pump(part=part(curve=SimpleNamespace(note="three points")))
    assert kinds(_curve(noted)) == ["curve_note"]
    assert not list(_curve(pump(part=part(curve=SimpleNamespace(note="")))))


# ------------------------------------------------------------------------------------ the suction


def pressure(*gauge, crest=False, label="strainer", before=True):
    return SimpleNamespace(
        gauge=np.asarray(gauge),
        height=np.asarray([-0.4] * len(gauge)),
        is_crest=crest,
        label=label,
        before_pump=before,
    )


@pytest.mark.parametrize(
    ("point", "kind"),
    [
        (pressure(1.0, 2.0, crest=True, label="top"), "crest"),
        (pressure(1.0, 2.0, label="top"), "suction peak"),
        (pressure(1.0, 2.0, label="top", before=False), "peak"),
        (pressure(1.0, 2.0), "suction"),
    ],
)
def test_what_kind_of_point_a_pressure_is_told_of(point, kind):
    worst = SimpleNamespace(at=[SimpleNamespace(where=fact(f"where.{i}")) for i in range(2)])
    assert _at(point, worst, {"top"}).kind == kind


def test_the_lowest_pressure_is_told_with_the_first_worst_case_of_it():
    worst = SimpleNamespace(at=[SimpleNamespace(where=fact(f"where.{i}")) for i in range(4)])
    found = _at(pressure(-1000.0, -3000.005, -3000.0, -3000.012), worst, set())
    assert (found.lowest_at.kind, found.gauge_lowest) == ("where.1", -3000.005)
    assert (found.gauge_design, found.height) == (-1000.0, -0.4)
    assert _at(pressure(-1.0, -2.0, -3.0, -3.02), worst, set()).lowest_at.kind == "where.3"
    assert _at(pressure(-1.0, -2.0, -3.0, -3.0095), worst, set()).lowest_at.kind == "where.2"


def test_what_decides_on_the_suction_side():
    least = limit("npsh_margin")
    assert _decides(None, None)["least"].value == limit("suction_vacuum")
    assert kinds([_decides(None, 2.0)]) == ["pump_height_unknown"]
    assert kinds([_decides(least - 0.01, 2.0), _decides(least, 2.0)]) == [
        "npsh_short",
        "npsh_enough",
    ]
    assert kinds([_decides(5.0, None)]) == ["vacuum_decides"]


# ------------------------------------------------------------------------------------------- bores


@pytest.mark.parametrize(
    ("has", "port", "speed", "share", "kind"),
    [
        (0.025, 0.0, 1.0, 0.1, "bore_enough"),
        (0.025, 0.025, 1.5, 0.15, "bore_enough"),
        (0.025, 0.032, 1.0, 0.1, "bore_below_port"),
        (0.025, 0.0, 1.8, 0.1, "bore_narrow"),
        (0.025, 0.032, 1.8, 0.1, "bore_narrow"),
        (0.025, 0.0, 2.0, 0.1, "bore_narrow"),
        (0.025, 0.0, 2.001, 0.1, "bore_too_fast"),
        (0.025, 0.0, 1.0, 0.151, "bore_wide_but_costly"),
        (0.025, 0.0, 2.1, 0.151, "bore_costly"),
        (0.025, 0.032, 1.0, 0.151, "bore_costly"),
    ],
)
def test_a_bore_is_against_its_velocity_its_port_or_its_cost(has, port, speed, share, kind):
    said = _verdict((has, port), (speed, 1.5, 2.0), share, "hose")
    assert kinds([said]) == [kind]
    if kind in ("bore_narrow", "bore_too_fast"):
        assert said["velocity"].value == speed
        assert said["aim" if kind == "bore_narrow" else "most"].value in (1.5, 2.0)
    plain = _verdict((has, port), (speed, 1.5, 2.0), share, "seacock")
    assert "costly" not in plain.kind


def test_the_bore_suggested_is_the_first_that_keeps_the_velocity_and_the_port():
    bores = (0.016, 0.019, 0.025, 0.032)
    for bore in bores:
        flow = 1.5 * np.pi * bore**2 / 4.0
        assert _standard(flow, 1.5, 0.0, bores) == bore
        assert _standard(1.1 * flow, 1.5, 0.0, bores) in (*bores[bores.index(bore) + 1 :], 0.032)
    assert _standard(1e-5, 1.5, 0.025, bores) == 0.025
    assert _standard(1e-5, 1.5, 0.050, bores) == 0.032


@pytest.mark.parametrize("name", NAMES)
def test_only_what_the_water_passes_before_the_pump_is_suction(name):
    answer = sized(name)
    for loop in answer.loops:
        sides = {item.thing: item.side for item in loop.bores}
        assert {item.side for item in loop.bores} == {"suction", "delivery"}
        pumps = {one.name for one in shipped(name).pump}
        for hose in shipped(name).hose:
            if hose.label in sides and hose.to in pumps:
                assert sides[hose.label] == "suction"
            if hose.label in sides and hose.from_ in pumps:
                assert sides[hose.label] == "delivery"
    assert list(_until_pump(())) == []


# ------------------------------------------------------------------------------------------- heads


def test_what_a_thing_costs_is_all_its_lines_on_the_worst_path():
    rows = [("hose", "a", 0.3, True), ("2 barbs", "a", 0.1, True), ("coil", "b", 1.0, True)]
    rows += [("hose", "c", 9.0, False), ("bends, fittings", "a", 0.05, True)]
    items = tuple(
        made(HeadItem, item=item, thing=thing, flow=L, head=head, on_worst_path=on)
        for item, thing, head, on in rows
    )
    found = head_list(items=items).by_thing
    assert [(one.thing, one.item) for one in found] == [("a", "hose"), ("b", "coil")]
    assert [one.head for one in found] == pytest.approx([0.45, 1.0])


def coil(name, on=True, shut=False):
    return SimpleNamespace(unit=name, switched_on=on, branch_shut=shut)


def test_needs_are_of_units_whose_branch_is_open_and_of_all_where_none_is():
    needs = {name: made(UnitNeed, name=name) for name in ("a", "b", "c")}

    def open_(*coils):
        return set(needs_with_water(SimpleNamespace(loop=SimpleNamespace(coils=coils)), needs))

    assert open_(coil("a"), coil("b", on=False), coil("c", shut=True)) == {"a", "b"}
    assert open_(coil("a", shut=True), coil("b", shut=True)) == {"a", "b", "c"}
    assert open_(coil("a"), coil("other")) == {"a"}


def test_a_need_is_parted_over_the_paths_that_serve_the_same_units():
    def link(*units):
        return SimpleNamespace(elements=tuple(object.__new__(Coil) for _ in units), units=units)

    links = [link(), link(), link("a"), link("b", "c")]
    for one in links:
        for element, name in zip(one.elements, one.units, strict=True):
            object.__setattr__(element, "unit", name)
    paths = [(0, 2), (1, 2), (0, 3)]
    needs = {"a": made(UnitNeed, flow=4.0), "b": made(UnitNeed, flow=1.0)}
    needs["c"] = made(UnitNeed, flow=3.0)
    found = _path_shares(SimpleNamespace(paths=paths, links=links), needs)
    assert found == [((0, 2), 2.0), ((1, 2), 2.0), ((0, 3), 3.0)]


# ------------------------------------------------------------------------------------------ to buy


def test_both_ends_lie_at_one_rank_and_hold_together_on_enough_days():
    rng = np.random.default_rng(4)
    for share in (0.5, 0.8, 0.9, 1.0):
        one, other = rng.random((2, 40))
        ends = _together(one, other, share)
        assert ends[0] in one and ends[1] in other
        assert np.count_nonzero(one <= ends[0]) == np.count_nonzero(other <= ends[1])
        both = np.mean((one <= ends[0]) & (other <= ends[1]))
        assert both >= share
        less = [
            np.sort(row)[np.searchsorted(np.sort(row), end) - 1]
            for row, end in zip((one, other), ends, strict=True)
        ]
        assert np.mean((one <= less[0]) & (other <= less[1])) < share


def test_the_most_that_is_asked_is_of_the_unit_that_lacks_most_and_cools():
    case = shipped(MOTOR)
    names = [unit.name for unit in case.unit][:2]
    allowed = case.design.permitted_rise
    units = {
        name: SimpleNamespace(temperature_rise=np.asarray(rises), state=np.asarray(states))
        for name, rises, states in (
            (names[0], [allowed, 2.0 * allowed, 1.0], [COOLING, COOLING, COOLING]),
            (names[1], [0.5 * allowed, 3.0 * allowed, 1.0], [COOLING, COOLING, OFF]),
        )
    }
    built = SimpleNamespace(loop=SimpleNamespace(coils=[coil(name) for name in names]))
    found = _most_asked(case, built, SimpleNamespace(units=units, size=3))
    assert found[:2].tolist() == pytest.approx([1.0, 3.0]) and np.isnan(found[2])
    none = SimpleNamespace(loop=SimpleNamespace(coils=[]))
    assert (
        np.isnan(_most_asked(case, none, SimpleNamespace(units={}, size=2))).tolist() == [True] * 2
    )


def test_the_most_flow_is_where_the_first_unit_has_all_its_maker_or_its_alloy_allows():
    case = shipped(MOTOR)
    first, second, third = case.unit
    alloy = "90-10 copper-nickel"
    fastest = case.catalogue.fastest_water(alloy)[1]
    alloys = (replace(first, alloy=None), replace(second, alloy=alloy), replace(third, alloy=alloy))
    case = replace(case, unit=alloys)
    speeds = np.asarray([0.0, 1.0, 2.0, 3.0])
    flows = {first.name: 10.0 * L * speeds, second.name: 5.0 * L * speeds, third.name: 0.0 * speeds}
    coils = [
        SimpleNamespace(unit=first.name, velocity=lambda flow: 9.0 + flow),
        SimpleNamespace(unit=second.name, velocity=lambda flow: fastest * flow / (12.5 * L)),
        SimpleNamespace(unit=third.name, velocity=lambda flow: None),
    ]
    needs = {
        one.name: made(UnitNeed, name=one.name, most=most)
        for one, most in ((first, 20.0 * L), (second, None), (third, 1.0 * L))
    }
    point = SimpleNamespace(
        units={name: SimpleNamespace(volume_flow=flow) for name, flow in flows.items()},
        total_flow=lambda: 15.0 * L * speeds,
    )
    built = SimpleNamespace(loop=SimpleNamespace(coils=coils))
    found = list(_allowed(case, needs, built, point))
    assert [word for _, word in found] == ["maker", "alloy"]
    assert [flow / L for flow, _ in found] == pytest.approx([30.0, 37.5])


def test_the_port_asked_for_is_as_recorded_else_that_of_the_hose():
    hoses = [SimpleNamespace(bore=0.025)]
    found = SimpleNamespace(arriving=lambda name: hoses if name == "pump" else [])
    place = SimpleNamespace(name="pump", port=None)
    assert _port(found, place) == 0.025
    assert _port(found, SimpleNamespace(name="pump", port=0.019)) == 0.019
    assert _port(found, SimpleNamespace(name="other", port=None)) is None


def test_what_some_pump_gives_is_in_reach_and_only_of_one_that_runs_all_day():
    case = shipped(KETCH)
    parts = [one for one in case.catalogue.pumps() if one.continuous]
    highest = max(one.curve.shut_off_head for one in parts)
    assert _given_by_some(case, 0.0, 0.999 * highest)
    assert not _given_by_some(case, 0.0, 1.001 * highest)
    assert not _given_by_some(case, 1.0, 0.0)


def test_each_thing_told_of_the_badly_arranged_boat_is_her_own():
    (loop,) = sized(BAD).loops
    said = {one.kind.removeprefix("size."): one for one in loop.remarks}
    assert (said["in_series"]["unit"], said["in_series"]["before"]) == (
        "fore cabin unit",
        ("saloon unit",),
    )
    assert said["outlet_under_water"]["outlet"] == "outlet"
    assert said["shared_intake"]["intake"] == "old log hole"
    assert said["valve_in_suction"]["valve"] == "check valve"
    assert isinstance(loop.chosen, PumpResult)


@pytest.mark.parametrize("full", [True, False])
def test_the_bars_of_a_page_before_their_sum_add_up_to_it_and_the_first_start_stands_after(full):
    costs = (("a hose", "hose", 0.3), ("a unit", "coil", 0.7))
    items = tuple(
        HeadItem(item=kind, thing=thing, flow=10.0 * L, velocity=1.0, head=head)
        for thing, kind, head in costs
    )
    heads = head_list(
        items=items, friction=1.0, static_running=0.2, head=1.2 if full else 1.8, leg_runs_full=full
    )
    rows = _bars(heads)
    kinds = [kind for *_, kind in rows]
    at = kinds.index("sum")
    heads_of = [float(head.metric.split()[0]) for _, head, *_ in rows]
    assert sum(heads_of[:at]) == pytest.approx(heads_of[at], abs=0.011)
    assert len(rows[at + 1 :]) == full  # a lift that is there all the time is in the sum
