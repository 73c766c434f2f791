"""The parts that are known: the packaged tables, and a person's own parts before them."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeVar

import numpy as np

from seaflow.base.near import called
from seaflow.base.problems import SeaflowError
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.parts.part import HoseKind, NoSuchPart, PumpPart, hose_kind_of, pump_part_of
from seaflow.boat.parts.read_sheet import read_sheet
from seaflow.boat.parts.sheets import (
    CoilSheet,
    HoseSheet,
    PumpSheet,
    Sheet,
    StrainerSheet,
    UnitSheet,
)

MOST_NEAR = 8  # names that are offered for a beginning of several
# The tables whose rows are read by a declaration, and those that only the package holds.
SHEET_TABLES: dict[str, type[Sheet]] = {
    "pumps": PumpSheet,
    "strainers": StrainerSheet,
    "hoses": HoseSheet,
    "units": UnitSheet,
    "coils": CoilSheet,
}
FIXED_TABLES = ("fittings", "seacocks", "entries", "alloys")
TABLES = (*SHEET_TABLES, *FIXED_TABLES)
OWN_ONLY = ("units", "coils")  # the package ships none

_S = TypeVar("_S", bound=Sheet)


@cache
def _speed(text: str) -> float | None:
    return None if text == "no value" else read_quantity(text, "m/s")


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The packaged parts, and own parts that stand before them."""

    own: tuple[Sheet, ...] = ()

    def rows(self, table: str) -> Mapping[str, Mapping[str, Any]]:
        """Return the rows of a table by name, as they were typed; an own part hides a like name."""
        own = {sheet.name: sheet.written for sheet in self._own(table)}
        hidden = {_plain(name) for name in own}
        shipped = _packaged_rows(table)
        return {name: row for name, row in shipped.items() if _plain(name) not in hidden} | own

    def find(self, table: str, name: str) -> tuple[str, Mapping[str, Any]]:
        """Return the name and the row of a part, by its name, its title or an alias.

        Raises
        ------
        NoSuchPart
            If no row bears the name.
        """
        wanted = _plain(name)
        if self.own:
            rows = self.rows(table)
            first = [sheet.name for sheet in self._own(table)]
            spellings = _spelled({key: rows[key] for key in (*first, *rows)})
        else:
            rows = _packaged_rows(table)
            spellings = _packaged_spellings(table)
        if wanted in spellings:
            return spellings[wanted], rows[spellings[wanted]]
        near = difflib.get_close_matches(wanted, spellings, n=3, cutoff=0.5)
        raise NoSuchPart(table, name, list(dict.fromkeys(spellings[item] for item in near)))

    def meant(self, table: str, name: str) -> str:
        """Return the name of a part that somebody typed, in full or by a beginning of one alone.

        Raises
        ------
        NoSuchPart
            If no row is called so, or several.
        """
        try:
            return self.find(table, name)[0]
        except NoSuchPart:
            begun = called(name, self.rows(table))
            if len(begun) == 1:
                return begun[0]
            if begun:
                raise NoSuchPart(table, name, list(begun[:MOST_NEAR])) from None
            raise

    def sheet(self, table: str, name: str) -> Sheet:
        """Return the sheet of a pump, strainer, hose, unit or coil.

        Raises
        ------
        NoSuchPart
            If the table has no such part.
        """
        key, _ = self.find(table, name)
        own = next((sheet for sheet in self._own(table) if sheet.name == key), None)
        return own if own is not None else _packaged_sheet(table, key)

    def pump(self, name: str) -> PumpPart:
        """Return a pump."""
        return pump_part_of(_as(PumpSheet, self.sheet("pumps", name)))

    def pumps(self) -> tuple[PumpPart, ...]:
        """Return all pumps."""
        return tuple(self.pump(name) for name in self.rows("pumps"))

    def any_pump(self) -> PumpPart:
        """Return a pump to stand in where which one it is does not matter."""
        return self.pump(next(iter(self.rows("pumps"))))

    def strainer(self, name: str) -> StrainerSheet:
        """Return the sheet of a strainer."""
        return _as(StrainerSheet, self.sheet("strainers", name))

    def hose_kind(self, name: str) -> HoseKind:
        """Return a kind of hose."""
        return hose_kind_of(_as(HoseSheet, self.sheet("hoses", name)))

    def fastest_water(self, alloy: str) -> tuple[str, float | None]:
        """Return the name of an alloy and the velocity it stands in a heat exchanger [m/s]."""
        name, row = self.find("alloys", alloy)
        text = row.get("exchanger_velocity", row.get("design_velocity", "no value"))
        return name, _speed(text)

    def slowest_water(self, alloy: str) -> float | None:
        """Return the velocity below which silt settles on an alloy [m/s]; None without a value."""
        return _speed(self.find("alloys", alloy)[1].get("least_velocity", "no value"))

    def standard_bores(self) -> tuple[float, ...]:
        """Return the usual hose bores [m], rising."""
        texts = read_table("parts/hoses.toml")["standard"]["bores"]
        return tuple(read_quantity(text, "m") for text in texts)

    def common_bores(self) -> tuple[float, ...]:
        """Return the bores of hose that are sold everywhere [m], rising."""
        texts = read_table("parts/hoses.toml")["standard"]["common"]
        return tuple(read_quantity(text, "m") for text in texts)

    def usual_barb_bore(self, hose_bore: float) -> float:
        """Return the clear bore of the barb that usually carries a hose of this bore [m]."""
        hoses, ratios = _usual_barbs()
        return float(hose_bore * np.interp(hose_bore, hoses, ratios))

    def _own(self, table: str) -> Iterator[Sheet]:
        kind = SHEET_TABLES.get(table)
        return (sheet for sheet in self.own if type(sheet) is kind)


def same_name(first: str, second: str) -> bool:
    """Tell whether two names of parts count as one."""
    return _plain(first) == _plain(second)


def source_of(row: Mapping[str, Any]) -> str:
    """Return where the figures of a row are from: a source, or the word invented."""
    source = str(row.get("source", "invented"))
    if row.get("invented") and source != "invented":
        return f"invented: {source}"
    return source


@cache
def _usual_barbs() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return hose bores [m], and the bore of the usual barb over each."""
    table = read_table("parts/fittings.toml")["_barbs"]["usual"]
    hoses = tuple(read_quantity(row["hose"], "m") for row in table)
    barbs = (read_quantity(row["barb"], "m") for row in table)
    return hoses, tuple(barb / hose for barb, hose in zip(barbs, hoses, strict=True))


@cache
def _packaged_sheet(table: str, name: str) -> Sheet:
    """Return one packaged row, read when it is first asked for."""
    row = dict(_packaged_rows(table)[name]) | {"name": name}
    sheet, problems = read_sheet(SHEET_TABLES[table], row, f"{table}.toml")
    if problems:
        raise SeaflowError(problems)
    return sheet


@cache
def _packaged_rows(table: str) -> Mapping[str, dict[str, Any]]:
    """Return the rows of a packaged table with the keys that a sheet has."""
    if table in OWN_ONLY:
        return {}
    content = read_table(f"parts/{table}.toml")
    content = content.get("kind", content)
    rows = {name: row for name, row in content.items() if not name.startswith("_")}
    return {name: {"source": "invented"} | row for name, row in rows.items()}


@cache
def _packaged_spellings(table: str) -> dict[str, str]:
    return _spelled(_packaged_rows(table))


def _spelled(rows: Mapping[str, Mapping[str, Any]]) -> dict[str, str]:
    """Return the name of the row that each plain spelling means: the first that has it."""
    found: dict[str, str] = {}
    for key, row in rows.items():
        for spelling in _spellings(key, row):
            found.setdefault(_plain(spelling), key)
    return found


def _spellings(key: str, row: Mapping[str, Any]) -> Iterator[str]:
    yield key
    yield from (str(row[name]) for name in ("title",) if name in row)
    yield from row.get("aliases", ())


@cache
def _plain(name: str) -> str:
    return " ".join(name.lower().replace(",", " ").replace("-", " ").split())


def _as(kind: type[_S], sheet: Sheet) -> _S:
    assert isinstance(sheet, kind)
    return sheet
