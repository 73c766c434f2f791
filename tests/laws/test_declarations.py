"""One declaration of every key: reader, JSON Schema, reference page and starter say the same."""

import re
import tomllib
from pathlib import Path

import jsonschema
import pytest

from seaflow.base.glossary import glossary_entry
from seaflow.base.spread import read_with_spread, without_typical
from seaflow.base.tables import read_table
from seaflow.base.units import Misread, read_quantity
from seaflow.boat.case import Case
from seaflow.boat.json_schema import (
    PURE,
    SCHEMAS,
    WITH_UNIT,
    case_schema,
    example_value,
    part_table,
    parts_schema,
    schema_text,
)
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import SHEET_TABLES, Catalogue
from seaflow.boat.parts.own_parts import load_parts
from seaflow.boat.parts.sheets import PartsFile
from seaflow.boat.reader.possible import limits_of
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_record
from seaflow.boat.reader.text import CaseText
from seaflow.forms.starter import case_text, starter_text

ROOT = Path(__file__).parents[2]
CASES = sorted((ROOT / "cases").glob("*.toml"))
# What an editor can see without knowing units, parts or how things hang together.
SEEN_BY_THE_SCHEMA = ("K01", "K02", "K03", "K04", "K05", "K10", "K11", "S21")
BAD = sorted(
    path
    for path in (ROOT / "tests" / "messages").glob("*.toml")
    if path.stem[:3] in SEEN_BY_THE_SCHEMA
)
BAD_PARTS = ("K01", "K02", "P01", "P02", "P06", "P08")
PARTS = sorted((ROOT / "tests" / "messages" / "parts").glob("*.toml"))
SAID = tomllib.loads(Path(__file__).with_name("declared.toml").read_text(encoding="utf-8"))
JUST = 0.001  # beyond an end
ROUNDING = 1e-9  # of an end, read in another unit
LINKED = re.compile(r"\[[^\]]*\]\(#([\w-]+)\)")


def declared_paths(record=Case, above=()):
    """Every key and the tables it stands in."""
    for _, spelled, key in keys_of(record):
        yield (*above, spelled)
        if key.of is not None:
            yield from declared_paths(key.of, (*above, spelled))


def declared_keys(record=Case):
    for _, spelled, key in keys_of(record):
        yield f"{record.__name__}.{spelled}", key
        if key.of is not None:
            yield from declared_keys(key.of)


def schema_paths(schema, node, above=()):
    for name, inner in node["properties"].items():
        if (*above, name) == ("meta",):
            continue
        yield (*above, name)
        shape = inner.get("anyOf", [inner])[0]  # of a sheet: or it is not given
        target = shape.get("items", shape).get("$ref")
        if target is not None:
            record = schema["$defs"][target.rpartition("/")[2]]
            yield from schema_paths(schema, record, (*above, name))


def data_paths(raw, above=()):
    for name, value in raw.items():
        if (*above, name) == ("meta",):
            continue
        yield (*above, name)
        for item in value if isinstance(value, list) else [value]:
            if isinstance(item, dict):
                yield from data_paths(item, (*above, name))


def page_paths(page):
    """Every key of the reference page, its inner tables followed along their links."""
    rows, heads = {}, {}
    for block in re.split(r"^#{2,3} ", page, flags=re.M)[1:]:
        title, _, body = block.partition("\n")
        tables = re.findall(r"\[\[?(\w+)\]\]?", title)
        name = title.lower().replace(" ", "-")
        rows[name] = re.findall(r"^\| `(\w+)` \|(.*)$", body, re.M)
        heads |= dict.fromkeys(tables, name)

    def below(name, above):
        for key, rest in rows[name]:
            yield (*above, key)
            link = LINKED.search(rest)
            if link is not None:
                yield from below(link[1], (*above, key))

    yield from below("first-of-all", ())
    for table, name in heads.items():
        yield (table,)
        yield from below(name, (table,))


def with_every_key(text):
    """The starter with the # taken away from every key that may be left out."""
    return re.sub(r"^#(?=[^\s:])", "", text, flags=re.M)


def test_the_schema_has_every_key():
    schema = case_schema()
    assert set(schema_paths(schema, schema)) == set(declared_paths())


def test_the_starter_has_every_key():
    raw = tomllib.loads(with_every_key(starter_text()))
    assert set(data_paths(raw)) == set(declared_paths())


def test_the_reference_page_has_every_key():
    page = (ROOT / "docs" / "case-file.md").read_text(encoding="utf-8")
    assert set(page_paths(page)) == set(declared_paths())


def test_every_commented_key_of_the_starter_can_be_read():
    raw = tomllib.loads(with_every_key(starter_text()))
    reading = Reading(CaseText("starter"))
    read_record(Case, raw, (), reading, text=reading.text)
    assert reading.problems == []


def test_the_starter_loads_without_a_remark(tmp_path):
    path = tmp_path / "boat.toml"
    path.write_text(starter_text(), encoding="utf-8")
    assert load_case(str(path)).warnings == ()


def test_the_starter_teaches_where_to_measure_from():
    text = " ".join(starter_text().replace("#", " ").split())
    for words in (
        "from the waterline",
        "afloat and loaded",
        "cabin sole",
        "boot top",
        "clear hose",
    ):
        assert words in text
    assert "INVENTED" in text
    assert "PLATE" in text
    assert "COUNT BENDS" in text


def test_the_order_of_the_starter_has_every_table():
    tables = {spelled for _, spelled, key in keys_of(Case) if key.of is not None}
    table = read_table("starter.toml")
    assert set(table["order"]) == tables
    assert len(table["order"]) == len(tables)
    assert set(table["lessons"]) == tables


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_case_written_anew_says_the_same(path):
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    raw.pop("meta", None)
    again = tomllib.loads(case_text(raw, "head"))
    assert {name: table for name, table in again.items() if table or name in raw} == raw


def test_text_of_any_kind_survives_the_writing():
    odd = 'a "b" \\ c\t\x07\x7f é\u2028{n} # x'
    raw = tomllib.loads(starter_text())
    raw["boat"]["name"] = odd
    assert tomllib.loads(case_text(raw, "head"))["boat"]["name"] == odd


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_schema_is_a_schema(name):
    jsonschema.Draft202012Validator.check_schema(SCHEMAS[name]())


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_written_schema_is_fresh(name):
    written = (ROOT / "docs" / name).read_text(encoding="utf-8")
    assert written == schema_text(SCHEMAS[name]()), "run: python -m seaflow.boat.json_schema docs"


def errors_of(text, schema=None):
    validator = jsonschema.Draft202012Validator(schema or case_schema())
    return [error.message for error in validator.iter_errors(tomllib.loads(text))]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_unit_needs_its_cooling_or_the_name_of_a_sheet(path):
    text = path.read_text(encoding="utf-8")
    without = re.sub(r"^cooling = .*$", "", text, flags=re.M)
    assert without != text
    assert errors_of(without) != []
    named = re.sub(r"^cooling = .*$", 'model = "cabin-16"', text, flags=re.M)
    assert errors_of(named) == []
    by_coil = re.sub(r"^cooling = .*$", 'coil = "coil-15"', text, flags=re.M)
    assert errors_of(by_coil) != []  # the sheet of a coil tells nothing of the cooling


def test_the_reader_takes_a_unit_by_its_sheet_as_the_schema_does(tmp_path):
    text = (ROOT / "cases" / "ketch-one-unit.toml").read_text(encoding="utf-8")
    path = tmp_path / "boat.toml"
    path.write_text(re.sub(r"^cooling = .*$", 'model = "cabin-16"', text, flags=re.M))
    catalogue = load_parts([str(ROOT / "docs" / "examples" / "own-parts.toml")]).catalogue
    assert load_case(str(path), catalogue).case.unit[0].cooling == pytest.approx(4689.1, abs=0.1)


def test_the_schema_of_parts_has_every_key():
    schema = parts_schema()
    assert set(schema_paths(schema, schema)) == set(declared_paths(PartsFile))


def test_the_schema_of_parts_takes_the_examples():
    for path in sorted((ROOT / "docs" / "examples").glob("*.toml")):
        assert errors_of(path.read_text(encoding="utf-8"), parts_schema()) == []
    page = (ROOT / "docs" / "own-parts.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```toml\n(.*?)```", page, re.S)
    assert blocks
    for block in blocks:
        assert errors_of(block, parts_schema()) == []


@pytest.mark.parametrize("table", SHEET_TABLES)
def test_the_schema_of_parts_takes_every_shipped_part(table):
    schema = parts_schema()
    sheet = {"$ref": f"#/$defs/{SHEET_TABLES[table].__name__}", "$defs": schema["$defs"]}
    validator = jsonschema.Draft202012Validator(sheet)
    for name, row in Catalogue().rows(table).items():
        assert [error.message for error in validator.iter_errors({**row, "name": name})] == []


@pytest.mark.parametrize("path", PARTS, ids=lambda path: path.stem)
def test_the_schema_of_parts_refuses_what_an_editor_can_see(path):
    found = errors_of(path.read_text(encoding="utf-8"), parts_schema())
    assert bool(found) == (path.stem[:3] in BAD_PARTS)


@pytest.mark.parametrize("key", ["price", "points", "required_npsh", "duty", "self_priming"])
def test_the_schema_of_parts_takes_what_a_sheet_does_not_say(key):
    text = """
        [[pump]]
        name = "a pump"
        source = "its leaflet"
        supply = "dc"
        voltage = "12 V"
        shut_off_head = "3.6 m"
        free_flow = "1500 lph"
    """
    assert errors_of(f'{text}\n{key} = "not given"', parts_schema()) == []
    assert errors_of(text.replace('"12 V"', '"not given"'), parts_schema()) != []


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_schema_takes_every_shipped_case(path):
    assert errors_of(path.read_text(encoding="utf-8")) == []


def test_the_schema_takes_the_starter():
    assert errors_of(starter_text()) == []
    assert errors_of(with_every_key(starter_text())) == []


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_the_schema_refuses_what_an_editor_can_see(path):
    assert errors_of(path.read_text(encoding="utf-8")) != []


def test_there_are_bad_cases_for_the_schema():
    assert {path.stem[:3] for path in BAD} == set(SEEN_BY_THE_SCHEMA)


KEYS = dict(declared_keys())


@pytest.mark.parametrize("name", [name for name, key in KEYS.items() if key.example])
def test_the_example_of_a_key_fits_its_schema(name):
    record, _, spelled = name.partition(".")
    schema = case_schema()
    node = schema if record == "Case" else schema["$defs"][record]
    part = {**node["properties"][spelled], "$defs": schema["$defs"]}
    jsonschema.Draft202012Validator(part).validate(example_value(KEYS[name]))


def test_parts_are_examples_and_no_choice():
    named = [name for name, key in KEYS.items() if part_table(key)]
    assert {part_table(KEYS[name]) for name in named} >= {"pumps", "strainers", "hoses", "fittings"}
    schema = case_schema()
    for name in named:
        record, _, spelled = name.partition(".")
        node = schema["$defs"][record]["properties"][spelled]
        assert node["examples"]
        assert "enum" not in node


@pytest.mark.parametrize(
    "text",
    [
        *("4.5 m", "3/4 in", "1 1/4 in", "1-1/4 in", '3/4"', "-0.55 m", "−0.55 m", "16000 BTU/h"),
        *("16 000 BTU/h", "3 US gal/min", "85 °F", "20 %", ".5 m", "1e-2 m", "  2 m  ", "2.4m"),
        *("2.4 m +/- 10 %", "2.4 m ± 1 ft", "1 / 2 in"),
        *("3-4 m", "3 m to 4 m", "4.2 m (+0 -10 %)", "4.2 m (±10 %)"),
        *("4.5 m typical +/- 1 m", "typical 4.5 m", "Typical -0.5 m", "4.5 m typical"),
    ],
)
def test_the_pattern_takes_what_the_reader_takes(text):
    assert re.search(WITH_UNIT, text)


@pytest.mark.parametrize("text", ["4.5", "4,5 m", "m", "", "about 3 m", "1/2", "3 +/- 1", "- 4"])
def test_the_pattern_refuses_what_the_reader_refuses(text):
    assert not re.search(WITH_UNIT, text)
    with pytest.raises(Misread):
        read_with_spread(text, "m")


@pytest.mark.parametrize(
    "text",
    [
        *("0.5", "50 %", "50%", "50 percent", "50 % +/- 5 %", "4.5 ± 10 %"),
        *("40-60 %", "50 % typical", "typical 0.5", "4.5 typical ± 10 %"),
    ],
)
def test_the_pattern_of_pure_numbers(text):
    assert re.search(PURE, text)
    read_with_spread(without_typical(text), "-")


@pytest.mark.parametrize("text", ["0.5 m", "0,5", "half", "", "50 kPa"])
def test_the_pattern_of_pure_numbers_refuses_the_rest(text):
    assert not re.search(PURE, text)
    with pytest.raises(Misread):
        read_with_spread(text, "-")


EVERY = dict([*declared_keys(), *declared_keys(PartsFile)])


def test_what_a_file_must_hold_and_may_list_is_what_was_said():
    assert {name for name, one in EVERY.items() if one.required} == set(SAID["required"])
    assert {name for name, one in EVERY.items() if one.many} == set(SAID["lists"])
    bounded = {name for name, one in EVERY.items() if one.least is not None or one.most is not None}
    assert bounded == set(SAID["keys"])


@pytest.mark.parametrize("name", [*SAID["quantities"], *SAID["keys"]])
def test_a_value_ends_where_it_was_said(name):
    one = EVERY.get(name) or Key("", quantity=name)
    limits = limits_of(one)
    for text, away in zip((SAID["quantities"] | SAID["keys"])[name], (-1.0, 1.0), strict=True):
        if not text:
            assert limits.holds(1e12)
            continue
        unit = glossary_entry(one.quantity).unit if one.quantity else "-"
        end = read_quantity(text, unit) if unit != "-" or "%" in text else float(text)
        size = abs(end) or 1e-3
        assert limits.holds(end) or limits.holds(end - away * size * ROUNDING)
        assert not limits.holds(end + away * size * JUST)
