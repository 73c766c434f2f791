"""Each code has a bad case that raises it, at the marked line, with something to write instead."""

import re
import tomllib
from pathlib import Path

import pytest

from seaflow.base.glossary import glossary_entry
from seaflow.base.problems import SeaflowError
from seaflow.base.units import read_quantity
from seaflow.boat.case import Case
from seaflow.boat.keys import keys_of
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.reader.text import LARGEST_FILE

FOLDER = Path(__file__).parent
SOURCES = Path(load_case.__code__.co_filename).parent
FILES = sorted(FOLDER.glob("[A-Z]*.toml"))
MARK = "# <- here"
# What follows of itself from the fault that a file shows.
COMPANIONS = {
    "S05": {"S11"},
    "S08": {"S14"},
    "S12": {"S08", "S14"},
    "S13": {"S05", "S11"},
    "S26": {"S03"},
}
WITHOUT_FILE = {"F01", "F02", "F03", "F06", "F15"}  # these are no text that could be kept here
WARNINGS = {"Q01", "Q02", "Q03", "S25", "S43", "S62", "S63", "S69"}


def problems_of(path):
    try:
        return load_case(str(path)).warnings
    except SeaflowError as error:
        return error.problems


def marked_line(path):
    lines = path.read_bytes().split(b"\n")
    return next((i for i, line in enumerate(lines, 1) if MARK.encode() in line), None)


def codes_in_the_sources():
    text = "".join(path.read_text(encoding="utf-8") for path in sorted(SOURCES.rglob("*.py")))
    return set(re.findall(r'"([FKQS]\d\d)"', text))


def assert_helps(problem):
    """Assert that a problem reads as a sentence and not as a traceback."""
    assert problem.what.strip()
    assert problem.write.strip()
    for part in (problem.what, problem.why, problem.write):
        assert "{" not in part.replace("{ ", ""), part  # a place left unfilled
        for word in ("None", "nan", "Error", "<class", "tuple", "dict"):
            assert not re.search(rf"\b{word}\b", part), part
    assert not problem.what.endswith(".")
    assert "\n" not in problem.what


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_bad_case(path):
    code = path.stem[:3]
    found = problems_of(path)
    own = [problem for problem in found if problem.code == code]
    assert own, [problem.code for problem in found]
    assert {problem.code for problem in found} <= {code} | COMPANIONS.get(code, set())
    assert own[0].line == marked_line(path)
    assert own[0].file == str(path)
    assert all(problem.warning == (code in WARNINGS) for problem in own)
    for problem in found:
        assert_helps(problem)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_caret_lies_on_the_line(path):
    lines = path.read_bytes().decode("latin-1").split("\n")
    for problem in problems_of(path):
        if problem.column is not None:
            text = lines[problem.line - 1].partition("#")[0]
            assert problem.column >= 1
            assert problem.column - 1 + problem.length <= len(text)


MARKED = ("K01", *(f"K{number:02}" for number in range(3, 14)), "K15", "K16")


@pytest.mark.parametrize(
    "path", [path for path in FILES if path.stem[:3] in MARKED], ids=lambda path: path.stem
)
def test_the_caret_marks_the_key_or_what_was_written_for_it(path):
    for problem in problems_of(path):
        if problem.code == path.stem[:3] and problem.column is not None:
            line = path.read_text(encoding="utf-8").split("\n")[problem.line - 1]
            marked = line[problem.column - 1 :][: problem.length]
            if problem.code == "K01":
                assert re.fullmatch(r"[\w]+", marked) and line[: problem.column - 1].strip() == ""
                assert line.partition("=")[0].strip() == marked
            else:
                given = tomllib.loads(f"value = {marked}" if "=" not in marked else marked)
                assert len(given) == 1, marked


@pytest.mark.parametrize(
    ("old", "new", "which", "bound"),
    [
        ('"25 mm"', '"1 mm"', "least", "3 mm"),
        ('"25 mm"', '"20 cm"', "most", "15 cm"),
        ('"25 mm"', '"10 in"', "most", "5.91 in"),
        ('"2.4 m"', '"300 m"', "most", "200 m"),
        ('"36 g/kg"', '"51 g/kg"', "most", "50 g/kg"),
        ('"230 V"', '"2 kV"', "most", "1 kV"),
        ('"-0.60 m"', '"-11 m"', None, None),  # a bound below nought is not told
    ],
)
def test_a_value_beyond_what_can_be_is_told_the_bound_in_its_own_unit(
    tmp_path, old, new, which, bound
):
    found = [one for one in problems_of(good_with(tmp_path, old, new)) if one.code == "K12"]
    told = re.search(r"The (least|most) is ([^;]+?)\. ", found[0].write)
    assert (told and told.groups()) == (which and (which, bound))
    assert ("too small" if which in ("least", None) else "too large") in found[0].what


@pytest.mark.parametrize(
    ("value", "word"), [('"0 mm"', "zero"), ('"-25 mm"', "negative"), ('"0.1 mm"', "too small")]
)
def test_what_is_wrong_with_a_value_is_named(tmp_path, value, word):
    (found,) = problems_of(
        good_with(
            tmp_path, 'height = "0.15 m"\nbore = "19 mm"', f'height = "0.15 m"\nbore = {value}'
        )
    )
    assert word in found.what


def test_the_good_case_is_good():
    assert problems_of(FOLDER / "good.toml") == ()


def test_each_code_has_a_file_and_each_file_a_code():
    codes = codes_in_the_sources()
    assert {path.stem[:3] for path in FILES} == codes - WITHOUT_FILE
    assert codes >= WITHOUT_FILE


def test_missing_file(tmp_path):
    (problem,) = problems_of(tmp_path / "none.toml")
    assert (problem.code, problem.line) == ("F01", None)
    assert_helps(problem)


def test_a_file_that_is_misspelt_is_offered_the_one_beside_it(tmp_path):
    (tmp_path / "boat.toml").write_text("", encoding="utf-8")
    (tmp_path / "boat.txt").write_text("", encoding="utf-8")
    for named in ("baot.toml", "boat"):
        (problem,) = problems_of(tmp_path / named)
        assert problem.code == "F01" and str(tmp_path / "boat.toml") in problem.write
    (problem,) = problems_of(tmp_path / "quite-another.toml")
    assert "boat" not in problem.write
    (problem,) = problems_of(tmp_path / "none" / "boat.toml")
    assert "Check" in problem.write


def test_folder(tmp_path):
    (problem,) = problems_of(tmp_path)
    assert (problem.code, problem.line) == ("F02", None)
    assert_helps(problem)


@pytest.mark.parametrize("content", [b"", b" \n\t\n", b"\xef\xbb\xbf", b"\xef\xbb\xbf\r\n"])
def test_empty_file(tmp_path, content):
    path = tmp_path / "empty.toml"
    path.write_bytes(content)
    (problem,) = problems_of(path)
    assert problem.code == "F03"
    assert_helps(problem)


def test_huge_file(tmp_path):
    path = tmp_path / "huge.toml"
    path.write_bytes(b"# " + b"x" * LARGEST_FILE)
    (problem,) = problems_of(path)
    assert problem.code == "F06"
    assert_helps(problem)


def good_with(tmp_path, old, new):
    """The good case with one text replaced, as a file."""
    text = (FOLDER / "good.toml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "case.toml"
    path.write_bytes(text.replace(old, new, 1).encode("utf-8"))
    return path


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ('"1e400 m"', "K12"),
        ('"' + "9" * 5000 + '/7 m"', "F16"),
        ('"2.4' + " " * 400 + 'm"', "K04"),
        ('"2.4' + " " * 5000 + 'm"', "F16"),
        ('"2.4 m*9**9**9**9"', "K06"),
        ("true", "K10"),
        ("2020-01-01", "K10"),
        ("[]", "K10"),
        ("9" * 5000, "F16"),
        ("[" * 5000, "F16"),
        ("[" * 20000, "F16"),
        ("[" * 30000, "F16"),
        ('"2.4 mtr"', "K06"),
    ],
    ids=lambda value: value[:12],
)
def test_odd_values_are_refused(tmp_path, value, code):
    found = problems_of(good_with(tmp_path, '"2.4 m"', value))
    assert [problem.code for problem in found] == [code]
    assert_helps(found[0])


def test_all_problems_are_told_at_once(tmp_path):
    path = good_with(
        tmp_path, 'bore = "25 mm"\nlength = "0.5 m"', "bore = 25\nlength = 0.5\nbend = 1"
    )
    assert [problem.code for problem in problems_of(path)] == ["K03", "K03", "K01"]


def test_text_over_several_lines_does_not_shift_the_lines(tmp_path):
    note = '[meta]\nnote = """\n[[hose]]\nlength = "1 m"\n"""\n\n[boat]'
    path = good_with(tmp_path, "[boat]", note)
    path.write_text(path.read_text(encoding="utf-8").replace('"2.4 m"', "2.4"), encoding="utf-8")
    (problem,) = problems_of(path)
    assert path.read_text(encoding="utf-8").split("\n")[problem.line - 1] == "length = 2.4"


@pytest.mark.parametrize("strange", ["\x85", "\u2028", "\u2029"])
def test_only_line_feeds_count_as_lines(tmp_path, strange):
    path = good_with(tmp_path, "schema = 1", f"# a{strange}b\r\nschema = 1\r\nspare = 2")
    (problem,) = problems_of(path)
    assert path.read_bytes().split(b"\n")[problem.line - 1] == b"spare = 2"


@pytest.mark.parametrize(
    ("old", "new", "at_fault", "near"),
    [
        ('on = "intake"', 'on = "intak"', "seacock", "intake"),
        ('on = "intake"', 'on = "strainer"', "seacock", None),  # no hole in the hull
        ('to = "strainer"', 'to = "strainr"', "hose", "strainer"),
    ],
)
def test_what_names_a_thing_that_is_not_there_is_told(tmp_path, old, new, at_fault, near):
    found = next(one for one in problems_of(good_with(tmp_path, old, new)) if one.code == "S03")
    named = [word for word in ("seacock", "hose") if f"a {word}" in found.what]
    assert named == [at_fault]
    assert (f'"{near}"' in found.write) == (near is not None)


def test_names_of_fields_that_are_no_keys_are_refused(tmp_path):
    path = good_with(tmp_path, "schema = 1", 'schema = 1\ntext = "x"\nassumptions = []')
    assert [problem.code for problem in problems_of(path)] == ["K01", "K01"]


def declared(record):
    """Every key of a record and of the records in it."""
    for _, spelled, key in keys_of(record):
        yield f"{record.__name__}.{spelled}", key
        if key.of is not None:
            yield from declared(key.of)


KEYS = dict(declared(Case))


@pytest.mark.parametrize("name", KEYS)
def test_what_a_key_tells_you_to_write_can_be_read(name):
    key = KEYS[name]
    assert key.meaning.endswith(".")
    if key.quantity is not None:
        example = tomllib.loads(f"x = {key.example}")["x"]
        for value in example if key.many else [example]:
            read_quantity(str(value), glossary_entry(key.quantity).unit)
    table = re.search(r"rows? of the (\w+) table", key.meaning)
    if table is not None:
        for part in re.findall(r'"([^"]+)"', key.example):
            Catalogue().find(table[1], part)


@pytest.mark.parametrize("told", ["30 m" + "*m" * 200, "9" * 100])
def test_what_is_longer_than_any_quantity_is_told_so_and_not_that_it_is_no_number(told, tmp_path):
    good = FOLDER.joinpath("good.toml").read_text(encoding="utf-8")
    file = tmp_path / "long.toml"
    file.write_text(good.replace('length = "2.4 m"', f'length = "{told}"'), encoding="utf-8")
    (problem,) = problems_of(file)
    assert problem.code == "K04"
    assert "start with a number" not in problem.what
    assert len(problem.what) < 120
