"""What the sheets of a unit and of its coil supply where a case leaves a key open."""

from __future__ import annotations

from typing import Any

from seaflow.boat.defaults import Assumption
from seaflow.boat.keys import keys_of
from seaflow.boat.parts.catalogue import SHEET_TABLES, Catalogue, source_of
from seaflow.boat.parts.part import NoSuchPart
from seaflow.boat.parts.sheets import Sheet
from seaflow.boat.reader.text import CaseText
from seaflow.boat.tables.things import Unit

# A coil's sheet says more of the coil than the sheet of the whole unit, so it comes first.
_FROM = (("coil", "coils"), ("model", "units"))
JOINED = ("water_flow",)  # its keys stand by themselves; in other tables one replaces another


def supply_from_sheets(
    raw: dict[str, Any], catalogue: Catalogue, text: CaseText
) -> tuple[Assumption, ...]:
    """Fill the open keys of every raw unit of a case from its sheets, and return what was filled.

    What the case itself says is never changed. A name that is not known is left for the check of
    names. `text` learns where what was filled stands.
    """
    found: list[Assumption] = []
    units = raw.get("unit")
    for row, unit in enumerate(units if isinstance(units, list) else ()):
        if not isinstance(unit, dict):
            continue
        for key, table in _FROM:
            name = unit.get(key)
            if isinstance(name, str):
                before = set(unit)
                found.extend(_supplied(unit, name, table, catalogue))
                if set(unit) - before:
                    _keep_places(text, row, set(unit) - before, catalogue.sheet(table, name))
    return tuple(found)


def _keep_places(text: CaseText, row: int, keys: set[str], sheet: Sheet) -> None:
    """Let problems of what a sheet supplies be told in the file of the sheet."""
    if sheet.text is not None:
        for key in keys:
            place = (sheet.table, sheet.row, key)
            text.beside[("unit", row, key)] = (sheet.text, place)


def supplied_keys(record: type) -> dict[str, tuple[str, ...]]:
    """Return each key a record needs that a sheet may supply, with the keys that name the sheet."""
    if record.__name__ == "Sea":
        return {"warmest": ("place",)}  # which a place supplies
    if record is not Unit:
        return {}
    needed = [spelled for _, spelled, declared in keys_of(Unit) if declared.required]
    found = {
        key: tuple(name for name, table in _FROM if key in _own_keys(SHEET_TABLES[table]))
        for key in needed
    }
    return {key: names for key, names in found.items() if names}


def _own_keys(kind: type) -> set[str]:
    """Return the keys of a record that not every sheet has."""
    return {name for _, name, _ in keys_of(kind)} - {name for _, name, _ in keys_of(Sheet)}


def _supplied(
    unit: dict[str, Any], name: str, table: str, catalogue: Catalogue
) -> list[Assumption]:
    try:
        sheet = catalogue.sheet(table, name)
    except NoSuchPart:
        return []
    found = []
    subject = str(unit.get("name", name))
    keys = _own_keys(Unit)
    for key, value in sheet.written.items():
        if key not in keys:
            continue
        given = unit.get(key)
        added = value if given is None else {}
        if key in JOINED and isinstance(given, dict) and isinstance(value, dict):
            added = {part: value[part] for part in value if part not in given}
        if added:
            unit[key] = added if given is None else added | given
            source = f"sheet of {sheet.words}: {source_of(sheet.written)}"
            found.append(Assumption(subject, key.replace("_", " "), written(added), source))
    return found


def written(value: Any) -> str:
    """Return a value of a TOML file as words."""
    if isinstance(value, dict):
        return ", ".join(f"{key.replace('_', ' ')} {written(item)}" for key, item in value.items())
    if isinstance(value, (list, tuple)):
        return "; ".join(written(item) for item in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)
