"""A head of water may be written as a pressure, as sheets print it, wherever one is asked for."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.parts.own_parts import load_parts
from seaflow.boat.parts.part import given_points
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.studies.design.choose import candidates

CASES = Path(__file__).parents[2] / "cases"
PSI, GRAVITY = 6894.757293168, 9.80665
FRESH = 998.2  # kg/m3 at 20 degC, in any table of water
WRITTEN = 1e-7  # relative: a head stands with nine digits


def ketch(tmp_path, loss: str):
    text = (CASES / "ketch-one-unit.toml").read_text(encoding="utf-8")
    changed, count = re.subn(r"water_loss = .*", f"water_loss = [{loss}]", text)
    assert count == 1
    file = tmp_path / "ketch.toml"
    file.write_text(changed, encoding="utf-8")
    return load_case(str(file))


def pump(tmp_path, curve: str):
    file = tmp_path / "pump.toml"
    head = 'schema = 1\n[[pump]]\nname = "p"\nsource = "a sheet"\nsupply = "dc"\nvoltage = "12 V"\n'
    file.write_text(head + curve, encoding="utf-8")
    (sheet,) = load_parts((str(file),)).catalogue.own
    return sheet


@pytest.mark.parametrize("how", ["", " +/- 10 %", " +/- 0.3 psi", " typical +/- 10 %"])
def test_a_loss_of_a_coil_is_the_same_under_head_and_under_pressure(how, tmp_path):
    by_head = ketch(tmp_path, f'{{ at = "4 gpm", head = "3 psi{how}" }}').case
    by_pressure = ketch(tmp_path, f'{{ at = "4 gpm", pressure = "3 psi{how}" }}').case
    assert repr(by_head.unit[0].water_loss) == repr(by_pressure.unit[0].water_loss)
    assert by_head.unit[0].water_loss[0].pressure == pytest.approx(3.0 * PSI, rel=1e-6)
    assert by_head.spreads == by_pressure.spreads and by_head.typical == by_pressure.typical


@pytest.mark.parametrize("text", ["3 psi", "20.7 kPa", "0.207 bar"])
def test_what_a_pressure_loses_is_what_its_column_of_water_does(text, tmp_path):
    """By hand: 3 psi are 2.11 m of water; half a centimetre of it moves no flow by a thousandth."""
    by_pressure, by_head = (
        flow(ketch(tmp_path, f'{{ at = "4 gpm", head = "{loss}" }}').case)
        for loss in (text, "2.115 m")
    )
    assert by_pressure == pytest.approx(by_head, rel=1e-3)
    assert flow(ketch(tmp_path, '{ at = "4 gpm", head = "3 m" }').case) < 0.99 * by_pressure


def flow(case) -> float:
    (found,) = network.loops(case)
    place = found.pumps[0]
    built = build_loop(case, found, {place.name: candidates(case, place)[1]})
    now = Conditions(sea_temperature=np.array([25.0]), voltage=230.0, frequency=50.0)
    return float(operate(built.loop, now).flow[0, 0])


def test_the_head_of_a_pump_may_be_a_pressure(tmp_path):
    ends = pump(tmp_path, 'shut_off_head = "8 psi +/- 1 psi"\nfree_flow = "30 L/min"\n')
    metres = 8.0 * PSI / (FRESH * GRAVITY)
    assert ends.shut_off_head == pytest.approx(metres, rel=WRITTEN)
    assert ends.spreads[("shut_off_head",)] == pytest.approx(metres / 8.0, rel=WRITTEN)
    rows = '{ flow = "0 L/min", head = "8 psi" }, { flow = "20 L/min", head = "2 psi" }'
    points = given_points(pump(tmp_path, f"points = [{rows}]\n"))
    assert [head for _, head in points] == pytest.approx([metres, metres / 4.0], rel=WRITTEN)
    npsh = 'shut_off_head = "4 m"\nfree_flow = "30 L/min"\nrequired_npsh = "2 psi"\n'
    assert pump(tmp_path, npsh).required_npsh == pytest.approx(metres / 4.0, rel=WRITTEN)


def test_the_clean_loss_of_a_strainer_may_be_a_pressure_under_either_key(tmp_path):
    def drop(key: str):
        file = tmp_path / "strainer.toml"
        text = 'schema = 1\n[[strainer]]\nname = "s"\nsource = "a sheet"\nport = "25 mm"\n'
        file.write_text(f'{text}clean_drop = {{ at = "30 L/min", {key} = "0.2 psi" }}\n')
        return load_parts((str(file),)).catalogue.own[0].clean_drop

    assert repr(drop("head")) == repr(drop("pressure"))


@pytest.mark.parametrize("loss", ["3 lb", "3 L/min", "3"])
def test_what_is_neither_head_nor_pressure_is_refused_where_it_stands(loss, tmp_path):
    with pytest.raises(SeaflowError) as refused:
        ketch(tmp_path, f'{{ at = "4 gpm", head = "{loss}" }}')
    (problem,) = refused.value.problems
    assert problem.code in ("K03", "K07") and problem.line is not None


def test_a_pressure_that_is_no_loss_of_a_coil_is_told_where_it_stands(tmp_path):
    loaded = ketch(tmp_path, '{ at = "4 gpm", head = "300 psi" }')
    plain = ketch(tmp_path, '{ at = "4 gpm", pressure = "300 psi" }')
    assert [one.code for one in loaded.warnings] == [one.code for one in plain.warnings] != []
    assert [one.line for one in loaded.warnings] == [one.line for one in plain.warnings]
