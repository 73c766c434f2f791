"""What parts are known and where their figures are from; a pump's curve ready to be drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from seaflow.base.measured import measured
from seaflow.boat.keys import keys_of
from seaflow.boat.parts.catalogue import SHEET_TABLES, TABLES, Catalogue, source_of
from seaflow.boat.parts.own_units import written
from seaflow.boat.parts.part import given_points
from seaflow.boat.parts.sheets import PumpSheet
from seaflow.physics.pumping.pump import head

N_DRAWN = 81  # points of a drawn curve

_SINGULAR = {table[:-1] if table != "entries" else "entry": table for table in TABLES}
_SINGULAR["alloy"] = "alloys"
_ASIDE = ("name", "title", "source", "seen", "aliases", "invented")


@dataclass(frozen=True, slots=True)
class KnownPart:
    """One part: its name, what it is, its figures as they were typed, and where they are from."""

    table: str
    name: str
    title: str
    source: str
    seen: str
    own: bool
    figures: Mapping[str, str]
    meanings: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class DrawnCurve:
    """A pump's curve at rated speed: the line that is used and the points that are given."""

    name: str
    title: str
    source: str
    supply: str
    note: str
    flow: tuple[float, ...] = measured("m3/s")
    head: tuple[float, ...] = measured("m")
    given_flow: tuple[float, ...] = measured("m3/s")
    given_head: tuple[float, ...] = measured("m")


def table_called(name: str) -> str | None:
    """Return the table of this name, in the singular or the plural, or None."""
    plain = name.strip().lower().replace("_", " ")
    return plain if plain in TABLES else _SINGULAR.get(plain)


def known_parts(catalogue: Catalogue, tables: tuple[str, ...] = TABLES) -> tuple[KnownPart, ...]:
    """Return every part of these tables."""
    return tuple(
        known_part(catalogue, table, name) for table in tables for name in catalogue.rows(table)
    )


def known_part(catalogue: Catalogue, table: str, name: str) -> KnownPart:
    """Return one part in full.

    Raises
    ------
    NoSuchPart
        If the table has no such part.
    """
    key, row = catalogue.find(table, catalogue.meant(table, name))
    meanings = {}
    if table in SHEET_TABLES:
        meanings = {spelled: item.meaning for _, spelled, item in keys_of(SHEET_TABLES[table])}
    return KnownPart(
        table=table,
        name=key,
        title=str(row.get("title", "")),
        source=source_of(row),
        seen=str(row.get("seen", "")),
        own=any(sheet.written is row for sheet in catalogue.own),
        figures={name: written(value) for name, value in row.items() if name not in _ASIDE},
        meanings=meanings,
    )


def drawn_curve(catalogue: Catalogue, name: str) -> DrawnCurve:
    """Return the curve of a pump at rated speed.

    Raises
    ------
    NoSuchPart
        If there is no such pump.
    """
    name = catalogue.meant("pumps", name)
    sheet, part = catalogue.sheet("pumps", name), catalogue.pump(name)
    assert isinstance(sheet, PumpSheet)
    given = np.asarray(given_points(sheet), dtype=float).reshape(-1, 2)
    # the given flows too, so that the line goes through the points
    evenly = np.linspace(0.0, 1.0, N_DRAWN) * np.asarray(part.curve.free_flow, dtype=float)
    flow = np.union1d(evenly, given[:, 0])
    hertz = "" if part.frequency is None else f" {part.frequency:g} Hz"
    return DrawnCurve(
        name=part.name,
        title=part.title,
        source=source_of(sheet.written),
        supply=f"{part.current} {part.voltage:g} V{hertz}",
        note=part.curve.note,
        flow=_numbers(flow),
        head=_numbers(head(part.curve, flow, 1.0)),
        given_flow=_numbers(given[:, 0]),
        given_head=_numbers(given[:, 1]),
    )


def _numbers(array: Any) -> tuple[float, ...]:
    return tuple(float(value) for value in np.asarray(array))
