"""The shipped ketch sized once more, by plain formulas and public libraries alone.

Nothing of seaflow takes part but the answer that is checked. The figures of the boat, of its
hoses and of its pump are typed here as they stand in the case and in the tables.
"""

import itertools
from functools import cache
from math import exp, log, pi, sqrt

import gsw
import pytest
from CoolProp.CoolProp import PropsSI
from fluids import contraction_sharp, friction_factor
from ht import helical_turbulent_Nu_Mori_Nakayama
from iapws import IAPWS97
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from sizing import KETCH, sized

# Both sides solve the same published laws; what differs is how water's properties, the friction
# factor and the pump's curve are computed.
AGREE = 0.005  # relative
ABSOLUTE_HEAD = 1e-4  # m, for items that hardly cost anything

G = 9.80665  # m/s2
LITRE = 1e-3 / 60.0  # L/min in m3/s
BTU = 0.29307107  # BTU/h in W
SEA, SALINITY = 30.0, 36.0
COOLING, INPUT, RATED = 16000 * BTU, 1400.0, 15.0 * LITRE
PERMITTED, OUTLET = 6.0, 0.15
ROUGHNESS = 0.01e-3
BARB = {0.025: 0.0205, 0.019: 0.0152}
PUMP = [(0.0, 3.19), (6.3, 3.1), (12.7, 2.72), (19.0, 2.04), (25.3, 1.15), (31.7, 0.0)]
WATTS = [(0.0, 41.0), (9.5, 53.0), (19.0, 66.0), (28.5, 74.0)]


# ------------------------------------------------------------------------------------- water


def sea_density():
    return gsw.rho(SALINITY, gsw.CT_from_t(SALINITY, SEA, 0.0), 0.0)


def sea_viscosity():
    """Kinematic; equations 22 and 23 of Sharqawy, Lienhard and Zubair 2010."""
    s, t = SALINITY / 1000.0, SEA
    pure = 4.2844e-5 + 1.0 / (0.157 * (t + 64.993) ** 2 - 91.296)
    a = 1.541 + 1.998e-2 * t - 9.52e-5 * t**2
    b = 7.974 - 7.561e-2 * t + 4.724e-4 * t**2
    return pure * (1.0 + a * s + b * s**2) / sea_density()


SEA_HEAT = sea_density() * gsw.cp_t_exact(SALINITY, SEA, 0.0)  # J/(m3 K)
VISCOSITY = sea_viscosity()


# ------------------------------------------------------------------------------------- machine


def rating():
    """Conductance and condensing temperature at the plate's point: fresh water of 85 degF."""
    bore, length, wall, coil = 0.015, 5.5, 0.001, 0.22
    water = (85.0 - 32.0) / 1.8
    fresh = IAPWS97(T=water + 273.15, P=0.101325)
    reynolds = 4.0 * RATED / (pi * bore * fresh.nu)
    assert reynolds > 22000.0  # fully turbulent, so no blend is needed
    nusselt = helical_turbulent_Nu_Mori_Nakayama(reynolds, fresh.Prandt, bore, coil)
    inside = 1.0 / (nusselt * fresh.k / bore * pi * bore * length)
    metal = log((bore + 2.0 * wall) / bore) / (2.0 * pi * 50.0 * length)
    outside = 1.0 / (2500.0 * pi * (bore + 2.0 * wall) * length)
    conductance = 1.0 / (inside + metal + outside)
    rate = fresh.rho * fresh.cp * 1000.0 * RATED
    reached = 1.0 - exp(-conductance / rate)
    return conductance, inside * conductance, water + (COOLING + INPUT) / (reached * rate)


CONDUCTANCE, FILM_SHARE, PLATE_CONDENSING = rating()


def cycle(condensing):
    """Capacity and power of R-410A for a swept volume of 1 m3/s, evaporating at 7 degC.

    8 K of superheat, 5 K of subcooling; the isentropic efficiency falls with the volumetric one.
    """
    low = PropsSI("P", "T", 280.15, "Q", 1, "R410A")
    high = PropsSI("P", "T", condensing + 273.15, "Q", 0, "R410A")
    density, entropy, enthalpy = (PropsSI(out, "T", 288.15, "P", low, "R410A") for out in "DSH")
    liquid = PropsSI("H", "T", condensing + 268.15, "P", high, "R410A")
    work = PropsSI("H", "P", high, "S", entropy, "R410A") - enthalpy
    moved = density * (0.95 - 0.03 * (high / low - 1.0))
    return moved * (enthalpy - liquid), density * work


AT_PLATE = cycle(PLATE_CONDENSING)


def machine(condensing):
    """Heat rejected by an R-410A machine, from its plate in the ratios of the cycle."""
    capacity, power = cycle(condensing)
    return COOLING * capacity / AT_PLATE[0] + INPUT * power / AT_PLATE[1]


def condensing_at(flow):
    rate = SEA_HEAT * flow
    film = FILM_SHARE * (flow / RATED) ** -0.8 + 1.0 - FILM_SHARE
    taken = rate * (1.0 - exp(-CONDUCTANCE / film / rate))
    return brentq(lambda at: taken * (at - SEA) - machine(at), SEA, 70.0)


def rise_at(flow):
    return machine(condensing_at(flow)) / (SEA_HEAT * flow)


# ------------------------------------------------------------------------------------- heads


def speed(flow, bore):
    return 4.0 * flow / (pi * bore**2)


def velocity_head(flow, bore):
    return speed(flow, bore) ** 2 / (2.0 * G)


def hose(flow, bore, length):
    velocity = speed(flow, bore)
    factor = friction_factor(Re=velocity * bore / VISCOSITY, eD=ROUGHNESS / bore)
    return factor * length / bore * velocity_head(flow, bore)


def barb(flow, bore):
    """Rennels' sharp contraction, friction along 30 mm, and the widening of Borda and Carnot."""
    narrow = BARB[bore]
    loss = contraction_sharp(bore, narrow) + 0.03 * 0.03 / narrow
    loss += (1.0 - (narrow / bore) ** 2) ** 2
    return loss * velocity_head(flow, narrow)


def strainer(flow):
    """Housing 3.5, and the screen of Idelchik on the speed in front of a basket of 160 cm2."""
    port, basket, is_open = 0.025, 160e-4, 0.45
    screen = ((1.0 + 0.707 * sqrt(1.0 - is_open) - is_open) / is_open) ** 2
    return (3.5 + screen * (0.25 * pi * port**2 / basket) ** 2) * velocity_head(flow, port)


def heads(flow):
    wide, narrow = velocity_head(flow, 0.025), velocity_head(flow, 0.019)
    return {
        ("cooling intake", "through-hull and entry"): 2.0 * wide,
        ("intake seacock", "seacock"): 0.05 * wide,
        ("hose cooling intake to strainer", "hose"): hose(flow, 0.025, 0.5),
        ("hose cooling intake to strainer", "2 barbs"): 2.0 * barb(flow, 0.025),
        ("hose cooling intake to strainer", "bends, fittings"): 0.3 * wide,
        ("strainer", "strainer"): strainer(flow),
        ("hose strainer to pump", "hose"): hose(flow, 0.025, 0.6),
        ("hose strainer to pump", "2 barbs"): 2.0 * barb(flow, 0.025),
        ("hose pump to saloon unit", "hose"): hose(flow, 0.019, 2.4),
        ("hose pump to saloon unit", "2 barbs"): 2.0 * barb(flow, 0.019),
        ("hose pump to saloon unit", "bends, fittings"): (0.3 + 1.0) * narrow,
        ("saloon unit", "coil"): 1.3 * (flow / RATED) ** 1.9,
        ("hose saloon unit to topside outlet", "hose"): hose(flow, 0.019, 1.9),
        ("hose saloon unit to topside outlet", "2 barbs"): 2.0 * barb(flow, 0.019),
        ("hose saloon unit to topside outlet", "bends, fittings"): 0.3 * narrow,
        # full bore: 0.05 velocity heads, as on the intake
        ("outlet seacock", "seacock at the outlet"): 0.05 * narrow,
        ("topside outlet", "outlet"): 1.0 * narrow,
    }


# -------------------------------------------------------------------------------------- pump


def volts():
    """230 V at the panel, less the drop in 7 m of 1.5 mm2 copper at 30 degC, there and back."""
    current = 74.0 / (230.0 * 0.7)
    resistance = 2.0 * 7.0 / 1.5e-6 / 58e6 * (1.0 + 0.00393 * 10.0)
    return 230.0 - current * resistance


def pump_speed():
    """An induction motor with 5 % slip, which goes with the volts squared the other way round."""
    return (1.0 - 0.05 / (volts() / 230.0) ** 2) / (1.0 - 0.05)


def pump_head(flow):
    curve = PchipInterpolator([q * LITRE for q, _ in PUMP], [h for _, h in PUMP])
    ratio = pump_speed()
    return ratio**2 * float(curve(flow / ratio))


def pump_watts(flow):
    ratio = pump_speed()
    known = [(q * LITRE, w) for q, w in WATTS]
    for (q1, w1), (q2, w2) in itertools.pairwise(known):
        if q1 <= flow / ratio <= q2:
            return ratio**3 * (w1 + (w2 - w1) * (flow / ratio - q1) / (q2 - q1))
    raise AssertionError


@cache
def needed():
    return brentq(lambda flow: PERMITTED - rise_at(flow), 8.0 * LITRE, 60.0 * LITRE, xtol=1e-12)


@cache
def runs():
    def above(flow):
        return sum(heads(flow).values()) + OUTLET - pump_head(flow)

    return brentq(above, 1e-3 * LITRE, 31.0 * LITRE, xtol=1e-12)


@pytest.fixture(scope="module")
def loop():
    return sized(KETCH).loops[0]


@pytest.fixture(scope="module")
def chosen(loop):
    return next(item for item in loop.pumps if item.part.name == "demo-mag-medium-230").design


def test_needed_flow_from_the_permitted_rise(loop):
    need = loop.needs[0]
    assert need.flow == pytest.approx(needed(), rel=AGREE)
    assert need.heat_rejected == pytest.approx(machine(condensing_at(needed())), rel=AGREE)


def test_the_falling_leg_is_swept_of_air():
    """Wisner, Mohsen and Kouwen 1975: so its height comes back, as `heads` has it."""
    assert speed(min(needed(), runs()), 0.019) / sqrt(G * 0.019) > 1.5


def test_the_list_of_heads_at_the_needed_flow(loop):
    wanted = heads(loop.heads.flow)
    got = {(item.thing, item.item): item.head for item in loop.heads.items}
    assert set(got) == set(wanted)
    for key, head in wanted.items():
        assert got[key] == pytest.approx(head, rel=AGREE, abs=ABSOLUTE_HEAD), key
    assert loop.heads.friction == pytest.approx(sum(wanted.values()), rel=AGREE)
    assert loop.heads.head == pytest.approx(sum(wanted.values()) + OUTLET, rel=AGREE)


def test_the_operating_point_of_the_pump(chosen):
    assert chosen.voltage == pytest.approx(volts(), rel=1e-5)
    assert chosen.speed_ratio == pytest.approx(pump_speed(), rel=1e-5)
    assert chosen.flow == pytest.approx(runs(), rel=AGREE)
    assert chosen.head == pytest.approx(pump_head(runs()), rel=AGREE)
    assert chosen.power == pytest.approx(pump_watts(runs()), rel=AGREE)


def test_rise_and_condensing_temperature_at_that_flow(chosen):
    unit, condensing = chosen.units[0], condensing_at(runs())
    assert unit.temperature_rise == pytest.approx(rise_at(runs()), rel=AGREE)
    assert unit.condensing_temperature - SEA == pytest.approx(condensing - SEA, rel=AGREE)
    assert unit.coil_velocity == pytest.approx(speed(runs(), 0.015), rel=AGREE)


def test_the_pressure_at_the_pump_inlet(chosen):
    """The pump sits 0.42 m deep; its port is 19 mm."""
    before = sum(
        head
        for (thing, _), head in heads(runs()).items()
        if thing in ("cooling intake", "intake seacock", "strainer")
        or thing in ("hose cooling intake to strainer", "hose strainer to pump")
    )
    head = 0.42 - before - velocity_head(runs(), 0.019)
    assert chosen.inlet_gauge == pytest.approx(sea_density() * G * head, rel=AGREE)
