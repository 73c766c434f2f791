"""Rules of the survey on trim beside heel, and on what fittings are made of, on paper."""

from itertools import product
from types import SimpleNamespace

import pytest

from seaflow.boat.tables.recorded_hull import SkinFitting
from seaflow.boat.tables.things import Intake, Outlet
from seaflow.model.heights import Corners
from seaflow.physics.hull.openings import jet_flow
from seaflow.studies.survey import metals, trim
from seaflow.studies.survey.intakes import LEAST_COVER
from seaflow.studies.survey.openings import ENGINE_EXHAUST
from seaflow.studies.survey.rules import Breach, Kept, Unknown
from seaflow.studies.survey.severity import LATER, NEXT, near_by_size
from tests.helpers.made import made

NO_PUMP = Unknown("pump", "pump", "fitted")


def word(found):
    """Kept, the key that is asked for, or what was found."""
    if isinstance(found, Kept):
        return "kept"
    return f"ask {found.key}" if isinstance(found, Unknown) else found.found.kind.partition(".")[2]


def evidence(**given):
    """A boat that works to 0.3 of heel and 0.05 of trim, as far as `given` does not say."""
    boat = SimpleNamespace(works_to_trim=given.pop("works_to_trim", None))
    usual = {
        "working_heel": 0.3,
        "working_trim": 0.05,
        "case": SimpleNamespace(boat=boat),
        "is_closed": lambda thing: False,
    }
    return SimpleNamespace(**usual | given)


def loop(**more):
    return SimpleNamespace(**{"no_pump": NO_PUMP, "part": None} | more)


def level(*heights):
    """Heights of a thing on either tack."""
    return {
        "height": lambda loop, thing, heel: heights[heel < 0.0],
        "lowest": lambda loop, thing, heel: min(heights),
    }


def corners(*heights):
    return {"corners": lambda loop, thing: Corners(*heights)}


def attitude(found):
    return (
        found.found["heel"].value,
        found.found["trim"].value,
        found.found["side"],
        found.found["end"],
    )


@pytest.mark.parametrize(
    ("at", "told"),
    [
        ((-0.30, -0.16, -0.40, -0.50), "kept"),
        ((-0.30, -0.15, -0.40, -0.50), "kept"),
        ((-0.30, -0.14, -0.40, -0.50), "shallow_when_trimmed"),
        ((-0.30, -0.01, -0.40, -0.50), "shallow_when_trimmed"),
        ((-0.30, 0.0, -0.40, -0.50), "out_when_trimmed"),
        ((-0.30, 0.02, -0.40, -0.50), "out_when_trimmed"),
    ],
)
def test_an_intake_that_trim_lifts(at, told):
    intake = SimpleNamespace(name="intake")
    loops = [loop(intakes=[intake])]
    (found,) = trim.intake_trimmed(evidence(loops=loops, **corners(*at), **level(-0.2, -0.4)))
    assert word(found) == told
    if isinstance(found, Breach):
        highest = max(at)
        key = "height" if highest >= 0.0 else "depth"
        assert found.found[key].value == abs(highest)
        assert found.near == (NEXT if highest >= 0.0 else LATER)
        side, end = Corners(*at).attitudes[1]
        assert attitude(found) == (0.3, 0.05, side, end)
    for flat in ((-0.14, -0.4), (-0.4, -0.14), (0.1, -0.4)):
        there = evidence(loops=loops, **corners(*at), **level(*flat))
        assert list(trim.intake_trimmed(there)) == []
    for flat in ((-LEAST_COVER, -0.4), (-LEAST_COVER, None)):
        there = evidence(loops=loops, **corners(*at), **level(*flat))
        assert len(list(trim.intake_trimmed(there))) == 1


def test_which_side_and_end_are_down_where_a_thing_is_lowest_and_highest():
    for corner in range(4):
        at = [0.0] * 4
        at[corner] = -1.0
        found = Corners(*at)
        name = f"{found.attitudes[0][0]}_{found.attitudes[0][1]}"
        assert getattr(found, name) == found.lowest == -1.0
        at[corner] = 1.0
        found = Corners(*at)
        name = f"{found.attitudes[1][0]}_{found.attitudes[1][1]}"
        assert getattr(found, name) == found.highest == 1.0


def test_trim_of_the_owner_weighs_by_how_far_a_thing_comes_out():
    owner = evidence(works_to_trim=0.05)
    for height in (0.001, 0.05, 0.2, 1.0):
        assert trim._risen(evidence(), height) == NEXT
        assert trim._risen(owner, height) == near_by_size("out_of_water", height)
    assert near_by_size("out_of_water", 1.0) != NEXT


def outlet(height, name="outlet", **seen):
    return SimpleNamespace(
        name=name,
        table="outlet",
        level=height,
        bore=0.02,
        seen=SimpleNamespace(**seen) if seen else None,
    )


@pytest.mark.parametrize(
    ("height", "flat", "at", "closed", "told"),
    [
        (0.2, 0.1, 0.01, False, ["kept"]),
        (0.2, 0.1, 0.0, False, ["kept"]),
        (0.2, 0.1, -0.01, False, ["under_when_trimmed"]),
        (0.2, 0.1, -0.01, None, ["ask seacock"]),
        (0.2, 0.1, -0.01, True, ["kept"]),
        (0.2, -0.01, -0.1, False, []),
        (0.2, 0.0, -0.1, False, ["under_when_trimmed"]),
        (0.0, 0.1, -0.1, False, ["under_when_trimmed"]),
        (-0.1, 0.1, -0.1, False, []),
        (None, 0.1, -0.1, False, ["under_when_trimmed"]),
    ],
)
def test_an_opening_that_trim_puts_under(height, flat, at, closed, told):
    thing = outlet(height)
    for owner, near in ((None, LATER), (0.05, NEXT)):
        there = evidence(
            all_at_sea=lambda: [(loop(), thing)],
            is_closed=lambda thing: closed,
            works_to_trim=owner,
            **corners(0.3, at, 0.3, 0.3),
            **level(flat, 0.4),
        )
        found = list(trim.outlet_trimmed(there))
        assert [word(one) for one in found] == told
        if found and isinstance(found[0], Breach):
            under = found[0]
            assert (under.near, under.found["depth"].value) == (near, -at)
            side, end = Corners(0.3, at, 0.3, 0.3).attitudes[0]
            assert attitude(under) == (0.3, 0.05, side, end)
            assert under.in_numbers[0]["least"].value == pytest.approx(float(jet_flow(0.02, -at)))


def test_an_intake_an_exhaust_and_a_strong_line_are_not_asked_for_a_dry_opening():
    def told(thing):
        there = evidence(
            all_at_sea=lambda: [(loop(), thing)], **corners(-1, -1, -1, -1), **level(0.1, 0.1)
        )
        return [word(one) for one in trim.outlet_trimmed(there)]

    assert told(made(Intake, name="intake")) == []
    exhaust = made(SkinFitting, name="exhaust", use=ENGINE_EXHAUST, bore=0.05)
    assert told(exhaust) == ["kept"]
    assert told(made(SkinFitting, name="sink", use="sink", strong_line=True)) == ["kept"]


@pytest.mark.parametrize(
    ("primes", "flat", "highest", "told"),
    [
        (True, -0.1, 0.1, ["kept"]),
        (False, -0.1, -0.01, ["kept"]),
        (False, -0.1, 0.0, ["pump_above_when_trimmed"]),
        (False, 0.0, 0.1, []),
        (None, -0.1, -0.01, ["kept"]),
        (None, -0.1, 0.1, ["ask kind"]),
        (None, 0.0, 0.1, []),
    ],
)
def test_a_pump_that_trim_lifts(primes, flat, highest, told):
    network = SimpleNamespace(pumps=[SimpleNamespace(name="pump", fitted=None, seen=None)])
    at = (-1.0, -1.0, -1.0, highest)
    for heights in ((flat, -0.5), (-0.5, flat)):
        there = evidence(
            loops=[loop(primes=lambda pump: primes, network=network)],
            **corners(*at),
            **level(*heights),
        )
        found = list(trim.pump_trimmed(there))
        assert [word(one) for one in found] == told
    if found and isinstance(found[0], Breach):
        assert found[0].found["height"].value == highest
        assert attitude(found[0])[2:] == Corners(*at).attitudes[1]


def test_what_is_asked_where_a_corner_is_not_known():
    def told(at=None, level=None, **given):
        thing = SimpleNamespace(name="a", table="outlet", at=at, level=level)
        return trim._corners(evidence(corners=lambda *things: None, **given), loop(), thing)

    assert told(working_heel=None, working_trim=None).key == "works_to_heel"
    assert told(working_trim=None).key == "waterline_length"
    assert told() == Unknown("outlet", "a", "height")
    assert told(level=0.0).key == "starboard"
    assert told(SimpleNamespace(starboard=None), 0.0).key == "starboard"
    assert told(SimpleNamespace(starboard=0.0), 0.0).key == "aft"
    assert told(SimpleNamespace(starboard=0.0)).key == "height"


MATERIALS = {
    "bronze": "copper",
    "dezincification-resistant brass": "copper",
    "plain brass": "copper",
    "stainless steel": "stainless",
    "reinforced plastic": None,
    "plain plastic": None,
}


def test_metals_are_told_by_what_they_are_whatever_hull_they_stand_in():
    for one, other, hull in product(
        MATERIALS, MATERIALS, (None, "glass", "wood", "aluminium", "steel")
    ):
        parts = (("outlet", "a", "material", one), ("hose", "b", "barb_material", other))
        kinds = {MATERIALS[one], MATERIALS[other], hull if hull in metals.CONDUCTS else None}
        kinds -= {None}
        for always in (True, False):
            found = metals._found((*parts, ("seacock", "c", "material", None)), hull, always)
            if len(kinds) > 1:
                assert found.kind == ("survey.metals" if hull else "survey.metals_alone")
                assert [part["material"] for part in found["parts"]] == [one, other]
                assert [part.kind for part in found["parts"]] == [
                    "survey.made_of",
                    "survey.barb_of",
                ]
            elif kinds == {"stainless"} and always:
                assert found.kind == "survey.starved_of_air" and len(found["parts"]) == 2
            else:
                assert found is None
    assert metals._made_of("seacock", "c", "tail_material", "bronze").kind == "survey.tail_of"


def test_an_outlet_is_judged_lighter_where_only_heel_puts_it_under():
    weak = metals.fact("survey.cracked")
    for height, near in ((-0.01, None), (0.0, NEXT), (0.1, NEXT), (None, NEXT)):
        assert metals._at_outlet(outlet(height), weak).near == near
        assert word(metals._at_outlet(outlet(height), None)) == "kept"


def at_sea(under, *things):
    pairs = [(loop(), thing) for thing in things]
    return SimpleNamespace(all_at_sea=lambda: pairs, may_go_under=lambda loop, thing: under)


def real(name, height, **seen):
    at = SimpleNamespace(height=height)
    return made(Outlet, name=name, at=at, seen=SimpleNamespace(**seen) if seen else None)


@pytest.mark.parametrize("material", MATERIALS)
def test_an_outlet_under_water_is_of_what_lasts(material):
    weak = material in ("plain brass", "plain plastic")
    thing = real("a", -0.1, material=material, pink_patches=None, cracked=None)
    (found,) = metals.outlet_metal(at_sea(True, thing))
    assert word(found) == ("of_weak_material" if weak else "kept")
    (found,) = metals.outlet_metal(at_sea(None, thing))
    assert word(found) == ("of_weak_material" if weak else "kept")
    (found,) = metals.outlet_metal(at_sea(False, thing))
    assert word(found) == "kept"
    (found,) = metals.outlet_metal(at_sea(True, real("a", -0.1)))
    assert word(found) == "ask material"
    hose = SimpleNamespace(label="hose", seen=SimpleNamespace(barb_material=material))
    for floods, told in ((True, True), (None, True), (False, False)):
        there = SimpleNamespace(hoses=[hose], floods=lambda hose, floods=floods: floods)
        found = [word(one) for one in metals.barb_metal(there)]
        assert found == ([("barb_of_weak" if weak else "kept")] if told else [])


def test_pink_patches_and_cracks_of_outlets_and_of_fittings_that_were_looked_at():
    for seen, pink, cracked in (
        ({"pink_patches": True, "cracked": False}, "pink_patches", "kept"),
        ({"pink_patches": False, "cracked": True}, "kept", "cracked"),
        ({"pink_patches": None, "cracked": None}, "ask pink_patches", "ask cracked"),
        ({}, "ask pink_patches", "ask cracked"),
    ):
        there = at_sea(True, real("a", -0.1, **seen))
        assert [word(one) for one in metals.outlet_pink(there)] == [pink]
        assert [word(one) for one in metals.outlet_cracked(there)] == [cracked]
    fitting = made(SkinFitting, name="sink", use="sink")
    assert list(metals.outlet_cracked(at_sea(True, fitting))) == []
    assert list(metals.outlet_cracked(at_sea(True, made(Intake, name="intake")))) == []
