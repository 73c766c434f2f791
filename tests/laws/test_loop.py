"""Laws of a whole loop: balances, order, arrays, monotony, heat, and every kind of ending."""

from dataclasses import replace

import numpy as np
import pytest
from balances import PERFECT, balance_of
from layouts import (
    KINDS,
    coil,
    entry,
    hose,
    outlet,
    point,
    pump,
    random_conditions,
    random_loop,
    strainer,
)

from seaflow.base.constants import ATMOSPHERE, GRAVITY
from seaflow.model import operate as operate_module
from seaflow.model import point as words
from seaflow.model import solver
from seaflow.model.conditions import Conditions, take
from seaflow.model.crests import find_crest
from seaflow.model.drive import after_pump
from seaflow.model.elements import Cock, Fixed
from seaflow.model.hydraulics import find_flows
from seaflow.model.loop import SEA, Link, Loop
from seaflow.model.operate import operate
from seaflow.model.pressures import element_losses
from seaflow.physics.hull.heel import scoop_head
from seaflow.physics.pumping.pump import Drive, curve_from_ends

N_LAYOUTS, N_EACH = 200, 100  # 20,000 conditions; the full run is in tests/speed
HEAD_LEFT = 1e-6  # m, along any link and at any crest
MASS_LEFT = 1e-9  # relative, at any junction
SAME = 1e-9  # relative: one answer by two orders of arithmetic, heads settled to 1e-9 m
NOTHING = 1e-12  # m3/s
HEAT_RTOL = 1e-12
BLOCK = 1024  # conditions in one block here, to keep the tests short

CURVE = curve_from_ends(5.0, 9e-4)
USUAL = Conditions(sea_temperature=28.0, salinity=36.0)

# 24 V hardly turn it
WEAK = Drive(motor="unregulated dc", voltage=1e3, power=((0.0, 80.0),))


def row(n_units=1, height=0.3, length=4.0, curve=CURVE, **intake):
    """Return a loop of units in a row."""
    parts = [entry("intake", **intake), hose("suction", 1.5, 0.0254), strainer("strainer")]
    parts += [hose("to pump", 0.5, 0.0254), pump("pump", curve)]
    for number in range(n_units):
        parts += [hose(f"hose {number}", length), coil(f"unit {number}", height=-0.1)]
    return Loop("row", (Link(SEA, SEA, (*parts, hose("last", 2.0), outlet("outlet", height))),))


def manifold(n_units=3, joined=False, check_valve=False, n_pumps=1):
    """Return a loop of units side by side, with outlets of their own or one in common.

    Nothing stands above the outlets: a wider leg after a crest may lose its siphon, and flow.
    """
    links = []
    for number in range(n_pumps):
        parts = [
            entry(f"intake {number}"),
            hose(f"suction {number}", 1.5, 0.0254),
            strainer(f"strainer {number}"),
            pump(f"pump {number}", CURVE, check_valve=check_valve),
            hose(f"delivery {number}", 1.0, 0.0254),
        ]
        links.append(Link(SEA, "manifold", tuple(parts)))
    for number in range(n_units):
        unit = coil(f"unit {number}", 3000.0 + 900 * number, height=-0.1)
        parts = [hose(f"branch {number}", 2.0 + number), unit]
        parts.append(hose(f"after {number}", 3.0))
        if not joined:
            parts.append(outlet(f"outlet {number}", 0.1 * number))
        links.append(Link("manifold", "collector" if joined else SEA, tuple(parts)))
    if joined:
        links.append(Link("collector", SEA, (hose("common", 2.0, 0.0254), outlet("outlet", 0.3))))
    return Loop("manifold", tuple(links))


# Random loops


@pytest.fixture(scope="module")
def random_points():
    """Return the operating points of many random loops."""
    found = []
    for seed in range(N_LAYOUTS):
        rng = np.random.default_rng(seed)
        loop = random_loop(rng, KINDS[seed % len(KINDS)])
        found.append(operate(loop, random_conditions(rng, loop, N_EACH)))
    return found


def test_every_random_condition_settles(random_points):
    assert sum(int((point.ending == words.NOT_SETTLED).sum()) for point in random_points) == 0
    assert sum(point.size for point in random_points) == N_LAYOUTS * N_EACH


def test_mass_and_heads_balance_in_random_loops(random_points):
    found = PERFECT
    for one in random_points:
        found = found.worst(balance_of(one))
    assert found.mass < MASS_LEFT
    assert found.head < HEAD_LEFT
    assert found.crest < HEAD_LEFT
    assert found.idle < HEAD_LEFT
    assert found.least_flow >= 0.0


def test_every_kind_of_ending_occurs(random_points):
    endings = np.concatenate([point.ending for point in random_points])
    for ending in range(words.NOT_SETTLED):
        assert (endings == ending).sum() > 100, words.ENDINGS[ending]
    states = {
        int(state)
        for point in random_points
        for unit in point.units.values()
        for state in unit.state
    }
    assert states == set(range(len(words.UNIT_STATES))) - {words.HEATING}  # a mode of its own


def test_heat_balances_in_random_loops(random_points):
    for one in random_points:
        rate = one.water.density * one.water.heat_capacity
        for unit in one.units.values():
            taken = rate * unit.volume_flow * unit.temperature_rise
            # the rise is a difference of two temperatures near 30, so it carries their rounding
            rounding = rate * unit.volume_flow * 1e-13
            assert np.all(
                np.abs(taken - unit.heat_rejected) <= 1e-9 * unit.heat_rejected + rounding
            )
            assert np.allclose(unit.heat_rejected, unit.cooling + unit.power, rtol=HEAT_RTOL)
            runs = unit.state == words.COOLING
            assert np.all(unit.temperature_rise[~runs] == 0.0)
            assert np.all(np.isnan(unit.condensing_temperature[~runs]))


def test_a_leg_is_full_only_where_the_flow_still_clears_it(random_points):
    filled = 0
    for one in random_points:
        pumped = after_pump(one.loop)
        for number, link in enumerate(one.loop.links):
            crest = find_crest(one.loop, link, one.conditions, link.start in pumped)
            if crest is not None:
                full = one.full[number]
                assert np.all(crest.runs_full(one.flow[number])[full])
                filled += int(full.sum())
    assert filled > 1000


def test_a_stopped_loop_is_at_rest(random_points):
    for one in random_points:
        still = ~np.asarray(one.conditions.pump_running) & (one.conditions.boat_speed == 0.0)
        assert np.all(one.flow[:, still] <= NOTHING)
        assert np.all(one.ending[still] == words.AT_REST)


# Order and arrays


@pytest.mark.parametrize("seed", range(12))
def test_the_order_of_links_does_not_matter(seed):
    rng = np.random.default_rng(1000 + seed)
    loop = random_loop(rng, KINDS[seed % len(KINDS)])
    now = random_conditions(rng, loop, 50)
    one = operate(loop, now)
    other = operate(replace(loop, links=loop.links[::-1]), now)
    assert np.allclose(one.flow, other.flow[::-1], rtol=1e-6, atol=1e-10)
    assert np.array_equal(one.ending, other.ending)
    for name, unit in one.units.items():
        assert np.array_equal(unit.state, other.units[name].state)


@pytest.mark.parametrize("kind", KINDS)
def test_scalar_array_and_blocks_agree(kind, monkeypatch):
    monkeypatch.setattr(operate_module, "BLOCK", BLOCK)
    rng = np.random.default_rng(77)
    loop = random_loop(rng, kind)
    now = random_conditions(rng, loop, BLOCK + 300)
    whole = operate(loop, now)
    assert whole.size == BLOCK + 300
    for index in (0, 1, (BLOCK + 300) // 2 - 1, (BLOCK + 300) // 2, BLOCK + 299):
        one_of = take(now, slice(index, index + 1))
        one = operate(loop, one_of)
        scalar = operate(loop, _plain(one_of))
        for few in (one, scalar):
            assert np.allclose(few.flow[:, 0], whole.flow[:, index], rtol=SAME, atol=NOTHING)
            assert few.ending[0] == whole.ending[index]
            assert np.array_equal(few.full[:, 0], whole.full[:, index])
            for name, unit in few.units.items():
                theirs = whole.units[name].outlet_temperature[index]
                assert unit.outlet_temperature[0] == pytest.approx(theirs, abs=1e-6)


def _plain(conditions):
    """Return conditions of length one as plain numbers."""
    changes = {}
    for name in conditions.__dataclass_fields__:
        value = getattr(conditions, name)
        if isinstance(value, dict):
            changes[name] = {key: item[0].item() for key, item in value.items()}
        elif isinstance(value, np.ndarray):
            changes[name] = value[0].item()
    return replace(conditions, **changes)


@pytest.mark.parametrize(
    ("name", "field", "values"),
    [
        ("hose 0", "bore", np.array([0.0127, 0.016, 0.019, 0.0254])),
        ("hose 0", "length", np.array([0.5, 2.0, 8.0, 20.0])),
        ("hose 0", "fittings_coefficient", np.array([0.0, 2.0, 10.0, 50.0])),
        ("intake", "loss_coefficient", np.array([0.1, 1.0, 5.0, 20.0])),
        ("unit 0", "conductance", np.array([300.0, 500.0, 700.0, 900.0])),
        (
            "pump",
            "curve",
            [curve_from_ends(h, q) for h, q in ((3.0, 5e-4), (5.0, 9e-4), (8.0, 1e-3))],
        ),
    ],
)
def test_an_axis_on_a_part_equals_a_run_for_each(name, field, values):
    loop = row()
    if field == "curve":
        heads, flows = (
            np.array([getattr(c, a) for c in values]) for a in ("shut_off_head", "free_flow")
        )
        together = operate(loop.changed(name, curve=curve_from_ends(heads, flows)), USUAL)
    else:
        together = operate(loop.changed(name, **{field: values}), USUAL)
    for index, value in enumerate(values):
        one = operate(loop.changed(name, **{field: value}), USUAL)
        assert one.flow[0, 0] == pytest.approx(together.flow[0, index], rel=SAME)
        theirs = together.units["unit 0"].condensing_temperature[index]
        assert one.units["unit 0"].condensing_temperature[0] == pytest.approx(theirs, rel=SAME)


def test_arrays_of_different_length_are_refused():
    now = Conditions(sea_temperature=np.zeros(3) + 20.0, voltage=np.zeros(4) + 24.0)
    with pytest.raises(ValueError):
        operate(row(), now)


def test_heel_along_an_axis_equals_a_run_for_each():
    """The crest may sit at another point on each tack."""
    loop = row(height=-0.2)
    via = (point("to port", 0.6, -1.5), point("to starboard", 0.5, 1.5))
    loop = loop.changed("last", via=via).changed("pump", curve=curve_from_ends(1.6, 3e-4))
    heel = np.radians([-25.0, -10.0, 0.0, 10.0, 25.0])
    together = operate(loop, replace(USUAL, heel=heel))
    for index, angle in enumerate(heel):
        one = operate(loop, replace(USUAL, heel=float(angle)))
        assert one.full[0, 0] == together.full[0, index]
        assert one.flow[0, 0] == pytest.approx(together.flow[0, index], rel=SAME)


# Monotony


@pytest.mark.parametrize(
    "make", [row, manifold, lambda: manifold(joined=True), lambda: manifold(n_pumps=2)]
)
@pytest.mark.parametrize(
    ("field", "values"),
    [
        ("strainer_blockage", np.linspace(0.0, 0.95, 60)),
        ("intake_blockage", np.linspace(0.0, 0.95, 60)),
        ("growth", np.linspace(0.0, 6e-3, 60)),
        ("coil_loss_factor", np.linspace(1.0, 20.0, 60)),
        ("pump_wear", np.linspace(0.0, 0.6, 60)),
        ("air_fraction", np.linspace(0.0, 0.15, 60)),
        ("seacock_opening", np.linspace(1.0, 0.0, 60)),
    ],
)
def test_what_hinders_never_raises_the_flow(make, field, values):
    flow = operate(make(), replace(USUAL, **{field: values})).total_flow()
    assert np.all(np.diff(flow) <= NOTHING)


@pytest.mark.parametrize("seed", range(20))
def test_a_blocked_strainer_never_raises_the_flow_over_a_crest(seed):
    loop = random_loop(np.random.default_rng(seed), "row")
    flow = operate(loop, replace(USUAL, strainer_blockage=np.linspace(0.0, 0.95, 60))).total_flow()
    assert np.all(np.diff(flow) <= NOTHING)


@pytest.mark.parametrize("joined", [False, True])
def test_longer_never_raises_and_wider_never_lowers_the_flow(joined):
    loop = manifold(joined=joined)
    for name in ("suction 0", "delivery 0", "branch 1", "after 2"):
        flow = operate(loop.changed(name, length=np.linspace(0.1, 30.0, 60)), USUAL).total_flow()
        assert np.all(np.diff(flow) < 0.0)
        flow = operate(loop.changed(name, bore=np.linspace(0.008, 0.04, 60)), USUAL).total_flow()
        assert np.all(np.diff(flow) > -NOTHING)


def test_a_higher_outlet_never_raises_the_flow():
    loop, heights = row(), np.linspace(-0.5, 6.0, 80)
    found = operate(loop.changed("outlet", point=point("outlet", heights)), USUAL)
    assert np.all(np.diff(found.flow[0]) <= NOTHING)
    under = heights <= 0.0
    assert np.ptp(found.flow[0, under]) <= NOTHING
    assert found.words(0) == "flowing"
    assert found.words(-1) == "no operating point"  # higher than the pump's 5 m


# Endings


def test_endings_in_words():
    assert operate(row(), USUAL).words() == "flowing"
    assert operate(row(), replace(USUAL, pump_running=False)).words() == "at rest"
    assert operate(row(height=6.0), USUAL).words() == "no operating point"


def test_a_sucking_intake_draws_backward_through_an_outlet_under_water():
    still = replace(USUAL, pump_running=False, boat_speed=4.0)
    assert operate(row(recovery=-0.5, height=-0.3), still).words() == "would run backward"
    assert operate(row(recovery=-0.5, height=0.3), still).words() == "at rest"
    assert operate(row(recovery=0.5, height=0.2), still).words() == "flowing"


def test_a_standing_pump_beside_a_running_one():
    loop = manifold(n_pumps=2).changed("pump 0", drive=WEAK)
    now = replace(USUAL, voltage=24.0)
    assert operate(loop, now).words() == "would run backward"
    kept = manifold(n_pumps=2, check_valve=True).changed("pump 0", drive=WEAK)
    found = operate(kept, now)
    assert found.words() == "branch dry"
    assert found.dry[:, 0].tolist() == [True, False, False, False, False]


def test_shut_valves_and_branches_carry_nothing():
    loop = manifold()
    found = operate(loop, replace(USUAL, branch_shut={"unit 1": True}))
    assert found.words() == "flowing"
    assert found.flow[2, 0] == 0.0
    assert found.units["unit 1"].state[0] == words.NO_WATER
    cock = Cock(name="cock", item="seacock", bore=0.019, loss_coefficient=0.1)
    links = (
        replace(row().links[0], elements=(*row().links[0].elements[:-1], cock, outlet("out", 0.3))),
    )
    shut = operate(replace(row(), links=links), replace(USUAL, seacock_opening=0.0))
    assert shut.flow[0, 0] == 0.0


def test_an_outlet_of_unknown_height_is_no_obstacle():
    loop = row().changed("outlet", point=None).changed("intake", point=None)
    for name in ("strainer", "pump", "unit 0"):
        loop = loop.changed(name, point=None)
    assert operate(loop, USUAL).words() == "flowing"
    assert operate(loop, replace(USUAL, pump_running=False)).words() == "at rest"


# Crests


def test_a_vented_crest_in_the_trunk_hides_what_comes_after():
    """The pump works against the crest alone, as if the water were let out there."""
    top = Fixed(
        name="vent", item="vented loop", bore=0.019, point=point("vent", 1.4), loss_coefficient=0.0
    )
    trunk = [entry("intake"), hose("suction", 1.5, 0.0254), pump("pump", CURVE), hose("up", 3.0)]
    branches = [
        Link(
            "manifold",
            SEA,
            (hose(f"branch {i}", 2.0), coil(f"unit {i}", head=0.05), outlet(f"out {i}", 0.0)),
        )
        for i in range(3)
    ]
    first = Link(SEA, "manifold", (*trunk, top, hose("down", 1.0)))
    loop = Loop("vented", (first, *branches), (point("manifold", -0.2),), frozenset({"vent"}))
    now = replace(USUAL, strainer_blockage=np.linspace(0.0, 0.9, 5))
    free = replace(outlet("end", 1.4), loss_coefficient=0.0)
    alone = Loop("let out", (Link(SEA, SEA, (*trunk, free)),))
    assert np.allclose(operate(loop, now).flow[0], operate(alone, now).flow[0], rtol=1e-7)


def test_a_crest_that_runs_full_costs_nothing():
    loop = row(height=0.0).changed("last", via=(point("over", 0.8),))
    full, flat = operate(loop, USUAL), operate(row(height=0.0), USUAL)
    assert full.full[0, 0]
    assert full.flow[0, 0] == pytest.approx(flat.flow[0, 0], rel=SAME)
    weak = loop.changed("pump", curve=curve_from_ends(0.7, 9e-4))
    assert operate(weak, USUAL).words() == "no operating point"  # it would siphon, but cannot start


# Heat


def test_units_in_a_row_warm_each_others_water():
    found = operate(row(3), USUAL)
    first, second, third = (found.units[f"unit {i}"] for i in range(3))
    assert first.inlet_temperature[0] == USUAL.sea_temperature
    assert second.inlet_temperature[0] == first.outlet_temperature[0]
    assert third.inlet_temperature[0] == second.outlet_temperature[0]
    assert found.outlet_temperature["outlet"][0] == third.outlet_temperature[0]


def test_a_common_outlet_carries_the_mixture():
    found = operate(manifold(joined=True), USUAL)
    flows = np.array([found.units[f"unit {i}"].volume_flow[0] for i in range(3)])
    leaving = np.array([found.units[f"unit {i}"].outlet_temperature[0] for i in range(3)])
    mixed = (flows * leaving).sum() / flows.sum()
    assert found.node_temperature["collector"][0] == pytest.approx(mixed, rel=HEAT_RTOL)
    assert found.outlet_temperature["outlet"][0] == pytest.approx(mixed, rel=HEAT_RTOL)
    rejected = sum(unit.heat_rejected[0] for unit in found.units.values())
    rate = found.water.density * found.water.heat_capacity * found.total_flow()[0]
    assert rate * (mixed - USUAL.sea_temperature) == pytest.approx(rejected, rel=1e-9)


def test_water_leaves_a_tripped_unit_as_it_came():
    loop = row(curve=curve_from_ends(2.0, 3e-4), height=0.4)
    now = replace(USUAL, sea_temperature=34.0, pump_speed=np.linspace(1.0, 0.4, 200))
    unit = operate(loop, now).units["unit 0"]
    trips = unit.state == words.TRIPS
    assert trips.any() and (unit.state == words.COOLING).any()
    assert np.all(unit.outlet_temperature[trips] == unit.inlet_temperature[trips])
    assert np.all(unit.power[trips] == 0.0)
    condensing = unit.condensing_temperature[unit.state == words.COOLING]
    assert np.all(np.diff(condensing) >= 0.0)


# The solver


@pytest.mark.parametrize("kind", KINDS)
def test_the_content_is_convex(kind):
    """The balance of heads never falls along any line, so there is one lowest point."""
    rng = np.random.default_rng(5)
    loop = random_loop(rng, kind)
    system = find_flows(loop, random_conditions(rng, loop, 200), 1e-6, 200).system
    shape = (len(loop.paths), 200)
    for scale in (1e-6, 1e-4, 1e-3):
        one, other = rng.uniform(0.0, scale, shape), rng.uniform(0.0, scale, shape)
        rise = solver._gradient(system, one)[0] - solver._gradient(system, other)[0]
        assert np.all((rise * (one - other)).sum(axis=0) >= 0.0)


@pytest.mark.parametrize("kind", KINDS)
def test_the_start_of_the_search_does_not_matter(kind):
    rng = np.random.default_rng(6)
    loop = random_loop(rng, kind)
    system = find_flows(loop, random_conditions(rng, loop, 200), 1e-6, 200).system
    usual = solver.solve(system)
    for scale in (0.0, 1e-8, 1e-5, 1e-2):
        found = solver.solve(system, rng.uniform(0.0, scale, usual.path_flow.shape))
        assert found.converged.all()
        by_link = system.paths.membership @ (found.path_flow - usual.path_flow)
        assert np.abs(by_link).max() < 1e-9


@pytest.mark.parametrize("recovery", [0.6, 0.0, -0.3])
@pytest.mark.parametrize("knots", [0.0, 6.0])
def test_head_above_boiling_is_counted_from_the_sea(recovery, knots):
    """Atmosphere less vapour, less the climb, less what is lost, and a scoop adds what it gives."""
    speed, loop = knots * 1852.0 / 3600.0, row(recovery=recovery)
    now = Conditions(sea_temperature=30.0, boat_speed=speed)
    point = operate(loop, now)
    pump, still = loop.pumps[0], replace(now, boat_speed=0.0)
    elements = loop.links[0].elements
    viscosity = point.water.kinematic_viscosity
    lost = sum(
        element_losses(element, still, point.flow[0], viscosity)
        for element in elements[: elements.index(pump)]
    )
    water = (ATMOSPHERE - point.water.vapour_pressure) / (point.water.density * GRAVITY)
    expected = water - pump.point.height + scoop_head(speed, recovery) - lost
    assert point.pumps[pump.name].npsh_available == pytest.approx(expected, rel=1e-9)


def test_a_scoop_that_faces_aft_costs_flow_and_suction():
    now = Conditions(sea_temperature=30.0, boat_speed=3.0)
    ahead, astern = (operate(row(recovery=recovery), now) for recovery in (0.6, -0.6))
    assert ahead.total_flow() > operate(row(), now).total_flow() > astern.total_flow()
    assert ahead.pumps["pump"].npsh_available > astern.pumps["pump"].npsh_available


def test_no_unit_is_believed_to_condense_near_the_critical_point():
    """Whatever the switch is set to, condensing stops short of the critical point by 2 K."""
    loop = row(length=60.0).changed("unit 0", cut_out_temperature=200.0)
    scale = np.geomspace(1e-5, 1e-2, 400)
    unit = operate(loop, Conditions(sea_temperature=32.0, coil_scale=scale)).units["unit 0"]
    critical = loop.coils[0].critical_temperature
    runs = unit.state == words.COOLING
    assert runs.any() and (unit.state[~runs] == words.TRIPS).all() and not runs.all()
    hottest = unit.condensing_temperature[runs].max()
    assert critical - 2.4 < hottest < critical - 2.0
    assert np.isnan(unit.condensing_temperature[~runs]).all()
