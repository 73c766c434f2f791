"""Hostile runs of all commands: damaged files, odd options, words nobody expects.

A run is a command with its words, the files it may read, and what is typed. Everything is drawn
from one `random.Random`, so a number names a run; only whole boats come from hypothesis, a few for
many runs. `check` holds a run to what is true of every run, whatever was asked, and `smaller` makes
one that fails small.
"""

import json
import os
import re
import shutil
import tempfile
import tomllib
from contextlib import ExitStack, chdir, contextmanager
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from unittest.mock import patch

import click
from boats import boats, drawn_only
from click.testing import CliRunner
from damage import NUMBERS, TEXTS, UNITS, damaged
from disguise import written
from hypothesis import given, seed

from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.cli.main import main

ROOT = Path(__file__).parents[2]
GOOD = ROOT / "tests" / "messages" / "good.toml"
SHIPPED = (*sorted((ROOT / "cases").glob("*.toml")), GOOD)
SHEETS = (
    *sorted((ROOT / "docs" / "examples").glob("own-*")),
    *sorted((ROOT / "tests" / "messages" / "parts").glob("good.*")),
)
READINGS = """[[reading]]
date = 2026-05-31
sea = "27 degC"
discharge = ["unit=32 degC"]
bucket = "42"
tried = ["cleaned the strainer"]

[[reading]]
date = "2026-06-30"
loop = "intake"
sea = "28 degC"
stream = "weak"
"""
MANY = {"samples": ("16", "32"), "draws": ("512",), "seed": ("0", "7"), "jobs": ("1",)}
FEW = {"diagnose": ("--draws", "512"), "improve": ("--samples", "16"), "page": ("--samples", "16")}
ENDS = {
    "summary": ("csv", "jsonl"),
    "checklist": ("toml", "txt"),
    "output": ("html", "txt", "svg", "csv"),
}
SAID = {
    "boat": ("sailing monohull, 12 m", "40 ft ketch", "power catamaran, 14 m", "trawler, 15 m"),
    "unit": ("16000 BTU/h", "4.7 kW", "9000 BTU/h, R-410A", "two of 12000 BTU/h"),
    "supply": ("230 V 50 Hz", "115 V 60 Hz", "12 V", "24 V DC"),
    "sea": ("30 degC", "Lesser Antilles", "82 degF"),
    "pump": ("demo-mag-medium-230", "demo-dc-small-12", "no-such-pump", "shut-off 4.2 m, 30 L/min"),
    "mode": ("cooling", "heating"),
    "load": ("60%", "0", "1", "half"),
    "store": ("2026-05-31", "2026-06-30", "May"),
    "loop_name": ("cooling intake", "port hull", "nowhere"),
    "section": ("pump", "cautions", "need", "worst cases", "assumptions", "no such"),
}
# How often a command is asked: one answer of a slow one takes as long as fifty refusals.
OFTEN = {
    **{"improve": 1, "page": 1, "energy": 2, "place": 2, "schema": 4, "example": 4},
    **{"diagnose": 7, "heating": 8, "size": 10, "balance": 10, "baseline": 10},
}
USUAL = 16
# Draws in the program that no option sets, and how many do here.
FEW_DRAWS = {
    "design.boats.N_BOATS": 4,
    "energy.drawn.N_DRAWN": 16,
    "baseline.sheet.N_BOATS": 256,
    "diagnose.answer.HEALTHY": 256,
    "diagnose.description.HEALTHY": 256,
    "diagnose.drawn.SCOUTS": 256,
    "diagnose.own_boat.N_BOATS": 512,
    "page.study.DRAWN_BITS": {8: 300_000},
    "page.any_boat.N_DRAWS": 128,
}
CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\ue000-\uf8ff]")


@dataclass(frozen=True, slots=True)
class Run:
    """One command: its words, the files in its folder by name, and what is typed."""

    words: tuple[str, ...]
    files: dict[str, bytes]
    typed: str = ""


# Files


def random_boats(count, number):
    """The texts of random boats' cases, by hypothesis and a seed."""
    found = []

    @seed(number)
    @drawn_only(count)
    @given(raw=boats() | boats(with_rooms=True))
    def keep(raw):
        found.append(written(raw))

    keep()
    return tuple(found)


@cache
def _text_of(path):
    return path.read_text(encoding="utf-8")


@cache
def _checklist_of(path):
    with chdir_to_new("checklist") as folder:
        words = ["survey", str(path), "--checklist", "list.toml"]
        assert CliRunner().invoke(main, words).exit_code in (0, 1, 3)
        text = (folder / "list.toml").read_text(encoding="utf-8")
    # as somebody fills it in: every third question with the first choice that stands behind it
    lines = text.split("\n")
    for number, line in enumerate(lines):
        found = re.match(r"#? ?([a-z_.]+) = ", line)
        if found and number % 3 == 0:
            choice = re.search(r'"([a-z ]+)"', line)
            lines[number] = f'{found[1]} = "{choice[1] if choice else "yes"}"'
    return "\n".join(lines)


class chdir_to_new(chdir):
    """A new folder as the working one, taken away at the end."""

    def __init__(self, name):
        self.folder = Path(tempfile.gettempdir()) / f"seaflow-{name}-{os.getpid()}"
        shutil.rmtree(self.folder, ignore_errors=True)
        self.folder.mkdir()
        super().__init__(self.folder)

    def __enter__(self):
        super().__enter__()
        return self.folder

    def __exit__(self, *told):
        super().__exit__(*told)
        shutil.rmtree(self.folder, ignore_errors=True)


def _spoilt(draw, text):
    """A text, damaged; now and then bytes instead."""
    if draw.random() < 0.25:
        return draw.randbytes(draw.randrange(61))
    return damaged(draw, text).encode("utf-8", "replace")


# Words


def _mostly(draw, usual, odd):
    """Something usual five times of six, else something odd."""
    return draw.choice(usual if draw.random() < 5 / 6 else odd)


def _option(draw, option, files):
    """The words of one option, and its file among `files`."""
    name, kind = option.opts[-1], option.name
    if option.is_flag:
        return [name]
    if isinstance(option.type, click.Choice):
        return [name, _mostly(draw, tuple(option.type.choices), ("neither",))]
    if kind in MANY:
        return [name, _mostly(draw, MANY[kind], ("0", "-1", "x"))]
    if kind == "parts":
        path = draw.choice(SHEETS)
        files[path.name] = _spoilt(draw, _text_of(path))
        return [name, path.name]
    if kind == "answers":
        files["answers.toml"] = _spoilt(draw, _checklist_of(draw.choice(SHIPPED)))
        return [name, "answers.toml"]
    if kind == "file":
        files["readings.toml"] = _spoilt(draw, READINGS)
        return [name, "readings.toml"]
    if option.metavar and option.metavar.startswith("FILE"):
        ends = ("html",) if option.required else ENDS.get(kind, ("txt",))
        new = [f"new.{end}" for end in ends]
        return [name, _mostly(draw, new, ("boat.toml", "no/new.svg", ".", "", "new.pdf"))]
    return [name, _value(draw, kind)]


def _value(draw, kind):
    """What stands behind an option that takes words or an amount."""
    table = read_table("instruments.toml")
    numbers = table["number"].get("flow" if kind == "bucket" else kind)
    if numbers and not (kind in SAID and draw.random() < 0.3):
        placed = _mostly(draw, ("",), ("saloon unit=", "outlet=", "unit=", "nowhere="))
        if draw.random() < 0.25:
            return f"{placed}{draw.choice(NUMBERS)} {draw.choice(UNITS)}"
        least, most = (read_quantity(numbers[end], numbers["unit"]) for end in ("least", "most"))
        return f"{placed}{least + draw.random() * (most - least):.4g} {numbers['unit']}"
    signs = table["sign"].get(kind)
    usual = tuple(signs["healthy"]) if signs else SAID.get(kind, TEXTS)
    return _mostly(draw, usual, ("perhaps", *TEXTS))


def random_run(draw, known):
    """A run of any command; `draw` is a random.Random, `known` are the texts of random boats."""
    names = sorted(main.commands)
    (name,) = draw.choices(names, [OFTEN.get(name, USUAL) for name in names])
    command, files = main.commands[name], {}
    text = _text_of(draw.choice(SHIPPED)) if draw.random() < 0.75 else draw.choice(known)
    files["boat.toml"] = damaged(draw, text).encode("utf-8", "replace")
    if draw.random() < 0.1:
        files["boat.readings.toml"] = _spoilt(draw, READINGS)
    words = _arguments(draw, name)
    asks = any(item.name == "ask" and item.is_flag for item in command.params)
    if asks and draw.random() < 1 / 6:
        words.append("--ask")
    options = [item for item in command.params if isinstance(item, click.Option)]
    options = [item for item in options if item.name not in ("help", "ask")]
    chosen = [item for item in options if item.required and draw.random() < 0.9]
    chosen += draw.choices(options, k=draw.randrange(4)) if options else []
    for option in chosen:
        words += _option(draw, option, files)
    few = ("--samples", draw.choice(("0", "16"))) if name == "size" else FEW.get(name, ())
    if few and few[0] not in words:
        words += few
    answers = (*NUMBERS, *TEXTS, "yes", "27 degC", "weak", "stop")
    typed = draw.choices(answers, k=draw.randrange(12))
    return Run((name, *words), files, "\n".join([*typed, "stop", ""]))


def _arguments(draw, name):
    """The words of a command that are no options, or a boat told in a few words."""
    if name == "parts":
        tables = ([], ["pumps"], ["strainers"], ["sails"], ["hoses", "layflat"])
        pumps = (["pumps", "demo-mag-medium-230"], ["pumps", "", "--curve"])
        return list(draw.choice((*tables, *pumps)))
    if name == "explain":
        return list(draw.choice(([], ["K02"], ["Z99"], ["K02", "S01"], ["readme"], ["NPSH"])))
    if name == "new":
        return [_mostly(draw, ("new.toml",), ("boat.toml", "no/new.toml", ".", ""))]
    if name == "schema":
        return [_mostly(draw, ("case", "parts"), ("boat",))]
    if name == "example":
        return list(draw.choice(([], ["ketch-one-unit"], ["battery-sloop-variable"], ["none"])))
    if name != "check" and draw.random() < 0.03:
        told = [[f"--{kind}", _mostly(draw, SAID[kind], TEXTS)] for kind in ("boat", "unit")]
        told += [[f"--{kind}", draw.choice(SAID[kind])] for kind in ("supply", "sea")]
        return [word for words in told if draw.random() < 0.9 for word in words]
    if name in ("size", "check", "survey", "energy", "improve") and draw.random() < 0.1:
        return ["boat.toml", draw.choice(("boat.toml", str(GOOD)))]
    return list(_mostly(draw, (["boat.toml"],), (["boat.toml"], ["none.toml"], ["."], [])))


# What is true of every run


@contextmanager
def few_draws():
    """Let the program draw little: what is asked of a run hangs on no number of it."""
    with ExitStack() as changed:
        for name, few in FEW_DRAWS.items():
            changed.enter_context(patch(f"seaflow.studies.{name}", few))
        yield


def check(run, folder):
    """Run a command in an empty folder and hold it to what is true of every run."""
    for name, content in run.files.items():
        (folder / name).write_bytes(content)
    with chdir(folder):
        done = CliRunner().invoke(main, list(run.words), input=run.typed)
    told = (run.words, done.stdout[-800:], done.stderr[-800:])
    assert isinstance(done.exception, (SystemExit, type(None))), (done.exception, told)
    assert done.exit_code in (0, 1, 2, 3), (done.exit_code, told)
    assert "Traceback" not in done.output, told
    if "--ask" not in run.words:  # what is typed comes back as it was typed
        assert not CONTROL.search(done.output), told
    if "--json" in run.words and done.stdout.strip() and "--ask" not in run.words:
        _assert_strict(done.stdout, told)
    if done.exit_code == 2:
        assert done.output.strip(), told
    _assert_files(run, folder, done, told)
    return done.exit_code


def _assert_strict(text, told):
    def refuse(word):
        raise AssertionError((word, told))

    data = json.loads(text, parse_constant=refuse)
    for problem in data.get("problems", ()) if isinstance(data, dict) else ():
        assert problem["what"], told
        assert problem["write"], told


def _assert_files(run, folder, done, told):
    """What was there is there still, but for readings that were stored, and nothing is half."""
    for name, content in run.files.items():
        now = (folder / name).read_bytes()
        if name == "boat.readings.toml" and now != content:
            assert "--store" in run.words, told
            tomllib.loads(now.decode("utf-8-sig"))
        else:
            assert now == content, told
    left = {path.name for path in folder.iterdir()} - set(run.files)
    assert not any(name.endswith(".part") for name in left), told
    kept = {"--ask", "--store", "--summary"} & set(run.words)  # written though a case is refused
    if done.exit_code == 2 and not kept:
        assert not left, (left, told)


@contextmanager
def folder_for():
    """A new folder for runs, in memory where the machine has one there."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if os.access(memory, os.W_OK) else None) as name:
        yield Path(name)


def failure(run, folder):
    """How a run fails, or None; the folder is emptied before."""
    for path in folder.iterdir():
        path.unlink()
    try:
        check(run, folder)
    except Exception as error:
        return error
    return None


def smaller(run, folder, most=400):
    """A run that fails, and how, made small while it goes on failing in the same place."""
    error, tries = failure(run, folder), 0
    parts = [*run.files, "typed", "words"] * 2
    for part in parts if error is not None else ():
        size = len(_pieces(run, part))
        while size and tries < most:
            start = 0
            while start < len(pieces := _pieces(run, part)):
                tries += 1
                other = _with_pieces(run, part, pieces[:start] + pieces[start + size :])
                found = failure(other, folder)
                if found is not None and _place(found) == _place(error):
                    run, error = other, found
                else:
                    start += size
            size //= 2
    return run, error


def _pieces(run, part):
    if part == "words":
        return list(run.words[1:])
    return (run.typed if part == "typed" else run.files[part]).splitlines(keepends=True)


def _with_pieces(run, part, pieces):
    if part == "words":
        return replace(run, words=(run.words[0], *pieces))
    if part == "typed":
        return replace(run, typed="".join(pieces))
    return replace(run, files={**run.files, part: b"".join(pieces)})


def _place(error):
    """The kind of an error and the line of this file that found it."""
    trace, line = error.__traceback__, 0
    while trace is not None:
        if trace.tb_frame.f_code.co_filename == __file__:
            line = trace.tb_lineno
        trace = trace.tb_next
    return type(error), line
