"""Laws of several units on one pump: sharing, shutting, trunks, series, swallowed discharge."""

from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from answer_data import kinds_of
from sizing import BAD, KETCH, MOTOR, SLOOP, edited, load_text, needs_of, shipped, shuffled, text_of

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.tables.balancing import BalancingValve, ValvePoint, on_bore
from seaflow.model import thermal
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.model.point import COOLING, NOT_SETTLED
from seaflow.studies.balance.branches import all_on, branches_of, ratios_of, throttled
from seaflow.studies.balance.study import JUST, balance
from seaflow.studies.balance.warm import _discharge, discharges_of
from seaflow.studies.design.changes import with_hose_bore
from seaflow.studies.design.judge import NO, TIGHT, YES
from seaflow.studies.design.supply import cable_drop
from seaflow.studies.design.worst_cases import worst_cases

PUMPS = ("demo-mag-large-230", "demo-pedestal-230", "demo-self-priming-230")
SHARED_ALIKE = 1e-6  # relative; valves are set until shares agree to 1e-7
SAME = 1e-7  # relative: flows of the same loop, its heads settled to 1e-9 m
WARM = 1e-8  # K; swallowed warmth is worked out until it moves less than 1e-9 K


def with_random_branches(seed):
    """The shipped motor yacht with hoses after its manifold of other lengths and bores."""
    rng = np.random.default_rng(seed)
    case = shipped(MOTOR)
    hoses = tuple(
        replace(hose, length=hose.length * rng.uniform(0.5, 4.0))
        if "branch" in hose.label
        else hose
        for hose in case.hose
    )
    return replace(case, hose=hoses)


def motor_loop(case, pump="demo-mag-large-230"):
    found = network.loops(case)[0]
    built = build_loop(case, found, {"pump": case.catalogue.pump(pump)})
    return built, branches_of(built, needs_of(case))


def now_of(case):
    return Conditions(sea_temperature=case.sea.warmest, salinity=case.sea.salinity)


# ------------------------------------------------------------------------------------- setting


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("pump", PUMPS)
def test_the_setting_shares_alike_or_says_that_it_cannot(seed, pump):
    loop = balance(with_random_branches(seed), pump).loops[0]
    setting = loop.setting
    assert setting.settled
    losses = [row.extra_loss for row in setting.branches]
    assert min(losses) == 0.0
    shares = np.asarray([1.0 + row.margin for row in setting.branches])
    assert np.ptp(shares) <= SHARED_ALIKE * shares.max()
    assert setting.meets == bool(shares.min() >= 1.0 - SHARED_ALIKE)
    assert setting.margin >= min(item.margin for item in loop.sharing[0].branches) - SAME


@pytest.mark.parametrize("seed", range(3))
def test_no_other_setting_gives_the_poorest_branch_more(seed):
    case = with_random_branches(seed)
    built, branches = motor_loop(case)
    best = balance(case, "demo-mag-large-230").loops[0].setting
    rng = np.random.default_rng(seed)
    tried = np.exp(rng.uniform(np.log(1e-3), np.log(1e3), (len(branches), 300)))
    tried[rng.integers(len(branches), size=300), np.arange(300)] = 0.0
    design = worst_cases(case)[0].conditions
    part = case.catalogue.pump("demo-mag-large-230")
    now = replace(design, voltage=cable_drop(case, built.network.pumps[0], part, design))
    point = operate(throttled(built.loop, branches, tried), all_on(branches, now))
    assert ratios_of(branches, point).min(axis=0).max() <= (1.0 + best.margin) * (
        1.0 + SHARED_ALIKE
    )


def test_the_setting_does_not_hang_on_the_order_of_the_file(tmp_path):
    first = balance(shipped(MOTOR)).loops[0]
    again = balance(load_text(tmp_path, shuffled(text_of(MOTOR), 3))).loops[0]
    rows = {row.branch: row for row in again.setting.branches}
    for row in first.setting.branches:
        assert rows[row.branch].extra_loss == pytest.approx(row.extra_loss, rel=1e-4, abs=1e-5)
        assert rows[row.branch].flow == pytest.approx(row.flow, rel=SHARED_ALIKE)


def test_shutting_a_branch_never_takes_water_from_another():
    for seed in range(4):
        now, *others = balance(with_random_branches(seed)).loops[0].sharing
        before = {item.branch: item.flow for item in now.branches}
        assert now.shut == ""
        for shared in others:
            assert {item.branch for item in shared.branches} == set(before) - {shared.shut}
            for item in shared.branches:
                assert item.gained >= -SAME
                assert item.flow == pytest.approx((1.0 + item.gained) * before[item.branch])
                assert item.flow == pytest.approx((1.0 + item.margin) * item.need)
            assert shared.flow == pytest.approx(sum(item.flow for item in shared.branches))


def test_switching_a_unit_off_changes_no_flow():
    case = shipped(MOTOR)
    built, branches = motor_loop(case)
    off = {branches[0].name: np.asarray([True, False])}
    point = operate(built.loop, replace(now_of(case), running=off))
    assert point.flow[:, 1] == pytest.approx(point.flow[:, 0], rel=SAME)


def test_the_turns_give_back_the_loss():
    loop = balance(shipped(MOTOR)).loops[0]
    hoses = {hose.label: hose for hose in shipped(MOTOR).hose}
    given = [row for row in loop.setting.branches if row.turns is not None]
    assert given
    for row in given:
        valve = hoses[row.hose].balancing_valve
        extra = valve.loss_at(row.turns) - valve.open_loss
        assert on_bore(extra, valve.bore, row.bore) == pytest.approx(row.extra_loss, rel=1e-6)


def test_a_case_with_the_valves_set_needs_no_more_setting(tmp_path):
    first = balance(shipped(MOTOR)).loops[0]
    text = text_of(MOTOR)
    for row in first.setting.branches:
        if row.turns is not None:
            old = f'balancing_valve = {{ bore = "{row.bore * 1000:.0f} mm", points'
            turns = f'bore = "{row.bore * 1000:.0f} mm", set_to = "{row.turns!r}", points'
            text = edited(text, (old, f"balancing_valve = {{ {turns}"))
    again = balance(load_text(tmp_path, text)).loops[0]
    margins = [item.margin for item in again.sharing[0].branches]
    assert margins == pytest.approx([first.setting.margin] * 3, abs=1e-5)
    rows = {row.branch: row for row in again.setting.branches}
    for row in first.setting.branches:  # the setting is counted from wide open, as before
        assert rows[row.branch].extra_loss == pytest.approx(row.extra_loss, rel=1e-4, abs=1e-5)


VALVE = BalancingValve(
    bore=0.016,
    points=tuple(ValvePoint(turns=t, loss=k) for t, k in ((4.0, 0.8), (0.5, 60.0), (2.0, 3.0))),
)


def test_a_valve_goes_through_its_points_and_stays_between_its_ends():
    for point in VALVE.points:
        assert VALVE.loss_at(point.turns) == pytest.approx(point.loss, rel=1e-12)
        assert VALVE.turns_for(point.loss) == pytest.approx(point.turns, rel=1e-12)
    turns = np.linspace(0.0, 6.0, 61)
    losses = [VALVE.loss_at(turn) for turn in turns]
    assert all(one >= other for one, other in pairwise(losses))
    assert VALVE.turns_for(0.5) is None
    assert VALVE.turns_for(100.0) is None
    assert VALVE.loss_now == VALVE.open_loss == 0.8


def test_wider_shared_hoses_help_no_more_than_the_tails_let_them():
    """Ends that stay cost more than the wider hose gives."""
    case = shipped(MOTOR)
    loop = balance(case).loops[0]
    assert loop.trunk.enough is None
    assert loop.wider.kind == "balance.wider_is_not_enough"
    best = max(loop.trunk.tried, key=lambda item: item.margin)
    assert (loop.wider["bore"].value, loop.wider["short"]) == (best.bore, -best.margin)
    trunk = [hose for hose in case.hose if hose.label in loop.trunk.hoses]
    margins = [loop.sharing[0].starving[0].margin]
    for tried in loop.trunk.tried:
        wide = tuple(replace(x, bore=tried.bore) if x in trunk else x for x in case.hose)
        margins.append(balance(replace(case, hose=wide)).loops[0].sharing[0].branches[-1].margin)
    assert margins == sorted(margins)
    assert margins[-1] > best.margin


def test_a_wider_trunk_is_the_boat_with_those_hoses():
    case = shipped(MOTOR)
    trunk = balance(case).loops[0].trunk
    rows = {hose.row for hose in case.hose if hose.label in trunk.hoses}
    for tried in trunk.tried:
        wider = balance(with_hose_bore(case, rows, tried.bore)).loops[0].sharing[0]
        least = min(wider.branches, key=lambda item: item.margin)
        assert least.margin == pytest.approx(tried.margin, rel=SAME, abs=SAME)
        assert least.branch == tried.worst
        assert min(hose.bore for hose in case.hose if hose.row in rows) == trunk.bore < tried.bore


def test_the_head_a_valve_takes_is_that_of_its_loss_at_the_flow_it_gets():
    for pump in PUMPS:
        for row in balance(with_random_branches(2), pump).loops[0].setting.branches:
            speed = 4.0 * row.flow / (np.pi * row.bore**2)
            head = row.extra_loss * speed**2 / (2.0 * 9.80665)
            assert row.extra_head == pytest.approx(head, rel=SAME)
            assert row.flow == pytest.approx((1.0 + row.margin) * need_of(row.branch), rel=SAME)


def test_the_rise_that_is_told_is_the_heat_of_the_branch_over_its_flow():
    case = shipped(MOTOR)
    built, branches = motor_loop(case)
    setting = balance(case).loops[0].setting
    extra = np.asarray([row.extra_loss for row in setting.branches])
    part = case.catalogue.pump("demo-mag-large-230")
    volts = cable_drop(case, built.network.pumps[0], part, worst_cases(case)[0].conditions)
    now = replace(worst_cases(case)[0].conditions, voltage=volts)
    point = operate(throttled(built.loop, branches, extra), all_on(branches, now))
    for row, branch in zip(setting.branches, branches, strict=True):
        unit = point.units[branch.units[0]]
        assert row.flow == pytest.approx(float(unit.volume_flow[0]), rel=SAME)
        assert row.rise == pytest.approx(float(unit.temperature_rise[0]), rel=SAME)


TO_TEE = 'from = "wheelhouse unit"\nto = "port outlet"'
FROM_GUEST = 'from = "guest cabin unit"\nto = "outlet tee"'


@pytest.mark.parametrize(
    ("change", "outlets", "kind", "alone"),
    [
        (None, 1, "balance.check_by_both", {"wheelhouse unit"}),
        ((TO_TEE, TO_TEE.replace("port outlet", "outlet tee")), 0, "balance.check_by_rise", set()),
        (
            (FROM_GUEST, FROM_GUEST.replace("outlet tee", "third outlet")),
            2,
            "balance.check_by_stream",
            {"wheelhouse unit", "guest cabin unit", "saloon unit"},
        ),
    ],
)
def test_units_that_share_an_outlet_are_checked_by_their_rise(
    change, outlets, kind, alone, tmp_path
):
    text = text_of(MOTOR)
    if change is not None:
        start = text.index('[[outlet]]\nname = "port outlet"')
        port = text[start : text.index("[[hose]]", start)]
        third = port.replace("port outlet", "third outlet")
        text = edited(text, change, (port, (port + third) if outlets else ""))
    setting = balance(load_text(tmp_path, text)).loops[0].setting
    assert setting.check.kind == kind
    assert {row.branch for row in setting.branches if row.own_outlet} == alone
    sharing = {row.branch for row in setting.branches} - alone
    assert set(dict(setting.check.values).get("sharing", ())) == sharing


def need_of(branch):
    return needs_of(shipped(MOTOR))[branch].flow


def test_what_is_said_of_the_setting_is_what_it_does():
    """A pump that is enough once set, one that is without, one that is too small."""
    loop = balance(shipped(MOTOR)).loops[0]
    starving = loop.sharing[0].starving[0]
    assert 0.0 < -starving.margin < JUST
    assert [item.kind for item in loop.water] == ["balance.starves_just"]
    assert loop.water[0]["branch"] == starving.branch
    assert loop.water[0]["short"] == pytest.approx(1.0 - starving.flow / starving.need, rel=SAME)
    kinds = ["balance.throttle", "balance.all_get_it", "balance.thin"]
    assert [item.kind for item in loop.to_set] == kinds
    assert loop.to_set[1]["more"] == loop.setting.margin
    throttled = [row.hose for row in loop.setting.branches if row.extra_loss > 0.0]
    assert [item["hose"] for item in loop.to_set[0]["valves"]] == throttled
    plenty = balance(shipped(MOTOR), "demo-pedestal-230").loops[0]
    assert [item.kind for item in plenty.water] == ["balance.none_starves"]
    assert plenty.wider is None
    assert plenty.to_set[-1].kind == "balance.all_get_it_anyway"
    weak = (("demo-self-priming-230", True), ("demo-mag-medium-230", False))
    for pump, settled in weak:
        small = balance(shipped(MOTOR), pump).loops[0]
        assert small.setting.settled == settled
        kinds = ["balance.pump_too_small"]
        if not settled:  # the leg after a crest fills or empties near the setting
            kinds = ["balance.best_found", "balance.pump_too_small_unevenly"]
        assert [item.kind for item in small.to_set[1:]] == kinds
        least = min(small.setting.branches, key=lambda row: row.margin)
        assert (small.setting.worst, small.setting.margin) == (least.branch, least.margin)
        assert small.to_set[-1]["share"] == pytest.approx(1.0 + least.margin, rel=SAME)
        assert not small.setting.meets
        assert not small.is_met


def test_the_dirty_margin_is_the_least_over_what_units_must_keep():
    case = shipped(MOTOR)
    setting = balance(case).loops[0].setting
    needs, found = needs_of(case), []
    built, branches = motor_loop(case)
    extra = np.asarray([row.extra_loss for row in setting.branches])
    loop = throttled(built.loop, branches, extra)
    part = case.catalogue.pump("demo-mag-large-230")
    for worst in worst_cases(case):
        if worst.asks == "least":
            volts = cable_drop(case, built.network.pumps[0], part, worst.conditions)
            point = operate(loop, all_on(branches, replace(worst.conditions, voltage=volts)))
            found += [
                (unit.volume_flow[0] / needs[name].least - 1.0, name, worst.where)
                for name, unit in point.units.items()
            ]
    margin, name, where = min(found, key=lambda item: item[0])
    assert setting.dirty_margin == pytest.approx(margin, rel=1e-6)
    assert setting.when_dirty["unit"] == name
    assert setting.when_dirty["where"] == where
    assert setting.when_dirty.kind == "balance.dirty_enough"


def test_one_branch_has_nothing_to_balance():
    loop = balance(shipped(KETCH)).loops[0]
    assert loop.setting is None
    assert loop.trunk is None
    assert loop.is_met


def test_an_unknown_pump_is_refused_with_those_like_it():
    with pytest.raises(SeaflowError) as refused:
        balance(shipped(MOTOR), "demo-mag-huge-230")
    assert "demo-mag-large-230" in refused.value.problems[0].write


# ------------------------------------------------------------------------------------ warm water


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize(
    ("outlet", "intake", "risk"),
    [
        (1.0, 1.0, True),
        (1.0, -1.0, False),
        (0.04, 1.0, False),
        (1.0, 0.04, False),
        (0.06, 1.0, True),
    ],
)
def test_an_outlet_ahead_on_the_same_side_may_be_drawn_in_on_either_side(
    side, outlet, intake, risk
):
    """Five centimetres off the centreline lie on neither side."""

    def at(aft, starboard):
        return SimpleNamespace(name="hole", point=(aft, side * starboard, -0.3))

    assert _discharge(at(3.0, outlet), at(8.0, intake)).risk == risk
    assert not _discharge(at(8.0, outlet), at(3.0, intake)).risk  # behind it
    assert _discharge(at(3.0, outlet), at(3.0, outlet)).risk  # beside it, wherever


def test_a_unit_in_series_is_found_with_its_preheated_water():
    loop = balance(shipped(BAD)).loops[0]
    assert [unit.unit for unit in loop.series] == ["fore cabin unit"]
    unit = loop.series[0]
    assert unit.behind == ("saloon unit",)
    assert unit.inlet_temperature == pytest.approx(loop.sea_temperature + unit.warmer, abs=1e-9)
    assert unit.warmer > 0.0
    assert unit.cut_out_margin < unit.margin_with_sea_water
    assert unit.power > unit.power_with_sea_water
    said = {item.kind: item for item in unit.says}
    costs = said["balance.series_costs"]
    assert costs["more"] == pytest.approx(unit.power / unit.power_with_sea_water - 1.0, rel=SAME)
    assert costs["left"].value == unit.cut_out_margin
    assert costs["fresh"].value == unit.margin_with_sea_water
    assert said["balance.in_series"]["warmer"].value == unit.warmer
    assert balance(shipped(MOTOR)).loops[0].series == ()


def test_a_unit_that_trips_on_water_another_has_warmed_is_told_so(tmp_path):
    """A cut-out that sea water is cold enough for, and warmed water is not."""
    line = next(row for row in text_of(BAD).splitlines() if row.startswith('name = "fore cabin'))
    low = f'{line}\ncut_out = {{ gauge_pressure = "13.5 bar" }}'
    unit = balance(load_text(tmp_path, text_of(BAD).replace(line, low, 1))).loops[0].series[0]
    assert unit.state == "trips"
    assert unit.cut_out_margin is None
    assert unit.margin_with_sea_water > 0.0
    assert [item.kind.removeprefix("balance.") for item in unit.says] == [
        "in_series",
        "series_stops",
        "pipe_in_parallel",
    ]


def mixed_discharge(point):
    """Flow-weighted temperature of all water that leaves."""
    flows = [i for i, link in enumerate(point.loop.links) if link.to_sea]
    names = [point.loop.links[i].elements[-1].name for i in flows]
    heat = sum(
        point.flow[i] * point.outlet_temperature[n] for i, n in zip(flows, names, strict=True)
    )
    return heat / point.flow[flows].sum(axis=0)


def test_swallowed_discharge_mixes_into_the_intake():
    case = shipped(MOTOR)
    built, branches = motor_loop(case)
    share = np.asarray([0.0, 0.05, 0.2, 0.5])
    point = operate(built.loop, replace(all_on(branches, now_of(case)), recirculated=share))
    intake = next(iter(point.units.values())).inlet_temperature
    mixed = (1.0 - share) * case.sea.warmest + share * mixed_discharge(point)
    assert intake == pytest.approx(mixed, abs=WARM)
    assert np.all(np.diff(intake) > 0.0)
    plain = operate(built.loop, all_on(branches, now_of(case)))
    assert float(plain.units["saloon unit"].power[0]) == float(point.units["saloon unit"].power[0])


def test_more_swallowed_discharge_costs_margin_and_power():
    loop = balance(shipped(MOTOR)).loops[0]
    found = loop.recirculation
    assert [item.share for item in found] == [0.0, 0.05, 0.1, 0.2]
    assert found[0].intake_warmer == 0.0
    assert loop.drawn_back["left"].value == found[2].cut_out_margin
    assert loop.drawn_back["before"].value == found[0].cut_out_margin
    assert loop.drawn_back["warmer"].value == found[2].intake_warmer
    for less, more in pairwise(found):
        assert more.intake_warmer > less.intake_warmer
        assert more.rise_over_sea > less.rise_over_sea
        assert more.cut_out_margin < less.cut_out_margin
        assert more.power > less.power


def test_the_cost_of_warm_water_is_that_of_the_unit_nearest_its_cut_out():
    case, pump = shipped(MOTOR), "demo-mag-large-230"
    built, branches = motor_loop(case, pump)
    design = worst_cases(case)[0].conditions
    volts = cable_drop(case, built.network.pumps[0], case.catalogue.pump(pump), design)
    for row in balance(case, pump).loops[0].recirculation:
        now = replace(all_on(branches, design), voltage=volts, recirculated=row.share)
        units = operate(built.loop, now).units
        nearest = min(units, key=lambda name: units[name].cut_out_margin[0])
        assert row.unit == nearest
        assert row.cut_out_margin == pytest.approx(units[nearest].cut_out_margin[0], abs=WARM)
        warmest = max(unit.outlet_temperature[0] for unit in units.values())
        assert row.rise_over_sea == pytest.approx(warmest - case.sea.warmest, abs=WARM)
        assert row.power == pytest.approx(sum(unit.power[0] for unit in units.values()), rel=SAME)


def test_a_unit_that_trips_on_its_own_water_stays_tripped():
    case = shipped(KETCH)
    found = network.loops(case)[0]
    built = build_loop(case, found, {"pump": case.catalogue.pump("demo-mag-medium-230")})
    share = np.linspace(0.0, 0.9, 40)
    point = operate(built.loop, replace(now_of(case), recirculated=share))
    cools = point.units["saloon unit"].state == COOLING
    assert cools[0]
    assert not cools[-1]
    assert np.all(np.diff(cools.astype(int)) <= 0)


def test_what_does_not_settle_is_said_so(monkeypatch):
    case = shipped(MOTOR)
    built, branches = motor_loop(case)
    now = replace(all_on(branches, now_of(case)), recirculated=np.asarray([0.0, 0.5]))
    assert not np.any(operate(built.loop, now).ending == NOT_SETTLED)
    monkeypatch.setattr(thermal, "MOST_ROUNDS", 3)
    assert (operate(built.loop, now).ending == NOT_SETTLED).tolist() == [False, True]


NEAR = 'at = { aft = "8.6 m", starboard = "0.75 m", height = "-0.70 m" }'


@pytest.mark.parametrize(
    ("at", "kind"),
    [
        (NEAR, "too_near"),  # a hand's breadth away
        ('at = { aft = "11.5 m", starboard = "1.9 m", height = "0.2 m" }', "abaft"),
        ('at = { aft = "5.0 m", starboard = "1.9 m", height = "0.2 m" }', "forward"),
        ('at = { aft = "5.0 m", starboard = "-1.9 m", height = "0.2 m" }', "other_side"),
    ],
)
def test_an_outlet_is_judged_by_distance_and_side(tmp_path, at, kind):
    old = 'at = { aft = "6.6 m", starboard = "2.15 m", height = "0.16 m" }'
    case = load_text(tmp_path, edited(text_of(MOTOR), (old, at)))
    built, _ = motor_loop(case)
    found = {item.outlet: item for item in discharges_of(case, built)}
    assert found["starboard outlet"].says.kind == f"balance.{kind}"
    assert found["starboard outlet"].risk == (kind in ("too_near", "forward"))


def test_an_outlet_without_a_place_is_said_not_to_be_known(tmp_path):
    old = 'at = { aft = "6.6 m", starboard = "2.15 m", height = "0.16 m" }'
    case = load_text(tmp_path, edited(text_of(MOTOR), (old, 'height = "0.16 m"')))
    built, _ = motor_loop(case)
    found = {item.outlet: item for item in discharges_of(case, built)}
    assert found["starboard outlet"].distance is None
    assert found["starboard outlet"].says.kind == "balance.unplaced"
    assert not found["starboard outlet"].risk


def test_no_boat_whose_pump_cannot_start_is_in_balance(tmp_path):
    old = 'height = "-0.42 m" }\nfitted'
    answer = balance(load_text(tmp_path, edited(text_of(KETCH), (old, old.replace("-", "")))))
    (loop,) = answer.loops
    assert loop.is_met and kinds_of(item.said for item in loop.no_start)
    assert answer.grade == NO
    assert balance(shipped(KETCH)).grade == TIGHT and balance(shipped(SLOOP)).grade == YES
