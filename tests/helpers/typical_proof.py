"""Whether the band of a typical answer holds the full answer, and how it narrows with each fact."""

from dataclasses import replace
from pathlib import Path

import numpy as np
from own_boats import own_boat, usually_typical, varied

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.paths import value_at, with_values
from seaflow.forms.typical.text import case_of
from seaflow.model.build import built_with
from seaflow.studies.design.certainty.sample import LEVELS, sample
from seaflow.studies.design.which_pump import full_supply

CASES = Path(__file__).parents[2] / "cases"
SHIPPED = ("ketch-one-unit", "badly-arranged", "motor-three-units", "battery-sloop-variable")


def flows(case, n_samples, seed):
    """Flow of the first loop with the pump fitted, on days drawn."""
    found = network.loops(case)[0]
    part = case.catalogue.pump(found.pumps[0].fitted)
    built = built_with(case, found, part)
    return sample(case, built, full_supply(case, found, part), n_samples, seed).point.total_flow()


def band(case, n_samples, seed):
    """Low end, middle and high end of the flow."""
    return np.quantile(flows(case, n_samples, seed), LEVELS)


def of_own_boat(seed, folder):
    """The full and the typical case of one boat of our own hand."""
    boat = own_boat(seed)
    return tuple(_loaded(text, folder) for text in (boat.text, case_of(boat.facts)))


def of_shipped_boat(seed):
    """The full and the typical case of one shipped boat, varied."""
    case = load_case(str(CASES / f"{SHIPPED[seed % len(SHIPPED)]}.toml")).case
    return varied(case, seed), usually_typical(case)


def _loaded(text, folder):
    file = Path(folder) / "boat.toml"
    file.write_text(text, encoding="utf-8")
    return load_case(str(file)).case


def holds(full, typical, n_samples):
    """Whether the middle of the full answer lies in the band of the typical one."""
    low, _, high = band(typical, n_samples, seed=20)
    return bool(low <= band(full, n_samples, seed=21)[1] <= high)


# Facts in the order in which they come in, by table and last word of the path.
FACTS = (
    ("coils", "unit", ("head", "pressure", "at")),
    ("bores of hoses", "hose", ("bore",)),
    ("lengths of hoses", "hose", ("length",)),
    ("sea", "sea", ("warmest", "coldest", "typical", "salinity")),
    ("units", "unit", ("cooling", "input_power", "rated", "least", "most")),
    ("heights", "", ("height",)),
    ("strainer", "strainer", ("port", "clean_loss", "basket_area", "open_share")),
    ("all the rest", "", ()),
)


def known_one_by_one(true, typical):
    """The typical case, then with one group of facts more known each time, up to all of them."""
    yield typical
    for _, table, words in FACTS:
        now = {
            path
            for path in typical.typical
            if (not table or path[0] == table) and (not words or path[-1] in words)
        }
        values = {path: value_at(true, path) for path in now}
        left = {path: half for path, half in typical.spreads.items() if path not in now}
        typical = replace(with_values(typical, values), spreads=left, typical=typical.typical - now)
        yield typical


def widths(seed, n_samples):
    """Width of the band of flow over its middle, as facts come in; last that of the full case."""
    true, typical = of_shipped_boat(seed)
    bands = [band(case, n_samples, seed=20) for case in (*known_one_by_one(true, typical), true)]
    return [(high - low) / middle for low, middle, high in bands]
