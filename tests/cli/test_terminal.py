"""What is printed on a terminal: tables folded to its width, headings and labels in bold."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from seaflow.present import layout
from seaflow.present.card import Block, Card, card_text
from seaflow.present.layout import Heading, page, table

BOLD = "\x1b[1m"
HEAD = ("place", "what is there", "m")
ROWS = [
    ("bilge, aft end", "dry, in reach, and quiet at every berth but one", "0.46"),
    ("locker", "high", "12.5"),
]
CASE = Path(__file__).parents[2] / "cases" / "ketch-one-unit.toml"


@pytest.fixture
def terminal(monkeypatch):
    """Makes standard output a terminal of so many columns."""

    def of(columns):
        monkeypatch.setattr(layout.sys.stdout, "isatty", lambda: True)
        monkeypatch.setenv("COLUMNS", str(columns))
        monkeypatch.setenv("TERM", "xterm")
        monkeypatch.delenv("NO_COLOR", raising=False)

    return of


def words_of(text):
    return sorted(text.replace("-", " ").split())


@pytest.mark.parametrize("columns", range(50, 120, 3))
def test_a_table_keeps_to_the_terminal_and_loses_no_word(columns, terminal):
    plain = table(HEAD, ROWS, right=(2,))
    terminal(columns)
    folded = table(HEAD, ROWS, right=(2,))
    assert max(map(len, folded.split("\n"))) <= columns
    assert words_of(folded) == words_of(plain)
    if columns >= max(map(len, plain.split("\n"))):
        assert folded == plain


def test_only_the_widest_column_is_folded(terminal):
    terminal(56)
    first, second, third = table(HEAD, ROWS[:1], right=(2,)).split("\n")
    assert second.startswith("  bilge, aft end  dry") and second.endswith("0.46")
    assert third.startswith(" " * 18) and third.strip()
    assert first.endswith("   m")


def test_a_table_of_words_too_long_for_the_terminal_is_a_list(terminal):
    terminal(60)
    long = [("x" * 40, "y" * 40, "1")]
    said = table(HEAD, long)
    assert f"place: {long[0][0]}" in said


def test_a_pipe_gets_a_table_as_wide_as_it_needs(monkeypatch):
    monkeypatch.setenv("COLUMNS", "50")
    assert len(table(HEAD, ROWS).split("\n")) == 3


def test_headings_and_labels_are_bold_and_nothing_else_changes():
    lines = [Heading("A title"), "words"]
    assert page(lines, bolder=True).replace(BOLD, "").replace("\x1b[0m", "") == page(lines)
    assert f"{BOLD}A title" in page(lines, bolder=True)
    card = Card(
        "Title", (Block("Yes", ("said",)), Block("Do", ("a", "b"), listed=True, apart=True))
    )
    shown = card_text(card, bolder=True)
    assert re.sub(r"\x1b\[\dm", "", shown) == card_text(card)
    assert re.findall(r"\x1b\[1m(.*?)\x1b\[0m", shown) == ["Title", "Yes", "Do"]


def shown_on_a_terminal(columns, asked=(str(CASE), "--full"), stream="stdout", **more):
    """What `size` writes to a stream that is a terminal of its own."""
    import pty

    ours, theirs = pty.openpty()
    known = {**os.environ, "COLUMNS": str(columns), "TERM": "xterm", **more}
    words = [sys.executable, "-m", "seaflow", "size", *asked, "--samples", "0"]
    streams = {"stdout": subprocess.DEVNULL, "stdin": theirs, stream: theirs}
    with subprocess.Popen(words, **streams, env=known) as run:
        os.close(theirs)
        told = b""
        while True:
            try:
                part = os.read(ours, 65536)
            except OSError:  # the other end is closed
                break
            if not part:
                break
            told += part
        run.wait()
    os.close(ours)
    return told.decode("utf-8").replace("\r\n", "\n")


@pytest.mark.skipif(sys.platform == "win32", reason="no such terminals")
def test_a_whole_answer_on_a_terminal():
    shown = shown_on_a_terminal(76)  # columns; the curves in letters take 74
    assert f"{BOLD}Yes" in shown
    assert max(len(line) for line in re.sub(r"\x1b\[\dm", "", shown).split("\n")) <= 76
    assert "\x1b" not in shown_on_a_terminal(76, NO_COLOR="1")


def test_nothing_is_bold_in_a_pipe_or_on_a_dumb_terminal(monkeypatch, terminal):
    assert not layout.shows_bold()
    terminal(80)
    assert layout.shows_bold()
    monkeypatch.setenv("TERM", "dumb")
    assert not layout.shows_bold()


@pytest.mark.skipif(sys.platform == "win32", reason="no such terminals")
@pytest.mark.parametrize("columns", [20, 40, 62, 120])
def test_the_progress_of_many_cases_keeps_to_the_terminal(columns, tmp_path):
    long = tmp_path / f"{'a-long-name-of-a-boat-' * 3}.toml"
    long.write_bytes(CASE.read_bytes())
    shown = shown_on_a_terminal(columns, (str(CASE), str(long)), "stderr")
    plain = re.sub(r"\x1b\[\??\d*[a-zA-Z]", "", shown)
    assert "100%" in plain
    assert max(len(line.rstrip()) for line in re.split(r"[\r\n]", plain)) < columns


@pytest.mark.skipif(sys.platform == "win32", reason="no such terminals")
def test_no_bar_is_drawn_where_no_letter_can_be_written_over():
    assert "\x1b" in shown_on_a_terminal(80, (str(CASE), str(CASE)), "stderr")
    for more in ({"TERM": "dumb"}, {"stream": "stdout"}):
        shown = shown_on_a_terminal(80, (str(CASE), str(CASE)), **{"stream": "stderr", **more})
        assert "\x1b[?" not in shown and "\r" not in shown
