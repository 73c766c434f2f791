"""Exit codes are true and no letter stops the output, whatever the place it goes to."""

import csv
import io
import os
import subprocess
import sys
import tempfile
import warnings
from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from seaflow.__main__ import run as load_and_run
from seaflow.base.shipped import pages
from seaflow.cli.main import main
from seaflow.present import layout
from seaflow.present.csv_text import csv_text, plain_text
from seaflow.studies.size import size as size_module

ROOT = Path(__file__).parents[2]
KETCH = ROOT / "cases" / "ketch-one-unit.toml"
HERE = {**os.environ, "PYTHONPATH": str(ROOT)}  # from any folder it is this seaflow
COMMANDS = (
    ("size", "--samples", "0"),
    *(("place",), ("survey",), ("balance",), ("energy",), ("heating",), ("check",)),
    ("improve", "--samples", "16"),
    ("diagnose", "--draws", "512"),
)


def run(*words, **more):
    return CliRunner(**more).invoke(main, [str(word) for word in words])


def typed(*words, cwd=ROOT, **more):
    """What a process of its own answers."""
    return subprocess.run(
        [sys.executable, "-m", "seaflow", *words], cwd=cwd, check=False, stderr=-1, **more
    )


# Exit codes


def raising(error):
    def ask(*_, **__):
        raise error

    return ask


@pytest.mark.parametrize("stop", [KeyboardInterrupt(), EOFError(), MemoryError(), KeyError("x")])
def test_an_interrupt_is_130_and_a_fault_of_ours_70(monkeypatch, tmp_path, stop):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(size_module, "size", raising(stop))
    done = run("size", KETCH)
    interrupted = isinstance(stop, (KeyboardInterrupt, EOFError))
    assert done.exit_code == (130 if interrupted else 70)
    assert done.stdout == ""
    if interrupted:
        return
    (line,) = done.stderr.strip().split("\n")
    (report,) = tmp_path.iterdir()
    assert str(KETCH) in line
    assert str(report) in line
    assert type(stop).__name__ in report.read_text(encoding="utf-8")


def test_an_interrupt_while_the_program_still_loads_is_130_without_a_traceback(monkeypatch, capsys):
    class Loading:
        def __getattr__(self, name):
            raise KeyboardInterrupt

    monkeypatch.setitem(sys.modules, "seaflow.cli.main", Loading())
    with pytest.raises(SystemExit) as ended:
        load_and_run()
    assert ended.value.code == 130
    assert "Traceback" not in capsys.readouterr().err


def test_an_interrupted_interview_keeps_its_answers_and_is_130(monkeypatch, tmp_path):
    boat = tmp_path / "boat.toml"
    CliRunner().invoke(main, ["new", str(boat), "--ask"], input="Demo\nstop\n")
    monkeypatch.setattr("click.termui.visible_prompt_func", raising(KeyboardInterrupt()))
    with pytest.raises(SystemExit) as ended:
        main(["new", str(boat), "--ask"])
    assert ended.value.code == 130
    assert (tmp_path / "boat.toml.answers.toml").exists()
    assert not boat.exists()


def test_a_wrong_word_is_2_as_every_input_that_cannot_be_used():
    assert run("size", KETCH, "--samples", "many").exit_code == 2
    assert run("sail", KETCH).exit_code == 2
    assert run("parts", "pumps", "no-such-pump").exit_code == 2


@pytest.mark.parametrize(
    "words",
    [
        ("--sea", "45 degC"),
        ("--mode", "heating", "--sea", "40 degC"),
        ("--sea", "9" * 400 + " degC"),
        ("--bucket", "9" * 400),
        ("--volts", "1e400 V"),
        ("--loop", "\x1b]0;x\x07"),
        ("--tried", "a\x00b"),
    ],
    ids=lambda words: words[1][:8].strip("\x1b\x00"),
)
def test_a_reading_that_cannot_be_is_asked_about(words):
    done = run("diagnose", KETCH, *words)
    assert done.exit_code == 2
    assert "problem: " in done.stderr
    assert "\x1b" not in done.output


def test_a_warning_of_a_library_reaches_nobody(monkeypatch):
    size = size_module.size

    def warned(*words):
        warnings.warn("overflow encountered in exp", RuntimeWarning, stacklevel=1)
        return size(*words)

    monkeypatch.setattr(size_module, "size", warned)
    done = run("size", KETCH, "--samples", "0")
    assert done.exit_code in (0, 1, 3)
    assert "overflow" not in done.output


# Where the output goes


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no such device here")
@pytest.mark.parametrize("words", [("check", str(KETCH)), ("--help",), ("explain",)])
def test_a_full_output_is_74(words):
    with open("/dev/full", "w") as full:
        done = typed(*words, stdout=full)
    assert done.returncode == 74
    assert done.stderr.count(b"\n") == 1


def test_an_output_that_nobody_reads_is_74_and_says_nothing():
    reading, writing = os.pipe()
    os.close(reading)
    done = typed("explain", stdout=writing)
    os.close(writing)
    assert (done.returncode, done.stderr) == (74, b"")


def test_a_closed_output_is_74():
    done = subprocess.run(
        ["sh", "-c", f'"{sys.executable}" -m seaflow explain >&-'],
        cwd=ROOT,
        check=False,
        capture_output=True,
    )
    assert done.returncode == 74
    assert b"Traceback" not in done.stderr


@pytest.mark.parametrize("page", ["ascii", "cp437", "iso8859-5"])
@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_code_page_without_a_sign_gets_another_in_its_place(page, words):
    command, *options = words
    done = run(command, KETCH, *options, charset=page)
    assert done.exit_code in (0, 1, 3), done.exception
    assert done.stdout


def test_degrees_and_squares_are_told_in_plain_letters():
    shown = run("size", KETCH, "--samples", "0", charset="iso8859-5").stdout
    assert "30.0 deg C" in shown
    assert "?" not in shown
    whole = run("size", KETCH, "--samples", "0", "--full", charset="iso8859-5").stdout
    assert "1.50 mm2" in whole


@pytest.mark.skipif(sys.platform != "linux", reason="names are bytes there")
def test_a_name_that_is_not_utf8_is_a_name(tmp_path):
    boat = os.fsencode(tmp_path) + b"/b\xe9.toml"
    Path(os.fsdecode(boat)).write_bytes(KETCH.read_bytes())
    words = ("size", boat, boat, "--samples", "0", "--summary", "s.csv")
    done = typed(*words, cwd=tmp_path, stdout=-1)
    assert done.returncode in (0, 1, 3)
    assert b"b?.toml" in done.stdout
    missing = typed("check", boat + b"x", cwd=tmp_path, stdout=-1)
    assert missing.returncode == 2
    assert b"F01" in missing.stdout


@pytest.mark.skipif(sys.platform != "linux", reason="names are bytes there")
def test_a_closed_input_has_ended_and_a_name_that_is_not_utf8_keeps_answers(tmp_path):
    boat = os.fsencode(tmp_path) + b"/b\xe9.toml"
    Path(os.fsdecode(boat)).write_bytes(KETCH.read_bytes())
    closed = ["sh", "-c", '"$0" -m seaflow new n.toml --ask <&-', sys.executable]
    ended = subprocess.run(closed, check=False, cwd=tmp_path, env=HERE, stdout=-1, stderr=-1)
    assert (ended.returncode, ended.stderr) == (2, b"")  # nothing was answered
    done = typed("survey", boat, "--ask", "e.toml", cwd=tmp_path, stdout=-1, input=b"yes\n")
    assert done.returncode in (0, 1, 3)


@pytest.mark.skipif(sys.platform != "linux", reason="a folder in use can go away there")
def test_a_folder_that_is_gone_is_told_as_that(tmp_path):
    gone = ["sh", "-c", 'rmdir "$PWD"; "$0" -m seaflow new x.toml', sys.executable]
    done = subprocess.run(gone, check=False, cwd=tmp_path, env=HERE, stdout=-1, stderr=-1)
    assert done.returncode == 2
    assert done.stderr.startswith(b"W02")


# Texts that would act


def test_a_reading_that_acts_is_refused_where_it_is_asked_for():
    words = ["diagnose", str(KETCH), "--ask", "--draws", "512"]
    done = CliRunner().invoke(main, words, input="\x1b]0;x\x07\nstop\n")
    _, found, told = done.output.partition("K14")
    assert found and "\x1b" not in told


RUN = ("=1", "+1", "-1", "@a", "\tx", "\r=1", " =1", "\u00a0=1", "\u3000+1", "\u200b=1", "'=1")
WIDE = ("\uff1d1", "\uff0b1", "\uff0d1", "\uff20a", "\ufe661", "\u22121", " \uff1d1", "\ufeff=1")


@pytest.mark.parametrize("text", [*RUN, *WIDE, "a=1", "3 - 4", "'x", "", "pump"])
def test_a_cell_begins_as_no_formula_does_and_is_told_back_as_it_was(text):
    (_, (cell, _)) = csv.reader(io.StringIO(csv_text(["a", "b"], [[text, 1]]), newline=""))
    assert plain_text(cell) == text
    assert (cell != text) == (text in (*RUN, *WIDE))
    assert cell in (text, f"'{text}")


def test_a_cell_that_a_spreadsheet_would_run_is_only_shown(tmp_path):
    text = KETCH.read_text(encoding="utf-8")
    boat, summary = tmp_path / "boat.toml", tmp_path / "sum.csv"
    boat.write_text(text.replace('name = "Demo', 'name = "=1+1'), encoding="utf-8")
    assert "=1+1" in boat.read_text(encoding="utf-8")
    run("size", boat, "--samples", "0", "--summary", summary)
    (row,) = csv.DictReader(summary.read_text(encoding="utf-8").splitlines())
    assert row["boat"].startswith("'=1+1")
    assert float(row[next(head for head in row if head.startswith("flow"))]) > 0.0


@pytest.mark.parametrize("text", ["\\u001b[2J", "a\\nb", "\\u202eab", "\\ue000flow|1\\ue001"])
@pytest.mark.parametrize("key", ["name = ", "from = "])
def test_a_text_that_acts_is_refused_and_shown_harmless(tmp_path, text, key):
    good = (ROOT / "tests" / "messages" / "good.toml").read_text(encoding="utf-8")
    boat = tmp_path / "boat.toml"
    start = good.index(key) + len(key) + 1
    boat.write_text(good[:start] + text + good[start:], encoding="utf-8")
    done = run("check", boat)
    assert done.exit_code == 2
    assert "K14" in done.output
    assert not any(sign in done.output for sign in ("\x1b", "\u202e", "\ue000"))


@pytest.mark.parametrize(
    ("sign", "named"),
    [
        ("\u200b", "U+200B ZERO WIDTH SPACE"),
        ("\u2028", "U+2028 LINE SEPARATOR"),
        ("\x1b", "U+001B"),
    ],
)
def test_a_character_that_nobody_sees_is_named(tmp_path, sign, named):
    done = run("check", f"a{sign}b.toml")
    assert done.exit_code == 2
    assert "K14" in done.output and named in done.output


@pytest.mark.parametrize("columns", [24, 38])
def test_a_narrow_terminal_is_respected(monkeypatch, columns):
    monkeypatch.setattr(layout.shutil, "get_terminal_size", lambda: os.terminal_size((columns, 24)))
    monkeypatch.setattr(layout.sys.stdout, "isatty", lambda: True)
    assert layout.width() == columns
    words = "a pump that stands above the water cannot prime itself"
    table = layout.table(("pump", "why"), [("demo-mag-medium-230", words), ("other", "")])
    heading = str(layout.Heading(words)).lstrip("\n")
    for text in (layout.bullet(words), layout.labelled("Why", words), heading, table):
        assert max(map(len, text.split("\n"))) <= columns
        assert words.split() == [word for word in text.split() if word in words.split()][:10] or (
            text is table
        )


@pytest.mark.parametrize("columns", [20, 50])
@pytest.mark.parametrize(
    "words",
    [
        *(("check", KETCH), ("diagnose", "--help"), ("explain", "placing"), ("explain", "size")),
        *(("survey", KETCH), ("baseline", KETCH), ("place", KETCH)),
        *(("parts", "pumps"), ("explain",), ("explain", "K02"), ("size", "--help")),
        *(("--help",), ("example",)),
        ("size", KETCH, "--samples", "0", "--section", "curve"),
        ("parts", "pumps", "demo-mag-medium-230", "--curve"),
        *(("balance", KETCH.with_name("motor-three-units.toml"), "--full"), ("heating", KETCH)),
        *(("check", "nope.toml"), ("diagnose", KETCH, "--sea", "x"), ("energy", KETCH)),
    ],
    ids=lambda words: " ".join(map(str, words[:1])),
)
def test_every_answer_keeps_to_a_narrow_terminal(monkeypatch, columns, words):
    terminal = SimpleNamespace(get_terminal_size=lambda: os.terminal_size((columns, 24)))
    there = SimpleNamespace(stdout=SimpleNamespace(isatty=lambda: True))
    monkeypatch.setattr(layout, "shutil", terminal)
    monkeypatch.setattr(layout, "sys", there)
    shown = run(*words).output
    assert shown
    wide = [line for line in shown.split("\n") if len(line) > columns]
    assert [line for line in wide if _could_be_folded(line)] == []


FENCED = {
    f"    {line}"
    for page in ("placing", "size")
    for block in pages()[page].read_text(encoding="utf-8").split("```")[1::2]
    for line in block.split("\n")
}


def _could_be_folded(line):
    """Not one word behind its mark, nor what is copied as it stands: commands and fenced blocks."""
    words = line.split()
    typed = words[0] in ("seaflow", "$")
    return len(words) > 1 + (words[0] in "-*") and not typed and line not in FENCED
