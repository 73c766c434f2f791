"""What a draw of each uncertain input changes in a loop and its conditions, and nothing else."""

from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest
from sizing import BAD, CATAMARAN, KETCH, MOTOR, NAMES, SLOOP, shipped

from seaflow.base.tables import read_table
from seaflow.boat import network
from seaflow.boat.defaults import default
from seaflow.boat.seas import below_warmest, places
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.studies.design.certainty.inputs import assumed_of, inputs_of
from seaflow.studies.design.certainty.spreads import (
    Spread,
    coil_loss_share,
    given,
    half_width,
    other_seasons,
    pump_share,
    season,
    season_of_months,
    spread,
    triangular,
)
from seaflow.studies.design.supply import panel_volts

VALUES = np.asarray([0.8, 1.0, 1.3])
TIMES, PLUS = "times", "plus"
MOVES = {  # by the name of a spread: of which fields, and how
    "coil_given": ({"loss.head", "pipe.multiplier"}, TIMES),
    "coil_generic": ({"loss.head", "pipe.multiplier"}, TIMES),
    "coil_exponent": ({"loss.exponent"}, TIMES),
    "conductance_given": ({"conductance"}, TIMES),
    "conductance_generic": ({"conductance"}, TIMES),
    "cut_out": ({"cut_out_temperature"}, PLUS),
    "pump_head": ({"curve.shut_off_head"}, TIMES),
    "pump_flow": ({"curve.free_flow"}, TIMES),
    "pump_exponent": ({"curve.exponent"}, TIMES),
    "fittings": ({"fittings_factor"}, TIMES),
    "roughness": ({"roughness"}, TIMES),
    "bores": ({"bore"}, TIMES),
    "lengths": ({"length"}, TIMES),
    "entry": ({"loss_coefficient"}, TIMES),
    "strainer": ({"housing_coefficient"}, TIMES),
    "outlet_height": ({"point.height"}, PLUS),
}
OF_A_PLATE = ("plate_heat", "plate_heat_generic")
MET = ("blockage", "blockage_law", "growth", "growth_roughness", "coil_scale", "voltage", "season")


def built_of(name):
    case = shipped(name)
    found = network.loops(case)[0]
    case = case.on_supply_of(found.pumps[0])
    supply, pumps = case.supply, case.catalogue.pumps()
    part = next(one for one in pumps if one.runs_on(supply.current, supply.voltage))
    return case, build_loop(case, found, {place.name: part for place in found.pumps})


def numbers(thing, path=""):
    """Every number in a record, by its place there."""
    if is_dataclass(thing) and not isinstance(thing, type):
        for one in fields(thing):
            yield from numbers(getattr(thing, one.name), f"{path}.{one.name}".lstrip("."))
    elif isinstance(thing, (int, float, np.ndarray)) and not isinstance(thing, bool):
        here = np.asarray(thing, dtype=float)
        yield path, np.broadcast_to(here, 3) if here.size in (1, 3) else here


def elements(loop):
    return {
        (number, place): dict(numbers(element))
        for number, link in enumerate(loop.links)
        for place, element in enumerate(link.elements)
    }


def changed(before, after):
    """What differs, by element and place: what it was, and what it is."""
    now, then = elements(after), elements(before)
    return {
        (*key, path): (row[path], now[key][path])
        for key, row in then.items()
        for path in row
        if path in now[key] and not np.array_equal(row[path], now[key][path])
    }


def of(case, built, name):
    every = (*inputs_of(case, built), *assumed_of(case, built))
    return [item for item in every if item.spread.name == name and item.path is None]


@pytest.mark.parametrize("name", NAMES)
def test_a_draw_moves_what_its_name_says_and_nothing_else(name):
    case, built = built_of(name)
    warm = Conditions(sea_temperature=28.0)
    seen = set()
    for item in (*inputs_of(case, built), *assumed_of(case, built)):
        kind = item.spread.name
        if kind not in MOVES or item.spread.shape == "range" or item.path is not None:
            continue
        loop, now = item.apply(built.loop, warm, VALUES)
        wanted, how = MOVES[kind]
        found = changed(built.loop, loop)
        assert now == warm
        for (*_, path), (was, is_) in found.items():
            assert path in wanted, (kind, path)
            assert is_ == pytest.approx(was * VALUES if how == TIMES else was + VALUES), kind
        seen |= {kind} if found else set()
    assert {"pump_head", "pump_flow", "fittings", "entry", "outlet_height"} <= seen


def test_inputs_of_units_move_their_own_unit():
    case, built = built_of(MOTOR)
    warm = Conditions(sea_temperature=28.0)
    spots = {
        element.unit: (number, place)
        for number, link in enumerate(built.loop.links)
        for place, element in enumerate(link.elements)
        if hasattr(element, "unit")
    }
    for kinds in (
        ("coil_given", "coil_generic"),
        ("conductance_given", "conductance_generic"),
        OF_A_PLATE,
    ):
        rows = [item for kind in kinds for item in of(case, built, kind)]
        assert len(rows) == len(spots)
        for item in rows:
            (unit,) = (name for name in spots if name in item.label)
            loop, _ = item.apply(built.loop, warm, VALUES)
            found = changed(built.loop, loop)
            assert {key[:2] for key in found} == {spots[unit]}
            if kinds == OF_A_PLATE:
                machine = {path: pair for (*_, path), pair in found.items()}
                for key in ("machine.rated_capacity", "machine.rated_power"):
                    was, is_ = machine[key]
                    assert is_ == pytest.approx(was * VALUES)


def test_outlets_move_and_no_other_point_does():
    case, built = built_of(MOTOR)
    (item,) = of(case, built, "outlet_height")
    loop, _ = item.apply(built.loop, Conditions(sea_temperature=28.0), VALUES)
    ends = {
        (number, len(link.elements) - 1)
        for number, link in enumerate(built.loop.links)
        if link.to_sea
    }
    assert {key[:2] for key in changed(built.loop, loop)} == ends


@pytest.mark.parametrize("name", [KETCH, MOTOR, SLOOP, CATAMARAN])
def test_what_a_loop_meets_is_drawn_as_its_name_says(name):
    case, built = built_of(name)
    now = Conditions(sea_temperature=28.0, voltage=0.95 * case.supply.voltage)
    share = np.asarray([0.0, 0.5, 1.0])

    def met(kind):
        for item in of(case, built, kind):
            loop, found = item.apply(built.loop, now, share)
            assert loop is built.loop
            return found
        return None

    found = met("blockage")
    assert found.strainer_blockage.tolist() == pytest.approx(
        (case.design.blocked_share * share).tolist()
    )
    law = met("blockage_law")
    assert law is None or law.matted.tolist() == share.tolist()
    assert met("growth").growth.tolist() == pytest.approx((case.design.growth * share).tolist())
    rough = met("growth_roughness").growth_roughness
    assert rough[0] == 0.0 and rough[1] == pytest.approx(0.5 * rough[2]) and rough[2] > 0.0
    most = float(read_table("spreads.toml")["coil_scale"]["most"])
    assert met("coil_scale").coil_scale.tolist() == pytest.approx((most * share).tolist())
    low, usual, high = panel_volts(case)
    volts = 0.95 * triangular(share, low, usual, high)
    assert met("voltage").voltage.tolist() == pytest.approx(volts.tolist())
    assert met("season").sea_temperature.tolist() == pytest.approx(season(case).at(share).tolist())


# --------------------------------------------------------------------------------- how far it goes


def test_a_half_width_is_a_share_of_a_factor_and_itself_of_a_difference():
    factor, offset = (
        replace(spread("bores"), shape=shape, low=-9.0, high=9.0) for shape in ("factor", "offset")
    )
    assert given(factor, None) is factor
    assert (given(factor, 0.2, 2.0).low, given(factor, 0.2, 2.0).high) == (0.9, 1.1)
    assert (given(factor, 5.0, 2.0).low, given(factor, 5.0, 2.0).high) == (0.01, 3.5)
    assert given(factor, 0.2, 0.0).low == given(factor, 0.2).high == 1.0
    assert (given(offset, 0.2, 2.0).low, given(offset, 0.2, 2.0).high) == (-0.2, 0.2)
    assert given(offset, 0.2).source != offset.source and isinstance(offset, Spread)


def test_a_typical_value_has_no_half_width_of_its_own():
    case, path = shipped(KETCH), ("hose", 0, "length")
    known = replace(case, spreads={path: 0.1}, typical={})
    assert half_width(known, path) == 0.1 and half_width(known, ("hose", 1, "length")) is None
    assert half_width(replace(known, typical={path: 0.1}), path) is None


def test_the_last_point_of_a_coil_tells_how_sure_its_loss_is():
    case = shipped(KETCH)
    unit = case.unit[0]
    last = len(unit.water_loss) - 1
    point = unit.water_loss[-1]
    key = "head" if point.head is not None else "pressure"
    path = ("unit", unit.row, "water_loss", last, key)
    value = getattr(point, key)
    sure = replace(case, spreads={path: 0.1 * value}, typical={})
    assert coil_loss_share(sure, unit) == pytest.approx(0.1)
    assert coil_loss_share(replace(case, spreads={}, typical={}), unit) is None
    assert coil_loss_share(sure, replace(unit, water_loss=())) is None


def test_the_least_sure_pump_tells_for_all():
    case, built = built_of(BAD)
    ((name, part),) = built.pumps.items()
    none = replace(part, head_spread=None, flow_spread=None)
    one, two = replace(none, head_spread=0.05), replace(none, head_spread=0.1, flow_spread=0.02)
    assert pump_share(replace(built, pumps={name: none}), "head") is None
    both = replace(built, pumps={name: one, "other": two, "third": none})
    assert (pump_share(both, "head"), pump_share(both, "flow")) == (0.1, 0.02)
    assert case.pump


def test_a_season_is_of_its_months_or_of_three_seas():
    case = shipped(KETCH)
    bare = replace(case.sea, coldest=18.0, warmest=30.0, typical=24.0, season=None, months=())
    three = season(replace(case, sea=bare))
    steps = np.asarray(three.shares)
    assert three.temperatures == pytest.approx(tuple(triangular(steps, 18.0, 24.0, 30.0)))
    usual = default("sea.below_warmest").value
    none = replace(bare, typical=None)
    found = season(replace(case, sea=none))
    assert found.source["below"].value == usual
    assert found.temperatures == pytest.approx(tuple(triangular(steps, 18.0, 30.0 - usual, 30.0)))
    cold = season(replace(case, sea=replace(none, coldest=29.9)))
    assert min(cold.temperatures) == pytest.approx(29.9)
    for kind in {place.kind for place in places()}:
        named = season(replace(case, sea=replace(none, season=kind)))
        assert named.source["below"].value == below_warmest(kind)
    months = replace(none, months=(15.0, 19.0, 26.0, 22.0, 18.0))
    found = season(replace(case, sea=months))
    assert season_of_months(replace(case, sea=months)) == [18.0, 19.0, 22.0, 26.0]
    assert found.shares == (0.0, 0.125, 0.375, 0.625, 0.875, 1.0)
    assert found.temperatures == (18.0, 18.0, 19.0, 22.0, 26.0, 30.0)
    about = spread("season_assumed")
    low, high = other_seasons(replace(case, sea=none), about)
    for one, end in ((low, about.low), (high, about.high)):
        middle = 30.0 - usual + end
        assert one.temperatures == pytest.approx(tuple(triangular(steps, 18.0, middle, 30.0)))
    for told in (bare, replace(none, season="x"), months):
        assert other_seasons(replace(case, sea=told), about) == ()
