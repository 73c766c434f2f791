"""A loop as an EPANET network, and EPANET's own constants and friction law for our model.

Only loops of hoses, one pump for each link at most, and outlets on the bore of their last hose
can be written; that is all EPANET and our model have in common.
"""

import math
import tempfile
import warnings
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from seaflow.model import losses, system
from seaflow.model.elements import Fixed, HoseRun, Pumping
from seaflow.model.loop import SEA

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # from modules that wntr imports
    import wntr

FOOT = 0.3048
GRAVITY = 32.2 * FOOT  # m/s2, as in EPANET
VISCOSITY = 1.1e-5 * FOOT**2  # m2/s, of its VISCOSITY 1.0
# EPANET writes 8 / (pi2 g) as 0.02517; loss coefficients are multiplied by this to match it
MINOR_LOSS = 0.02517 / (8.0 / (math.pi**2 * 32.2))
ACCURACY = 1e-9
THE_SEA = "sea"  # the library wants a name
CURVE_SHARES = (0.0, 0.5, 0.85)  # of free flow: the three points of a pump curve


def network(loop, viscosity=VISCOSITY):
    """Return the loop as a wntr network and the names of one pipe for each link."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        net = wntr.network.WaterNetworkModel()
        net.options.hydraulic.headloss = "D-W"  # warns that roughness is now a length
    options = net.options.hydraulic
    options.inpfile_units = "LPM"
    options.viscosity, options.specific_gravity = viscosity / VISCOSITY, 1.0
    options.accuracy, options.trials = ACCURACY, 200
    net.options.time.duration = 0
    for node in sorted({link.end for link in loop.links} - {SEA}):
        net.add_junction(node, base_demand=0.0, elevation=0.0)
    net.add_reservoir(THE_SEA, base_head=0.0)
    return net, [_add(net, f"L{i}", link) for i, link in enumerate(loop.links)]


def _add(net, name, link):
    """Add one link as a chain of pipes and its pump; return the name of its last pipe."""
    parts = [part for part in link.elements if isinstance(part, (HoseRun, Pumping))]
    end = link.end
    if link.to_sea:
        end = f"{name}-OUT"
        net.add_reservoir(end, base_head=max(float(link.elements[-1].point.height), 0.0))
    extra = sum(part.loss_coefficient for part in link.elements if isinstance(part, Fixed))
    here, last = link.start or THE_SEA, None
    for number, part in enumerate(parts):
        there = end if number == len(parts) - 1 else f"{name}-N{number}"
        if there != end:
            net.add_junction(there, base_demand=0.0, elevation=0.0)
        if isinstance(part, Pumping):
            _add_pump(net, f"{name}-P{number}", (here, there), part.curve)
        else:
            minor = part.fittings_coefficient + (extra if there == end else 0.0)
            last = f"{name}-{number}"
            net.add_pipe(
                last, here, there, part.length, part.bore, part.roughness, minor_loss=minor
            )
        here = there
    return last


def _add_pump(net, name, ends, curve):
    points = [
        (share * curve.free_flow, curve.shut_off_head * (1.0 - share**curve.exponent))
        for share in CURVE_SHARES
    ]
    net.add_curve(f"{name}-curve", "HEAD", points)
    net.add_pump(name, *ends, "HEAD", f"{name}-curve")


def run(loop, viscosity=VISCOSITY):
    """Return the flow of each link [m3/s] and the heads of the nodes [m] as EPANET finds them."""
    net, names = network(loop, viscosity)
    with tempfile.TemporaryDirectory() as folder, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = wntr.sim.EpanetSimulator(net).run_sim(file_prefix=str(Path(folder) / "loop"))
    flow = found.link["flowrate"].iloc[0]
    return np.array([float(flow[name]) for name in names]), found.node["head"].iloc[0]


def friction_factor_and_slope(reynolds_number, relative_roughness):
    """EPANET's friction factor and the slope of its logarithm over that of Reynolds number.

    Swamee and Jain from 4000, 64/Re below 2000, Dunlop's cubic between, with the digits of the
    engine's source.
    """
    reynolds = np.maximum(np.asarray(reynolds_number, dtype=float), 1e-6)
    rough = np.broadcast_to(np.asarray(relative_roughness) / 3.7, reynolds.shape)
    viscous = 5.74 / np.maximum(reynolds, 4000.0) ** 0.9
    root = -2.0 * np.log10(rough + viscous)
    turbulent = root**-2
    turbulent_slope = -2.0 * 2.0 * 0.9 / math.log(10.0) * viscous / (rough + viscous) / root
    laminar = 64.0 / reynolds
    y2 = rough + 5.74 / 4000.0**0.9
    y3 = -2.0 * np.log10(y2)
    fa = y3**-2
    fb = (2.0 - 5.14214965799093883760e-03 / (y2 * y3)) * fa
    r = reynolds / 2000.0
    x1, x2, x3 = 7 * fa - fb, 0.128 - 17 * fa + 2.5 * fb, -0.128 + 13 * fa - 2 * fb
    x4 = 0.032 - 3 * fa + 0.5 * fb
    bridge = x1 + r * (x2 + r * (x3 + r * x4))
    bridge_slope = r * (x2 + r * (2 * x3 + 3 * r * x4)) / bridge
    where = [reynolds >= 4000.0, reynolds > 2000.0]
    factor = np.select(where, [turbulent, bridge], laminar)
    return factor, np.select(where, [turbulent_slope, bridge_slope], -1.0)


@contextmanager
def its_constants(monkeypatch, friction=True):
    """Give our model EPANET's gravity, its rounded minor loss, and its friction law."""
    with monkeypatch.context() as patch:
        patch.setattr(system, "GRAVITY", GRAVITY)
        # only fittings use this one: their loss is 0.02517 K Q2/D4 in feet
        patch.setattr(losses, "GRAVITY", GRAVITY / MINOR_LOSS)
        if friction:
            patch.setattr(system, "friction_factor_and_slope", friction_factor_and_slope)
        yield
