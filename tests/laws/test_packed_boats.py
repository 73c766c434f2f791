"""What a page carries of its simulated boats, against the boats themselves."""

import numpy as np
import pytest
from source_tree import ROOT
from table_weighing import column

from seaflow.boat.load import load_case
from seaflow.boat.network import loops
from seaflow.present.page.packed import loop_packed
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.drawn import drawn_boats


@pytest.fixture(scope="module")
def boats():
    """Boats, few of them, among which some have a trickle."""
    case = load_case(str(ROOT / "cases" / "badly-arranged.toml")).case
    return drawn_boats(setup_of(case, loops(case)[0]), 4096)


def test_a_trickle_is_no_dry_outlet(boats):
    told = loop_packed(boats)
    order = np.argsort(boats.pair, kind="stable")
    columns = [(told["water"], boats.water)]
    for spot, carried in zip(boats.spots, told["spots"], strict=True):
        columns += zip(carried["flow"], spot.flow, strict=True)
    for packed, unordered in columns:
        carried, exact = column(packed, unordered.size), unordered[order]
        trickles = (exact > 0.0) & (exact < packed["step"] / 2.0)
        assert trickles.any()
        assert np.array_equal(carried > 0.0, exact > 0.0)
        few = np.abs(carried - exact)[~trickles & (exact < carried.max())]
        assert few.max() <= packed["step"] * (0.5 + 1e-9)
