"""Hostile runs of all commands, for hypothesis: damaged files, odd options, words nobody expects.

A run is a command with its words, the files it may read, and what is typed. `check` holds it to
what is true of every run, whatever was asked.
"""

import json
import os
import re
import shutil
import tempfile
import tomllib
from contextlib import chdir
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import click
from boats import boats
from click.testing import CliRunner
from disguise import written
from hypothesis import strategies as st

from seaflow.base.tables import read_table
from seaflow.cli.main import main

ROOT = Path(__file__).parents[2]
GOOD = ROOT / "tests" / "messages" / "good.toml"
SHIPPED = (*sorted((ROOT / "cases").glob("*.toml")), GOOD)
SHEETS = (
    *(ROOT / "docs" / "examples").glob("own-*"),
    *(ROOT / "tests" / "messages" / "parts").glob("good.*"),
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
UNITS = (
    *("mm", "m", "ft", "L/min", "gpm", "degC", "degF", "K", "kPa", "bar", "V", "Hz", "W", "kW"),
    *("BTU/h", "%", "deg", "s", "h", "", "spans", "m**2", "(", "mm +/- 10 %", "m ± 1 K", "+/-"),
)
NUMBERS = (
    *("0", "-1", "1", "1e9", "1e-9", "1e400", "3,5", "1/0", "1 1/4", "nan", "inf", "--2", "٣"),
    *("9" * 400, "1:05", "-0", "1_000", "0x10", "27"),
)
TEXTS = ("", "x", "none", "yes", "no", "é\x1b[2J", "a=b", "\u202e", "=1+1", "{x}", "%s", "'", '"\\')
SYMBOLS = '[]{}"=#.,\n\r\t\\ \x00\x85é\x1b\u2028'
FACTORS = (0.0, 1e-3, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, 1e3, -1.0)
QUANTITY = re.compile(r'"(-?[\d.]+) ([A-Za-z/0-9%]+)"')
MANY = {"samples": ("16", "32"), "draws": ("512",), "seed": ("0", "7")}
ENDS = {
    "summary": ("csv", "jsonl"),
    "checklist": ("toml", "txt"),
    "output": ("html", "txt", "svg", "csv"),
}
SELDOM = ("improve", "energy")  # asked a third as often: one answer takes as long as fifty refusals
CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\ue000-\uf8ff]")


def mostly(usual, odd):
    """Something usual five times of six, else something odd."""
    return st.one_of(*[st.sampled_from(usual)] * 5, st.sampled_from(odd))


@dataclass(frozen=True)
class Run:
    """One command: its words, the files in its folder by name, and what is typed."""

    words: tuple[str, ...]
    files: dict[str, bytes]
    typed: str = ""


# Damage


def _value_of(line):
    return line.partition(" = ")[2]


def _with_value(line, value):
    name, equals, _ = line.partition(" = ")
    return name + equals + value if equals else line


def _delete(lines, one, other):
    return lines[:one] + lines[one + 1 :]


def _repeat(lines, one, other):
    return [*lines[:other], lines[one], *lines[other:]]


def _swap_values(lines, one, other):
    changed = list(lines)
    changed[one] = _with_value(lines[one], _value_of(lines[other]))
    changed[other] = _with_value(lines[other], _value_of(lines[one]))
    return changed


def _swap_lines(lines, one, other):
    changed = list(lines)
    changed[one], changed[other] = lines[other], lines[one]
    return changed


def _change_unit(lines, one, other):
    number = _value_of(lines[one]).strip('"').split(" ")[0]
    return _in_place(lines, one, f'"{number} {UNITS[other % len(UNITS)]}"')


def _change_number(lines, one, other):
    unit = _value_of(lines[one]).strip('"').partition(" ")[2]
    return _in_place(lines, one, f'"{NUMBERS[other % len(NUMBERS)]} {unit}"')


def _change_text(lines, one, other):
    return _in_place(lines, one, json.dumps(TEXTS[other % len(TEXTS)], ensure_ascii=False))


def _unquote(lines, one, other):
    return _in_place(lines, one, _value_of(lines[one]).strip('"'))


def _in_place(lines, one, value):
    changed = list(lines)
    changed[one] = _with_value(lines[one], value)
    return changed


def _insert_symbol(lines, one, other):
    line, changed = lines[one], list(lines)
    place = other % (len(line) + 1)
    changed[one] = line[:place] + SYMBOLS[other % len(SYMBOLS)] + line[place:]
    return changed


def _cut_off(lines, one, other):
    return lines[: one + 1]


def _scale(lines, one, other):
    """Multiply one quantity; this is the change that most often leaves a file that can be read."""
    found = [number for number, line in enumerate(lines) if QUANTITY.search(line)]
    if not found:
        return lines
    changed, number = list(lines), found[one % len(found)]
    factor = FACTORS[other % len(FACTORS)]
    changed[number] = QUANTITY.sub(
        lambda hit: f'"{float(hit[1]) * factor:.12g} {hit[2]}"', lines[number], count=1
    )
    return changed


DAMAGE = (
    *(
        _scale,
        _delete,
        _repeat,
        _swap_values,
        _swap_lines,
        _change_unit,
    ),
    *(_change_number, _change_text, _unquote, _insert_symbol, _cut_off),
)
_WHERE = (st.integers(0, 400), st.integers(0, 400))
CHANGES = st.one_of(  # half of all files can still be read, and lead far
    st.lists(st.tuples(st.just(_scale), *_WHERE), max_size=3),
    st.lists(st.tuples(st.sampled_from(DAMAGE), *_WHERE), max_size=3),
)


def damaged(text, changes):
    """A text with some changes made to its lines."""
    lines = text.split("\n")
    for change, one, other in changes:
        if lines:
            lines = change(lines, one % len(lines), other % len(lines))
    return "\n".join(lines)


# Files


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


@st.composite
def _cases(draw):
    """The text of a case: shipped, or of a random boat, damaged or not."""
    if draw(st.integers(0, 3)):
        text = _text_of(draw(st.sampled_from(SHIPPED)))
    else:
        text = written(draw(boats() | boats(with_rooms=True)))
    return damaged(text, draw(CHANGES))


def _spoilt(texts):
    """One of some texts, damaged; now and then bytes instead."""
    text = st.builds(damaged, texts, CHANGES).map(lambda text: text.encode("utf-8", "replace"))
    return st.one_of(text, text, text, st.binary(max_size=60))


# Words


def _option(draw, option, files):
    """The words of one option, and its file among `files`."""
    name = option.opts[-1]
    if option.is_flag:
        return [name]
    kind = option.name
    if isinstance(option.type, click.Choice):
        return [name, draw(mostly(tuple(option.type.choices), ("neither",)))]
    if kind in MANY:
        return [name, draw(mostly(MANY[kind], ("0", "-1", "x")))]
    if isinstance(option.type, (click.types.IntParamType, click.types.FloatParamType)):
        return [name, draw(st.sampled_from(("0", "1", "-1", "x")))]
    if kind == "parts":
        path = draw(st.sampled_from(SHEETS))
        files[path.name] = draw(_spoilt(st.just(_text_of(path))))
        return [name, path.name]
    if kind == "answers":
        files["answers.toml"] = draw(_spoilt(st.sampled_from(SHIPPED).map(_checklist_of)))
        return [name, "answers.toml"]
    if option.metavar and option.metavar.startswith("FILE") and kind in ("file", "readings"):
        files["readings.toml"] = draw(_spoilt(st.just(READINGS)))
        return [name, "readings.toml"]
    if option.metavar and option.metavar.startswith("FILE"):
        new = [f"new.{end}" for end in ENDS.get(kind, ("txt",))]
        return [name, draw(mostly(new, ("boat.toml", "no/new.svg", ".", "", "new.pdf")))]
    return [name, draw(_value_for(kind))]


@cache
def _value_for(kind):
    table = read_table("instruments.toml")
    numbers = table["number"].get("flow" if kind == "bucket" else kind)
    if numbers:
        unit = numbers["unit"]
        usual = st.floats(0.0, 1.0).map(lambda share: _between(numbers, share, unit))
        placed = mostly(("",), ("saloon unit=", "outlet=", "unit=", "nowhere="))
        odd = st.builds("{} {}".format, st.sampled_from(NUMBERS), st.sampled_from(UNITS))
        return st.builds("{}{}".format, placed, st.one_of(usual, usual, usual, odd))
    signs = table["sign"].get(kind)
    if signs:
        return mostly(tuple(signs["healthy"]), ("perhaps", ""))
    words = {
        "mode": ("cooling", "heating"),
        "load": ("60%", "0", "1", "half"),
        "store": ("2026-05-31", "2026-06-30", "May"),
        "loop_name": ("cooling intake", "port hull", "nowhere"),
        "pump": ("demo-mag-medium-230", "demo-dc-small-12", "demo-mag-large-115", "no-such-pump"),
    }
    return mostly(words.get(kind, TEXTS), TEXTS)


def _between(row, share, unit):
    from seaflow.base.units import read_quantity

    low, high = (read_quantity(row[end], unit) for end in ("least", "most"))
    return f"{low + share * (high - low):.4g} {unit}"


@st.composite
def runs(draw):
    """A run of any command."""
    often = [name for name in sorted(main.commands) if name not in SELDOM]
    name = draw(st.sampled_from((*often * 3, *SELDOM)))
    command, files, words = main.commands[name], {"boat.toml": b""}, []
    files["boat.toml"] = draw(_cases()).encode("utf-8", "replace")
    if not draw(st.integers(0, 9)):
        files["boat.readings.toml"] = draw(_spoilt(st.just(READINGS)))
    known = [item for item in command.params if isinstance(item, click.Option)]
    known = [item for item in known if item.name not in ("help", "ask")]
    chosen = draw(st.lists(st.sampled_from(known), max_size=3)) if known else []
    for option in chosen:
        words += _option(draw, option, files)
    asks = any(item.name == "ask" for item in command.params) and not draw(st.integers(0, 5))
    typed = draw(st.lists(st.sampled_from((*NUMBERS, *TEXTS, "yes", "27 degC", "weak", "stop"))))
    few = {"diagnose": ["--draws", "512"], "improve": ["--samples", "16"]}.get(name, [])
    if name == "size" and "--samples" not in words:
        few = ["--samples", draw(st.sampled_from(("0", "16")))]
    if any(word in words for word in few):
        few = []
    ask = ["--ask"] if asks else []
    arguments = draw(_arguments(name))
    return Run((name, *arguments, *few, *ask, *words), files, "\n".join([*typed, "stop", ""]))


def _arguments(name):
    words = st.sampled_from
    if name == "parts":
        tables = words(((), ("pumps",), ("strainers",), ("sails",), ("hoses", "layflat")))
        return tables | words((("pumps", "demo-mag-medium-230"), ("pumps", "", "--curve")))
    if name == "explain":
        return words(((), ("K02",), ("Z99",), ("K02", "S01")))
    if name == "new":
        return words((("new.toml",), ("boat.toml",), ("no/new.toml",), (".",), ("",)))
    one = words((("boat.toml",),) * 12 + (("none.toml",), (".",), ()))
    return one | words((("boat.toml", "boat.toml"),)) if name in ("size", "check") else one


# What is true of every run


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
