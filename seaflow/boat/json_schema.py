"""Case file and parts file as JSON Schemas, so that an editor can explain and check them.

Made from the declarations. `python -m seaflow.boat.json_schema FOLDER` writes both to a folder.
"""

from __future__ import annotations

import json
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from seaflow.base.glossary import glossary_entry
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.keys import Key, keys_of, part_table
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.parts.own_units import supplied_keys
from seaflow.boat.parts.read_sheet import NOT_GIVEN
from seaflow.boat.parts.sheets import KINDS, PartsFile, PumpSheet, Sheet
from seaflow.boat.reader.known import HOWS, NOT_ACCESSIBLE
from seaflow.boat.reader.value import LONGEST_QUANTITY
from seaflow.boat.tables.plates import LossPoint

DRAFT = "https://json-schema.org/draft/2020-12/schema"

_NUMBER = (
    r"^\s*([Tt]ypical\s+)?[+\-−–]?\s*"
    r"(\d+[\s\-]+\d+/\d+|\d+\s*/\s*\d+|\d[\d\s]*\.?\d*([eE][+\-]?\d+)?|\.\d+)\s*"
)
_TO = r"([^\d+]*(-|–|—|to|\.\.+|…)\s*\d+(\.\d+)?\s*)?"  # the other end: "220-240 V"
# "4.5 m", "1 1/4 in"; no bare number, no decimal comma
WITH_UNIT = _NUMBER + _TO + r"[^\d\s.,/+\-].*$"
PURE = (
    _NUMBER + _TO + r"(%|percent)?\s*([Tt]ypical\s*)?((\+/-|±).*)?$"
)  # "50 %", "0.5", "5 % +/- 1 %"

_MARKED = "HowKnown"
_KNOWN = {
    "type": "string",
    "description": "A value behind how it is known, or why nobody could look.",
    "pattern": rf"^\s*(({'|'.join(HOWS[:-1])})\b[^:]*:|{NOT_ACCESSIBLE}\b).*$",
}

# Records that need one of several sets of keys.
_ONE_OF: dict[type, tuple[tuple[str, ...], ...]] = {
    LossPoint: (("head",), ("pressure",)),
    PumpSheet: (("points",), ("shut_off_head", "free_flow")),
    PartsFile: tuple((kind,) for kind in KINDS),
}
_LEAST_POINTS = {"minItems": 2}  # a curve needs two


def case_schema() -> dict[str, Any]:
    """Return the JSON Schema of a case file."""
    return _schema(Case, "Case file of seaflow")


def parts_schema() -> dict[str, Any]:
    """Return the JSON Schema of a file of own parts in TOML."""
    return _schema(PartsFile, "Parts file of seaflow")


def schema_text(schema: dict[str, Any]) -> str:
    """Return a JSON Schema as text."""
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _schema(file: type, title: str) -> dict[str, Any]:
    described: dict[str, Any] = {_MARKED: _KNOWN} if file is Case else {}
    root = _record(file, described)
    root["properties"]["meta"] = {
        "type": "object",
        "description": "Free text for whoever reads the file; the program does not read it.",
    }
    return {"$schema": DRAFT, "title": title, **root, "$defs": described}


def example_value(declared: Key) -> Any:
    """Return the example of a key as data."""
    return tomllib.loads(f"value = {declared.example}")["value"] if declared.example else None


def _record(record: type, described: dict[str, Any]) -> dict[str, Any]:
    # what a sheet may supply is needed only where none is named
    supplied = supplied_keys(record)
    needed = [spelled for _, spelled, declared in keys_of(record) if declared.required]
    rules = [
        {"anyOf": [{"required": [key]}, *({"required": [name]} for name in names)]}
        for key, names in supplied.items()
    ]
    if record in _ONE_OF:
        rules.append({"anyOf": [_together(record, names) for names in _ONE_OF[record]]})
    return {
        "type": "object",
        "properties": {
            spelled: _key(declared, described, issubclass(record, Sheet))
            for _, spelled, declared in keys_of(record)
        },
        "required": [spelled for spelled in needed if spelled not in supplied],
        "additionalProperties": False,
        **({"allOf": rules} if len(rules) > 1 else rules[0] if rules else {}),
    }


def _together(record: type, names: tuple[str, ...]) -> dict[str, Any]:
    """Require keys, and in each that is a list as many rows as it takes."""
    lists = [name for _, name, declared in keys_of(record) if declared.many and name in names]
    least = _LEAST_POINTS if record is PumpSheet else {"minItems": 1}
    given = {name: {"type": "array", **least} for name in lists}
    return {"required": list(names), **({"properties": given} if given else {})}


def _key(declared: Key, described: dict[str, Any], of_a_sheet: bool) -> dict[str, Any]:
    item = _item(declared, described)
    shape = {"type": "array", "items": item} if declared.many else item
    if of_a_sheet and not declared.required and shape != {"type": "string"}:
        shape = {"anyOf": [shape, {"const": NOT_GIVEN}]}
    is_value = not declared.many and "$ref" not in shape and shape != {"type": "string"}
    if _MARKED in described and is_value:
        shape = {"anyOf": [shape, {"$ref": f"#/$defs/{_MARKED}"}]}
    return {**shape, **dict(_words(declared))}


def _item(declared: Key, described: dict[str, Any]) -> dict[str, Any]:
    if declared.of is not None:
        name = declared.of.__name__
        if name not in described:
            described[name] = {}  # its place in the list, before the records inside it
            described[name].update(_record(declared.of, described))
        return {"$ref": f"#/$defs/{name}"}
    if declared.quantity is not None:
        return _quantity(declared)
    if declared.choices:
        return {"type": "string", "enum": list(declared.choices)}
    if declared.kind == "number":
        return {"type": "integer", **_limits(declared)}
    return {"type": "boolean" if declared.kind == "flag" else "string"}


def _quantity(declared: Key) -> dict[str, Any]:
    pure = glossary_entry(declared.quantity or "").unit == "-"
    text = {
        "type": "string",
        "pattern": PURE if pure else WITH_UNIT,
        "maxLength": LONGEST_QUANTITY,
    }
    if declared.nothing:
        return {"anyOf": [{"const": declared.nothing}, text]}
    return {"anyOf": [{"type": "number", **_limits(declared)}, text]} if pure else text


def _limits(declared: Key) -> dict[str, float]:
    limits = {"minimum": declared.least, "maximum": declared.most}
    return {name: value for name, value in limits.items() if value is not None}


def _words(declared: Key) -> Iterator[tuple[str, Any]]:
    description = declared.meaning
    if declared.default is not None:
        row = default(declared.default)
        description += f" If left out: {row.text} ({row.source})."
        yield "default", row.text
    yield "description", description
    examples = [example_value(declared)] if declared.example else []
    table = part_table(declared)
    if table is not None:
        names = list(Catalogue().rows(table))
        examples = [[name] for name in names] if declared.many else names
    if examples:
        yield "examples", examples


SCHEMAS = {"case.schema.json": case_schema, "parts.schema.json": parts_schema}

if __name__ == "__main__":
    for name, make in SCHEMAS.items():
        (Path(sys.argv[1]) / name).write_text(schema_text(make()), encoding="utf-8")
