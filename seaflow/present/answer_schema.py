"""The JSON Schema of every answer, made from the results of the studies.

A number with a unit is an object of value and unit, a sentence one of kind, values and text.
"""

from __future__ import annotations

import dataclasses
import inspect
import types
import typing
from collections.abc import Mapping
from importlib import import_module
from typing import Any

from seaflow.base.facts import Amount, Fact
from seaflow.present.data import SKIPPED
from seaflow.present.faces import FORMAT

DRAFT = "https://json-schema.org/draft/2020-12/schema"
# Where the result of each question is declared.
RESULTS = {
    "balance": ("balance.answer", "Balance"),
    "baseline": ("baseline.sheet", "BaselineSheet"),
    "diagnose": ("diagnose.answer", "Diagnosis"),
    "energy": ("energy.study", "Energy"),
    "heating": ("heating.study", "Heating"),
    "improve": ("improve.answer", "Improvement"),
    "page": ("page.study", "BoatPage"),
    "place": ("place.study", "PlacingAnswer"),
    "size": ("size.size", "Sizing"),
    "survey": ("survey.findings", "Survey"),
}
_PLAIN = {str: "string", bool: "boolean", int: "integer", type(None): "null"}
_NUMBER = {"type": ["number", "null"]}  # null stands for a number that is not finite
_SAID = {
    "type": "object",
    "description": "A sentence: its kind, the values it speaks of, and its text in metric units.",
    "properties": {"kind": {"type": "string"}, "text": {"type": "string"}},
    "required": ["kind", "text"],
}
_CARD = {
    "type": "object",
    "description": "The card: its title, and blocks with a label and sentences.",
    "properties": {
        "title": {"type": "string"},
        "blocks": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "label": {"type": "string"},
                    "says": {"type": "array", "items": {"type": "string"}},
                },
                "required": ["label", "says"],
                "additionalProperties": False,
            },
        },
    },
    "required": ["title", "blocks"],
    "additionalProperties": False,
}


def answer_schema(command: str) -> dict[str, Any]:
    """Return the JSON Schema of what `--json` prints for one command.

    Raises
    ------
    KeyError
        If no such command answers a question.
    """
    where, name = RESULTS[command]
    result = getattr(import_module(f"seaflow.studies.{where}"), name)
    found: dict[str, Any] = {}
    whole = _record(result, found)
    made = {
        "answer": {"const": command},
        "version": {"const": FORMAT},
    }
    form = {"type": "object", "properties": made, "required": list(made)}
    properties = {"format": form, "card": _CARD, **whole["properties"]}
    if command == "size":
        lists = import_module("seaflow.studies.size.materials").LoopMaterials
        properties["materials"] = {"type": "array", "items": _kind(lists, found)}
    return {
        "$schema": DRAFT,
        "title": f"Answer of seaflow {command}",
        "description": whole.get("description", ""),
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
        "$defs": dict(sorted(found.items())),
    }


def _record(result: type, found: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of one record of results: its keys are those that `as_data` gives."""
    hints = typing.get_type_hints(result)
    properties: dict[str, Any] = {}
    for name in getattr(result, "ALSO", ()):
        getter = getattr(result, name).fget
        properties[name] = {
            **_kind(typing.get_type_hints(getter)["return"], found),
            "description": _first(getter),
        }
    for entry in dataclasses.fields(result):
        if entry.name not in SKIPPED:
            kind = _kind(hints[entry.name], found)
            unit = entry.metadata.get("unit")
            properties[entry.name] = kind if unit is None else _measured(kind, unit)
    return {
        "type": "object",
        "description": _first(result),
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _measured(kind: dict[str, Any], unit: str) -> dict[str, Any]:
    properties = {"value": kind, "unit": {"const": unit}}
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _kind(hint: Any, found: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of one type; a record goes into `found` and is referred to."""
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if origin in (types.UnionType, typing.Union):
        return {"anyOf": [_kind(one, found) for one in inner]}
    if origin is tuple:
        kinds = [_kind(one, found) for one in dict.fromkeys(inner) if one is not Ellipsis]
        return {"type": "array", "items": kinds[0] if len(kinds) == 1 else {"anyOf": kinds}}
    if origin is not None and issubclass(origin, Mapping):
        return {"type": "object", "additionalProperties": _kind(inner[1], found)}
    if origin is list:
        return {"type": "array", "items": _kind(inner[0], found)}
    return _plain(hint, found)


def _plain(hint: Any, found: dict[str, Any]) -> dict[str, Any]:
    if hint is float:
        return _NUMBER
    if hint is Fact:
        found.setdefault("Said", _SAID)
        return {"$ref": "#/$defs/Said"}
    if hint is Amount:
        unit = {"type": "string"}
        return {"type": "object", "properties": {"value": _NUMBER, "unit": unit}}
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        if hint.__name__ not in found:
            found[hint.__name__] = {}  # so that a record that holds its own kind ends
            found[hint.__name__] = _record(hint, found)
        return {"$ref": f"#/$defs/{hint.__name__}"}
    return {"type": _PLAIN[hint]} if hint in _PLAIN else {}


def _first(thing: Any) -> str:
    """Return the first paragraph of a docstring on one line."""
    text = inspect.getdoc(thing) or ""
    return " ".join(text.partition("\n\n")[0].split())
