"""Two branches on one pump, shared out by plain bisection: nothing of seaflow's solver takes part.

The loop has fittings, two coils and two outlets at different heights, and hoses so short that
they have no friction, so that every head can be written on one line.
"""

from dataclasses import replace
from math import pi

import pytest
from layouts import coil, entry, hose, outlet, point, pump

from seaflow.model.conditions import Conditions
from seaflow.model.loop import SEA, Link, Loop
from seaflow.model.losses import Power
from seaflow.physics.pumping.pump_curve import curve_from_ends
from seaflow.studies.balance.branches import Branch, sharing_of
from seaflow.studies.balance.setting import extra_losses

G = 9.80665  # m/s2
SHUT_OFF, FREE_FLOW, EXPONENT = 4.5, 45.0 / 60000.0, 1.9
ENTRY_K, TRUNK_K, TRUNK = 0.8, 3.0, 0.0254
BRANCHES = {  # bore, K, height of the outlet, loss of the coil in m at a flow in m3/s, need
    "low": (0.016, 4.0, 0.10, 1.4, 1.5e-4, 1.3e-4),
    "high": (0.019, 6.0, 0.55, 1.8, 2.4e-4, 2.5e-4),
}
SHORT = 1e-7  # m; friction in it is some 1e-8 m of head
AGREE = 1e-5  # relative: heads are settled to 1e-9 m, valves to 1e-7 of the need
NOW = Conditions(sea_temperature=28.0)


def bisect(function, low, high):
    """The place where a function that is below zero at `low` reaches zero."""
    for _ in range(200):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if function(middle) < 0.0 else (low, middle)
    return 0.5 * (low + high)


def fitting_head(loss, flow, bore):
    return loss * (4.0 * flow / (pi * bore**2)) ** 2 / (2.0 * G)


def at_manifold(total):
    """Head that pump and trunk leave for the branches."""
    given = SHUT_OFF * (1.0 - (total / FREE_FLOW) ** EXPONENT)
    return given - fitting_head(ENTRY_K + TRUNK_K, total, TRUNK)


def asked(name, flow, extra=0.0):
    """Head that a branch asks for: height, its hose, its coil, and what leaves with the water."""
    bore, loss, height, head, at, _ = BRANCHES[name]
    return height + fitting_head(loss + 1.0 + extra, flow, bore) + head * (flow / at) ** 1.8


def flow_at(name, head):
    if head <= asked(name, 0.0):
        return 0.0
    return bisect(lambda flow: asked(name, flow) - head, 0.0, FREE_FLOW)


def flows_open(names):
    """Flows with these branches open."""
    total = bisect(
        lambda total: total - sum(flow_at(name, at_manifold(total)) for name in names),
        0.0,
        FREE_FLOW,
    )
    return {name: flow_at(name, at_manifold(total)) for name in names}


def setting():
    """The share of need that both get, and the extra K of each branch."""
    needs = {name: row[-1] for name, row in BRANCHES.items()}
    share = bisect(
        lambda s: (
            max(asked(name, s * need) for name, need in needs.items())
            - at_manifold(s * sum(needs.values()))
        ),
        0.0,
        3.0,
    )
    extra = {}
    for name, need in needs.items():
        spare = at_manifold(share * sum(needs.values())) - asked(name, share * need)
        extra[name] = spare / fitting_head(1.0, share * need, BRANCHES[name][0])
    return share, extra


def loop_and_branches():
    curve = curve_from_ends(SHUT_OFF, FREE_FLOW, EXPONENT)
    trunk = hose("trunk", SHORT, TRUNK, fittings_coefficient=TRUNK_K)
    intake = entry("intake", bore=TRUNK, loss_coefficient=ENTRY_K)
    links = [Link(SEA, "manifold", (intake, trunk, pump("pump", curve)))]
    branches = []
    for number, (name, row) in enumerate(BRANCHES.items(), 1):
        bore, loss, height, head, at, need = row
        way_in = hose(f"{name} hose", SHORT, bore, fittings_coefficient=loss)
        unit = replace(coil(name), point=None, loss=Power(at, head, 1.8))
        links.append(Link("manifold", SEA, (way_in, unit, outlet(f"{name} out", height, bore))))
        branches.append(Branch(name, (name,), number, (f"{name} out",), need, f"{name} hose", bore))
    return Loop("by hand", tuple(links), (point("manifold", -0.2),)), tuple(branches)


LOOP, FOUND = loop_and_branches()
SHARING = sharing_of(LOOP, FOUND, NOW)


@pytest.mark.parametrize("shared", SHARING, ids=lambda shared: shared.shut or "all open")
def test_flows_are_those_found_by_bisection(shared):
    by_hand = flows_open([name for name in BRANCHES if name != shared.shut])
    assert {item.branch for item in shared.branches} == set(by_hand)
    for item in shared.branches:
        assert item.flow == pytest.approx(by_hand[item.branch], rel=AGREE)


def test_one_branch_starves_while_the_other_has_too_much():
    ratios = {item.branch: item.flow / item.need for item in SHARING[0].branches}
    assert ratios["high"] < 1.0 < ratios["low"]


def test_the_setting_is_that_found_by_bisection():
    share, by_hand = setting()
    losses = extra_losses(LOOP, FOUND, NOW)
    for branch, loss in zip(FOUND, losses, strict=True):
        assert loss == pytest.approx(by_hand[branch.name], rel=AGREE, abs=AGREE)
    assert share > flows_open(BRANCHES)["high"] / BRANCHES["high"][-1]
