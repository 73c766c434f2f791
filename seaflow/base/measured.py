"""Fields of results that know their unit, so that what is shown or sent never guesses one."""

from __future__ import annotations

import dataclasses
from typing import Any

_MISSING = dataclasses.MISSING


def measured(unit: str, default: Any = _MISSING) -> Any:
    """Declare a dataclass field that holds a number, or numbers by name, in this unit."""
    if default is _MISSING:
        return dataclasses.field(metadata={"unit": unit})
    return dataclasses.field(default=default, metadata={"unit": unit})


def unit_of(record: Any, name: str) -> str | None:
    """Return the unit that a field of a dataclass was declared with, or None."""
    for entry in dataclasses.fields(record):
        if entry.name == name:
            unit: str | None = entry.metadata.get("unit")
            return unit
    return None
