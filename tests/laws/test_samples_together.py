"""Laws of draws of several pumps and boats at once: each meets what it would meet alone."""

from dataclasses import replace

import numpy as np
import pytest
from sizing import KETCH, shipped

from seaflow.boat import network
from seaflow.model.build import built_with
from seaflow.studies.design.certainty.inputs import Input
from seaflow.studies.design.certainty.put_in import run_with
from seaflow.studies.design.certainty.sample import sample, samples
from seaflow.studies.design.certainty.spreads import spread
from seaflow.studies.design.choose import candidates
from seaflow.studies.design.which_pump import full_supply

SAME = 1e-8  # relative: heads settled to 1e-9 m, by two orders of arithmetic
N_DAYS, SEED = 64, 20


@pytest.fixture(scope="module")
def boats():
    """The ketch with every pump, and in a cleaner sea with longer hoses: some draw an exponent."""
    case = shipped(KETCH)
    longer = tuple(replace(hose, length=1.5 * hose.length) for hose in case.hose)
    found = []
    dirty = replace(case.design, blocked_share=0.5 * case.design.blocked_share)
    for one in (case, replace(case, hose=longer, design=dirty)):
        (loop,) = network.loops(one)
        for part in candidates(one, loop.pumps[0]):
            found.append((one, built_with(one, loop, part), full_supply(one, loop, part)))
    return found


def test_each_pump_of_each_boat_meets_the_days_that_it_meets_alone(boats):
    together = samples(boats, N_DAYS, SEED)
    assert len({tuple(one.label for one in found.inputs) for found in together}) > 1
    for asked, found in zip(boats, together, strict=True):
        alone = sample(*asked, N_DAYS, SEED)
        np.testing.assert_array_equal(found.shares, alone.shares)
        np.testing.assert_array_equal(found.point.ending, alone.point.ending)
        flow = alone.point.flow
        np.testing.assert_allclose(found.point.flow, flow, rtol=SAME, atol=SAME * flow.max())
        for name, unit in alone.point.units.items():
            mine = found.point.units[name].outlet_temperature
            np.testing.assert_allclose(mine, unit.outlet_temperature, rtol=SAME)


def test_what_is_drawn_of_one_pump_alone_leaves_the_others_as_they_are(boats):
    (case, one, now), (_, other, then) = boats[:2]

    def warmer(loop, now, values):
        return loop, replace(now, sea_temperature=now.sea_temperature + values)

    drawn = Input("sea", spread("outlet_height"), warmer)
    settings = [(one.loop, now), (other.loop, then)]
    first, second = run_with(settings, [[(drawn, np.asarray([1.0, 2.0]))], []])
    assert (first.conditions.sea_temperature - case.sea.warmest).tolist() == [1.0, 2.0]
    assert second.size == 1 and float(second.conditions.sea_temperature[0]) == case.sea.warmest
