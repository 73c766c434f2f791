"""A loop with printed flows and heads, and the temperatures that follow from them.

Source: EPANET 2.2 through wntr 1.5.0, an input file with the pipes below, head loss after Darcy
and Weisbach, accuracy 1e-8; printed to six digits. Our model runs it with EPANET's constants and
friction law, since it is the solver that is under test here.
"""

import epanet
import numpy as np
import pytest
from layouts import hose, outlet, pump

from seaflow.model.conditions import Conditions
from seaflow.model.hydraulics import find_flows
from seaflow.model.loop import SEA, Link, Loop
from seaflow.model.pressures import loss_of
from seaflow.physics.heat.exchanger import temperature_rise
from seaflow.physics.pumping.pump import curve_from_ends, curve_from_points

LITRE_PER_MINUTE = 1.0 / 60000.0  # m3/s
# The pump goes through (0, 6 m), (20, 4.8 m) and (40, 2 m), flows in litres a minute, with
# H = A - B Q^C; B and C are printed in SI units.
SHUT_OFF, STEEP, EXPONENT = 6.0, 1314683.6, 1.7369656
PIPES = {  # length, bore, roughness [m], loss coefficient
    "SUC": (2.0, 0.0254, 1e-5, 6.0),
    "DIS": (3.0, 0.01905, 1e-5, 4.0),
    "COIL": (6.0, 0.015, 1.5e-6, 3.0),
    "OVB": (4.0, 0.01905, 1e-5, 4.0),  # and the outlet, which makes 5
}
FLOW_ATOL = 0.0005  # l/min: EPANET takes 1699.0 l/min for a cubic foot a second, 6e-6 off
HEAD_ATOL = 5e-5  # m; printed to 1e-5, and heads follow the flow and 0.02517 for 0.0251731
RISE_ATOL = 5e-4  # K, printed to 1e-3
WARMER_SEA = 0.8245645  # VISCOSITY of seawater at 30 degC over EPANET's unit
CAPACITY = 68.141  # W/K for each litre a minute of seawater at 30 degC
DUTY = 5861.0  # W


def _pipe(name, extra=0.0):
    length, bore, roughness, loss = PIPES[name]
    return hose(name, length, bore, roughness=roughness, fittings_coefficient=loss + extra)


def _loop(extra_loss=0.0):
    curve = curve_from_ends(SHUT_OFF, (SHUT_OFF / STEEP) ** (1.0 / EXPONENT), EXPONENT)
    parts = (
        _pipe("SUC", extra_loss),
        pump("PU", curve),
        _pipe("DIS"),
        _pipe("COIL"),
        _pipe("OVB"),
        outlet("OUT", 0.6, 0.01905),
    )
    return Loop("loop1", (Link(SEA, SEA, parts),))


def _solved(monkeypatch, ratio=1.0, extra_loss=0.0):
    """Return the flow [l/min] and the heads after suction, pump, delivery and coil [m]."""
    loop, now = _loop(extra_loss), Conditions(sea_temperature=20.0)
    viscosity = ratio * epanet.VISCOSITY
    with epanet.its_constants(monkeypatch):
        found = find_flows(loop, now, viscosity, 1)
        flow = found.flow[0]
        lost = {
            part.name: loss_of(part.losses(now), flow, viscosity)[0]
            for part in loop.links[0].elements
        }
    after_suction = -lost["SUC"]
    before_coil = 0.6 + lost["OVB"] + lost["OUT"] + lost["COIL"]
    heads = [after_suction, before_coil + lost["DIS"], before_coil, before_coil - lost["COIL"]]
    return flow[0] / LITRE_PER_MINUTE, heads


@pytest.mark.parametrize(
    ("ratio", "flow", "heads"),
    [
        (1.0, 20.9047, [-0.19713, 4.50702, 3.88692, 1.40142]),
        (WARMER_SEA, 21.1450, [-0.19924, 4.47892, 3.85771, 1.40232]),
    ],
)
def test_flow_and_heads_of_the_reference_loop(ratio, flow, heads, monkeypatch):
    ours, our_heads = _solved(monkeypatch, ratio)
    assert abs(ours - flow) < FLOW_ATOL
    assert np.allclose(our_heads, heads, rtol=0, atol=HEAD_ATOL)


@pytest.mark.parametrize(
    ("ratio", "extra_loss", "rise", "printed_flow"),
    [
        (1.0, 0.0, 4.115, 20.9047),
        (1.0, 40.0, 4.496, 19.13),  # a strainer that goes from a coefficient of 6 to 46
        (WARMER_SEA, 0.0, 4.068, 21.145),
    ],
)
def test_rise_of_the_water_in_the_reference_loop(
    ratio, extra_loss, rise, printed_flow, monkeypatch
):
    """Duty 5861 W: own arithmetic on the printed flows, with seawater at 30 degC."""
    flow, _ = _solved(monkeypatch, ratio, extra_loss)
    assert abs(flow - printed_flow) < 0.005  # the clogged flow is printed to 0.01 l/min
    assert abs(temperature_rise(DUTY, CAPACITY * flow) - rise) < RISE_ATOL + 0.001


def test_straight_pump_curve_on_a_quadratic_loop():
    """Hp = 60 - 0.8 Q and Hs = 20 + 0.5 Q2 meet near Q = 8.18, H = 53.46 (a web page on pumps).

    The page gives no units; they are read as metres and litres a second.
    """
    litre = 1e-3
    curve = curve_from_points([0.0, 75.0 * litre], [60.0, 0.0], 1.0)
    bore = 0.1
    coefficient = 0.5 / litre**2 * np.pi**2 * 9.80665 * bore**4 / 8.0
    parts = (
        pump("pump", curve),
        hose("hose", 1e-9, bore, fittings_coefficient=coefficient - 1.0),
        outlet("outlet", 20.0, bore),
    )
    loop = Loop("quadratic", (Link(SEA, SEA, parts),))
    found = find_flows(loop, Conditions(sea_temperature=20.0), 1e-6, 1)
    flow = found.flow[0, 0] / litre
    assert abs(flow - 8.17998) < 5e-6
    assert abs(60.0 - 0.8 * flow - 53.45602) < 5e-6
