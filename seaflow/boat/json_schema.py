"""The case file as a JSON Schema, so that an editor can explain and check it while it is typed.

Made from the declarations alone. `python -m seaflow.boat.json_schema FILE` writes it to a file.
"""

from __future__ import annotations

import json
import re
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from seaflow.base.glossary import quantity
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.reader.value import LONGEST_QUANTITY

DRAFT = "https://json-schema.org/draft/2020-12/schema"

_NUMBER = (
    r"^\s*[+\-−–]?\s*"
    r"(\d+[\s\-]+\d+/\d+|\d+\s*/\s*\d+|\d[\d\s]*\.?\d*([eE][+\-]?\d+)?|\.\d+)\s*"
)
WITH_UNIT = _NUMBER + r"[^\d\s.,/+\-].*$"  # "4.5 m", "1 1/4 in"; no bare number, no decimal comma
PURE = _NUMBER + r"(%|percent)?\s*((\+/-|±).*)?$"  # "50 %", "0.5", "50 % +/- 5 %"
_PARTS = re.compile(r"rows? of the (\w+) table")


def case_schema() -> dict[str, Any]:
    """Return the JSON Schema of a case file."""
    described: dict[str, Any] = {}
    root = _record(Case, described)
    root["properties"]["meta"] = {
        "type": "object",
        "description": "Free text for whoever reads the file; the program does not read it.",
    }
    return {"$schema": DRAFT, "title": "Case file of seaflow", **root, "$defs": described}


def schema_text() -> str:
    """Return the JSON Schema as text."""
    return json.dumps(case_schema(), indent=2, ensure_ascii=False) + "\n"


def part_table(declared: Key) -> str | None:
    """Return the parts table whose rows a key names, or None."""
    found = _PARTS.search(declared.meaning)
    return found[1] if found else None


def example_value(declared: Key) -> Any:
    """Return the example of a key as data."""
    return tomllib.loads(f"value = {declared.example}")["value"] if declared.example else None


def _record(record: type, described: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {
            spelled: _key(declared, described) for _, spelled, declared in keys_of(record)
        },
        "required": [spelled for _, spelled, declared in keys_of(record) if declared.required],
        "additionalProperties": False,
    }


def _key(declared: Key, described: dict[str, Any]) -> dict[str, Any]:
    item = _item(declared, described)
    shape = {"type": "array", "items": item} if declared.many else item
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
    pure = quantity(declared.quantity or "").unit == "-"
    text = {
        "type": "string",
        "pattern": PURE if pure else WITH_UNIT,
        "maxLength": LONGEST_QUANTITY,
    }
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


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(schema_text(), encoding="utf-8")
