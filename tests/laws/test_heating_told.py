"""What heating, a baseline and a fleet make of numbers, at each edge, on paper."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from made import L, made
from sizing import KETCH, MOTOR, shipped

from seaflow.base.facts import fact
from seaflow.boat import network
from seaflow.boat.defaults import default
from seaflow.boat.tables.things import Place
from seaflow.model.point import ENDINGS, HEATING, NO_OPERATING_POINT, NO_WATER, OFF
from seaflow.studies.baseline import sheet
from seaflow.studies.design.judge import NO, TIGHT
from seaflow.studies.design.limits import limit
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.diagnose.own_boat import Learnt, OwnBoat
from seaflow.studies.energy import fleet as of_energy
from seaflow.studies.energy.starting import SHOWN, starting_of
from seaflow.studies.heating import study
from seaflow.studies.heating.cold import ColdestSea, no_ice
from seaflow.studies.heating.in_the_cold import HeatingAt, UnitHeating
from seaflow.studies.page.study import owners_setups


def kinds(said):
    return [one.kind.split(".")[1] for one in said]


# -------------------------------------------------------------------------------------- heating


def at(name, coldest, safe, ending="flowing", units=()):
    found = made(ColdestSea, set_by=fact(f"by.{name}"), temperature=coldest)
    told = {"where": fact(f"where.{name}"), "ending": ending, "units": units, "safe": safe}
    return made(HeatingAt, name=name, coldest=found, **told)


def test_whether_it_may_heat_is_told_of_the_first_worst_case_that_ices():
    clean, dirty, grown = at("clean", 4.0, True), at("dirty", 7.0, False), at("grown", 9.0, False)
    said = study._heats((clean, at("dirty", 5.0, True)), 6.0)
    assert (said.kind, said["sea"].value, said["count"]) == ("heating.yes", 6.0, 2)
    said = study._heats((clean, dirty, grown), 6.0)
    assert (said.kind, said["where"].kind, said["why"].kind) == (
        "heating.only_warmer",
        "where.dirty",
        "by.dirty",
    )
    assert (said["sea"].value, said["coldest"].value) == (6.0, 7.0)
    said = study._heats((clean, at("dirty", None, False)), 6.0)
    assert (said.kind, said["where"].kind) == ("heating.in_no_sea", "where.dirty")
    still = at("low", 7.0, False, ENDINGS[NO_OPERATING_POINT])
    assert study._heats((clean, still), 6.0).kind == "heating.pump_moves_nothing"


def test_how_cold_the_sea_may_be_clean_and_at_worst():
    clean, dirty, never = at("clean", 4.0, True), at("dirty", 7.0, True), at("never", None, False)
    first, worst = study._down_to((clean, at("x", 6.0, True), dirty))
    assert (first.kind, first["sea"].value) == ("heating.clean_down_to", 4.0)
    assert (worst.kind, worst["sea"].value, worst["where"].kind) == (
        "heating.worst_down_to",
        7.0,
        "where.dirty",
    )
    assert kinds(study._down_to((clean, dirty, never))) == ["clean_down_to", "worst_in_no_sea"]
    assert kinds(study._down_to((clean, at("x", 3.0, True)))) == ["clean_down_to"]
    assert kinds(study._down_to((never, clean))) == ["clean_in_no_sea"]


def heated(name, flow, state="heating"):
    return made(UnitHeating, name=name, state=state, flow=flow * L)


def near_ice(monkeypatch, least, *units):
    monkeypatch.setattr(
        study, "_least_flows", lambda *_: {k: v and v * L for k, v in least.items()}
    )
    worst = SimpleNamespace(where=fact("design.warmest_sea", what=fact("where.dirty")))
    point = SimpleNamespace(conditions=None)
    built = SimpleNamespace(loop=SimpleNamespace(place_of=ord))
    return study._near_ice(built, worst, at("x", 5.0, False, units=units), point)


def test_of_units_near_ice_the_one_that_lacks_most_is_told(monkeypatch):
    least = {"a": 10.0, "b": 10.0, "c": 10.0}
    found = near_ice(
        monkeypatch, least, heated("a", 9.9), heated("b", 9.0), heated("c", 1.0, "off")
    )
    assert (found.grade, found.said["unit"], found.said["short"]) == (NO, "b", pytest.approx(0.1))
    assert (found.said["flow"].value, found.said["asked"].value) == (
        pytest.approx(9.0 * L),
        pytest.approx(10.0 * L),
    )
    allowed = limit("must_flow")
    for short, grade in ((allowed - 1e-4, TIGHT), (allowed + 1e-4, NO), (-0.5, TIGHT)):
        found = near_ice(monkeypatch, least, heated("a", 10.0 * (1.0 - short)))
        assert found.grade == grade and found.said["short"] == pytest.approx(max(short, 0.0))
    none = near_ice(monkeypatch, {**least, "b": None}, heated("a", 1.0), heated("b", 99.0))
    assert (none.said.kind, none.said["unit"], none.grade) == ("heating.ices", "b", NO)
    dry = near_ice(monkeypatch, least, heated("a", 5.0), heated("b", 0.0))
    assert (dry.said.kind, dry.said["unit"]) == ("heating.ices", "b")


def test_limits_of_ice_hold_where_a_unit_is_off():
    margin = default("heating.freezing_margin").value
    unit = SimpleNamespace(
        state=np.asarray([HEATING, HEATING, HEATING, OFF, NO_WATER]),
        wall_temperature=np.asarray([-1.8, -1.95, -1.8, np.nan, np.nan]),
        outlet_temperature=np.asarray([margin - 1.9, 9.0, margin - 1.91, -5.0, 9.0]),
    )
    water, outlet, wall = no_ice("a", unit, -1.9)
    assert [one.kind.removeprefix("heating.") for one, _ in (water, outlet, wall)] == [
        *("no_water", "near_freezing", "wall_ices")
    ]
    assert water[1].tolist() == [True, True, True, True, False]
    assert outlet[1].tolist() == [True, True, False, True, True]
    assert wall[1].tolist() == [True, False, True, True, False]


# ------------------------------------------------------------------------------------ a baseline


def expected(show="flow"):
    return made(sheet.Expected, what=fact("baseline.flow"), show=show)


def test_what_a_sheet_rests_on():
    assert kinds(sheet._basis((expected("sound"),), None)) == ["sound", "nothing_stored"]
    narrow = Learnt("coil", (0.8, 1.0, 1.2), (0.99, 1.0, 1.01), "coil_given", True)
    same = Learnt("barbs", (0.8, 1.0, 1.2), (0.8, 1.0, 1.2), "barbs", True)
    apart = replace(narrow, label="scaled", after=(1.1, 1.2, 1.3))
    own = OwnBoat(np.zeros((1, 1)), (narrow, same), 3, by_gauge=False)
    said = list(sheet._basis((expected(),), own))
    assert kinds(said) == ["no_gauge", "stored", "learnt", "not_narrowed"]
    assert said[1]["count"] == 3 and said[3]["labels"] == ("barbs",)
    values = [said[2][key] for key in ("before_low", "before_high", "low", "middle", "high")]
    assert values == [0.8, 1.2, 0.99, 1.0, 1.01] and said[2]["label"] == "coil"
    assert kinds(sheet._basis((), replace(own, by_gauge=True, learnt=(same,)))) == [
        *("stored", "nothing_learnt")
    ]
    assert kinds(sheet._basis((), replace(own, learnt=(apart,)))) == [
        *("coil_takes_more", "stored", "learnt")
    ]


def test_a_line_is_told_where_anything_is_known():
    values = np.linspace(0.0, 100.0, 1001)
    (line,) = sheet._line("baseline.flow", "port", "flow", values)
    assert (line.place, line.show, line.unit) == ("port", "flow", "m3/s")
    assert [line.low, line.middle, line.high] == pytest.approx([5.0, 50.0, 95.0], abs=0.1)
    assert not list(sheet._line("baseline.flow", "port", "flow", np.full(9, np.nan)))


def test_a_pump_stands_at_the_nearest_place_of_the_case_within_a_quarter_of_a_metre():
    case = shipped(KETCH)
    (first, second, *_) = case.pump_place
    pump = case.pump[0]

    def stands(place, off):
        where = replace(place.at, aft=place.at.aft + off)
        found = sheet._where_it_stands(case, replace(pump, at=where))
        return None if found is None else found.name

    for place in (first, second):
        assert stands(place, 0.0) == stands(place, 0.02) == place.name
    far = Place(aft=-4.0, starboard=0.0, height=5.0)
    assert sheet._where_it_stands(case, replace(pump, at=far)) is None
    assert sheet._where_it_stands(case, replace(pump, at=None)) is None
    alone = replace(case, pump_place=(first,))
    for off, near in ((0.249, first.name), (0.251, None)):
        where = replace(first.at, aft=first.at.aft + off)
        found = sheet._where_it_stands(alone, replace(pump, at=where))
        assert (found and found.name) == near


# ------------------------------------------------------------------------------- a fleet, and heads


def test_a_row_of_many_boats_tells_charge_left_or_short(monkeypatch):
    day = SimpleNamespace(total=5e6, pump_share=0.2)
    loop = SimpleNamespace(name="l", grade="yes", pump="p", day=day)

    def row(left, **more):
        night = (
            None if left is None else SimpleNamespace(left_at_dawn=left, limit="04:00", lasting=0.9)
        )
        told = {
            "boat": "b",
            "loops": (loop,),
            "night": night,
            "night_grade": "tight",
            "cautions": (),
            "at_rest": (),
        }
        monkeypatch.setattr(
            of_energy, "energy", lambda _: SimpleNamespace(grade="tight", **told | more)
        )
        return of_energy.energy_rows("f.toml", None).rows[0]

    lasts, ends, none = row(3600.0), row(-7200.0), row(None)
    assert (lasts.left_at_dawn, lasts.short_by_dawn) == (3600.0, None)
    assert (ends.left_at_dawn, ends.short_by_dawn) == (0.0, 7200.0)
    assert row(0.0).short_by_dawn is None
    assert (none.left_at_dawn, none.short_by_dawn, none.limit_at, none.nights_lasting) == (
        *(None, None, ""),
        None,
    )
    assert (lasts.limit_at, lasts.nights_lasting, lasts.grade) == ("04:00", 0.9, "tight")
    assert (lasts.day, lasts.pump_share, lasts.pump, lasts.loop) == (5e6, 0.2, "p", "l")


def test_heads_are_shown_at_tenths_of_full_speed_down_to_the_least():
    assert tuple(round(1.0 - 0.1 * step, 1) for step in range(8)) == SHOWN
    case = shipped(MOTOR)
    found = network.loops(case)[0]
    built, part, _ = picked_loop(case, found, None)
    now = full_supply(case, found, part)
    for least in (None, 0.55):
        told = starting_of(built, replace(part, least_speed=least), now)
        speeds = [row.speed for row in told.speeds]
        assert speeds == [speed for speed in SHOWN if speed >= (least or 0.3)]
        for row in told.speeds:
            assert row.shut_off_head == pytest.approx(told.shut_off_head * row.speed**2)
            if told.factor is not None:
                assert row.over_starting == pytest.approx(told.factor * row.speed**2)
            assert row.delivers == (told.least_speed is not None and row.speed >= told.least_speed)


def test_seas_of_heating_are_those_of_the_case():
    assert study._sea(shipped(KETCH))[0] == (
        shipped(KETCH).sea.heating_from or default("heating.sea").value
    )
    told = replace(shipped(KETCH), sea=replace(shipped(KETCH).sea, heating_from=7.5))
    assert study._sea(told) == (7.5, [])
    open_ = replace(told, sea=replace(told.sea, heating_from=None))
    sea, notes = study._sea(open_)
    assert sea == default("heating.sea").value and len(notes) == 1
    problem = study._nothing_heats(replace(open_, unit=()))
    assert problem.code == "M02" and '"unit"' in problem.write
    assert f'"{open_.unit[0].name}"' in study._nothing_heats(open_).write


def test_nothing_is_heard_where_nobody_tells_where_the_pump_stands(monkeypatch):
    case = shipped(KETCH)
    (setup,) = owners_setups(case)
    flotilla = SimpleNamespace(setup=setup, point=None)
    monkeypatch.setattr(sheet, "_where_it_stands", lambda *_: None)
    assert case.compartment and [*sheet._sound_at_pillows(flotilla)] == []
