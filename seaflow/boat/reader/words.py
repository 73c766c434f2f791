"""How a key, a thing and a fault are said in a message about a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from seaflow.base.units import factor_and_offset
from seaflow.boat.reader.text import Path


@dataclass(frozen=True, slots=True)
class Refusal:
    """The words of one code: what is wrong, why it matters, what to write."""

    code: str
    what: str
    why: str
    write: str


REFUSALS = {
    "bare": Refusal(
        "K03",
        "{key} = {text} has no unit",
        "Metres and feet look alike, so a number alone is never taken.",
        "Write {key} = {hint}, or the unit you measured in.",
    ),
    "number": Refusal(
        "K04",
        '{key} = "{text}" does not start with a number',
        "A number is needed here, and a word cannot be calculated with.",
        "Write for example {key} = {example}, or leave the key out if nobody knows.",
    ),
    "more": Refusal(
        "K04",
        '{key} = "{text}" holds more than one number',
        "Nobody can tell which of them is meant, or what the mark between them does.",
        "Write {key} = {hint}: one number, a space and a unit.",
    ),
    "long": Refusal(
        "K04",
        '{key} = "{text}" is longer than any quantity',
        "A number and a unit take a dozen characters, so something else stands there.",
        "Write for example {key} = {example}, or leave the key out if nobody knows.",
    ),
    "comma": Refusal(
        "K05",
        '{key} = "{text}" has a comma',
        "A comma parts decimals in one country and thousands in another, so it is not read.",
        "Write {key} = {hint}.",
    ),
    "two": Refusal(
        "K18",
        '{key} = "{text}" gives two values',
        "A plate names both where either will do, but a figure holds at one of them: on 60 Hz a "
        "pump gives a fifth more than on 50.",
        "Write {key} = {hint}, whichever it is here.",
    ),
    "below_nothing": Refusal(
        "K13",
        '{key} is said to lie off by less than nothing: "{text}"',
        "What stands after +/- goes both ways, so it has no sign of its own.",
        'Write "{hint}"; what lies one way only is written as in "4.2 m +0 -10 %".',
    ),
    "unknown": Refusal(
        "K06",
        '{key} = "{text}" has a unit that is not known',
        "Without a known unit nobody can tell how much it is.",
        "{hint}Write for example {key} = {example}.",
    ),
    "dimension": Refusal(
        "K07",
        '{key} = "{text}" is not {kind}',
        "The unit measures something else than this key asks for.",
        "Write for example {key} = {example}.",
    ),
    "motor": Refusal(
        "K07",
        '{key} = "{text}" is no flow of heat',
        "Horsepower is that of a motor, kVA what it draws; on many markets a unit of 1.5 hp cools "
        "by about 12,000 BTU/h.",
        "Write the cooling or heating on the plate in BTU/h or kW, for example {key} = {example}.",
    ),
    "difference": Refusal(
        "K08",
        '{key} = "{text}" is a temperature, and a difference of temperatures is asked for',
        "6 degC on a thermometer is cold water; a rise of 6 K is the difference of two readings.",
        "Write {key} = {hint}.",
    ),
    "scale": Refusal(
        "K09",
        '{key} = "{text}" is a difference of temperatures, and a temperature is asked for',
        "A rise of so many degrees and water of so many degrees are two different things.",
        "Write {key} = {hint} if that is what a thermometer shows.",
    ),
}

# What a quantity of each unit inside the package is called.
KINDS = {
    "m": "a length",
    "m2": "an area",
    "m3": "a volume",
    "m3/s": "a flow of water",
    "m/s": "a speed",
    "Pa": "a pressure",
    "W": "a power",
    "degC": "a temperature",
    "K": "a difference of temperatures",
    "rad": "an angle",
    "g/kg": "a salinity",
    "V": "a voltage",
    "A": "a current",
    "Hz": "a frequency",
    "s": "a time",
    "kg": "a weight",
    "dB": "a sound level",
    "-": "a share or a plain number",
}

_TABLES = {"boat": "the boat", "sea": "the sea", "supply": "the supply", "design": "the design"}


def key_of(path: Path) -> str:
    """Return the key that a path ends at."""
    return next((str(part) for part in reversed(path) if isinstance(part, str)), "")


def name_of(table: str, row: int, raw: Any) -> str:
    """Return what one thing of a file is called, by its name, its ends or its number."""
    words = table.replace("_", " ")
    if isinstance(raw, Mapping):
        if isinstance(raw.get("name"), str):
            return f'{words} "{raw["name"]}"'
        if isinstance(raw.get("from"), str) and isinstance(raw.get("to"), str):
            return f'{words} from "{raw["from"]}" to "{raw["to"]}"'
    return f"{words} {row + 1}"


def place_of(path: Path, names: Mapping[Path, str]) -> str:
    """Return the thing, or the table inside a thing, that a path leads to."""
    if not path:
        return "this file"
    thing, inner = names.get(path[:2], ""), path[2:]
    if not thing:
        first = str(path[0])
        thing, inner = _TABLES.get(first, first.replace("_", " ")), path[1:]
    if not inner:
        return thing
    words = " ".join(
        str(part + 1) if isinstance(part, int) else part.replace("_", " ") for part in inner
    )
    return f"{thing}, {words}"


def number_text(value: float) -> str:
    """Return a number to three figures, large ones without a power of ten."""
    return f"{value:.0f}" if 1000 <= abs(value) < 1e9 else f"{value:.3g}"


def in_unit(value: float, unit: str, written: str) -> str:
    """Return a value of a glossary unit as text in the unit that somebody wrote."""
    if not written:
        return number_text(value)
    factor, offset = factor_and_offset(unit, written)
    return f"{number_text(factor * value + offset)} {written}"
