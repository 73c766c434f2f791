"""The format of a file, which is read before anything else in it."""

from __future__ import annotations

from typing import Any

from seaflow.base.problems import SeaflowError
from seaflow.boat.reader.text import CaseText

SCHEMA = 1


def refuse_other_schema(text: CaseText, raw: dict[str, Any]) -> None:
    """Refuse a file whose format is not the one that this program reads, and say nothing else.

    Raises
    ------
    SeaflowError
        If the file names another format.
    """
    schema = raw.get("schema", SCHEMA)
    if isinstance(schema, bool) or not isinstance(schema, int) or schema == SCHEMA:
        return
    raise SeaflowError(
        [
            text.problem(
                "S01",
                ("schema",),
                f"this file is of format {schema}, and this seaflow reads format {SCHEMA}",
                why="Another format may mean other things by the same words, "
                "so nothing else was read.",
                write=f"Use the seaflow that wrote the file, or write schema = {SCHEMA} "
                "if the file is new.",
            )
        ]
    )
