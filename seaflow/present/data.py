"""Results as plain data: SI numbers, each with its unit."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import Any

from seaflow.base.facts import Amount, Fact
from seaflow.base.measured import unit_of
from seaflow.present.quantities import Show

SKIPPED = ("asked", "curve", "drawn")  # answers of their own, and objects of the model


def as_json(answer: Any) -> str:
    """Return an answer as JSON text."""
    import json  # most answers are read as text

    return json.dumps(as_data(answer), indent=2, ensure_ascii=False)


def as_data(value: Any) -> Any:
    """Return a result as dictionaries and lists; a measured number becomes value and unit.

    What a result works out of its fields and wants told as well is named in its `ALSO`.
    """
    if isinstance(value, Fact):
        values = {name: _in_fact(item) for name, item in value.values}
        return {"kind": value.kind, **values, "text": Show().sentence(value)}
    if isinstance(value, Amount):
        return {"value": as_data(value.value), "unit": value.unit}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = (entry.name for entry in dataclasses.fields(value))
        names = (*getattr(value, "ALSO", ()), *(name for name in fields if name not in SKIPPED))
        return {name: _measured(value, name) for name in names}
    if isinstance(value, Mapping):
        return {str(name): as_data(item) for name, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_data(item) for item in value]
    if isinstance(value, str):
        return Show().sentence(value)
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _in_fact(value: Any) -> Any:
    """Return a value of a fact; a bare number with a point has no dimension, such as a share."""
    return {"value": as_data(value), "unit": "-"} if isinstance(value, float) else as_data(value)


def _measured(record: Any, name: str) -> Any:
    value, unit = getattr(record, name), unit_of(record, name)
    return as_data(value) if unit is None else {"value": as_data(value), "unit": unit}
