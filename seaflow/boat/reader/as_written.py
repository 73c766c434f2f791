"""A value told back in the unit in which the file has it."""

from __future__ import annotations

from seaflow.base.spread import without_spread
from seaflow.base.units import Misread, convert_from, split
from seaflow.boat.reader.text import CaseText, Path
from seaflow.boat.reader.words import in_unit


def as_written(text: CaseText, path: Path, value: float, how: tuple[str, str]) -> str:
    """Return a value in the unit that stands at a path of a file.

    `how` is the unit of the package, and the unit to show where the file has none there.
    """
    unit, usual = how
    return in_unit(value, unit, _unit_at(text, path, unit) or usual)


def _unit_at(text: CaseText, path: Path, unit: str) -> str:
    if path not in text.where or path not in text.spans:
        return ""
    column, length = text.spans[path]
    content = text.lines[text.where[path] - 1][column - 1 : column - 1 + length]
    try:
        written = split(without_spread(content.strip("\"'").rpartition(":")[2].strip()))[1]
        convert_from(1.0, written, unit, written)
    except Misread:
        return ""
    return written
