"""What boats and answers share changes none of them: each is as if it had been made alone."""

import gc
from dataclasses import fields, is_dataclass, replace
from functools import _lru_cache_wrapper

import numpy as np
import pytest
from heavy import half_known, heavy

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.paths import with_values
from seaflow.forms.typical.boat import spoken_boat
from seaflow.model.build import built_with_any
from seaflow.studies.baseline.sheet import baseline
from seaflow.studies.design.certainty.by_path import drawn_case, drawn_values
from seaflow.studies.design.start import first_start
from seaflow.studies.design.supply import fits
from seaflow.studies.design.which_pump import full_supply, judged_at_each
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.written import read_rows
from seaflow.studies.energy.study import energy
from seaflow.studies.page.study import boat_page
from seaflow.studies.place.routes import placed, places_offered
from seaflow.studies.place.study import place

SAID = {"boat": "motor yacht, 15 m", "unit": ["16k", "9k"], "sea": "30 degC"}
N_BOATS, SEED = 3, 20


@pytest.fixture(scope="module")
def case():
    """A boat of which only this was told, so that boats are drawn of her."""
    return spoken_boat(SAID | {"supply": "230 V 50 Hz"}).loaded.case


def forget(*modules):
    """Forget whatever these modules keep."""
    for one in gc.get_objects():
        if isinstance(one, _lru_cache_wrapper) and one.__module__.startswith(modules):
            one.cache_clear()


def plain(record):
    """A record as nested values, so that two that are no one object can be told to be alike."""
    if isinstance(record, np.ndarray):
        return record.tolist()
    if isinstance(record, tuple):
        return [plain(one) for one in record]
    if isinstance(record, dict):
        return {name: plain(one) for name, one in record.items()}
    if is_dataclass(record):
        return {one.name: plain(getattr(record, one.name)) for one in fields(record)}
    return record


def drawn(case):
    """Some boats drawn of a case, each with her loop and how it starts."""
    values = drawn_values(case, N_BOATS, SEED)
    for boat in (drawn_case(case, values, row) for row in range(N_BOATS)):
        (loop,) = network.loops(boat)
        built = built_with_any(boat, loop)
        part = boat.catalogue.any_pump()
        yield built, first_start(boat, built, part, full_supply(boat, loop, part))


def test_boats_that_share_rows_and_links_are_as_if_each_were_built_alone(case):
    shared = list(drawn(case))
    again = [built for built, _ in drawn(case)]
    assert all(  # or this would tell nothing
        one is other
        for (built, _), mine in zip(shared, again, strict=True)
        for one, other in zip(built.loop.links, mine.loop.links, strict=True)
    )
    alone = []
    for row in range(N_BOATS):
        forget("seaflow.boat", "seaflow.model")
        alone.append(list(drawn(case))[row])
    for (one, starts), (other, then) in zip(shared, alone, strict=True):
        assert one.loop.links[0] is not other.loop.links[0]
        assert plain(one.loop.links) == plain(other.loop.links)
        assert one.assumptions == other.assumptions
        assert starts == then


def test_a_row_is_shared_by_cases_with_the_same_numbers_in_it_alone(case):
    path = ("hose", 0, "bore")
    wide, also, other = (with_values(case, {path: bore}) for bore in (0.03, 0.03, 0.031))
    assert wide.hose[0] is also.hose[0]
    assert (wide.hose[0].bore, other.hose[0].bore) == (0.03, 0.031)
    assert wide.hose[1] is case.hose[1]


def test_a_pump_at_several_places_is_judged_at_each_as_at_that_place_alone(case):
    (pump,) = case.pump
    part = next(one for one in case.catalogue.pumps() if fits(case, one))
    places = [placed(case, one) for one in places_offered(case, pump.name)[:3]]
    boats = [(one, network.loops(one)[0]) for one in places]
    together = judged_at_each(boats, part)
    for boat, found in zip(boats, together, strict=True):
        forget("seaflow")
        (alone,) = judged_at_each([boat], part)
        assert plain(alone.result) == plain(found.result)
        assert alone.unseen == found.unseen


def test_answers_on_a_page_are_those_that_are_asked_alone(case):
    page = boat_page(case).asked
    (loop,) = page.size.loops
    design = replace(case.design, pumps=(loop.chosen.part.name,))
    fitted = replace(case, design=design)  # as the page has it, and no object of its own
    for ask, found in ((place, page.place), (energy, page.energy)):
        forget("seaflow")
        assert plain(ask(fitted)) == plain(found)
    forget("seaflow")
    setup = setup_of(fitted, network.loops(fitted)[0])
    (sheet,) = page.first_start
    assert plain(baseline(setup, read_rows({}, setup.places))) == plain(sheet)


def test_a_page_judges_the_pump_put_first_as_if_no_other_had_been_aboard(tmp_path):
    (tmp_path / "boat.toml").write_text(half_known(heavy(2, 1)), encoding="utf-8")
    case = load_case(str(tmp_path / "boat.toml")).case
    page = boat_page(case).asked
    chosen = {loop.chosen.part.name for loop in page.size.loops}
    assert not chosen & {pump.fitted for pump in case.pump}  # or this would tell nothing
    pumps = tuple(replace(pump, fitted=None) for pump in case.pump)
    fitted = replace(case, pump=pumps, design=replace(case.design, pumps=tuple(chosen)))
    assert plain(energy(fitted)) == plain(page.energy)
    for loop, sheet in zip(network.loops(fitted), page.first_start, strict=True):
        setup = setup_of(fitted, loop)
        assert plain(baseline(setup, read_rows({}, setup.places))) == plain(sheet)
