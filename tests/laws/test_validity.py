"""Where an answer leaves the range of a source: said when it does, and only then."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from click.testing import CliRunner

from seaflow.base.sources import Outside, outside, source
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.cli.main import main
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.elements import HoseRun
from seaflow.model.losses import Pipe
from seaflow.model.operate import operate
from seaflow.model.pressures import element_losses
from seaflow.physics.flow.friction import darcy_friction_factor, reynolds_number
from seaflow.physics.water.seawater import dynamic_viscosity
from seaflow.studies.design.validity import _reynolds, _tube, validity_notes
from seaflow.studies.energy.study import energy
from seaflow.studies.heating.study import heating
from seaflow.studies.size.size import size

CASES = sorted((Path(__file__).parents[2] / "cases").glob("*.toml"))
KETCH = next(path for path in CASES if path.stem == "ketch-one-unit")


def ketch(folder, *changes):
    """The ketch with some text put in place of other text."""
    text = KETCH.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    path = folder / "boat.toml"
    path.write_text(text, encoding="utf-8")
    return path


def notes_of(path):
    return size(load_case(str(path)).case, n_samples=0).loops[0].validity


def about(notes, formula, quantity=None):
    """The facts about a formula, and a quantity in it."""
    return [
        note
        for note in notes
        if note["formula"] == formula and quantity in (None, note["quantity"])
    ]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_shipped_case_leaves_no_range_but_where_growth_is_rough(path):
    for loop in size(load_case(str(path)).case, n_samples=0).loops:
        assert {note["quantity"] for note in loop.validity} <= {"relative_roughness"}


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_what_is_said_of_hoses_is_so(path):
    """Every Reynolds number of the answer, worked out here, against the range of Colebrook."""
    case = load_case(str(path)).case
    for found in network.loops(case):
        part = case.catalogue.pump(found.pumps[0].fitted or "demo-mag-medium-230")
        built = build_loop(case, found, {place.name: part for place in found.pumps})
        for speed in (1.0, 0.35, 0.25):
            now = Conditions(sea_temperature=case.sea.coldest, pump_speed=speed)
            point = operate(built.loop, now)
            between = False
            for number, link in enumerate(built.loop.links):
                for hose in link.elements:
                    if isinstance(hose, HoseRun):
                        velocity = 4.0 * point.flow[number] / (np.pi * hose.bore**2)
                        viscosity = point.water.kinematic_viscosity
                        between |= bool(
                            2000.0 < reynolds_number(velocity, hose.bore, viscosity)[0] < 4000.0
                        )
            said = about(validity_notes(built, point), "darcy_friction_factor", "reynolds_number")
            assert bool(said) == between


def test_tubes_side_by_side_share_the_flow():
    unit = load_case(str(KETCH)).case.unit[0]
    one, two = (
        _tube(replace(unit, tube=replace(unit.tube, side_by_side=number)), 2.5e-4)
        for number in (1, 2)
    )
    assert one["reynolds_number"] == pytest.approx(2.0 * two["reynolds_number"])
    point = SimpleNamespace(water=SimpleNamespace(kinematic_viscosity=1e-6))
    plain = Pipe(bore=0.01, length=1.0, roughness=0.0)
    speed = 4.0 * 2.5e-4 / (np.pi * 0.01**2)
    assert _reynolds(plain, point, 2.5e-4) == pytest.approx(speed * 0.01 / 1e-6)
    assert _reynolds(replace(plain, n_tubes=2), point, 2.5e-4) == pytest.approx(
        speed * 0.005 / 1e-6
    )


def test_a_narrow_coil_leaves_the_range_of_its_film(tmp_path):
    tight = 'coil_diameter = "120 mm"'
    path = ketch(tmp_path, ('coil_diameter = "220 mm"', tight))
    (note,) = about(notes_of(path), "coil_nusselt")
    assert note["things"] == ("saloon unit",)
    assert (note["quantity"], note["value"], note["limit"]) == ("curvature", 0.125, 0.1)
    assert note["source"] == "Mori and others 1967"
    known = (tight, tight + ' }\ncondensing = { temperature = "42 degC", water = "29 degC"')
    path = ketch(tmp_path, ('coil_diameter = "220 mm"', tight), known)
    assert not about(notes_of(path), "coil_nusselt", "curvature")  # a given point needs no film


def test_freezing_water_leaves_the_range_of_its_viscosity(tmp_path):
    path = ketch(tmp_path, ('coldest = "14 degC"', 'coldest = "-1 degC"'))
    notes = notes_of(path)
    for formula in ("dynamic_viscosity", "vapour_pressure"):
        (note,) = about(notes, formula, "sea_temperature")
        assert (note["value"].value, note["limit"].value) == (-1.0, 0.0)


def test_a_wide_hose_lies_on_our_own_bridge(tmp_path):
    hose = 'to = "saloon unit"\nbore = "19 mm"\nlength = "2.4 m"'
    path = ketch(tmp_path, (hose, hose.replace("19 mm", "90 mm")))
    (note,) = about(notes_of(path), "darcy_friction_factor", "reynolds_number")
    assert note["things"] == ("hose pump to saloon unit",)
    assert note["value"] < note["limit"] == 4000.0
    assert note["source"] == "Colebrook 1939"


def test_heating_and_energy_say_it_too(tmp_path):
    tight = ('coil_diameter = "220 mm"', 'coil_diameter = "120 mm"')
    path = ketch(tmp_path, ('heating_from = "8 degC"', 'heating_from = "-0.5 degC"'), tight)
    case = load_case(str(path)).case
    (note,) = about(heating(case).loops[0].validity, "dynamic_viscosity")
    assert note["value"].value == -0.5
    assert about(energy(case).loops[0].validity, "coil_nusselt")
    assert not about(energy(case).loops[0].validity, "dynamic_viscosity")


def test_it_is_told_in_text_and_data(tmp_path):
    path = ketch(tmp_path, ('coil_diameter = "220 mm"', 'coil_diameter = "120 mm"'))
    text = CliRunner().invoke(main, ["size", str(path), "--samples", "0", "--full"]).output
    assert text.count("Outside the range of a source") == 1
    assert text.count("curvature 0.125") == 1
    data = CliRunner().invoke(main, ["size", str(path), "--samples", "0", "--json"]).output
    assert data.count("curvature 0.125") == 1
    assert '"validity": [' in data


def test_the_value_named_is_the_farthest_one():
    found = outside(darcy_friction_factor, reynolds_number=[3500.0, 2500.0, 9000.0])
    assert found == (
        Outside("darcy_friction_factor", "reynolds_number", 2500.0, 4000.0, "Colebrook 1939"),
    )
    assert outside(dynamic_viscosity, sea_temperature=20.0) == ()
    assert outside(element_losses) == ()  # no source, no range


def test_a_source_in_short():
    assert source("colebrook1939").short == "Colebrook 1939"
    assert source("idelchik2007").short == "Idelchik 2007"
