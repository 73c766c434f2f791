"""The catalogue: one declaration for shipped and own parts, own parts first, nothing lost."""

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from seaflow.base.constants import GRAVITY
from seaflow.base.glossary import glossary_entry
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.case import Case
from seaflow.boat.keys import keys_of
from seaflow.boat.load import load_case
from seaflow.boat.parts import part as parts
from seaflow.boat.parts.catalogue import (
    FIXED_TABLES,
    OWN_ONLY,
    SHEET_TABLES,
    TABLES,
    Catalogue,
)
from seaflow.boat.parts.own_parts import load_parts
from seaflow.boat.parts.part import FRESH_DENSITY, NoSuchPart, price_of, pump_part_of
from seaflow.boat.parts.sheets import MOTORS, CurvePoint, PartsFile, PumpSheet, UnitSheet
from seaflow.boat.tables.things import Unit
from seaflow.physics.pumping.pump import head
from seaflow.studies.size.size import size

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "docs" / "examples"
CASE = ROOT / "cases" / "ketch-one-unit.toml"
LITRE_A_MINUTE = 1.0 / 60000.0
READ_RTOL = 1e-12  # two ways to read one text differ by rounding alone

AC = {"supply": "ac", "voltage": 230.0, "frequency": 50.0}
ENDS = {"shut_off_head": 4.0, "free_flow": 30 * LITRE_A_MINUTE}


def sheet(**given):
    return PumpSheet(**({"name": "p", "source": "s"} | AC | ENDS | given))


def own(tmp_path, text, name="own.toml"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return load_parts([str(path)]).catalogue


def assumed(part):
    return {note.meaning for note in part.assumptions}


# --- one declaration ----------------------------------------------------------------------------


@pytest.mark.parametrize("table", [name for name in SHEET_TABLES if name not in OWN_ONLY])
def test_packaged_tables_load_through_the_declarations(table):
    content = read_table(f"parts/{table}.toml")
    rows = Catalogue().rows(table)
    assert list(rows) == list(content.get("kind", content))
    for name in rows:
        item = Catalogue().sheet(table, name)
        assert type(item) is SHEET_TABLES[table]
        assert item.name == name
        assert item.source
        assert item.assumptions == ()


def test_every_packaged_pump_says_all_that_the_model_needs():
    for part in Catalogue().pumps():
        assert part.assumptions == (), part.name


@pytest.mark.parametrize("table", TABLES)
def test_every_shipped_part_is_found_by_name_title_and_alias(table):
    known = Catalogue()
    for name, row in known.rows(table).items():
        for spelling in (name, row.get("title", name), *row.get("aliases", ()), name.upper()):
            assert known.find(table, spelling)[1]["source"]


def test_motors_are_those_of_the_motor_table():
    assert tuple(read_table("motors.toml")) == MOTORS


def test_a_unit_sheet_declares_the_keys_of_a_unit_in_the_same_words():
    of_unit = {spelled: key for _, spelled, key in keys_of(Unit)}
    own_keys = {spelled: key for _, spelled, key in keys_of(UnitSheet)}
    shared = set(of_unit) & set(own_keys) - {"name", "seen"}
    assert {"cooling", "water_flow", "water_loss", "tube", "cut_out"} <= shared
    for name in shared:
        assert dataclasses.replace(own_keys[name], required=False) == dataclasses.replace(
            of_unit[name], required=False
        )


def test_a_unit_sheet_that_does_not_tell_the_cooling_leaves_it_to_the_case(tmp_path):
    file = tmp_path / "own.toml"
    told = 'source = "told"\nwater_flow = { rated = "14 L/min" }\n'
    file.write_text(f'[[unit]]\nname = "yard-16"\n{told}', encoding="utf-8")
    catalogue = load_parts([str(file)]).catalogue
    mine = 'model = "yard-16"\ncooling = "12 000 BTU/h"'
    (unit,) = load_case(case_with(tmp_path, (unit_lines(), mine)), catalogue).case.unit
    assert unit.cooling == pytest.approx(12000 * 0.29307107, rel=1e-6)
    assert unit.water_flow.rated == pytest.approx(14 * LITRE_A_MINUTE)


def declared(record):
    for _, spelled, key in keys_of(record):
        yield f"{record.__name__}.{spelled}", key
        if key.of is not None:
            yield from declared(key.of)


KEYS = dict(declared(PartsFile))


@pytest.mark.parametrize("name", KEYS)
def test_what_a_key_tells_you_to_write_can_be_read(name):
    key = KEYS[name]
    assert key.meaning.endswith(".")
    assert key.example or key.of is not None
    if key.quantity is not None:
        read_quantity(key.example.strip('"'), glossary_entry(key.quantity).unit)


# --- finding ------------------------------------------------------------------------------------


def test_a_wrong_name_is_refused_with_near_ones():
    with pytest.raises(NoSuchPart) as caught:
        Catalogue().find("pumps", "demo-mag-medum-230")
    assert "demo-mag-medium-230" in caught.value.near


@pytest.mark.parametrize("table", OWN_ONLY)
def test_tables_of_own_parts_alone_are_empty_without_them(table):
    assert not Catalogue().rows(table)
    with pytest.raises(NoSuchPart):
        Catalogue().sheet(table, "anything")


def test_standard_bores_rise_and_barbs_are_narrower():
    bores = Catalogue().standard_bores()
    assert np.all(np.diff(bores) > 0)
    assert all(Catalogue().usual_barb_bore(bore) < bore for bore in bores)


def test_own_parts_stand_before_shipped_ones_and_hide_a_like_name(tmp_path):
    text = (
        '[[pump]]\nname = "Demo Mag Small 230"\nsource = "my sheet"\nsupply = "ac"\n'
        'voltage = "230 V"\nshut_off_head = "9 m"\nfree_flow = "20 L/min"\npower = "50 W"\n'
    )
    known = own(tmp_path, text)
    assert known.pump("demo-mag-small-230").source == "my sheet"
    assert len(known.pumps()) == len(Catalogue().pumps())
    assert [part.source for part in known.pumps()].count("my sheet") == 1


def test_a_pump_and_a_strainer_of_ones_own_may_bear_one_name(tmp_path):
    pump = 'source = "told"\nsupply = "ac"\nvoltage = "230 V"\nshut_off_head = "9 m"\n'
    strainer = 'source = "told"\nport = "25 mm"\n'
    known = own(
        tmp_path,
        f'[[strainer]]\nname = "Wagtail"\n{strainer}'
        f'[[pump]]\nname = "Wagtail"\n{pump}free_flow = "20 L/min"\npower = "50 W"\n',
    )
    assert known.pump("Wagtail").voltage == 230.0
    assert known.strainer("Wagtail").port == pytest.approx(0.025)
    assert "Wagtail" not in known.rows("hoses")


def test_the_catalogue_of_one_case_does_not_reach_another(tmp_path):
    known = load_parts([str(EXAMPLES / "own-parts.toml")]).catalogue
    assert load_case(str(CASE), known).case.catalogue is known
    with pytest.raises(NoSuchPart):
        load_case(str(CASE)).case.catalogue.find("pumps", "yard-pump-230")


def test_no_free_function_of_parts_is_left():
    assert not any(hasattr(parts, name) for name in ("find", "pump", "pumps", "rows", "hose_kind"))


# --- from a sheet to a part ---------------------------------------------------------------------


def test_what_a_sheet_leaves_open_is_assumed_aloud():
    part = pump_part_of(PumpSheet(name="p", source="s", supply="dc", voltage=12.0, **ENDS))
    assert (part.motor, part.continuous) == ("unregulated dc", True)
    assert not part.dry_run_protection
    assert not part.self_priming
    assert len(assumed(part)) == len(part.assumptions) == 7
    full = dict(motor="regulated dc", exponent=2.0, power=50.0, inlet=0.019, duty="continuous")
    full |= dict(dry_run_protection=True, self_priming=True, priming_lift=2.0)
    stated = PumpSheet(name="p", source="s", supply="dc", voltage=12.0, **ENDS, **full)
    assert pump_part_of(stated).assumptions == ()


def test_power_comes_from_points_then_one_figure_then_current_then_efficiency():
    full = 30 * LITRE_A_MINUTE
    rows = (
        CurvePoint(flow=0.0, head=4.0, power=40.0),
        CurvePoint(flow=full, head=0.0, power=60.0),
    )
    assert pump_part_of(sheet(points=rows, power=99.0)).power == (
        (0.0, 40.0),
        (full, 60.0),
    )
    assert pump_part_of(sheet(power=99.0, current=0.5)).power == ((0.0, 99.0),)
    by_current = pump_part_of(sheet(current=0.5, power_factor=0.8))
    assert by_current.power[0][1] == pytest.approx(230 * 0.5 * 0.8, rel=READ_RTOL)
    by_curve = pump_part_of(sheet())
    flow = np.linspace(0.0, 1.0, 1001) * by_curve.curve.free_flow
    water = np.max(FRESH_DENSITY * GRAVITY * flow * head(by_curve.curve, flow, 1.0))
    # the best of 101 and of 1001 flows lie this close, since power is level at its top
    assert by_curve.power[0][1] == pytest.approx(water / 0.15, rel=1e-3)


def test_power_factor_is_found_from_power_volts_and_amperes():
    part = pump_part_of(sheet(power=80.0, current=0.5))
    assert part.power_factor == pytest.approx(80 / 115, rel=READ_RTOL)
    assert "power factor" in assumed(part)


@pytest.mark.parametrize(
    ("text", "amount", "currency"),
    [
        ("180 EUR", 180.0, "EUR"),
        ("$ 129.50", 129.5, "$"),
        ("EUR1 200", 1200.0, "EUR"),
        ("ask", None, ""),
        ("180", None, ""),
        ("180 EUR or so", None, ""),
    ],
)
def test_price(text, amount, currency):
    price = price_of(text)
    assert (price.text, price.amount, price.currency) == (text, amount, currency)


def test_units_of_a_sheet_do_not_matter(tmp_path):
    metric = '[[pump]]\nname = "p"\nsource = "s"\nsupply = "dc"\nvoltage = "12 V"\npoints = [{p}]\n'
    in_metres = (
        '{ flow = "0 L/min", head = "3.048 m" }, { flow = "22.712470704 L/min", head = "0 m" }'
    )
    in_feet = '{ flow = "0 gpm", head = "10 ft" }, { flow = "6 gpm", head = "0 ft" }'
    first = own(tmp_path, metric.replace("{p}", in_metres)).pump("p").curve
    second = own(tmp_path, metric.replace("{p}", in_feet)).pump("p").curve
    assert first.shut_off_head == pytest.approx(second.shut_off_head, rel=READ_RTOL)
    assert first.free_flow == pytest.approx(second.free_flow, rel=READ_RTOL)


def test_pressure_is_head_of_fresh_water(tmp_path):
    text = (
        '[[pump]]\nname = "p"\nsource = "s"\nsupply = "dc"\nvoltage = "12 V"\n'
        'points = [{ flow = "0 L/min", pressure = "1 bar" }, '
        '{ flow = "9 L/min", pressure = "0 bar" }]'
    )
    top = own(tmp_path, text).pump("p").curve.shut_off_head
    # a bar is 10.2 m of fresh water, as every table prints it
    assert top == pytest.approx(10.2, abs=0.05)


def test_toml_and_csv_say_the_same(tmp_path):
    toml = (
        '[[pump]]\nname = "p"\nsource = "s"\nsupply = "ac"\nvoltage = "230 V"\n'
        'frequency = "50 Hz"\n'
        "self_priming = true\n"
        'points = [{ flow = "0 L/min", head = "10 ft", power = "40 W" }, '
        '{ flow = "20 L/min", head = "0 ft", power = "50 W" }]\n'
    )
    first = own(tmp_path, toml).pump("p")
    rows = (
        ("part", "name", "source", "supply", "voltage [V]", "Frequency (Hz)", "self-priming"),
        ("pump", "p", "s", "ac", "230", "50 Hz", "yes"),
        ("pump", "p", "", "", "", "", ""),
    )
    points = (("flow [L/min]", "head", "power [W]"), ("0", "10 ft", "40"), ("20", "0 ft", "50"))
    for mark in (",", ";", "\t"):
        text = "\n".join(mark.join(row + point) for row, point in zip(rows, points, strict=True))
        second = own(tmp_path, "# typed\n\n" + text + "\n", f"own{ord(mark)}.csv").pump("p")
        for name in ("power", "self_priming", "voltage", "frequency", "source"):
            assert getattr(first, name) == getattr(second, name)
        assert first.curve.free_flow == second.curve.free_flow


def test_csv_without_a_part_column_and_with_inner_tables(tmp_path):
    text = (
        "name,source,cooling [BTU/h],water_flow.rated [L/min],water_loss.at,water_loss.head [m]\n"
        "u,s,16000,15,10 L/min,1.0\nu,,,,15 L/min,2.1\n"
    )
    written = own(tmp_path, text, "own.csv").sheet("units", "u").written
    assert written["water_flow"] == {"rated": "15 L/min"}
    assert written["water_loss"] == [
        {"at": "10 L/min", "head": "1.0 m"},
        {"at": "15 L/min", "head": "2.1 m"},
    ]


# --- own parts in a case ------------------------------------------------------------------------


@pytest.fixture(scope="module")
def examples():
    return load_parts([str(EXAMPLES / "own-parts.toml"), str(EXAMPLES / "own-pump.csv")])


def test_the_examples_read_without_remark_and_say_that_they_are_invented(examples):
    assert examples.warnings == ()
    assert len(examples.catalogue.own) == 7
    assert all(item.invented for item in examples.catalogue.own)


def case_with(tmp_path, *changes):
    text = CASE.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path = tmp_path / "case.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def unit_lines():
    text = CASE.read_text(encoding="utf-8")
    start = text.index("cooling = ")
    return text[start : text.index("\n\n", start)]


def test_a_unit_gets_what_it_leaves_open_and_keeps_what_it_says(tmp_path, examples):
    mine = (
        'model = "cabin-16"\ncoil = "coil-15"\n'
        'water_flow = { rated = "14 L/min" }\ninput_power = "1.5 kW"'
    )
    file = case_with(tmp_path, (unit_lines(), mine))
    case = load_case(file, examples.catalogue).case
    (unit,) = case.unit
    assert unit.cooling == pytest.approx(4689, abs=1)  # 16 000 BTU/h to the watt
    assert unit.input_power == pytest.approx(1500.0)
    assert unit.water_flow.rated == pytest.approx(14 * LITRE_A_MINUTE)
    assert unit.water_flow.least == pytest.approx(2.5 * 231 * 0.0254**3 / 60)
    assert unit.tube.bore == pytest.approx(0.015)
    told = {note.meaning: note.source for note in case.assumptions if note.subject == unit.name}
    assert "Installation sheet" in told["cooling"]
    assert "Drawing of the coil" in told["tube"]
    assert "input power" not in told


def test_own_parts_of_all_kinds_size_a_boat(tmp_path, examples):
    file = case_with(
        tmp_path,
        ('model = "demo-strainer-25"', 'model = "yard-strainer"'),
        ('fitted = "demo-mag-medium-230"', 'fitted = "yard-pump-230"'),
        (unit_lines(), 'model = "cabin-16"'),
        ('length = "2.4 m"', 'length = "2.4 m"\nkind = "blue hose"'),
        ("[design]", '[design]\npumps = ["bench-pump-230", "yard-pump-230"]'),
    )
    answer = size(load_case(file, examples.catalogue).case, 0)
    (loop,) = answer.loops
    assert {item.part.name for item in loop.pumps} == {"bench-pump-230", "yard-pump-230"}
    assert next(item for item in loop.pumps if item.fitted).part.name == "yard-pump-230"
    subjects = {note.subject for note in answer.assumptions}
    assert "bench-pump-230" in subjects


def test_a_strainer_known_by_its_drop_loses_that_drop(tmp_path, examples):
    from seaflow.boat.network import loops
    from seaflow.model.build import build_loop

    file = case_with(tmp_path, ('model = "demo-strainer-25"', 'model = "yard-strainer"'))
    case = load_case(file, examples.catalogue).case
    (found,) = loops(case)
    pump = case.catalogue.pump("yard-pump-230")
    (basket,) = build_loop(case, found, {"pump": pump}).loop.strainers
    velocity = 10 * 231 * 0.0254**3 / 60 / (np.pi / 4 * 0.0254**2)
    drop = 0.5 * FRESH_DENSITY * velocity**2 * basket.housing_coefficient
    assert drop == pytest.approx(0.4 * 6894.757, rel=1e-6)  # 0.4 psi; a psi to seven digits


def test_a_case_without_own_parts_is_as_before():
    assert {spelled for _, spelled, _ in keys_of(Case)}.isdisjoint({"catalogue", "own"})
    assert load_case(str(CASE)).case.catalogue == Catalogue()
    assert set(FIXED_TABLES) | set(SHEET_TABLES) == set(TABLES)
