"""Readings beside each other: what is to be expected of the next, and heat against the plate."""

from functools import cache

import numpy as np
import pytest
from sizing import KETCH, shipped

from seaflow.boat import network
from seaflow.physics.water.seawater import seawater
from seaflow.studies.diagnose.agreement import ALLOWED, heat_check
from seaflow.studies.diagnose.answer import Sampling, posterior_of, setup_of
from seaflow.studies.diagnose.next_reading import THIRDS, _bands
from seaflow.studies.diagnose.predict import predicted
from seaflow.studies.diagnose.readings import instruments
from seaflow.studies.diagnose.written import read_rows

EVEN = 0.15  # by which the error of an instrument may move a third


@cache
def posterior():
    case = shipped(KETCH)
    setup = setup_of(case, network.loops(case)[0])
    readings = read_rows({"sea": "27 degC", "discharge": "36 degC"}, setup.places)
    return posterior_of(setup, readings, Sampling(4096, 20))


def edge_of(said):
    value = said["edge"]
    return (
        value["value"].value
        if hasattr(value, "kind") and value.kind.endswith("apart")
        else value.value
    )


@pytest.mark.parametrize("kind", ["flow", "amps", "condensing"])
def test_a_reading_to_come_is_cut_in_thirds(kind):
    assert pytest.approx((1.0 / 3.0, 2.0 / 3.0)) == THIRDS
    found, instrument = posterior(), instruments()[kind]
    place = found.flotilla.setup.places.at(instrument.where[:1])[0]
    seen = predicted(found.flotilla, kind, place)
    known = np.isfinite(seen)
    bands = {
        said.kind.removeprefix("diagnose."): (said, chance)
        for said, chance in _bands(found, instrument, seen)
    }
    whole = sum(chance for _, chance in bands.values())
    assert whole[found.weight > 0] == pytest.approx(np.ones(np.count_nonzero(found.weight > 0)))
    weight = np.where(known, found.weight, 0.0) / found.weight[known].sum()
    for name in ("below", "between", "above"):
        assert weight @ bands[name][1] == pytest.approx(1.0 / 3.0, abs=EVEN)
    low, high = (edge_of(bands[name][0]) for name in ("below", "above"))
    assert low < high
    assert weight @ (np.where(known, seen, -np.inf) < low) <= THIRDS[0] + 1e-9
    assert weight @ (np.where(known, seen, -np.inf) <= low) >= THIRDS[0] - 1e-9
    assert weight @ (np.where(known, seen, -np.inf) < high) <= THIRDS[1] + 1e-9
    assert weight @ (np.where(known, seen, -np.inf) <= high) >= THIRDS[1] - 1e-9


@pytest.mark.parametrize(
    ("share", "kind"),
    [
        (1.0 - 1.01 * ALLOWED, "heat_short"),
        (1.0 - 0.99 * ALLOWED, "heat_agrees"),
        (1.0, "heat_agrees"),
        (1.0 + 0.99 * ALLOWED, "heat_agrees"),
        (1.0 + 1.01 * ALLOWED, "heat_over"),
    ],
)
def test_heat_agrees_as_far_above_the_plate_as_below(share, kind):
    """Flow times rise by hand: the plate's cooling and input, in the water that was read."""
    found, sea, warm = posterior(), 27.0, 33.0
    setup = found.flotilla.setup
    (machine,) = (coil.machine for coil in setup.built.loop.coils)
    plate = machine.rated_capacity + machine.rated_power
    water = seawater(sea, setup.case.sea.salinity)
    flow = share * plate / float(water.density * water.heat_capacity) / (warm - sea)
    rows = {"sea": f"{sea} degC", "discharge": f"{warm} degC", "flow": f"{6e4 * flow!r} L/min"}
    heat = heat_check(found, read_rows(rows, setup.places))
    assert heat.says.kind == f"diagnose.{kind}"
    assert heat.agrees is (kind == "heat_agrees")
    assert heat.found / heat.plate == pytest.approx(share)
    assert heat.plate == pytest.approx(plate)
