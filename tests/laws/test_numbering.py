"""Numbers of rows along the water: they hang on no name and on no order of the file."""

import random
import tomllib
from pathlib import Path

import pytest
from disguise import (
    can_be_split,
    in_other_units,
    names_in,
    read,
    renamed,
    reordered,
    split_hose,
    with_barbs,
    written,
)

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.model.build import build_loop
from seaflow.model.geometry import highest_point
from seaflow.model.starting import climb_of
from seaflow.studies.design.certainty.by_path import drawn_paths, shares_of
from seaflow.studies.design.changes import with_hose_bore

CASES = Path(__file__).parents[2] / "cases"
NAMES = ("ketch-one-unit", "motor-three-units", "catamaran-two-loops")
NAMED = ("through_hull", "seacock", "strainer", "pump", "tee", "manifold", "unit", "outlet")
TWINS = """
schema = 1
boat = { name = "Demo boat", hull = "motor monohull" }
sea = { warmest = "30 degC" }
supply = { current = "ac", voltage = "230 V", frequency = "50 Hz" }
through_hull = [{ name = "intake", height = "-0.5 m", bore = "32 mm" }]
pump = [{ name = "pump", height = "-0.3 m" }]
manifold = [{ name = "manifold", height = "0 m", bore = "32 mm" }]
unit = [
  { name = "one", height = "1 m", cooling = "9000 BTU/h" },
  { name = "other", height = "1 m", cooling = "9000 BTU/h" },
]
outlet = [
  { name = "out of the other", height = "0.2 m", bore = "19 mm" },
  { name = "out of one", height = "0.2 m", bore = "19 mm" },
]
hose = [
  { from = "manifold", to = "other", bore = "19 mm", length = "2 m" },
  { from = "manifold", to = "one", bore = "19 mm", length = "2 m" },
  { from = "one", to = "out of one", bore = "19 mm", length = "3 m typical" },
  { from = "other", to = "out of the other", bore = "19 mm", length = "3 m typical" },
  { from = "pump", to = "manifold", bore = "32 mm", length = "1 m" },
  { from = "intake", to = "pump", bore = "32 mm", length = "1 m" },
]
"""


def loaded(folder, raw):
    file = folder / "boat.toml"
    file.write_text(written(raw), encoding="utf-8")
    return load_case(str(file)).case


def by_name(case, names=None):
    """The number of each thing and hose, by its name or by that which it had."""
    old = {new: name for name, new in (names or {}).items()}
    things = [thing for table in NAMED for thing in getattr(case, table)]
    found = {(one.table, old.get(one.name, one.name)): one for one in things}
    found |= {(old.get(one.from_, one.from_), old.get(one.to, one.to)): one for one in case.hose}
    rooms = enumerate(case.pump_place)
    numbers = {key: case.numbered((one.table, one.row))[1] for key, one in found.items()}
    more = {old.get(one.name, one.name): ("pump_place", row) for row, one in rooms}
    return numbers | {key: case.numbered(path)[1] for key, path in more.items()}


@pytest.mark.parametrize("name", NAMES)
def test_a_row_keeps_its_number_under_other_names_in_another_order_and_in_other_units(
    tmp_path, name
):
    raw, rng = read(CASES / f"{name}.toml"), random.Random(5)
    first = by_name(loaded(tmp_path, raw))
    assert len(first) > 12
    for _ in range(5):
        old = names_in(raw)
        names = dict(zip(old, (f"n{i}" for i in rng.sample(range(99), len(old))), strict=True))
        told = in_other_units(renamed(raw, names), rng.choice)
        other = reordered(told, lambda items: rng.sample(items, len(items)))
        assert by_name(loaded(tmp_path, other), names) == first


@pytest.mark.parametrize("name", NAMES)
def test_numbers_rise_along_the_water(tmp_path, name):
    case = loaded(tmp_path, read(CASES / f"{name}.toml"))
    for loop in network.loops(case):
        for hose in loop.hoses:
            number = case.numbered(("hose", hose.row))[1]
            after = [case.numbered(("hose", one.row))[1] for one in loop.leaving(hose.to)]
            assert all(number < other for other in after)


@pytest.mark.parametrize("name", NAMES)
def test_a_hose_in_pieces_has_one_number_and_the_rest_of_it_comes_last(tmp_path, name):
    raw = with_barbs(read(CASES / f"{name}.toml"))
    whole = loaded(tmp_path, raw).numbers
    hoses, joints = len(raw["hose"]), len(raw.get("reducer", ()))
    for row in (row for row in range(hoses) if can_be_split(raw, row)):
        pieces = 2 + row % 2
        told = split_hose(raw, row)
        told = split_hose(told, row + 1) if pieces > 2 else told
        numbers = dict(loaded(tmp_path, told).numbers)
        for more in range(1, pieces):
            assert numbers.pop(("hose", row + more)) == hoses + more - 1
            assert numbers.pop(("reducer", joints + more - 1)) == joints + more - 1
        assert numbers == {
            (table, place + (pieces - 1) * (table == "hose" and place > row)): number
            for (table, place), number in whole.items()
        }


@pytest.mark.parametrize("table", ["tee", "flush_tee"])
def test_a_tee_that_only_joins_and_loses_nothing_moves_no_number(tmp_path, table):
    raw = with_barbs(read(CASES / "motor-three-units.toml"))
    whole, n_hoses = loaded(tmp_path, raw).numbers, len(raw["hose"])
    for row in (row for row in range(n_hoses) if can_be_split(raw, row)):
        told = split_hose(raw, row)
        joint = told["reducer"].pop()
        joint.pop("second_bore")
        told.setdefault(table, []).append(joint)
        numbers = loaded(tmp_path, {key: rows for key, rows in told.items() if rows != []}).numbers
        for (kind, place), number in whole.items():
            assert numbers[kind, place + (kind == "hose" and place > row)] == number
        joint["loss"] = "0.4"
        case = loaded(tmp_path, {key: rows for key, rows in told.items() if rows != []})
        (loop,) = network.loops(case)
        assert all(len(run) == 1 for run in network.runs_of(loop, loop.hoses))


@pytest.mark.parametrize("table", ["tee", "flush_tee"])
def test_a_tee_that_only_joins_goes_with_its_hose_when_that_is_widened(tmp_path, table):
    """Kept, it would stay as narrow as the old hose, with two adapters in the new one."""
    raw = with_barbs(read(CASES / "motor-three-units.toml"))
    row = next(row for row in range(len(raw["hose"])) if can_be_split(raw, row))
    told = split_hose(raw, row)
    joint = told["reducer"].pop()
    joint.pop("second_bore")
    told.setdefault(table, []).append(joint)
    told = {key: rows for key, rows in told.items() if rows != []}
    wide = 0.051
    case = with_hose_bore(loaded(tmp_path, told), {row, row + 1}, wide)
    (tee,) = (one for one in getattr(case, table) if one.name == joint["name"])
    assert tee.bore == wide and case.hose[row].adapter_to is None
    assert case.hose[row + 1].adapter_from is None
    half = with_hose_bore(loaded(tmp_path, told), {row}, wide)
    (tee,) = (one for one in getattr(half, table) if one.name == joint["name"])
    assert tee.bore < wide and half.hose[row].adapter_to is not None


def test_of_twins_one_told_in_pieces_stays_a_twin(tmp_path):
    """Its length and how sure that is are those of the whole hose, so it stays a twin."""
    raw = tomllib.loads(TWINS)
    for hose in raw["hose"]:
        hose["fittings"], hose["length"] = ["hose barb"] * 2, "2 m +/- 10 %"
    whole = loaded(tmp_path, raw).numbers
    for row in range(4):
        numbers = loaded(tmp_path, split_hose(raw, row)).numbers
        for (table, place), number in whole.items():
            assert numbers[table, place + (table == "hose" and place > row)] == number


def test_what_hangs_on_a_twin_goes_with_it(tmp_path):
    """Whichever of two alike comes first, its hoses and its outlet come first too."""
    raw = tomllib.loads(TWINS)
    for seed in range(8):
        rng = random.Random(seed)
        case = loaded(
            tmp_path, reordered(raw, lambda items, rng=rng: rng.sample(items, len(items)))
        )
        number = by_name(case)
        one = number["unit", "one"]
        assert number["unit", "other"] == 1 - one
        assert number["outlet", "out of one"] == one
        assert number["one", "out of one"] == 4 + one and number["manifold", "one"] == 2 + one


def test_twins_are_drawn_apart(tmp_path):
    case = loaded(tmp_path, tomllib.loads(TWINS))
    one, other = (shares_of(case, path, 512, 20) for path in drawn_paths(case))
    assert abs(float(((one - 0.5) * (other - 0.5)).mean()) * 12.0) < 0.15


def test_a_boat_changed_on_paper_keeps_her_draws(tmp_path):
    """Were numbers sought anew, a wider hose might come after its neighbour."""
    case = loaded(tmp_path, tomllib.loads(TWINS))
    wider = with_hose_bore(case, {2}, 0.025)
    assert wider.hose[2].bore == 0.025 and wider.numbers == case.numbers
    (path, _) = drawn_paths(case)
    assert (shares_of(case, path, 64, 20) == shares_of(wider, path, 64, 20)).all()


def test_duties_are_told_apart_by_their_order_which_is_that_of_the_day(tmp_path):
    raw = read(CASES / "ketch-one-unit.toml")
    for order in (raw["duty"], raw["duty"][::-1]):
        case = loaded(tmp_path, {**raw, "duty": order})
        assert [case.numbered(("duty", row))[1] for row in range(3)] == [0, 1, 2]


def test_duties_with_their_own_start_are_told_apart_by_what_they_are(tmp_path):
    raw = read(CASES / "battery-sloop-variable.toml")
    starts = ("11:00", "22:00")
    duties = [{**raw["duty"][row], "start": start} for row, start in enumerate(starts)]
    found = [loaded(tmp_path, {**raw, "duty": order}) for order in (duties, duties[::-1])]
    numbers = [
        {duty.start: case.numbered(("duty", row))[1] for row, duty in enumerate(case.duty)}
        for case in found
    ]
    assert numbers[0] == numbers[1]


def test_of_two_outlets_as_high_the_first_that_the_water_meets_is_the_highest(tmp_path):
    raw = tomllib.loads(TWINS)
    raw["outlet"][1]["bore"] = "25 mm"  # no twins any more
    raw["outlet"] = [{**outlet, "height": "1.5 m"} for outlet in raw["outlet"]]
    found = set()
    for seed in range(8):
        rng = random.Random(seed)
        told = reordered(raw, lambda items, rng=rng: rng.sample(items, len(items)))
        case = loaded(tmp_path, told)
        (loop,) = network.loops(case)
        pump = dict.fromkeys((place.name for place in loop.pumps), case.catalogue.any_pump())
        built = build_loop(case, loop, pump).loop
        found.add((highest_point(built), climb_of(built).label, *built.order))
    assert len(found) == 1
