"""The page on what scripts get: every key of every answer."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from generator.text import page, table
from seaflow.present.answer_schema import RESULTS, answer_schema

INTRO = """
`--json` prints one object for each question, and `import seaflow` gives the same to Python
([how](scripts.md)). A number with a unit is an object of `value` and `unit`, in SI but for
temperatures in °C; a sentence is an object of `kind`, the values it speaks of, and `text`.
Numbers that are not finite are null. `format` says which answer it is and the version of its keys:
0 until they are settled. Each answer has its JSON Schema in `seaflow/data/schemas`.
"""
HEAD = ("key", "what", "about")


def schemas() -> dict[str, str]:
    """Return the JSON Schema of every answer as text, by file."""
    return {
        f"{name}.schema.json": json.dumps(answer_schema(name), indent=1, ensure_ascii=False) + "\n"
        for name in RESULTS
    }


def answers() -> str:
    """Return the page."""
    found = {name: answer_schema(name) for name in RESULTS}
    records = {kind: made for schema in found.values() for kind, made in schema["$defs"].items()}
    parts = [_part(f"## {name}", schema) for name, schema in found.items()]
    parts.append("## Parts of answers\n")
    parts += [_part(f"### {name}", records[name]) for name in sorted(records) if name != "Said"]
    return page("The keys of every answer", INTRO, *parts)


def _part(title: str, record: dict[str, Any]) -> str:
    rows = table(HEAD, list(_rows(record["properties"])))
    return f"{title}\n\n{record.get('description', '')}\n\n{rows}"


def _rows(properties: dict[str, Any]) -> Iterator[tuple[str, str, str]]:
    for key, kind in properties.items():
        yield f"`{key}`", _what(kind), kind.get("description", "")


def _what(kind: dict[str, Any]) -> str:
    """Return a type in words."""
    if "$ref" in kind:
        name = kind["$ref"].rpartition("/")[2]
        return "sentence" if name == "Said" else f"**{name}**"
    if "anyOf" in kind:
        return " or ".join(dict.fromkeys(_what(one) for one in kind["anyOf"]))
    if "const" in kind:
        return f"`{kind['const']}`"
    if kind.get("type") == "array":
        return f"list of {_what(kind['items'])}" if kind["items"] else "list"
    unit = kind.get("properties", {}).get("unit", {}).get("const")
    if unit is not None:
        value = kind["properties"]["value"]
        many = "numbers" if value.get("type") in ("array", "object") else "number"
        return f"{many} in {unit}" if unit != "-" else f"{many} without dimension"
    types = kind.get("type", "anything")
    words = {"string": "text", "integer": "count", "boolean": "true or false", "null": "null"}
    if isinstance(types, list):
        return "number"
    return words.get(types, types)
