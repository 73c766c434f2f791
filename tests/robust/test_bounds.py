"""No file takes more than some memory and time, and none is waited for."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from absurd import ANSWERS, CASES, GOOD, READINGS, SHEETS

from seaflow.base.problems import SeaflowError
from seaflow.boat.reader.bounds import acting, shown
from seaflow.boat.reader.text import read_text

SECONDS, MEGABYTES = 5, 300  # of processor time, and of memory at the most
# The limits are laid upon a process that runs the command and tells how much memory it took.
CODE = f"""
import resource, sys
resource.setrlimit(resource.RLIMIT_CPU, ({SECONDS}, {SECONDS}))
resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
from seaflow.cli.main import main
try:
    main(sys.argv[1:])
except SystemExit as ended:
    # Of this program alone: ru_maxrss would count the process that started it as well.
    with open("/proc/self/status") as status:
        most = next(int(line.split()[1]) for line in status if line.startswith("VmHWM")) / 1024
    print("MEGABYTES", most, file=sys.stderr)
    raise
"""
USES = [
    *((f"case, {name}", ("check", "file.toml"), text) for name, text in CASES.items()),
    *((f"sheet, {name}", ("parts", "--parts", "file.csv"), text) for name, text in SHEETS.items()),
    *(
        (f"readings, {name}", ("diagnose", "boat.toml", "--readings", "file.toml"), text)
        for name, text in READINGS.items()
    ),
    *(
        (f"answers, {name}", ("survey", "boat.toml", "--answers", "file.toml"), text)
        for name, text in ANSWERS.items()
    ),
    ("kept answers", ("new", "file.toml", "--ask"), CASES["dots"]),
]


@pytest.mark.parametrize(("name", "words", "text"), USES, ids=[name for name, *_ in USES])
def test_an_absurd_file_is_read_or_refused_within_bounds(tmp_path, name, words, text):
    (tmp_path / "boat.toml").write_text(GOOD, encoding="utf-8")
    file = "file.toml.answers.toml" if name == "kept answers" else words[-1]
    (tmp_path / file).write_text(text, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", CODE, *words],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        stdin=subprocess.DEVNULL,
    )
    assert done.returncode in (0, 1, 2, 3), (done.returncode, done.stderr[-500:])
    assert float(done.stderr.rpartition("MEGABYTES")[2]) < MEGABYTES


@pytest.mark.parametrize("name", ["/dev/zero", "fifo"])
def test_what_never_ends_is_not_waited_for(tmp_path, name):
    (tmp_path / "boat.toml").write_text(GOOD, encoding="utf-8")
    os.mkfifo(tmp_path / "fifo")
    for words in (
        ("check", name),
        ("check", "boat.toml", "--parts", name),
        ("diagnose", "boat.toml", "--readings", name),
        ("survey", "boat.toml", "--answers", name),
    ):
        done = subprocess.run(
            [sys.executable, "-m", "seaflow", *words],
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=False,
            timeout=120,
        )
        assert done.returncode == 2
        assert "F15" in done.stdout + done.stderr


def test_the_bounds_leave_room_for_every_shipped_boat():
    import tomllib

    from seaflow.boat.reader.bounds import MOST_ROWS, MOST_TABLES, excess

    for path in (Path(__file__).parents[2] / "cases").glob("*.toml"):
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
        tenfold = {name: rows * 10 for name, rows in raw.items() if isinstance(rows, list)}
        assert excess(tenfold) is None, (path, MOST_ROWS, MOST_TABLES)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (f"schema = 1\nx = {'9' * 5000}\n\n\ny = 1\n", 2),
        ("x = " + "{a=" * 5000 + "1" + "}" * 5000, None),
    ],
)
def test_what_cannot_be_read_for_its_size_is_named_where_it_stands(tmp_path, text, line):
    file = tmp_path / "file.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(SeaflowError) as refused:
        read_text(str(file))
    (problem,) = refused.value.problems
    assert (problem.code, problem.line) == ("F16", line)


PLAIN = ("a", "\u00e9", "\u00a0", "\u2003", "\u200c", "\u200d", "\u06f1", "\U0001f6a4")
ACTING = ("\x07", "\x1b", "\x85", "\u00ad", "\u202e", "\u2028", "\u2029", "\ue000", "\ud800")


@pytest.mark.parametrize("beside", ["", "boat", "\u00a0"])
def test_a_text_acts_if_one_of_its_characters_does(beside):
    """A space that does not break and the joiners of some scripts are shown, and not told off."""
    for one in PLAIN:
        assert not acting(beside + one)
        assert shown(beside + one + beside) == beside + one + beside
    for one in ACTING:
        for text in (beside + one, one + beside, beside + one + beside):
            assert acting(text)
            assert shown(text) == text.replace(one, "\ufffd")
