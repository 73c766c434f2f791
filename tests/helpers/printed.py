"""Everything that a reader can be shown: each command on each shipped case, run once."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from pathlib import Path

from click.testing import CliRunner, Result
from sizing import NAMES, loop_words, path_of

from seaflow.boat.parts.catalogue import Catalogue
from seaflow.cli.main import main

MESSAGES = Path(__file__).parents[1] / "messages"
UNITS = ("metric", "us")
ABOUT_A_CASE = (
    "check",
    "size",
    "place",
    "balance",
    "improve",
    "energy",
    "heating",
    "baseline",
    "survey",
)
# Readings that lead to answers of different kinds.
READINGS = {
    "nothing": (),
    "warm": ("--sea", "27 degC", "--discharge", "43 degC", "--bucket", "110"),
    "healthy": ("--sea", "24 degC", "--discharge", "29 degC"),
    "dead": ("--stream", "none", "--pump", "silent", "--volts", "0 V", "--breaker", "trips"),
    "air": ("--stream", "pulsing", "--pump", "gravel", "--bubbles", "yes", "--when", "on one tack"),
    "tripped": ("--sea", "29 degC", "--tripped", "yes", "--basket", "full", "--handle", "part"),
    "heating": ("--sea", "8 degC", "--mode", "heating", "--discharge", "5 degC"),
}
FEW = {"size": ("--samples", "64"), "improve": ("--samples", "16"), "diagnose": ("--draws", "512")}
# Of these all is asked for, not only the card.
WITH_CARDS = ("balance", "diagnose", "survey", "energy", "heating", "improve", "place")
# Inside a line these part no words; every other mark of a page ends a line.
INLINE = r"</?(?:b|i|em|strong|span|a|small|sub|sup|code|tspan)\b[^>]*>"
SEEN = r'\b(?:title|alt|aria-label|placeholder)="([^"]*)"'  # attributes that a reader is shown


def run(*arguments: object) -> Result:
    """What a command answers."""
    words = [str(word) for word in arguments]
    result = CliRunner().invoke(main, words)
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def data(*arguments: object) -> str:
    """Every text in the answer as data, a line for each."""
    answer = run(*arguments, "--json").stdout
    return "\n".join(texts(json.loads(answer))) if answer else ""


def texts(value: object) -> Iterator[str]:
    """Every text in data."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, (dict, list)):
        for item in value.values() if isinstance(value, dict) else value:
            yield from texts(item)


def shown(file: Path) -> str:
    """What a reader sees of a file: of a page or a drawing the text between its marks."""
    text = file.read_text(encoding="utf-8")
    if file.suffix not in (".html", ".svg"):
        return text
    text = re.sub(r"<(style|script)\b.*?</\1>", "", text, flags=re.S)
    attributes = re.findall(SEEN, text)
    text = re.sub(r"<[^>]*>", "\n", re.sub(INLINE, "", text))
    return html.unescape("\n".join([text, *attributes]))


def everything(folder: Path) -> dict[str, str]:
    """Each text by the words of its command; files are written into the folder."""
    found = dict(_without_a_case(folder)) | dict(_page(folder))
    for name in NAMES:
        found |= dict(_about(name))
        for units in UNITS:
            found |= dict(_files(name, units, folder))
    return found


def _about(name: str) -> Iterator[tuple[str, str]]:
    asked = {command: (command, FEW.get(command, ())) for command in ABOUT_A_CASE}
    for label, readings in READINGS.items():
        asked[f"diagnose {label}"] = ("diagnose", (*readings, *FEW["diagnose"]))
    for label, (command, options) in asked.items():
        loop = loop_words(command, path_of(name))
        words = (command, path_of(name), *options, *loop, *(("--full",) * (command in WITH_CARDS)))
        for system in [("--units", units) for units in UNITS] if command != "check" else [()]:
            answer = run(*words, *system)
            yield " ".join((label, name, *system)), answer.stdout
            yield " ".join(("problems of", label, name, *system)), answer.stderr
        yield f"{label} {name} --json", data(*words)


def _files(name: str, units: str, folder: Path) -> Iterator[tuple[str, str]]:
    wanted = (
        ("size", {"-o": "curve.svg"}),
        ("size", {"-o": "list.csv"}),
        ("place", {"-o": "place.svg"}),
        ("survey", {"-o": "record.html", "--checklist": "checklist.toml"}),
        ("survey", {"-o": "record.txt"}),
    )
    for command, options in wanted:
        files = {option: folder / f"{name}-{units}-{file}" for option, file in options.items()}
        run(command, path_of(name), "--units", units, *(x for pair in files.items() for x in pair))
        for option, file in files.items():
            if file.exists():
                yield f"{command} {name} {units} {option} {options[option]}", shown(file)


def _page(folder: Path) -> Iterator[tuple[str, str]]:
    """The page of the boat that has most to say against her; it holds the texts of all answers."""
    file = folder / "page.html"
    run("page", path_of("badly-arranged"), "-o", file, "--samples", "16")
    before, _, _ = shown(file).partition("Sources of the model")  # with initials of authors
    yield "page badly-arranged page.html", before


def _without_a_case(folder: Path) -> Iterator[tuple[str, str]]:
    yield "help", run("--help").stdout
    for command in main.commands:
        yield f"{command} --help", run(command, "--help").stdout
    for file in sorted(MESSAGES.glob("*.txt")):
        yield f"problems {file.name}", file.read_text(encoding="utf-8")
    summary = folder / "summary.csv"
    many = (*map(path_of, NAMES), *FEW["size"])
    yield "size of many", run("size", *many, "--summary", summary).stdout
    yield "size summary.csv", summary.read_text(encoding="utf-8")
    starter = folder / "starter.toml"
    yield "new", run("new", starter).stdout
    yield "new starter.toml", shown(starter)
    for units in UNITS:
        yield from _parts(units, folder)


def _parts(units: str, folder: Path) -> Iterator[tuple[str, str]]:
    yield f"parts {units}", run("parts", "--units", units).stdout
    for table in ("pumps", "strainers", "hoses", "fittings", "seacocks", "entries", "alloys"):
        yield f"parts {table} {units}", run("parts", table, "--units", units).stdout
    for pump in Catalogue().pumps():
        drawing = folder / f"{pump.name}-{units}.svg"
        words = ("parts", "pumps", pump.name, "--units", units, "--curve", "-o", drawing)
        yield f"parts {pump.name} {units}", run(*words).stdout
        yield f"parts {pump.name} {units} -o .svg", shown(drawing)
