"""Loops against the EPANET 2.2 engine: one path, branches with outlets of their own, or joined."""

import epanet
import numpy as np
import pytest
from layouts import hose, outlet, pump

from seaflow.model.conditions import Conditions
from seaflow.model.hydraulics import find_flows
from seaflow.model.loop import SEA, Link, Loop
from seaflow.physics.flow.friction import darcy_friction_factor
from seaflow.physics.pumping.pump import curve_from_ends

SAME_LAW = 2e-5  # relative, on flow; EPANET takes 1699.0 l/min for a cubic foot a second
SAME_HEAD = 1e-4  # m; its heads come back in single precision
OWN_LAW = 5e-3  # relative, on flow, where every pipe is well turbulent
WELL_TURBULENT = 1e4  # Reynolds number
STRONG = 10.0  # times the usual pump, so that every branch is well turbulent
NOW = Conditions(sea_temperature=20.0)
BORES = (0.015, 0.016, 0.019, 0.0254)
SHAPES = [("single", 1)] + [(kind, n) for kind in ("own", "joined") for n in (2, 3, 4)]


def _hoses(rng, name, number, bore=None):
    return [
        hose(
            f"{name} {i}",
            rng.uniform(0.5, 6.0),
            bore or float(rng.choice(BORES)),
            roughness=float(rng.choice([1.5e-6, 1e-5, 1e-4])),
            fittings_coefficient=rng.uniform(0.5, 8.0),
        )
        for i in range(number)
    ]


def _end(rng, name, highest):
    """Return a last hose and an outlet on its bore, above or under water."""
    last = _hoses(rng, name, 1, 0.019)
    return [*last, outlet(f"{name} outlet", rng.uniform(-0.2, highest), 0.019)]


def _loop(kind, number, seed, strength=1.0):
    """Return an invented loop; `strength` scales the pump, down to laminar flow.

    Outlets come down with it, or EPANET would draw water in through the higher ones.
    """
    highest = min(0.5, 0.5 * strength**2)
    rng = np.random.default_rng(seed)
    free = number * rng.uniform(3e-4, 9e-4) * strength
    head = rng.uniform(5.0, 9.0) * max(strength, 1.0)
    curve = curve_from_ends(head, free, rng.uniform(1.2, 2.5))
    trunk = [*_hoses(rng, "suction", 2, 0.0254), pump("pump", curve), *_hoses(rng, "delivery", 1)]
    if kind == "single":
        parts = [*trunk, *_hoses(rng, "coil", 2), *_end(rng, "last", highest)]
        return Loop("single", (Link(SEA, SEA, tuple(parts)),))
    links = [Link(SEA, "manifold", tuple(trunk))]
    for branch in range(number):
        parts = _hoses(rng, f"branch {branch}", 2)
        end = _end(rng, f"branch {branch} last", highest) if kind == "own" else []
        links.append(Link("manifold", SEA if end else "collector", (*parts, *end)))
    if kind == "joined":
        links.append(
            Link("collector", SEA, tuple([*_hoses(rng, "common", 1), *_end(rng, "last", highest)]))
        )
    return Loop(kind, tuple(links))


def _flows(loop, viscosity=epanet.VISCOSITY):
    found = find_flows(loop, NOW, viscosity, 1)
    assert found.solution.converged.all()
    assert found.full.all()  # no crest: EPANET knows none
    return found


def _reynolds(loop, flow):
    return min(
        4.0 * flow[i] / (np.pi * part.bore * epanet.VISCOSITY)
        for i, link in enumerate(loop.links)
        for part in link.elements
        if hasattr(part, "roughness")
    )


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(("kind", "number"), SHAPES)
@pytest.mark.parametrize("strength", [1.0, 0.15, 0.04])
def test_flow_with_its_own_friction_law(kind, number, seed, strength, monkeypatch):
    loop = _loop(kind, number, seed, strength)
    theirs, heads = epanet.run(loop)
    with epanet.its_constants(monkeypatch):
        ours = _flows(loop)
    assert np.all(theirs > 0)
    assert np.allclose(ours.flow[:, 0], theirs, rtol=SAME_LAW, atol=0)
    for node, head in ours.node_head.items():
        assert abs(head[0] - heads[node]) < SAME_HEAD


@pytest.mark.parametrize("ratio", [0.8245645, 1.4])
def test_flow_in_water_of_another_viscosity(ratio, monkeypatch):
    loop = _loop("own", 3, 7)
    theirs, _ = epanet.run(loop, ratio * epanet.VISCOSITY)
    with epanet.its_constants(monkeypatch):
        ours = _flows(loop, ratio * epanet.VISCOSITY)
    assert np.allclose(ours.flow[:, 0], theirs, rtol=SAME_LAW, atol=0)


@pytest.mark.parametrize("seed", range(10, 16))
@pytest.mark.parametrize(("kind", "number"), SHAPES)
def test_flow_with_our_friction_law(kind, number, seed, monkeypatch):
    """The difference is no larger than Swamee and Jain's own from Colebrook's equation allows."""
    loop = _loop(kind, number, seed, STRONG)
    theirs, _ = epanet.run(loop)
    with epanet.its_constants(monkeypatch, friction=False):
        ours = _flows(loop).flow[:, 0]
    assert _reynolds(loop, theirs) > WELL_TURBULENT
    assert np.allclose(ours, theirs, rtol=OWN_LAW, atol=0)
    total = abs(ours[0] / theirs[0] - 1.0)
    assert total <= 0.5 * _law_difference(loop, theirs) + SAME_LAW  # head goes with f Q2


def _law_difference(loop, flow):
    """Return the largest relative difference of the two friction factors in a loop."""
    worst = 0.0
    for number, link in enumerate(loop.links):
        for part in link.elements:
            if hasattr(part, "roughness"):
                reynolds = 4.0 * flow[number] / (np.pi * part.bore * epanet.VISCOSITY)
                rough = part.roughness / part.bore
                theirs = float(epanet.friction_factor_and_slope(reynolds, rough)[0])
                worst = max(worst, abs(theirs / darcy_friction_factor(reynolds, rough) - 1.0))
    return worst
