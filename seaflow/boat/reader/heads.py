"""A head of water that is written as a pressure, as sheets of pumps and coils print it."""

from __future__ import annotations

from typing import Any

from seaflow.base.glossary import Quantity, glossary_entry
from seaflow.base.spread import read_with_spread, without_spread, without_typical
from seaflow.base.tables import read_table
from seaflow.base.units import Misread, spelled, split
from seaflow.boat.keys import keys_of
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.text import Path
from seaflow.physics.hull.openings import head_of_pressure

FRESH_DENSITY = 998.2  # kg/m3, fresh water at 20 degC, in which makers measure
HEADS = ("head", "head_loss", "shut_off_head")  # quantities that are printed as a pressure too
HEAD, PRESSURE = "head", "pressure"  # twins in one table: either says what the other does


def as_head(text: str, entry: Quantity) -> str:
    """Return a text with metres of fresh water where it gives a pressure in place of a head."""
    if not _is_pressure(text, entry):
        return text
    value, half = read_with_spread(without_typical(text), "Pa")
    typical = "" if without_typical(text) == text else "typical "
    wide = "" if half is None else f" +/- {head_of_pressure(half, FRESH_DENSITY):.9g} m"
    return f"{typical}{head_of_pressure(value, FRESH_DENSITY):.9g} m{wide}"


def as_twins(record: type, raw: dict[str, Any], path: Path, reading: Reading) -> dict[str, Any]:
    """Return a table with a pressure under its own key where it stands under that of the head."""
    known = {name: declared for _, name, declared in keys_of(record)}
    if HEAD not in raw or PRESSURE in raw or not {HEAD, PRESSURE} <= known.keys():
        return raw
    if not _is_pressure(raw[HEAD], glossary_entry(known[HEAD].quantity or HEAD)):
        return raw
    reading.text = reading.text.also((*path, HEAD), (*path, PRESSURE))
    return {PRESSURE if name == HEAD else name: content for name, content in raw.items()}


def _is_pressure(text: Any, entry: Quantity) -> bool:
    """Return whether a text gives a head as a pressure, in a unit that is usual for one."""
    if not isinstance(text, str) or entry.name not in HEADS:
        return False
    try:
        written = split(without_spread(text))[1]
        return spelled(written, "Pa") in read_table("scales.toml")["Pa"]
    except Misread:
        return False
