"""The solver over random whole boats: each condition ends in words, water and heads balance."""

import numpy as np
from boats import boats
from disguise import written
from hypothesis import HealthCheck, Phase, given, settings

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.model import point as words
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate

N_CONDITIONS = 200
PUMPS = {"230 V": "demo-mag-medium-230", "115 V": "demo-mag-medium-115"}
PUMPS |= {"12 V": "demo-dc-medium-12", "24 V": "demo-dc-medium-24"}
HEAD_LEFT, MASS_LEFT = 1e-6, 1e-12  # m along any way, m3/s at any junction


def conditions_of(case, units, rng):
    """Conditions that a boat may meet, and worse ones."""
    size = N_CONDITIONS
    return Conditions(
        sea_temperature=rng.uniform(5.0, 35.0, size),
        salinity=case.sea.salinity,
        voltage=case.supply.voltage * rng.uniform(0.7, 1.15, size),
        frequency=case.supply.frequency,
        strainer_blockage=rng.uniform(0.0, 0.95, size),
        intake_blockage=rng.uniform(0.0, 0.9, size),
        seacock_opening=rng.choice([0.0, 0.05, 0.5, 1.0], size, p=[0.05, 0.1, 0.15, 0.7]),
        pump_wear=rng.uniform(0.0, 0.5, size),
        growth=rng.uniform(0.0, 3e-3, size),
        branch_shut={unit: rng.random(size) < 0.2 for unit in units},
    )


def test_every_condition_of_a_random_boat_ends_in_words(tmp_path):
    @settings(
        max_examples=25,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(raw=boats())
    def ends(raw):
        file = tmp_path / "boat.toml"
        file.write_text(written(raw), encoding="utf-8")
        case = load_case(str(file)).case
        (found,) = network.loops(case)
        part = Catalogue().pump(PUMPS[raw["supply"]["voltage"]])
        built = build_loop(case, found, {"pump": part})
        units = [unit.name for unit in found.units]
        point = operate(built.loop, conditions_of(case, units, np.random.default_rng(1)))
        assert np.all(point.ending != words.NOT_SETTLED)
        assert np.all(point.flow >= 0.0)
        assert np.all(point.residual < HEAD_LEFT)
        for node in {link.end for link in built.loop.links if not link.to_sea}:
            comes = sum(
                point.flow[i] for i, link in enumerate(built.loop.links) if link.end == node
            )
            goes = sum(
                point.flow[i] for i, link in enumerate(built.loop.links) if link.start == node
            )
            assert np.abs(comes - goes).max() < MASS_LEFT

    ends()
