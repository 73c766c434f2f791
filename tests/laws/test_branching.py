"""What the tees of a manifold cost: by the handbook's formulas written out, and what must hold."""

from dataclasses import replace

import numpy as np
import pytest

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.tables.things import Hose, Outlet, WaterFlow
from seaflow.model.branching import make_branching
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.make_elements import Maker
from seaflow.model.operate import operate

ROUNDING = 1e-12  # the same formula written twice
CASE = load_case("cases/motor-three-units.toml").case
(LOOP,) = network.loops(CASE)
FLOWS = np.array([4e-4, 2e-4, 2e-4])  # m3/s, for which the three units are made to be rated
MANIFOLD, TABLE = 0.032, 2.0  # m, and the constant of the table


def with_flows(flows):
    """The loop of the case with units rated for these flows, in the order of the legs."""
    legs = LOOP.leaving("manifold")
    things = dict(LOOP.things)
    for leg, flow in zip(legs, flows, strict=True):
        things[leg.to] = replace(things[leg.to], water_flow=WaterFlow(rated=float(flow)))
    return replace(LOOP, things=things)


def losses(loop, name="manifold", arriving=False):
    legs = loop.arriving(name) if arriving else loop.leaving(name)
    maker = Maker(network=loop, seacocks=CASE.seacock, catalogue=Catalogue())
    return np.array(
        [make_branching(loop.things[name], leg, maker).loss_coefficient for leg in legs]
    )


def test_parting_manifold_by_the_handbook():
    ratios = np.array([leg.bore for leg in LOOP.leaving("manifold")]) / MANIFOLD
    both = 0.5 * (FLOWS + FLOWS.sum())  # with half of what the others carry
    turning = (1.0 + (FLOWS / both / ratios**2) ** 2) * both**2
    by_hand = turning / FLOWS**2 * ratios**4
    np.testing.assert_allclose(losses(with_flows(FLOWS)), by_hand, rtol=ROUNDING)


def joined():
    """The loop turned round: the three legs run into the manifold, and one hose to the sea."""
    loop, out = with_flows(FLOWS), Outlet(name="out", bore=0.032)
    legs = tuple(
        Hose(name=leg.name, from_=leg.to, to="manifold", bore=leg.bore, length=leg.length)
        for leg in loop.leaving("manifold")
    )
    end = Hose(name="end", from_="manifold", to="out", bore=0.032, length=1.0)
    return replace(loop, things={**loop.things, "out": out}, hoses=(*legs, end))


def test_joining_manifold_by_the_handbook():
    found = losses(joined(), arriving=True)
    ratios = np.array([leg.bore for leg in LOOP.leaving("manifold")]) / MANIFOLD
    both = 0.5 * (FLOWS + FLOWS.sum())
    share = FLOWS / both
    factor = np.where(ratios**2 <= 0.35, 1.0, np.where(share <= 0.4, 0.9 * (1.0 - share), 0.55))
    turning = factor * (1.0 + (share / ratios**2) ** 2 - 2.0 * (1.0 - share) ** 2) * both**2
    by_hand = turning / FLOWS**2 * ratios**4
    np.testing.assert_allclose(found, np.maximum(by_hand, 0.0), rtol=ROUNDING)


def test_the_order_of_the_legs_does_not_matter():
    loop = with_flows(FLOWS)
    turned = replace(loop, hoses=loop.hoses[::-1])
    np.testing.assert_array_equal(losses(loop), losses(turned)[::-1])


def test_the_share_of_the_flow_decides_not_the_flow():
    one, other = losses(with_flows(FLOWS)), losses(with_flows(3.0 * FLOWS))
    np.testing.assert_allclose(one, other, rtol=ROUNDING)
    assert losses(with_flows(FLOWS[::-1]))[0] > one[0]  # a small leg off a large stream costs more


def test_a_leg_without_a_unit_keeps_the_table():
    legs = LOOP.leaving("manifold")
    things = {**LOOP.things, legs[0].to: Outlet(name=legs[0].to, bore=0.019)}
    loop = replace(LOOP, things=things, hoses=tuple(h for h in LOOP.hoses if h.from_ != legs[0].to))
    assert list(losses(loop)) == [TABLE] * 3


def test_a_tee_keeps_the_table():
    assert list(losses(LOOP, "outlet tee", arriving=True)) == [TABLE] * 2


def test_a_narrower_manifold_passes_less():
    place = LOOP.pumps[0]
    pump = {place.name: Catalogue().pump("demo-mag-large-230")}
    flows = []
    for bore in (0.019, 0.025, 0.032, 0.05):
        things = {**LOOP.things, "manifold": replace(LOOP.things["manifold"], bore=bore)}
        built = build_loop(CASE, replace(LOOP, things=things), pump)
        flows.append(float(operate(built.loop, Conditions(sea_temperature=28.0)).total_flow()[0]))
    assert np.all(np.diff(flows) > 0.0)


@pytest.mark.parametrize("bore", [0.012, 0.016])
def test_a_hose_wider_than_the_manifold_is_a_port_of_its_bore(bore):
    things = {**LOOP.things, "manifold": replace(LOOP.things["manifold"], bore=bore)}
    found = losses(replace(LOOP, things=things))
    assert np.all(np.isfinite(found)) and np.all(found > 0.0)
