"""Each code of own parts has a bad file that raises it, at its line, with something to write."""

import re
from pathlib import Path

import pytest

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.parts.own_parts import load_parts
from seaflow.present.problems import problems_text

FOLDER = Path(__file__).parent / "parts"
SOURCES = Path(load_case.__code__.co_filename).parent
FILES = sorted(path for path in FOLDER.iterdir() if path.stem != "good")
GOOD = sorted(path for path in FOLDER.iterdir() if path.stem == "good")
MARK = "# <- here"
REMARKS = {"P05", "P10", "P20", "P21", "P22", "Q01"}
# A table holds no marks: the line, and the text under the carets where there are some.
IN_CSV = {
    "K05-decimal-comma": (3, "3,5"),
    "P12-no-kind": (1, None),
    "P12-no-name": (1, None),
    "P13-open-quote": (3, None),
    "P14-unknown-column": (1, "voltige [V]"),
    "P15-decimal-comma": (3, "pump,,,,15,3,5"),
    "P16-no-such-kind": (3, "pomp"),
    "P17-rows-disagree": (3, "24"),
    "P18-no-supply": (None, None),
    "P18-two-frequencies": (None, None),
    "P18-a-comma": (5, "1,800"),
    "P19-flow-in-metres": (2, "Flow (m)"),
    "P20-a-column-more": (2, "Efficiency %"),
    "P21-one-curve-twice": (2, "Flow (gpm)"),
    "P22-amps-without-power-factor": (2, "Amps"),
}


def problems_of(path):
    try:
        return load_parts([str(path)]).warnings
    except SeaflowError as error:
        return error.problems


def marked_line(path):
    lines = path.read_text(encoding="utf-8").split("\n")
    return next((i for i, line in enumerate(lines, 1) if MARK in line), None)


def assert_helps(problem):
    """Assert that a problem reads as a sentence and not as a traceback."""
    assert problem.what.strip()
    assert problem.write.strip()
    for part in (problem.what, problem.why, problem.write):
        assert not re.search(r"\b(None|nan|Error|<class|tuple|dict)\b", part), part
    assert not problem.what.endswith(".")
    assert "\n" not in problem.what


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_bad_file(path):
    code = path.stem[:3]
    (problem,) = problems_of(path)
    assert problem.code == code
    assert problem.file == str(path)
    assert problem.warning == (code in REMARKS)
    assert_helps(problem)
    if path.suffix in (".csv", ".txt"):
        line, under = IN_CSV[path.stem]
        assert problem.line == line
        if under is not None:
            text = path.read_text(encoding="utf-8").split("\n")[line - 1]
            assert text[problem.column - 1 :][: problem.length] == under
    else:
        assert problem.line == marked_line(path)


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.name)
def test_good_file(path):
    assert problems_of(path) == ()


def test_each_code_has_a_file():
    text = "".join(path.read_text(encoding="utf-8") for path in SOURCES.rglob("*.py"))
    codes = set(re.findall(r'"(P\d\d)"', text))
    assert {path.stem[:3] for path in FILES} - {"K01", "K02", "K05", "K06", "Q01"} == codes


def test_full_text_of_a_rising_curve():
    path = FOLDER / "P09-rising.toml"
    assert problems_text(problems_of(path)) == (
        f"P09  {path}:11  problem: "
        'the points of "good pump" make no pump curve: the head of the pump curve rises by 7.5% '
        "with flow; only a hump up to 3% is taken\n"
        '   11 |     { flow = "15 L/min", head = "4.3 m" },  # <- here\n'
        "      |                                 ^^^^^^^\n"
        "    A pump gives less head at more flow.\n"
        "    Look for a slip in the points; leave out the rising part if the sheet has one.\n"
        "\n"
        "1 problem. Nothing was calculated.\n"
        "seaflow explain P09 says more."
    )


def test_all_problems_of_all_files_are_told_at_once():
    files = [FOLDER / "P08-one-end.toml", FOLDER / "P16-no-such-kind.csv", FOLDER / "none.toml"]
    with pytest.raises(SeaflowError) as caught:
        load_parts([str(path) for path in files])
    assert [problem.code for problem in caught.value.problems] == ["P08", "P16", "F01"]


def test_one_name_in_two_files_is_refused_and_both_are_named(tmp_path):
    other = tmp_path / "other.toml"
    text = (FOLDER / "good.toml").read_text(encoding="utf-8")
    assert '"4 m"' in text
    other.write_text(text.replace('"4 m"', '"5 m"'), encoding="utf-8")  # another pump
    with pytest.raises(SeaflowError) as caught:
        load_parts([str(FOLDER / "good.toml"), str(other)])
    (problem,) = caught.value.problems
    assert problem.code == "P04"
    assert problem.file == str(other)
    assert "good.toml" in problem.what


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"[[pump", b"pump = 3", b"pump = [3]"])
def test_spoilt_files_are_refused(tmp_path, content):
    for name in ("own.toml", "own.csv"):
        path = tmp_path / name
        path.write_bytes(content)
        for problem in problems_of(path):
            assert_helps(problem)
        with pytest.raises(SeaflowError):
            load_parts([str(path)])
