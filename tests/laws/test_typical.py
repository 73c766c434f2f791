"""Typical boats: a whole case from a few facts, whose geometry is that of a boat."""

from __future__ import annotations

import itertools
import math
import tomllib
from dataclasses import replace

import pytest
from click.testing import CliRunner
from sizing import loop_words

from seaflow.base.units import read_quantity
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.load import Loaded, load_case
from seaflow.boat.tables.things import Place
from seaflow.cli.main import main
from seaflow.forms.typical.build import units_of
from seaflow.forms.typical.doubts import contradictions
from seaflow.forms.typical.facts import BoatFacts, Facts, SeaFacts, SupplyFacts, UnitFacts
from seaflow.forms.typical.hull import hull_of, kinds, layouts
from seaflow.forms.typical.text import case_of
from seaflow.studies.design.choose import candidates

LAYOUTS = tuple(layouts())
LENGTHS = (8.0, 10.0, 12.0, 14.0, 17.0, 20.0)
SUPPLIES = (
    None,
    SupplyFacts("ac", 230.0, 50.0),
    SupplyFacts("ac", 120.0, 60.0),
    SupplyFacts("dc", 12.0),
    SupplyFacts("dc", 24.0),
)
PLATES = ("16000 BTU/h", "9000 BTU/h", "12000 BTU/h", "7000 BTU/h")
ROUNDED = 0.011  # m: two figures written in whole centimetres
INSIDE = (
    0.05  # m that a pump may stand outside its room's box without a word, as in the placing study
)


def units(many: int) -> tuple[UnitFacts, ...]:
    return tuple(UnitFacts(read_quantity(text, "W")) for text in PLATES[:many])


def loaded(facts: Facts, folder) -> Loaded:
    file = folder / "boat.toml"
    file.write_text(case_of(facts), encoding="utf-8")
    return load_case(str(file))


@pytest.mark.parametrize("kind", kinds())
def test_every_boat_loads_without_a_word(kind: str, tmp_path) -> None:
    supplies = itertools.cycle(SUPPLIES)
    for length, many in itertools.product(LENGTHS, range(5)):
        facts = Facts(BoatFacts(kind, length), units=units(many), supply=next(supplies))
        boat = loaded(facts, tmp_path)
        assert not boat.warnings, (length, many, boat.warnings)
        assert len(boat.case.unit) == many or not many
        for loop in network.loops(boat.case):
            for pump in loop.pumps:
                assert candidates(boat.case, pump)


def test_a_boat_of_which_nothing_is_known_loads_too(tmp_path) -> None:
    boat = loaded(Facts(), tmp_path)
    assert boat.case.unit and not boat.warnings


def test_what_was_said_stands_plain_and_all_else_is_typical(tmp_path) -> None:
    facts = Facts(
        BoatFacts("sailing monohull", 12.0, beam=3.9, built=2008, name="Anyone"),
        units=(UnitFacts(read_quantity("16000 BTU/h", "W"), 1400.0, "R-410A"),),
        supply=SupplyFacts("ac", 230.0, 50.0),
        sea=SeaFacts(read_quantity("85 degF", "degC"), salinity=36.0),
    )
    raw = tomllib.loads(case_of(facts))
    (unit,) = raw["unit"]
    assert raw["boat"]["name"] == "Anyone"
    assert raw["boat"]["beam"] == "3.9 m"
    assert (unit["cooling"], unit["refrigerant"]) == ("16000 BTU/h", "R-410A")
    assert read_quantity(unit["input_power"], "W") == pytest.approx(1400.0)
    assert raw["sea"] == {"warmest": "85 degF", "salinity": "36 g/kg"}
    assert raw["supply"] == {"current": "ac", "voltage": "230 V", "frequency": "50 Hz"}
    case = loaded(facts, tmp_path).case
    told = {("boat", "beam"), ("sea", "warmest"), ("unit", 0, "cooling")}
    assert not told & case.typical
    for hose in range(len(case.hose)):
        assert {("hose", hose, "length"), ("hose", hose, "bore")} <= case.typical


def test_a_word_that_nobody_said_says_so_in_the_file() -> None:
    assert 'frequency = "50 Hz"  # typical' in case_of(Facts())
    said = case_of(Facts(BoatFacts("sailing monohull", 12.0, built=1998)))
    assert 'refrigerant = "R-22"  # typical' in said


def test_an_unknown_length_makes_every_measure_less_sure(tmp_path) -> None:
    known, guessed = (
        loaded(facts, tmp_path).case
        for facts in (Facts(BoatFacts("sailing monohull, medium", 12.0)), Facts())
    )
    for path in (("boat", "beam"), ("boat", "waterline_length"), ("unit", 0, "at", "aft")):
        assert guessed.spreads[path] > known.spreads[path]


def test_an_older_hull_is_narrower_and_deeper() -> None:
    new, old = (
        hull_of(Facts(BoatFacts("sailing monohull", 12.0, built=year))) for year in (2015, 1972)
    )
    assert old.beam.value < new.beam.value
    assert old.depth.value > new.depth.value


COMMANDS = ("size", "place", "survey", "baseline", "diagnose", "energy", "balance")


@pytest.mark.parametrize(("row", "kind"), list(enumerate(LAYOUTS)))
def test_every_question_can_be_asked_of_a_typical_boat(row: int, kind: str, tmp_path) -> None:
    """One question of each layout, each of another length, number of units and supply."""
    command = COMMANDS[row % len(COMMANDS)]
    length, supply = LENGTHS[row % len(LENGTHS)], SUPPLIES[row % len(SUPPLIES)]
    facts = Facts(BoatFacts(kind, length), units=units(1 + row % 4), supply=supply)
    file = tmp_path / "boat.toml"
    file.write_text(case_of(facts), encoding="utf-8")
    answer = CliRunner().invoke(main, [command, str(file), *loop_words(command, str(file))])
    assert answer.exit_code in ((3,) if command == "survey" else (0, 1, 3)), answer.output
    assert answer.output.startswith("Typical"), answer.output


# --- geometry: laws over lengths and numbers of units ---


def boats(kind: str, tmp_path):
    for length, many in itertools.product(LENGTHS, (1, 4)):
        facts = Facts(BoatFacts(kind, length), units=units(many))
        yield hull_of(facts), loaded(facts, tmp_path).case


def points(case: Case, hose) -> list[tuple[float, float, float]]:
    ends = [
        next(thing.point for thing in case.things if thing.name == name)
        for name in (hose.from_, hose.to)
    ]
    via = [place.point for place in hose.via]
    found = [ends[0], *via, ends[1]]
    assert all(point is not None for point in found)
    return found  # type: ignore[return-value]


def in_room(case: Case, unit: str, room: str) -> bool:
    spot = next(one for one in case.unit if one.name == unit).point
    box = next(one for one in case.compartment if one.name == room).box
    return all(
        low - ROUNDED <= value <= high + ROUNDED
        for value, (low, high) in zip(spot, box, strict=True)
    )


@pytest.mark.parametrize("kind", LAYOUTS)
def test_a_unit_named_after_a_room_stands_in_it(kind: str, tmp_path) -> None:
    """Whatever the order and the sizes, inside the hull, and its hoses follow."""
    for length in (9.0, 15.0):
        boat = BoatFacts(kind, length)
        hull = hull_of(Facts(boat))
        rooms = [room["name"] for room in hull.row["rooms"] if room["use"] in ("berth", "saloon")]
        for order in (rooms, rooms[::-1]):
            told = tuple(UnitFacts(2000.0 + 100.0 * i, name=room) for i, room in enumerate(order))
            case = loaded(Facts(boat, units=told), tmp_path).case
            assert all(in_room(case, room, room) for room in rooms)
            assert all(is_inside(hull, one.at) for one in (*case.unit, *case.outlet))
            for hose in case.hose:
                found = points(case, hose)
                assert hose.length >= sum(map(math.dist, found, found[1:]))


@pytest.mark.parametrize(
    ("kind", "length", "name", "room"),
    [
        ("sailing monohull", 15.0, "V-berth", "fore cabin"),
        ("sailing monohull", 15.0, "forepeak", "fore cabin"),
        ("sailing monohull", 15.0, "bow cabin", "fore cabin"),
        ("sailing monohull", 15.0, "main cabin", "saloon"),
        ("sailing monohull", 15.0, "owner's cabin aft", "starboard aft cabin"),
        ("sailing monohull", 15.0, "port cabin", "port aft cabin"),
        ("sailing monohull", 12.0, "quarter berth", "aft cabin"),
        ("sailing monohull", 12.0, "port salon", "saloon"),
        ("sailing monohull", 9.0, "aft cabin", "quarter berth"),
        ("sailing catamaran", 13.0, "stbd aft cabin", "starboard aft cabin"),
        ("sailing catamaran", 13.0, "port hull", "port aft cabin"),
        ("motor yacht, flybridge", 15.0, "VIP forward", "fore cabin"),
        ("motor yacht, flybridge", 15.0, "guest", "mid cabin"),
        ("motor yacht, engine amidships", 15.0, "master", "aft cabin"),
    ],
)
def test_words_of_the_trade_mean_a_room(kind, length, name, room, tmp_path) -> None:
    facts = Facts(BoatFacts(kind, length), units=(UnitFacts(3000.0, name=name),))
    assert in_room(loaded(facts, tmp_path).case, name, room)
    assert not contradictions(facts)


@pytest.mark.parametrize("kind", LAYOUTS)
def test_no_two_units_stand_in_one_spot(kind: str, tmp_path) -> None:
    for names in (["aft cabin"] * 3, ["fore cabin"] * 3, ["galley", None, "saloon", None]):
        told = tuple(UnitFacts(3000.0 - 10.0 * i, name=name) for i, name in enumerate(names))
        case = loaded(Facts(BoatFacts(kind, 14.0), units=told), tmp_path).case
        for one, other in itertools.combinations(case.unit, 2):
            assert math.dist(one.point, other.point) > 0.2


def test_a_name_of_no_room_is_told_to_be_a_name_only() -> None:
    def told(name: str, kind: str = "sailing monohull") -> list[str]:
        unit = UnitFacts(3000.0, name=name)
        return [one.code for one in contradictions(Facts(BoatFacts(kind, 13.0), units=(unit,)))]

    assert told("galley") == ["Q03"] and told("port cabin") == ["Q03"]
    assert told("fore cabin") == [] and told("port cabin", "sailing catamaran") == []


@pytest.mark.parametrize("kind", LAYOUTS)
def test_a_hose_is_no_shorter_than_the_way_it_goes(kind: str, tmp_path) -> None:
    for _, case in boats(kind, tmp_path):
        for hose in case.hose:
            found = points(case, hose)
            assert hose.length >= sum(map(math.dist, found, found[1:]))


@pytest.mark.parametrize("kind", LAYOUTS)
def test_water_rises_from_the_intake_to_a_pump_under_water(kind: str, tmp_path) -> None:
    for _, case in boats(kind, tmp_path):
        level = {thing.name: thing.level for thing in case.things}
        for pump in case.pump:
            word = pump.name.removesuffix("pump")
            heights = [level[word + name] for name in ("intake", "strainer", "pump")]
            assert heights == sorted(heights) and len(set(heights)) == 3
            assert heights[-1] < -0.1


@pytest.mark.parametrize("kind", LAYOUTS)
def test_an_outlet_lies_over_water_and_near_the_side(kind: str, tmp_path) -> None:
    for hull, case in boats(kind, tmp_path):
        for outlet in case.outlet:
            aft, starboard, height = outlet.point
            assert height > 0.0
            assert abs(starboard) >= 0.75 * half_beam(hull, aft)


def half_beam(hull, aft: float) -> float:
    """Half the beam at deck of a full hull; of a twin hull it is full nearly from the stem."""
    share = aft / hull.length.value
    fullest, power = (0.25, 0.6) if "catamaran" in hull.kind else (0.55, 0.6)
    bow = 1.0 - (1.0 - min(share / fullest, 1.0)) ** 2
    return 0.5 * hull.beam.value * max(bow, 0.0) ** power


def deepest(hull, aft: float) -> float:
    """Depth of the body, which rises to the stem and, less, to the stern."""
    share = aft / hull.length.value
    rise = max(0.0, 0.45 - share) / 0.45, max(0.0, share - 0.55) / 0.75
    return hull.depth.value * (1.0 - rise[0] ** 2 - rise[1] ** 2)


def is_inside(hull, place: Place) -> bool:
    aft, starboard, height = place.point
    wide = abs(starboard) <= half_beam(hull, aft) + ROUNDED
    return wide and -deepest(hull, aft) - ROUNDED <= height and 0.0 <= aft <= hull.length.value


@pytest.mark.parametrize("kind", LAYOUTS)
def test_all_things_and_places_lie_inside_the_hull(kind: str, tmp_path) -> None:
    for hull, case in boats(kind, tmp_path):
        spots = {thing.name: thing.at for thing in case.things if thing.at is not None}
        spots |= {place.name: place.at for place in case.pump_place}
        outside = [name for name, at in spots.items() if not is_inside(hull, at)]
        assert not outside, (hull.length.value, outside)


@pytest.mark.parametrize("kind", LAYOUTS)
def test_a_pump_place_lies_in_its_room_and_a_pillow_too(kind: str, tmp_path) -> None:
    for _, case in boats(kind, tmp_path):
        rooms = {room.name: room for room in case.compartment}
        held = [(rooms[place.compartment], place.spot) for place in case.pump_place]
        held += [(room, room.ear) for room in rooms.values() if room.is_berth]
        for room, spot in held:
            for value, (low, high) in zip(spot, room.box, strict=True):
                assert low - INSIDE <= value <= high + INSIDE, room.name


@pytest.mark.parametrize("kind", LAYOUTS)
def test_no_two_rooms_take_the_same_space(kind: str, tmp_path) -> None:
    for _, case in boats(kind, tmp_path):
        for one, other in itertools.combinations(case.compartment, 2):
            overlaps = [
                min(a[1], b[1]) - max(a[0], b[0]) for a, b in zip(one.box, other.box, strict=True)
            ]
            assert min(overlaps) <= 2 * ROUNDED, (one.name, other.name)


@pytest.mark.parametrize("kind", LAYOUTS)
def test_somebody_sleeps_within_reach_of_a_wall_to_every_pump(kind: str, tmp_path) -> None:
    """Sound has a way from each place to a berth."""
    for _, case in boats(kind, tmp_path):
        joined = {name for wall in case.partition for name in wall.between}
        assert {place.compartment for place in case.pump_place} <= joined
        assert {room.name for room in case.compartment if room.is_berth} <= joined


def test_one_condensing_unit_has_an_evaporator_in_each_room_it_is_large_enough_for(tmp_path):
    kind = "motor yacht, flybridge, one condensing unit"
    for plate, many in (("36000 BTU/h", 3), ("8000 BTU/h", 2), ("5000 BTU/h", 0)):
        one = (UnitFacts(read_quantity(plate, "W")),)
        case = loaded(Facts(BoatFacts(kind, 15.0), units=one), tmp_path).case
        (unit,) = case.unit
        assert len(unit.zone) == many
        assert unit.called == 1.0
        rooms = {room.name for room in case.compartment}
        assert {zone.name for zone in unit.zone} <= rooms


# --- facts that do not go together, and units on another supply ---

MONOHULL = BoatFacts("sailing monohull", 12.0)


def asked(*plates: str, **facts) -> int:
    given = tuple(UnitFacts(read_quantity(text, "W")) for text in plates)
    return len(contradictions(Facts(**({"boat": MONOHULL} | facts), units=given)))


@pytest.mark.parametrize(
    ("plates", "facts"),
    [
        ((), {"boat": replace(MONOHULL, displacement=30e3)}),
        ((), {"boat": replace(MONOHULL, displacement=1e3)}),
        ((), {"boat": replace(MONOHULL, beam=8.0)}),
        (("5000 BTU/h",), {"boat": BoatFacts("motor yacht, flybridge", 25.0)}),
        (("100000 BTU/h",), {"boat": BoatFacts("sailing monohull", 9.0)}),
        (("24000 BTU/h",), {"supply": SupplyFacts("dc", 12.0)}),
        ((), {"boat": BoatFacts("sailing monohull, small", 20.0)}),
    ],
)
def test_facts_that_do_not_go_together_get_one_question(plates, facts) -> None:
    assert asked(*plates, **facts) == 1


@pytest.mark.parametrize(
    ("plates", "facts"),
    [
        (("16000 BTU/h",), {}),
        (("5000 BTU/h",), {}),  # one cabin of her
        (("9000 BTU/h",), {"supply": SupplyFacts("dc", 12.0)}),
        (("24000 BTU/h",), {"supply": SupplyFacts("ac", 120.0, 60.0)}),
        (
            ("24000 BTU/h",),
            {"supply": SupplyFacts("dc", 12.0), "unit_supply": SupplyFacts("dc", 400.0)},
        ),
        ((), {"boat": replace(MONOHULL, displacement=8e3, beam=3.9, built=2008)}),
        ((), {"boat": None}),
    ],
)
def test_facts_of_a_usual_boat_are_not_asked_about(plates, facts) -> None:
    assert asked(*plates, **facts) == 0


def test_a_gas_that_had_gone_before_she_was_built_is_asked_about() -> None:
    old = UnitFacts(4000.0, refrigerant="R-22")
    new_boat, old_boat = (
        Facts(BoatFacts("sailing monohull", 12.0, built=year), units=(old,))
        for year in (2016, 1998)
    )
    assert len(contradictions(new_boat)) == 1 and not contradictions(old_boat)


@pytest.mark.parametrize("kind", kinds())
def test_a_typical_boat_contradicts_nothing(kind: str) -> None:
    low, high = hull_of(Facts(BoatFacts(kind, 15.0))).row["lengths"]
    for length in LENGTHS:
        if low <= length < high:
            hull = hull_of(Facts(BoatFacts(kind, length)))
            boat = BoatFacts(kind, length, beam=hull.beam.value)
            assert not contradictions(Facts(boat, units=units_of(hull, Facts(boat))))


@pytest.mark.parametrize(("length", "volts"), [(10.0, 12.0), (16.0, 24.0)])
def test_a_pump_beside_a_bank_of_high_voltage_runs_from_a_battery(length, volts, tmp_path) -> None:
    facts = Facts(BoatFacts("sailing catamaran", length), unit_supply=SupplyFacts("dc", 400.0))
    boat = loaded(facts, tmp_path)
    assert not boat.warnings
    assert (boat.case.supply.current, boat.case.supply.voltage) == ("dc", volts)
    assert boat.case.high_voltage


@pytest.mark.parametrize("kind", LAYOUTS)
def test_suctions_hardly_ever_fall_where_heights_are_drawn_one_by_one(kind: str, tmp_path) -> None:
    """Half the width of each is well under what it lies over the one before it."""
    for _, case in boats(kind, tmp_path):
        level = {thing.name: thing.level for thing in case.things}
        half = {
            thing.name: case.spreads[(thing.table, thing.row, "at", "height")]
            for thing in (*case.intakes, *case.strainer, *case.pump)
        }
        for pump in case.pump:
            word = pump.name.removesuffix("pump")
            names = [word + name for name in ("intake", "strainer", "pump")]
            for one, other in itertools.pairwise(names):
                assert level[other] - level[one] > 0.4 * (half[one] + half[other])
