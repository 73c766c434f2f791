"""What a page carries of its simulated boats, against the boats themselves."""

import numpy as np
import pytest
from source_tree import ROOT
from table_weighing import column

from seaflow.boat.load import load_case
from seaflow.boat.network import loops
from seaflow.present.page.packed import loop_packed
from seaflow.present.page.shorter import shorter
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


DRAWN = np.random.RandomState(20)
CODES = {
    "none at all": (np.zeros(0), 5),
    "one alone": (np.full(100, 6.0), 3),
    "two": (np.arange(100) % 2 * 7.0, 3),
    "bits": (DRAWN.random_sample(100) < 0.9, 1),
    "even": (DRAWN.randint(0, 1 << 10, 3000), 10),
    "bell": (np.clip(DRAWN.normal(600.0, 40.0, 3000), 0.0, 4095.0), 12),
    "each half as common as the last": (np.repeat(np.arange(15), 1 << np.arange(15)), 4),
}


@pytest.mark.parametrize("kind", CODES)
def test_codes_come_out_as_they_went_in_and_no_longer_than_they_must_be(kind):
    values, bits = CODES[kind]
    code = values.astype(np.uint32)
    lengths, at = shorter(code, bits)
    told = {"at": at, "lengths": lengths, "bits": bits, "low": 0.0, "step": 1.0}
    assert np.array_equal(np.nan_to_num(column(told, code.size), nan=(1 << bits) - 1), code)
    share = np.unique(code, return_counts=True)[1] / max(code.size, 1)
    entropy = -np.sum(share * np.log2(share))
    assert len(at) <= code.size * (entropy + 1.0) / 6.0 + 4.0  # letters of base64, filled up
    assert len(at) + len(lengths) <= code.size * bits / 6.0 + 4.0 + (1 << bits)
