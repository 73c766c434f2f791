"""From TOML data to frozen records, by their declarations; every problem found, not the first."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, TypeVar

from seaflow.base.glossary import quantity
from seaflow.base.problems import Problem
from seaflow.base.units import Misread, read_quantity, read_with_spread
from seaflow.boat.case import Assumption
from seaflow.boat.defaults import default
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.text import CaseText, Path

_R = TypeVar("_R")

_TOWER = re.compile(r"(\*\*|\^).*(\*\*|\^)|(\*\*|\^)\W*\d{2}")  # powers that take forever
LONGEST_QUANTITY = 60  # characters; what is longer was not meant as one

_REFUSALS = {
    "bare": ("K03", "{key} is a number without a unit", "Write {key} = {hint}."),
    "number": ("K04", '{key} = "{text}" does not start with a number', "Write {key} = {example}."),
    "comma": ("K05", '{key} = "{text}" has a decimal comma', "Write {key} = {hint}."),
    "unknown": (
        "K06",
        '{key} = "{text}" has a unit that is not known',
        "{hint}Write {key} = {example}.",
    ),
    "dimension": ("K07", '{key} = "{text}" is not {kind}', "Write {key} = {example}."),
    "difference": (
        "K08",
        '{key} = "{text}" is a temperature where a difference is due',
        "Write {key} = {hint}.",
    ),
    "scale": (
        "K09",
        '{key} = "{text}" is a difference where a temperature is due',
        "Write for example {key} = {hint}.",
    ),
}


@dataclass
class Reading:
    """The notes taken while one file is read: its problems and the defaults it needed."""

    text: CaseText
    problems: list[Problem] = field(default_factory=list)
    assumptions: list[Assumption] = field(default_factory=list)
    spreads: dict[Path, float] = field(default_factory=dict)

    def note(self, code: str, path: Path, what: str, **rest: str) -> None:
        """Take down one problem."""
        self.problems.append(self.text.problem(code, path, what, **rest))


def read_record(
    record: type[_R], raw: dict[str, Any], path: Path, reading: Reading, **more: Any
) -> _R:
    """Return a `record` made from one TOML table; what is wrong goes to `reading`.

    `more` are fields that are no keys of the file.
    """
    if not isinstance(raw, dict):
        reading.note(
            "K10", path, f"{_label(path)} must be a table of keys", write="Write [section]."
        )
        raw = {}
    values: dict[str, Any] = dict(more)
    known = [spelled for _, spelled, _ in keys_of(record)]
    for name in raw:
        if name not in known:
            _unknown(name, known, path, reading)
    for name, spelled, declared in keys_of(record):
        if spelled in raw:
            values[name] = _value(raw[spelled], declared, (*path, spelled), reading)
        elif declared.required:
            reading.note(
                "K02",
                path,
                f"{_label(path, raw)} has no {spelled}",
                why=declared.meaning,
                write=f"Add {spelled} = {declared.example}." if declared.example else "Add it.",
            )
        elif declared.default:
            values[name] = _default(declared, _label(path, raw), reading)
        elif declared.of is not None and not declared.many and _has_defaults(declared.of):
            values[name] = read_record(declared.of, {}, (*path, spelled), reading)
    if len(path) == 2 and "row" in record.__dataclass_fields__:  # type: ignore[attr-defined]
        values |= {"table": path[0], "row": path[1]}
    return record(**values)


def _unknown(name: str, known: list[str], path: Path, reading: Reading) -> None:
    near = difflib.get_close_matches(name, known, n=1)
    write = f'Did you mean "{near[0]}"?' if near else "Known keys: " + ", ".join(known) + "."
    reading.note("K01", (*path, name), f'"{name}" is not a key of {_label(path)}', write=write)


def _has_defaults(record: type) -> bool:
    return all(not declared.required for _, _, declared in keys_of(record)) and any(
        declared.default for _, _, declared in keys_of(record)
    )


def _default(declared: Key, label: str, reading: Reading) -> float | str:
    row = default(declared.default or "")
    reading.assumptions.append(Assumption(label, row.meaning, row.text, row.source))
    return row.value if declared.quantity else row.text


def _value(raw: Any, declared: Key, path: Path, reading: Reading) -> Any:
    if declared.many:
        return tuple(_many(raw, declared, path, reading))
    return _one(raw, declared, path, reading)


def _many(raw: Any, declared: Key, path: Path, reading: Reading) -> Iterator[Any]:
    if not isinstance(raw, list):
        table = declared.of is not None and len(path) == 1
        write = f"Write [[{path[-1]}]]." if table else f"Write {path[-1]} = {declared.example}."
        reading.note("K10", path, f"{_label(path)} must be a list", write=write)
        return
    for index, item in enumerate(raw):
        yield _one(item, declared, (*path, index), reading)


def _one(raw: Any, declared: Key, path: Path, reading: Reading) -> Any:
    if declared.of is not None:
        return read_record(declared.of, raw, path, reading)
    if declared.quantity is not None:
        return _quantity(raw, declared, path, reading)
    if declared.kind == "flag":
        return _typed(raw, bool, "true or false", declared, path, reading)
    if declared.kind == "number":
        number = _typed(raw, int, "a whole number", declared, path, reading)
        return number if number is None else _limited(number, declared, path, str(number), reading)
    text = _typed(raw, str, "text in quotes", declared, path, reading)
    if text is not None and declared.choices and text not in declared.choices:
        choices = ", ".join(f'"{choice}"' for choice in declared.choices)
        reading.note(
            "K11",
            path,
            f'{_key(path)} = "{text}" is no choice here',
            write=f"Write one of: {choices}.",
        )
        return declared.choices[0]
    return text


def _typed(raw: Any, kind: type, words: str, declared: Key, path: Path, reading: Reading) -> Any:
    if isinstance(raw, kind) and not (kind is int and isinstance(raw, bool)):
        return raw
    reading.note(
        "K10",
        path,
        f"{_key(path)} must be {words}",
        write=f"Write {_key(path)} = {declared.example}.",
    )
    return None


def _quantity(raw: Any, declared: Key, path: Path, reading: Reading) -> float:
    entry = quantity(declared.quantity or "")
    if not isinstance(raw, str):
        pure = entry.unit == "-" and isinstance(raw, (int, float)) and not isinstance(raw, bool)
        if not pure:
            numeric = isinstance(raw, (int, float)) and not isinstance(raw, bool)
            fault = "is a number without a unit" if numeric else "must be text with a unit"
            write = f"Write for example {_key(path)} = {declared.example}."
            reading.note("K03", path, f"{_key(path)} {fault}", write=write)
            return math.nan
        raw = str(raw)
    try:
        if len(raw) > LONGEST_QUANTITY:
            raise Misread("number", raw, "")
        if _TOWER.search(raw):
            raise Misread("unknown", raw, "")
        value, half_width = read_with_spread(raw, entry.unit)
    except Misread as misread:
        code, what, write = _REFUSALS[misread.kind]
        words = {
            "key": _key(path),
            "text": " ".join(raw[:LONGEST_QUANTITY].split()),
            "example": declared.example,
            "hint": _near(misread, entry.unit) if misread.kind == "unknown" else misread.hint,
            "kind": "a " + entry.name.replace("_", " "),
        }
        what, write = what.format(**words), write.format(**words)
        reading.note(code, path, what, why=declared.meaning, write=write)
        return math.nan
    if half_width is not None:
        reading.spreads[path] = half_width
    return float(_limited(value, declared, path, raw, reading))


def _near(misread: Misread, unit: str) -> str:
    """Say which unit was meant, if one that is spelled like it measures the same thing."""
    try:
        read_quantity("1 " + misread.hint.strip('"'), unit)
    except Misread:
        return ""
    return f"Did you mean {misread.hint}? "


def _limited(value: float, declared: Key, path: Path, written: str, reading: Reading) -> float:
    least, most = declared.least, declared.most
    if declared.quantity is not None and least is None and most is None:
        least, most = _possible(declared.quantity)
    inside = (least is None or value >= least) and (most is None or value <= most)
    if inside and math.isfinite(value):
        return value
    low = least is not None and value < least
    words = "too small" if low else "too large"
    if low and least == 0.0:
        words = "negative"
    elif value == 0.0:
        words = "zero"
    reading.note(
        "K12",
        path,
        f"{_key(path)} = {written} is {words}",
        why=declared.meaning,
        write=f"Write for example {_key(path)} = {declared.example}.",
    )
    return math.nan


# What no boat can have, by quantity; the glossary's plausible ranges only raise questions.
_ABOVE_ZERO = (
    *("bore", "power", "heat_flow", "voltage", "frequency", "wall", "coil_diameter"),
    *("area", "conductor_area", "volume_flow", "head_loss", "pressure"),
)
_NOT_NEGATIVE = ("length", "growth", "loss_coefficient", "roughness")


def _possible(name: str) -> tuple[float | None, float | None]:
    if name in _ABOVE_ZERO:
        return 1e-12, None
    if name in _NOT_NEGATIVE:
        return 0.0, None
    return {
        "share": (0.0, 1.0),
        "blockage": (0.0, 0.99),
        "salinity": (0.0, 50.0),
        "sea_temperature": (-2.5, 40.0),
        "temperature_rise": (0.1, 60.0),
        "height": (-10.0, 20.0),
        "heel": (0.0, math.radians(60)),
    }.get(name, (None, None))


def _key(path: Path) -> str:
    return next((str(part) for part in reversed(path) if isinstance(part, str)), "")


def _label(path: Path, raw: dict[str, Any] | None = None) -> str:
    """Say which table or thing a path means, with the thing's name where it has one."""
    if not path:
        return "the case"
    words = " ".join(
        str(part + 1) if isinstance(part, int) else part.replace("_", " ") for part in path
    )
    name = raw.get("name") if isinstance(raw, dict) else None
    return f'{words} "{name}"' if isinstance(name, str) else words
