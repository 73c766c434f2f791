"""However a case file is spoilt, the answer is a case or a list of problems, never a traceback."""

import re
from pathlib import Path

import pytest
from by_model import build_loops
from hypothesis import given, settings
from hypothesis import strategies as st

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.studies.size.size import size

GOOD = (Path(__file__).parent / "good.toml").read_text(encoding="utf-8").split("\n")
CASES = Path(__file__).parents[2] / "cases"
UNITS = (
    *("mm", "m", "L/min", "degC", "K", "kPa", "V", "%", "deg", "BTU/h", "spans", "", "m**2", "("),
    *("mm +/- 10 %", "m ± 1 K", "degC +/- 1 K", "m +/- 1e400 m", "+/-", "V +/- -5 V"),
)
NUMBERS = ("0", "-1", "1e9", "1e-9", "1e400", "3,5", "1/0", "1 1/4", "nan", "--2", "٣")
SYMBOLS = '[]{}"=#.,\n\r\t\\ \x00\x85é'

PLACES = st.integers(0, len(GOOD) - 1)


def value_of(line):
    return line.partition(" = ")[2]


def with_value(line, value):
    name, equals, _ = line.partition(" = ")
    return name + equals + value if equals else line


def delete(lines, first, second):
    return lines[:first] + lines[first + 1 :]


def repeat(lines, first, second):
    return [*lines[:second], lines[first], *lines[second:]]


def swap_values(lines, first, second):
    changed = list(lines)
    changed[first] = with_value(lines[first], value_of(lines[second]))
    changed[second] = with_value(lines[second], value_of(lines[first]))
    return changed


def swap_lines(lines, first, second):
    changed = list(lines)
    changed[first], changed[second] = lines[second], lines[first]
    return changed


def change_unit(lines, first, second):
    number = value_of(lines[first]).strip('"').split(" ")[0]
    changed = list(lines)
    changed[first] = with_value(lines[first], f'"{number} {UNITS[second % len(UNITS)]}"')
    return changed


def change_number(lines, first, second):
    unit = value_of(lines[first]).strip('"').partition(" ")[2]
    changed = list(lines)
    changed[first] = with_value(lines[first], f'"{NUMBERS[second % len(NUMBERS)]} {unit}"')
    return changed


def unquote(lines, first, second):
    changed = list(lines)
    changed[first] = with_value(lines[first], value_of(lines[first]).strip('"'))
    return changed


def insert_symbol(lines, first, second):
    line = lines[first]
    place = second % (len(line) + 1)
    changed = list(lines)
    changed[first] = line[:place] + SYMBOLS[second % len(SYMBOLS)] + line[place:]
    return changed


def cut_off(lines, first, second):
    return lines[: first + 1]


MUTATIONS = st.sampled_from(
    (
        *(delete, repeat, swap_values, swap_lines, change_unit, change_number),
        *(unquote, insert_symbol, cut_off),
    )
)
CHANGES = st.lists(st.tuples(MUTATIONS, PLACES, PLACES), min_size=1, max_size=4)


def spoil(changes):
    lines = GOOD
    for change, first, second in changes:
        if lines:
            lines = change(lines, first % len(lines), second % len(lines))
    return "\n".join(lines)


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    return tmp_path_factory.mktemp("fuzz") / "case.toml"


def load(file, content):
    """The case, or None if it was refused with problems that all say something."""
    file.write_bytes(content)
    try:
        return load_case(str(file)).case
    except SeaflowError as error:
        assert error.problems
        for problem in error.problems:
            assert problem.what
            assert problem.write
            assert problem.line is None or problem.line <= content.count(b"\n") + 1
        return None


@settings(max_examples=300, deadline=None)
@given(changes=CHANGES)
def test_a_spoilt_case_is_read_or_refused(file, changes):
    load(file, spoil(changes).encode("utf-8"))


@settings(max_examples=100, deadline=None)
@given(content=st.binary(max_size=200))
def test_bytes_are_refused(file, content):
    assert load(file, content) is None


@settings(max_examples=150, deadline=None)
@given(value=st.text(max_size=30))
def test_any_text_as_a_quantity(file, value):
    quoted = "".join(
        f"\\U{ord(letter):08X}" for letter in value if not 0xD800 <= ord(letter) < 0xE000
    )
    text = "\n".join(GOOD).replace('"2.4 m"', f'"{quoted}"')
    load(file, text.encode("utf-8"))


@settings(max_examples=200, deadline=None)
@given(changes=CHANGES)
def test_what_is_read_can_be_built(file, changes):
    case = load(file, spoil(changes).encode("utf-8"))
    if case is None:
        return
    pump = Catalogue().pump("demo-mag-medium-230")
    loops = build_loops(case, {place.name: pump for place in case.pump})
    assert loops
    for built in loops:
        assert built.loop.paths


NUMBER = re.compile(r'"(-?[\d.]+) ([A-Za-z/0-9%]+)"')
FACTORS = st.lists(
    st.tuples(
        st.integers(0, 100), st.sampled_from((0.0, 1e-3, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, -1.0))
    ),
    min_size=1,
    max_size=3,
)


@pytest.mark.parametrize("name", sorted(path.name for path in CASES.glob("*.toml")))
@settings(max_examples=12, deadline=None)
@given(factors=FACTORS)
def test_what_is_read_can_be_sized(file, name, factors):
    text = (CASES / name).read_text(encoding="utf-8")
    for place, factor in factors:
        found = list(NUMBER.finditer(text))
        hit = found[place % len(found)]
        changed = f'"{float(hit[1]) * factor:.12g} {hit[2]}"'
        text = text[: hit.start()] + changed + text[hit.end() :]
    case = load(file, text.encode("utf-8"))
    if case is not None:
        assert size(case, 0).loops
