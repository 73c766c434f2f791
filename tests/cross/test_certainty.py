"""Bands against a plain Monte Carlo of 100,000 draws that is written out here by hand.

The draws, their distributions and the changes they make to the loop are coded anew in this file;
only the forward model is shared.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Entry, HoseRun
from seaflow.model.operate import operate
from seaflow.studies.design.certainty.draws import BITS, _directions
from seaflow.studies.design.certainty.sample import quantiles, sample

CASES = Path(__file__).parents[2] / "cases"
N_PLAIN = 200_000
N_SAMPLED = 10_000
SHARE_OF_BAND = 0.01  # of the width between the 5 % and 95 % quantiles
CHANCE = 4.0  # standard errors of the plain loop itself, which draws at random


def _ketch():
    case = load_case(str(CASES / "ketch-one-unit.toml")).case
    found = network.loops(case)[0]
    pumps = {place.name: case.catalogue.pump(place.fitted) for place in found.pumps}
    built = build_loop(case, found, pumps)
    now = Conditions(
        sea_temperature=case.sea.warmest,
        salinity=case.sea.salinity,
        voltage=case.supply.voltage,
        frequency=case.supply.frequency,
    )
    return case, built, now


def _log_triangular(rng, low, high):
    return np.exp(rng.triangular(np.log(low), 0.0, np.log(high), N_PLAIN))


@pytest.fixture(scope="module")
def plain():
    """The ketch by plain random draws: what the spreads table says, typed in here."""
    _, built, now = _ketch()
    rng = np.random.default_rng(7)
    loop = built.loop
    coil = loop.coils[0]
    heat = _log_triangular(rng, 0.9, 1.1)
    machine = replace(
        coil.machine,
        rated_capacity=coil.machine.rated_capacity * heat,
        rated_power=coil.machine.rated_power * heat,
    )
    loop = loop.changed(
        coil.name,
        loss=replace(coil.loss, head=coil.loss.head * _log_triangular(rng, 0.85, 1.15)),
        conductance=coil.conductance * _log_triangular(rng, 0.85, 1.15),
        machine=machine,
    )
    pump = loop.pumps[0]
    curve = replace(
        pump.curve,
        shut_off_head=pump.curve.shut_off_head * _log_triangular(rng, 0.93, 1.07),
        free_flow=pump.curve.free_flow * _log_triangular(rng, 0.91, 1.09),
    )
    loop = loop.changed(pump.name, curve=curve)
    fittings = _log_triangular(rng, 0.5, 2.0)
    roughness = _log_triangular(rng, 0.3, 5.0)
    bore = _log_triangular(rng, 0.97, 1.03)
    length = _log_triangular(rng, 0.9, 1.15)
    for hose in loop.elements(HoseRun):
        loop = loop.changed(
            hose.name,
            fittings_factor=fittings,
            roughness=hose.roughness * roughness,
            bore=hose.bore * bore,
            length=hose.length * length,
        )
    entry = loop.elements(Entry)[0]
    loss = entry.loss_coefficient * _log_triangular(rng, 0.5, 2.0)
    loop = loop.changed(entry.name, loss_coefficient=loss)
    basket = loop.strainers[0]
    loop = loop.changed(
        basket.name,
        housing_coefficient=basket.housing_coefficient * _log_triangular(rng, 0.39, 3.1),
    )
    outlet = loop.links[0].elements[-1]
    height = outlet.point.height + rng.triangular(-0.1, 0.0, 0.1, N_PLAIN)
    loop = loop.changed(outlet.name, point=replace(outlet.point, height=height))
    now = replace(
        now,
        matted=rng.random(N_PLAIN),
        strainer_blockage=0.5 * rng.random(N_PLAIN),
        growth=5e-4 * rng.random(N_PLAIN),
        growth_roughness=0.59 * _log_triangular(rng, 0.5, 1.7),
        coil_scale=1.2e-4 * rng.random(N_PLAIN),
        voltage=rng.triangular(205.0, 230.0, 240.0, N_PLAIN),
        # the ketch gives warmest 30 and coldest 14; the preset puts the typical sea 3 K lower
        sea_temperature=rng.triangular(14.0, 27.0, 30.0, N_PLAIN),
    )
    return operate(loop, now)


@pytest.fixture(scope="module")
def sampled():
    case, built, now = _ketch()
    return sample(case, built, now, N_SAMPLED, seed=20).point


FIGURES = {
    "flow": lambda point: point.total_flow(),
    "rise": lambda point: point.units["saloon unit"].temperature_rise,
    "discharge": lambda point: point.units["saloon unit"].outlet_temperature,
    "condensing": lambda point: point.units["saloon unit"].condensing_temperature,
    "power": lambda point: point.pumps["pump"].power,
}


@pytest.mark.parametrize("figure", FIGURES)
@pytest.mark.parametrize("level", [0.05, 0.5, 0.95])
def test_quantiles_agree_with_plain_draws(plain, sampled, figure, level):
    reference, ours = FIGURES[figure](plain), FIGURES[figure](sampled)
    low, high = quantiles(reference, (0.05, 0.95))
    expected = quantiles(reference, (level,))[0]
    found = quantiles(ours, (level,))[0]
    assert abs(found - expected) <= SHARE_OF_BAND * (high - low)


def test_plain_draws_all_settle(plain):
    assert np.all(plain.residual < 1e-6)


def test_points_have_less_error_than_random_draws_of_their_number():
    """What the sequence earns: the error of the middle flow over seeds, against random draws."""
    case, built, now = _ketch()
    middles = [
        np.median(sample(case, built, now, 256, seed=100 * seed).point.total_flow())
        for seed in range(1, 13)
    ]
    wide = sample(case, built, now, 8192, seed=1).point.total_flow()
    rng = np.random.default_rng(3)
    plain_middles = [np.median(rng.choice(wide, 256)) for _ in range(200)]
    assert np.std(middles) < 0.8 * np.std(plain_middles)


def test_directions_are_those_of_a_well_kept_library():
    """Unscrambled Sobol points of SciPy, from the direction numbers of Joe and Kuo 2008."""
    from scipy.stats import qmc

    directions = _directions()[:40]
    counter = np.arange(1, 256)
    flipped = np.log2(counter & -counter).astype(int)
    words = np.bitwise_xor.accumulate(directions[:, flipped], axis=1)
    expected = qmc.Sobol(40, scramble=False).random(256).T[:, 1:] * (1 << BITS)
    assert np.array_equal(words, expected.astype(np.int64))
