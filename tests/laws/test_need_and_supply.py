"""Laws of what a pump is held to beside its flow: rules of thumb, cable, speed, bores, remarks."""

from dataclasses import replace
from itertools import pairwise
from math import pi

import numpy as np
import pytest
from answer_data import kinds_of
from sizing import KETCH, MOTOR, NAMES, SLOOP, built_loops, needs_of, shipped, sized

from seaflow.base.bores import is_wider
from seaflow.boat.tables.supply import Cable
from seaflow.model.build import with_pump
from seaflow.model.operate import operate
from seaflow.studies.design.limits import limit
from seaflow.studies.design.speed import STEPS, speeds_for_need
from seaflow.studies.design.supply import cable_drop, fits, supply_of
from seaflow.studies.design.worst_cases import worst_cases
from seaflow.studies.size.remarks import loop_remarks
from seaflow.studies.size.size import size

SAME = 1e-9  # relative, rounding
GALLON = 3.785411784e-3 / 60.0  # US gallon a minute in m3/s
TON = 12000.0 * 0.29307107  # W: a ton of refrigeration is 12 000 BTU/h

# ---------------------------------------------------------------------------- rules of thumb


@pytest.mark.parametrize("name", NAMES)
def test_rules_of_thumb_are_gallons_a_minute_for_each_ton(name):
    for unit, need in needs_of(shipped(name)).items():
        tons = next(item.cooling for item in shipped(name).unit if item.name == unit) / TON
        assert need.rule_flows == pytest.approx((2 * GALLON * tons, 3 * GALLON * tons), rel=1e-6)
        assert need.flow_per_ton == pytest.approx(need.flow / tons, rel=1e-6)


def test_what_a_need_is_beside_the_rules_follows_from_its_gallons_for_each_ton():
    edges = {"below_any_rating": 1.5, "below_the_rules": 2.0, "between_the_rules": 3.0}
    (unit,), seen = shipped(KETCH).unit, set()
    unit = replace(unit, water_flow=replace(unit.water_flow, least=None))
    case = replace(shipped(KETCH), unit=(unit,))
    for rise in (3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 14.0):
        (need,) = needs_of(replace(case, design=replace(case.design, permitted_rise=rise))).values()
        gallons = need.flow_per_ton / GALLON
        kind = next((kind for kind, most in edges.items() if gallons < most), "above_the_rules")
        assert need.rule_says.kind == f"design.{kind}"
        seen.add(kind)
    assert seen == {*edges, "above_the_rules"}


# -------------------------------------------------------------------------------------- supply


@pytest.mark.parametrize(("hot", "degrees"), [(False, 30.0), (True, 60.0)])
def test_the_drop_is_that_of_warm_copper_there_and_back(hot, degrees):
    """58 MS/m at 20 degC and 0.00393 for each kelvin, as the handbooks have it."""
    case = shipped(KETCH)
    place, part = case.pump[0], case.catalogue.pump(case.pump[0].fitted)
    cable = Cable(length=7.0, conductor=1.5e-6, hot_space=hot)
    now = worst_cases(case)[0].conditions
    current = part.power[-1][1] / (case.supply.voltage * part.power_factor)
    resistance = 2.0 * 7.0 / 1.5e-6 / 58e6 * (1.0 + 0.00393 * (degrees - 20.0))
    volts = cable_drop(case, replace(place, cable=cable), part, now)
    assert volts == pytest.approx(case.supply.voltage - current * resistance, abs=1e-3)
    told = supply_of(case, replace(place, cable=cable), part, 0.0)
    assert told.voltage_drop == pytest.approx(current * resistance, rel=1e-3)
    assert told.drop_share == pytest.approx(told.voltage_drop / case.supply.voltage, rel=SAME)


def test_a_long_cable_of_unknown_conductor_loses_what_it_should_be_sized_for():
    case = shipped(KETCH)
    place, part = case.pump[0], case.catalogue.pump(case.pump[0].fitted)
    now = worst_cases(case)[0].conditions
    unknown = replace(place, cable=Cable(length=2000.0))
    assert cable_drop(case, unknown, part, now) == pytest.approx(0.97 * 230.0)
    assert cable_drop(case, replace(place, cable=None), part, now) == 230.0


def test_a_conductor_of_the_size_due_is_enough_and_one_a_little_thinner_is_not():
    case = shipped(SLOOP)
    place, part = case.pump[0], sized(SLOOP).loops[0].chosen.part
    due = supply_of(case, replace(place, cable=Cable(length=9.0)), part, 0.0).conductor_metric
    for area, enough in ((due.area, True), (0.998 * due.area, False), (2.0 * due.area, True)):
        cable = Cable(length=9.0, conductor=area)
        found = supply_of(case, replace(place, cable=cable), part, 0.0)
        assert found.conductor_is_enough is enough


def test_a_pump_fits_a_supply_of_its_own_kind_within_the_tolerance():
    case = shipped(KETCH)
    part = case.catalogue.pump(case.pump[0].fitted)
    for share, fitting in ((0.851, True), (0.849, False), (1.149, True), (1.151, False)):
        assert fits(case, replace(part, voltage=share * case.supply.voltage)) is fitting
    assert not fits(case, replace(part, current="dc"))


# --------------------------------------------------------------------------------------- speed


def test_the_speed_set_is_the_least_that_meets_every_need():
    case, loop = shipped(SLOOP), sized(SLOOP).loops[0]
    needs = {need.name: need for need in loop.needs}
    now = worst_cases(case)[0].conditions
    part = loop.chosen.part
    built = with_pump(case, built_loops(case)[0], part)
    (found,) = speeds_for_need([(built, part, now)], [needs])
    step = (1.0 - part.least_speed) / (STEPS - 1)
    at = operate(built.loop, replace(now, pump_speed=np.asarray([found.speed, found.speed - step])))
    for name, unit in at.units.items():
        assert unit.volume_flow[0] >= needs[name].flow
    assert any(unit.volume_flow[1] < needs[name].flow for name, unit in at.units.items())
    assert found.flow == pytest.approx(at.total_flow()[0], rel=SAME)
    assert found.power == pytest.approx(sum(pump.power[0] for pump in at.pumps.values()), rel=SAME)
    assert speeds_for_need([(built, replace(part, least_speed=None), now)], [needs]) == [None]
    dear = {name: replace(need, flow=10.0 * need.flow) for name, need in needs.items()}
    assert speeds_for_need([(built, part, now)], [dear]) == [None]


# --------------------------------------------------------------------------------------- bores


@pytest.mark.parametrize("name", NAMES)
def test_a_suggested_bore_is_the_smallest_common_one_that_keeps_the_velocity(name):
    """Or one sold as that size, and on the suction side no narrower than the port of the pump."""
    bores = shipped(name).catalogue.common_bores()
    for loop, place in zip(sized(name).loops, shipped(name).pump, strict=True):
        port = place.port or loop.chosen.part.inlet
        for item in loop.bores:
            assert item.velocity == pytest.approx(4.0 * item.flow / (pi * item.has**2), rel=SAME)
            aim = limit("suction_velocity" if item.side == "suction" else "delivery_velocity")
            wanted = (4.0 * item.flow / (pi * aim)) ** 0.5
            wanted = max(wanted, port) if item.side == "suction" else wanted
            smaller = [bore for bore in bores if bore < item.suggested]
            assert not is_wider(wanted, item.suggested)
            assert not smaller or is_wider(wanted, smaller[-1])


@pytest.mark.parametrize("bore", [0.013, 0.016, 0.019])
def test_a_costly_hose_is_told_with_its_share_of_the_friction(bore):
    case = shipped(KETCH)
    hoses = tuple(
        replace(hose, bore=bore, barb_bore=None) if hose.from_ == "pump" else hose
        for hose in case.hose
    )
    loop, told = size(replace(case, hose=hoses), 0).loops[0], 0
    for item in loop.bores:
        mine = sum(one.head for one in loop.heads.items if one.thing == item.thing)
        assert item.head == pytest.approx(mine, rel=SAME)
        costly = item.kind == "hose" and mine / loop.heads.friction > 0.15
        assert ("costly" in item.verdict.kind) == costly
        if costly:
            assert item.verdict["share"] == pytest.approx(mine / loop.heads.friction, rel=SAME)
            told += 1
    assert told == (bore < 0.019)


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_velocities_of_the_list_of_heads_are_flow_over_area(name):
    for built, loop in zip(built_loops(shipped(name)), sized(name).loops, strict=True):
        bore = {item.name: item.bore for link in built.loop.links for item in link.elements}
        for item in loop.heads.items:
            if item.velocity is not None:
                area = pi * bore[item.thing] ** 2 / 4.0
                assert item.velocity == pytest.approx(item.flow / area, rel=SAME)


# ------------------------------------------------------------------------------------- remarks


def test_a_leg_that_gives_little_back_is_remarked_only_if_that_matters():
    """Two centimetres of lift not given back are worth a remark; a leg that runs full never."""
    (built,), heads = built_loops(shipped(KETCH)), sized(KETCH).loops[0].heads
    for lost, fills_at, kind in (
        (0.019, 3e-4, None),
        (0.021, 3e-4, "size.airy_leg"),
        (0.021, None, "size.vented_leg"),
    ):
        airy = replace(
            heads,
            head=heads.friction + heads.static_running + lost,
            leg_runs_full=False,
            fills_at=fills_at,
        )
        said = set(kinds_of(loop_remarks(built, airy))) & {"size.airy_leg", "size.vented_leg"}
        assert said == ({kind} if kind else set())
    full = replace(heads, head=heads.friction + heads.static_running + 1.0)
    assert loop_remarks(built, full) == ()


@pytest.mark.parametrize("name", NAMES)
def test_the_pumps_are_in_order_of_their_judgement(name):
    for loop in sized(name).loops:
        for one, two in pairwise(loop.pumps):
            assert not (two.judgement.recommended and not one.judgement.recommended)
            if not one.judgement.recommended:
                assert one.judgement.shortfall <= two.judgement.shortfall
