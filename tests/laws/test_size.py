"""Laws of the size study: needs, ranking, worst cases, bores, cable, and odd boats."""

from dataclasses import replace

import layouts
import numpy as np
import pytest
from answer_data import kinds_of
from sizing import (
    BAD,
    CATAMARAN,
    KETCH,
    MOTOR,
    NAMES,
    SLOOP,
    built_loops,
    edited,
    load_text,
    needs_of,
    ranking,
    shipped,
    shuffled,
    sized,
    text_of,
)

from seaflow.base.facts import fact
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Coil, Pumping
from seaflow.model.loop import SEA
from seaflow.model.operate import operate
from seaflow.model.pressures import asked_heads, element_losses
from seaflow.physics.water.seawater import seawater
from seaflow.present.quantities import Show
from seaflow.studies.design.judge import GRADES, NO, YES
from seaflow.studies.design.limits import limit
from seaflow.studies.design.supply import cable_drop
from seaflow.studies.design.worst_cases import worst_cases
from seaflow.studies.size import bores
from seaflow.studies.size.bores import bore_advice
from seaflow.studies.size.heads import head_list, needed_flows
from seaflow.studies.size.size import size

# Needs are found by halving brackets to a thousand millionth of twenty times the rated flow.
NEED_STEP = 1e-7  # relative
SAME = 1e-9  # relative: the same sums in another order, heads settled to 1e-9 m
CUT_OUT = 'cut_out = { gauge_pressure = "41 bar" }'
WORST_CASES = ("design", "strainer blocked", "low voltage", "growth", "cold")


def not_below(later, earlier):
    return later >= earlier * (1.0 - NEED_STEP)


def criterion(need, kind):
    return next(item for item in need.criteria if item.what.kind == kind)


# ------------------------------------------------------------------------------------- needs


@pytest.mark.parametrize("name", NAMES)
def test_more_permitted_rise_never_needs_more_flow(name):
    case = shipped(name)
    before = None
    for rise in (3.0, 4.0, 5.0, 6.0, 8.0, 12.0):
        needs = needs_of(replace(case, design=replace(case.design, permitted_rise=rise)))
        if before is not None:
            for unit, need in needs.items():
                first = len(needs) == 1 or name != BAD  # in series more rise also warms the next
                if first or unit == "saloon unit":
                    assert not_below(before[unit].flow, need.flow), (unit, rise)
        before = needs


@pytest.mark.parametrize("name", NAMES)
def test_a_warmer_sea_never_lowers_the_flow_that_keeps_clear_of_the_cut_out(name):
    case = shipped(name)
    before = None
    for sea in (22.0, 26.0, 30.0, 34.0, 38.0):
        needs = needs_of(replace(case, sea=replace(case.sea, warmest=sea)))
        flows = {
            unit: criterion(need, "design.clear_of_cut_out").flow for unit, need in needs.items()
        }
        flows = {unit: np.inf if flow is None else flow for unit, flow in flows.items()}
        if before is not None:
            for unit, flow in flows.items():
                assert not_below(flow, before[unit]), (unit, sea)
        before = flows


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("rise", [3.0, 6.0, 15.0])
def test_the_floor_is_never_above_the_need_and_the_need_keeps_the_rise(name, rise):
    case = shipped(name)
    case = replace(case, design=replace(case.design, permitted_rise=rise))
    for need in needs_of(case).values():
        assert 0.0 < need.least <= need.flow
        assert need.temperature_rise <= rise * (1.0 + NEED_STEP)
        assert need.flow == max(item.flow for item in need.criteria if item.flow is not None)


@pytest.mark.parametrize("name", NAMES)
def test_heat_rejected_is_more_than_the_cooling_and_leaves_with_the_water(name):
    case = shipped(name)
    for need in needs_of(case).values():
        water = seawater(case.sea.warmest, case.sea.salinity)
        carried = water.volumetric_heat_capacity * need.flow * need.temperature_rise
        assert need.heat_rejected > need.cooling
        assert carried == pytest.approx(need.heat_rejected, rel=1e-9)


def test_a_unit_in_series_gets_preheated_water_and_that_is_remarked():
    case = shipped(BAD)
    needs, loop = needs_of(case), sized(BAD).loops[0]
    first, second = needs["saloon unit"], needs["fore cabin unit"]
    assert first.inlet_temperature == case.sea.warmest
    assert second.inlet_temperature == case.sea.warmest + case.design.permitted_rise
    assert fact("size.in_series", unit="fore cabin unit", before=("saloon unit",)) in loop.remarks


# ----------------------------------------------------------------------------------- ranking


@pytest.mark.parametrize("name", [KETCH, CATAMARAN, SLOOP, BAD])
def test_the_order_of_things_in_the_file_changes_nothing(name, tmp_path):
    there = sized(name)
    for seed in (1, 2):
        again = size(load_text(tmp_path, shuffled(text_of(name), seed)), 0)
        assert ranking(again) == ranking(there)
        for loop in there.loops:
            other = next(item for item in again.loops if item.name == loop.name)
            assert other.heads.head == pytest.approx(loop.heads.head, rel=SAME)
            for one, two in zip(loop.pumps, other.pumps, strict=True):
                assert [at.flow for at in two.at] == pytest.approx(
                    [at.flow for at in one.at], rel=SAME
                )


def test_the_order_of_the_file_changes_nothing_behind_a_manifold(tmp_path):
    again = size(load_text(tmp_path, shuffled(text_of(MOTOR), 3)), 0)
    assert ranking(again) == ranking(sized(MOTOR))
    by_name = {need.name: need.flow for need in again.loops[0].needs}
    assert by_name == {need.name: need.flow for need in sized(MOTOR).loops[0].needs}


def test_the_order_of_the_pumps_to_consider_changes_nothing():
    case, names = shipped(KETCH), [item.part.name for item in sized(KETCH).loops[0].pumps]
    for order in (names, names[::-1], names[2:] + names[:2]):
        again = size(replace(case, design=replace(case.design, pumps=tuple(order))), 0)
        assert ranking(again) == ranking(sized(KETCH))


@pytest.mark.parametrize("name", NAMES)
def test_every_pump_that_will_not_do_has_a_reason_and_stands_behind_those_that_will(name):
    for loop in sized(name).loops:
        verdicts = [item.judgement.recommended for item in loop.pumps]
        assert verdicts == sorted(verdicts, reverse=True)
        for item in loop.pumps:
            assert item.judgement.recommended == (not item.judgement.reasons)


@pytest.mark.parametrize("name", NAMES)
def test_a_yes_comes_before_a_tight_one_and_of_equally_remarked_the_least_power_is_first(name):
    for loop in sized(name).loops:
        grades = [GRADES.index(item.judgement.grade) for item in loop.pumps]
        assert grades == sorted(grades)
        good = [item for item in loop.pumps if item.judgement.grade == YES]
        order = [(len(item.judgement.remarks), item.running_power) for item in good]
        assert order == sorted(order)


@pytest.mark.parametrize("name", NAMES)
def test_a_yes_meets_need_and_least_everywhere_and_a_tight_pump_the_least(name):
    for loop in sized(name).loops:
        needs = {need.name: need for need in loop.needs}
        for item in loop.pumps:
            if not item.judgement.recommended:
                continue
            slack = 1.0 if item.judgement.grade == YES else 1.0 - limit("must_flow")
            for at in item.at:
                for unit in at.units:
                    need = needs[unit.name]
                    asked = {"need": need.flow, "least": need.least, "most": 0.0}[at.asks]
                    wanted = asked if slack == 1.0 else min(asked, need.least) * slack
                    assert unit.state == "cooling"
                    assert not_below(unit.flow, wanted)


@pytest.mark.parametrize("name", NAMES)
def test_every_pump_is_run_in_every_worst_case(name):
    for loop in sized(name).loops:
        for item in loop.pumps:
            named = tuple(at.worst_case for at in item.at if not at.worst_case.endswith("down"))
            assert named == WORST_CASES
            assert item.design.worst_case == "design"


def test_dirt_and_low_volts_never_give_more_flow():
    for name in NAMES:
        for loop in sized(name).loops:
            for item in loop.pumps:
                flows = {at.worst_case: at.flow for at in item.at}
                for worst in ("strainer blocked", "low voltage", "growth"):
                    assert flows[worst] <= flows["design"] * (1.0 + SAME), (name, worst)


def test_another_frequency_adds_a_worst_case(tmp_path):
    text = edited(
        text_of(KETCH), ('frequency = "50 Hz"', 'frequency = "50 Hz"\nother_frequency = "60 Hz"')
    )
    case = load_text(tmp_path, text)
    assert [item.name for item in worst_cases(case) if not item.name.endswith("down")] == [
        *WORST_CASES[:3],
        "other frequency",
        *WORST_CASES[3:],
    ]
    for item in size(case, 0).loops[0].pumps:
        flows = {at.worst_case: at.flow for at in item.at}
        assert flows["other frequency"] > flows["design"]


def test_hulls_of_a_catamaran_are_two_loops():
    assert [loop.name for loop in sized(CATAMARAN).loops] == ["port hull", "starboard hull"]
    units = [[need.name for need in loop.needs] for loop in sized(CATAMARAN).loops]
    assert units == [["saloon unit"], ["cabin unit"]]


def test_two_loops_in_one_file_are_sized_as_each_alone(tmp_path):
    text = text_of(CATAMARAN)
    port, starboard = text.split(
        "# ------------------------------------------------------------ st"
    )
    hull = replace(load_text(tmp_path, port), design=shipped(CATAMARAN).design)
    alone = size(hull, 0).loops[0]
    assert ranking(sized(CATAMARAN))["port hull"] == [
        (item.part.name, item.judgement.recommended) for item in alone.pumps
    ]
    both = sized(CATAMARAN).loops[0]
    assert alone.chosen.design.flow == both.chosen.design.flow
    assert starboard


# --------------------------------------------------------------------------- heads and bores


@pytest.mark.parametrize("name", [KETCH, SLOOP, CATAMARAN])
def test_at_the_flow_of_a_pump_the_list_of_heads_gives_its_head(name):
    """The list is for a wanted flow; where a pump happens to give that flow, both must agree."""
    case = shipped(name)
    for built, loop in zip(built_loops(case), sized(name).loops, strict=True):
        for item in loop.pumps:
            needs = {need.name: replace(need, flow=item.design.flow) for need in loop.needs}
            heads = head_list(built, needs, worst_cases(case)[0].conditions)
            assert heads.head == pytest.approx(item.design.head, abs=1e-6)


@pytest.mark.parametrize("height", ["0.4 m", "0.9 m", "1.6 m"])
@pytest.mark.parametrize("bore", ["19 mm", "38 mm"])
def test_with_air_after_the_crest_too_the_list_of_heads_gives_the_pumps_head(
    height, bore, tmp_path
):
    """The fall after a crest that does not run full pays for the friction there, and no more."""
    text = edited(
        with_vent(height),
        ('bore = "19 mm"\nlength = "1.9 m"', f'bore = "{bore}"\nlength = "1.9 m"'),
    )
    case = load_text(tmp_path, text)
    loop = size(case, 0).loops[0]
    for item in loop.pumps:
        needs = {need.name: replace(need, flow=item.design.flow) for need in loop.needs}
        heads = head_list(built_loops(case)[0], needs, worst_cases(case)[0].conditions)
        assert heads.head == pytest.approx(item.design.head, abs=1e-6)


@pytest.mark.parametrize("kind", ["row", "manifold", "common outlet", "two manifolds"])
def test_what_flows_ask_for_is_what_their_pump_gives(kind):
    """Along the dearest path, with legs full or not, at the flows that the solver settles on."""
    rng, now, met = np.random.default_rng(11), Conditions(sea_temperature=20.0, voltage=24.0), 0
    for _ in range(20):
        point = operate(layouts.random_loop(rng, kind), now)
        if point.words() != "flowing":
            continue
        viscosity = float(point.water.kinematic_viscosity)
        asked = asked_heads(point.loop, now, point.flow[:, 0], viscosity)
        (pump,) = point.pumps.values()
        assert max(path.head for path in asked) == pytest.approx(pump.head[0], abs=1e-6)
        met += not all(path.runs_full for path in asked)
    assert met >= 3  # loops with air in a leg were among them


@pytest.mark.parametrize("name", NAMES)
def test_the_items_of_the_worst_path_add_up_to_the_friction(name):
    for loop in sized(name).loops:
        added = sum(item.head for item in loop.heads.items if item.on_worst_path)
        assert added == pytest.approx(loop.heads.friction, rel=1e-9)
        assert loop.heads.head >= loop.heads.friction


@pytest.mark.parametrize("name", NAMES)
def test_more_flow_never_suggests_a_smaller_bore(name):
    case = shipped(name)
    for built, loop in zip(built_loops(case), sized(name).loops, strict=True):
        before = None
        for factor in (0.3, 0.6, 1.0, 1.7, 3.0):
            needs = {need.name: replace(need, flow=need.flow * factor) for need in loop.needs}
            found = bore_advice_of(case, built, needs)
            if before is not None:
                for thing, advice in found.items():
                    assert advice.suggested >= before[thing].suggested
                    assert advice.velocity > before[thing].velocity
            before = found


def bore_advice_of(case, built, needs):
    heads = head_list(built, needs, worst_cases(case)[0].conditions)
    advice = bore_advice(case, built, needs, heads, 0.016)
    return {(item.kind, item.thing): item for item in advice}


@pytest.mark.parametrize("kind", layouts.KINDS)
def test_needed_flows_serve_every_unit_once_and_keep_the_water(kind):
    """However many pumps feed a unit, it gets its need and no more; nothing is lost on the way."""
    rng = np.random.default_rng(7)
    template = next(iter(needs_of(shipped(KETCH)).values()))
    for _ in range(8):
        loop = layouts.random_loop(rng, kind)
        needs = {
            coil.unit: replace(template, name=coil.unit, flow=float(rng.uniform(1e-4, 5e-4)))
            for coil in loop.coils
        }
        flow = needed_flows(loop, needs)
        for number, link in enumerate(loop.links):
            asked = [needs[item.unit].flow for item in link.elements if isinstance(item, Coil)]
            if asked:
                assert flow[number] == pytest.approx(max(asked), rel=SAME)
        for node in {link.end for link in loop.links} - {SEA}:
            into = sum(flow[i] for i, link in enumerate(loop.links) if link.end == node)
            out = sum(flow[i] for i, link in enumerate(loop.links) if link.start == node)
            assert into == pytest.approx(out, rel=SAME)
        pumped = [flow[i] for i, link in enumerate(loop.links) if has_pump(link)]
        assert pumped == pytest.approx([pumped[0]] * len(pumped), rel=SAME)


def has_pump(link):
    return any(isinstance(element, Pumping) for element in link.elements)


def test_a_shared_opening_costs_what_all_its_water_together_costs(tmp_path):
    """Loss goes with the square of all the water, not with the sum of the squares."""
    text, others = text_of(MOTOR), (25.0 + 18.0) / 60000.0
    users = text[text.index("also_feeds") : text.index("seen = { material")]
    alone = size(load_text(tmp_path, edited(text, (users, ""))), 0).loops[0].heads.items
    shared = sized(MOTOR).loops[0].heads.items
    for mine, theirs in zip(shared, alone, strict=True):
        own = mine.thing in ("sea chest", "chest seacock")
        factor = ((mine.flow + others) / mine.flow) ** 2 if own else 1.0
        assert mine.head == pytest.approx(theirs.head * factor, rel=SAME), mine.thing
    assert {"sea chest", "chest seacock"} <= {item.thing for item in shared}


@pytest.mark.parametrize(
    ("has", "speed", "share", "kind"),
    [
        (0.0197, 1.4, 0.14, "bore_enough"),
        (0.0197, 1.6, 0.14, "bore_too_fast"),
        (0.0190, 1.4, 0.14, "bore_below_port"),
        (0.0197, 1.36, 0.14, "bore_enough"),
        (0.0197, 1.47, 0.14, "bore_narrow"),
        (0.0190, 1.4, 0.16, "bore_costly"),
        (0.0197, 1.4, 0.16, "bore_wide_but_costly"),
    ],
)
def test_a_bore_is_told_by_its_velocity_then_its_size_then_its_cost(has, speed, share, kind):
    """A port of 20 mm, of which 4 % less is one size, as it is of the bore for the usual 1.35 m/s;
    not over 1.5 m/s; a hose may cost 15 %."""
    beside = (has, 0.020), (speed, 1.35, 1.5)
    assert bores._verdict(*beside, share, "hose").kind == f"size.{kind}"
    plain = bores._verdict(*beside, 0.14, "strainer")
    assert bores._verdict(*beside, share, "strainer") == plain


# ------------------------------------------------------------------------------------- cable


@pytest.mark.parametrize("name", [KETCH, SLOOP, BAD])
def test_a_thinner_or_longer_cable_never_leaves_more_volts(name):
    case = shipped(name)
    place, now = case.pump[0], worst_cases(case)[0].conditions
    for part in (item.part for item in sized(name).loops[0].pumps):

        def volts(length, area, part=part):
            cable = replace(place.cable, length=length, conductor=area)
            return cable_drop(case, replace(place, cable=cable), part, now)

        for length in (2.0, 5.0, 12.0):
            by_area = [volts(length, area * 1e-6) for area in (0.75, 1.5, 2.5, 6.0, 16.0)]
            assert by_area == sorted(by_area)
            assert by_area[-1] < case.supply.voltage
        for area in (0.75e-6, 4e-6):
            by_length = [volts(length, area) for length in (1.0, 3.0, 9.0, 20.0)]
            assert by_length == sorted(by_length, reverse=True)


# --------------------------------------------------------------------------------- odd boats


def test_a_measured_suction_overrules_the_table_and_raises_the_loss_when_dirty(tmp_path):
    reading = 'measured_suction = { gauge_pressure = "-6 kPa", flow = "14 L/min" }'
    case = load_text(
        tmp_path, edited(text_of(KETCH), ('port = "19 mm"', f'port = "19 mm"\n{reading}'))
    )
    loop, table = size(case, 0).loops[0], sized(KETCH).loops[0]
    for mine, theirs in zip(sorted_pumps(loop), sorted_pumps(table), strict=True):
        flows = {at.worst_case: at.flow for at in mine.at}
        assert (
            flows["strainer blocked"]
            < {at.worst_case: at.flow for at in theirs.at}["strainer blocked"]
        )
        assert flows["strainer blocked"] < flows["design"]
    assert fact("size.strainer_by_reading", strainer="strainer") in loop.notes


def test_a_measured_suction_gives_back_the_reading(tmp_path):
    reading = 'measured_suction = { gauge_pressure = "-6 kPa", flow = "14 L/min" }'
    case = load_text(
        tmp_path, edited(text_of(KETCH), ('port = "19 mm"', f'port = "19 mm"\n{reading}'))
    )
    place, flow = case.pump[0], 14.0 / 60000.0
    built = build_loop(case, built_loops(case)[0].network, {place.name: case.catalogue.pumps()[0]})
    water = seawater(case.sea.warmest, case.sea.salinity)
    dirty = Conditions(
        sea_temperature=case.sea.warmest, strainer_blockage=case.design.blocked_share
    )
    lost = 0.0
    for element in built.loop.links[0].elements:
        if isinstance(element, Pumping):
            break
        lost += element_losses(element, dirty, np.asarray([flow]), water.kinematic_viscosity)[0]
    speed = 4.0 * flow / (np.pi * place.port**2)
    gauge = water.density * (9.80665 * (0.42 - lost) - 0.5 * speed**2)  # the pump sits 0.42 m deep
    assert gauge == pytest.approx(-6000.0, rel=1e-9)


def sorted_pumps(loop):
    return sorted(loop.pumps, key=lambda item: item.part.name)


def test_other_users_of_the_intake_lower_the_flow(tmp_path):
    text = text_of(MOTOR)
    users = text[text.index("also_feeds") : text.index('[[seacock]]\nname = "chest')]
    alone = size(load_text(tmp_path, edited(text, (users, "\n"))), 0).loops[0]
    more = size(load_text(tmp_path, edited(text, ('"25 L/min"', '"250 L/min"'))), 0).loops[0]
    some = sized(MOTOR).loops[0]
    for least, middle, most in zip(*map(sorted_pumps, (more, some, alone)), strict=True):
        assert least.design.flow < middle.design.flow < most.design.flow
    (said,) = (item for item in some.remarks if item.kind == "size.shared_intake")
    users = {user["user"]: user["flow"].value * 60000 for user in said["users"]}
    assert users == pytest.approx({"generator": 25.0, "deck wash": 18.0})
    assert "size.shared_intake" not in kinds_of(alone.remarks)


def test_a_submerged_outlet_is_remarked_and_not_refused():
    loop = sized(BAD).loops[0]
    assert loop.heads.submerged_outlets == ("outlet",)
    assert loop.heads.static_running == 0.0
    assert fact("size.outlet_under_water", outlet="outlet") in loop.remarks
    assert loop.chosen.design.ending == "flowing"


def with_vent(height):
    """The ketch with a vented loop between pump and unit."""
    vent = f'[[vented_loop]]\nname = "vent"\nheight = "{height}"\nbore = "19 mm"\n\n'
    leg = '[[hose]]\nfrom = "vent"\nto = "saloon unit"\nbore = "19 mm"\nlength = "1.2 m"\n\n'
    return edited(
        text_of(KETCH),
        ('[[hose]]\nfrom = "pump"\n', f'{vent}{leg}[[hose]]\nfrom = "pump"\n'),
        (
            'to = "saloon unit"\nbore = "19 mm"\nlength = "2.4 m"',
            'to = "vent"\nbore = "19 mm"\nlength = "1.2 m"',
        ),
    )


def test_a_vented_loop_at_the_crest_leaves_no_siphon(tmp_path):
    vented = size(load_text(tmp_path, with_vent("2.2 m")), 0).loops[0]
    plain = (
        with_vent("2.2 m")
        .replace("[[vented_loop]]", "[[reducer]]")
        .replace('name = "vent"\n', 'name = "vent"\nloss = 0.0\n')
    )
    siphon = size(load_text(tmp_path, plain), 0).loops[0]
    for loop in (vented, siphon):
        assert loop.heads.crest == "vent"
        assert loop.heads.static_starting == 2.2
        assert loop.heads.static_running == 0.15
    assert not vented.heads.leg_runs_full and siphon.heads.leg_runs_full
    assert vented.heads.head > siphon.heads.head
    assert "size.vented_leg" in kinds_of(vented.remarks)
    assert not {"size.vented_leg", "size.airy_leg"} & set(kinds_of(siphon.remarks))
    for mine, theirs in zip(sorted_pumps(vented), sorted_pumps(siphon), strict=True):
        assert mine.design.flow < theirs.design.flow


def test_a_crest_above_the_shut_off_head_leaves_the_pump_without_an_operating_point(tmp_path):
    loop = size(load_text(tmp_path, with_vent("2.6 m")), 0).loops[0]
    small = next(item for item in loop.pumps if item.part.name == "demo-mag-small-230")
    assert small.design.ending == "no operating point"
    assert {"start.too_high", "design.cannot_lift"} <= set(kinds_of(small.judgement.reasons))


@pytest.mark.parametrize("least", ['least = "9 L/min", ', ""])
def test_a_unit_whose_cut_out_lies_just_above_the_sea_can_run_with_no_pump(least, tmp_path):
    text = edited(
        text_of(KETCH),
        (CUT_OUT, 'cut_out = { temperature = "31 degC" }'),
        ('least = "9 L/min", ', least),
    )
    answer = size(load_text(tmp_path, text), 0)
    need = answer.loops[0].needs[0]
    assert not need.can_run and need.condensing_temperature is None
    assert criterion(need, "design.clear_of_cut_out").flow is None
    assert answer.grade == NO
    for item in answer.loops[0].pumps:
        assert item.judgement.reasons[0] == fact("design.no_flow_cools", unit="saloon unit")
        assert item.design.units[0].state == "trips"


def test_a_margin_that_no_flow_gives_is_not_met_although_the_unit_runs(tmp_path):
    """Condensing stays 12 K below the cut-out at no flow, yet the unit does not trip."""
    text = edited(text_of(KETCH), (CUT_OUT, 'cut_out = { temperature = "48 degC" }'))
    case = load_text(tmp_path, text)
    answer = size(replace(case, design=replace(case.design, cut_out_margin=12.0)), 0)
    assert not answer.loops[0].needs[0].can_run
    assert answer.grade == NO
    assert {item.design.units[0].state for item in answer.loops[0].pumps} == {"cooling"}
    assert all(
        item.judgement.reasons[0].kind == "design.no_flow_cools" for item in answer.loops[0].pumps
    )


def test_pumps_that_do_not_fit_the_supply_are_not_considered():
    for name in NAMES:
        supply = shipped(name).supply
        for loop in sized(name).loops:
            for item in loop.pumps:
                assert item.part.current == supply.current
                assert abs(item.part.voltage / supply.voltage - 1.0) <= 0.15


@pytest.mark.parametrize("wrong", ["demo-dc-small-12", "demo-mag-medium-115"])
def test_a_fitted_pump_that_the_supply_cannot_drive_is_left_out_and_said(wrong, tmp_path):
    text = edited(text_of(KETCH), ('fitted = "demo-mag-medium-230"', f'fitted = "{wrong}"'))
    answer = size(load_text(tmp_path, text), 0)
    assert ranking(answer) == ranking(sized(KETCH))
    assert not any(item.fitted for item in answer.loops[0].pumps)
    (said,) = (item for item in answer.loops[0].remarks if item.kind == "design.left_out")
    assert said["pump"] == wrong


def test_a_supply_that_no_pump_fits_leaves_needs_and_heads_without_pumps(tmp_path):
    text = edited(
        text_of(KETCH),
        ('voltage = "230 V"\nfrequency', 'voltage = "48 V"\nfrequency'),
        ('lowest_voltage = "205 V"\nhighest_voltage = "240 V"\n', ""),
        ('fitted = "demo-mag-medium-230"\n', ""),
    )
    answer = size(load_text(tmp_path, text), 0)
    loop = answer.loops[0]
    assert loop.pumps == () and loop.chosen is None
    assert answer.grade == NO
    assert loop.heads.head == pytest.approx(sized(KETCH).loops[0].heads.head, rel=SAME)


@pytest.mark.parametrize("name", ["a {flow|1} b", "{x|y}", "50 % of {nothing}"])
def test_a_name_with_braces_is_left_as_it_is(name, tmp_path):
    text = text_of(KETCH).replace('"saloon unit"', f'"{name}"')
    need = size(load_text(tmp_path, text), 0).loops[0].needs[0]
    assert Show().sentence(need.name) == name


def test_what_no_pump_of_the_table_gives_is_not_sent_to_the_shop(tmp_path):
    narrow = text_of(KETCH).replace('length = "2.4 m"', 'length = "200 m"', 1)
    asks = [size(it, 0).loops[0].asks for it in (shipped(KETCH), load_text(tmp_path, narrow))]
    assert [one.in_reach for one in asks] == [True, False]
    assert asks[1].head > 2.0 * asks[0].head


@pytest.mark.parametrize(
    ("height", "must"),
    [("-0.42 m", False), ("0.30 m", True), ("-0.42 m typical +/- 0.4 m", None)],
)
def test_a_pump_need_not_prime_only_where_what_is_typical_leaves_it_under_water(
    height, must, tmp_path
):
    at = 'at = {{ aft = "5.8 m", starboard = "0.40 m", height = "{}" }}\nfitted'
    text = edited(text_of(KETCH), (at.format("-0.42 m"), at.format(height)))
    (loop,) = size(load_text(tmp_path, text), 0).loops
    assert loop.asks.must_prime is must


def test_one_simulated_day_is_enough_to_be_held_to_and_none_is_none():
    for samples, told in ((0, False), (1, True)):
        (loop,) = size(shipped(KETCH), samples).loops
        assert (loop.chosen.judgement.keeps_rise is not None) is told
        assert loop.certainty is None or loop.certainty.dominant == ()  # no third has a day
