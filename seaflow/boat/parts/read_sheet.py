"""Read one sheet of a part by its declaration; the same reader as for a case."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any, TypeVar

from seaflow.base.problems import Problem
from seaflow.boat.keys import keys_of
from seaflow.boat.parts.sheets import Sheet
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_record
from seaflow.boat.reader.text import CaseText, Path

NOT_GIVEN = "not given"

_S = TypeVar("_S", bound=Sheet)


def read_sheet(
    kind: type[_S],
    raw: Mapping[str, Any],
    file: str,
    path: Path = (),
    text: CaseText | None = None,
) -> tuple[_S, list[Problem]]:
    """Return a sheet and the problems in it; `path` is where it stands in the text of its file.

    Values that are hard to believe are asked about only in a file of somebody's own.
    """
    reading = Reading(text or CaseText(file))
    given = _given(kind, raw) if isinstance(raw, Mapping) else raw
    sheet = read_record(kind, given, path, reading, file=file, text=text, written=given)
    noted = reading.problems if text is None else [*reading.problems, *reading.questions]
    spreads = {found[len(path) :]: half for found, half in reading.spreads.items()}
    return dataclasses.replace(
        sheet, assumptions=tuple(reading.assumptions), spreads=spreads
    ), noted


def _given(kind: type[Sheet], raw: Mapping[str, Any]) -> dict[str, Any]:
    """Leave out what a sheet says is not given, except where it must be."""
    required = {spelled for _, spelled, declared in keys_of(kind) if declared.required}
    return {name: value for name, value in raw.items() if value != NOT_GIVEN or name in required}
