"""The faces of every answer: its card, the text behind it, and its data."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from typing import Any

from seaflow.boat.case import Case
from seaflow.present.card import Card, card_data
from seaflow.present.data import as_data
from seaflow.present.layout import Line
from seaflow.present.quantities import Show

FORMAT = 0  # of the data; it grows when a key goes or changes its meaning
# Where an answer has a folder of its own.
_FOLDERS = ("place", "size", "survey")
COMMANDS = (
    *("balance", "baseline", "diagnose", "energy", "heating", "improve"),
    *_FOLDERS,
)


@dataclass(frozen=True, slots=True)
class Faces:
    """How one kind of answer is shown: as a card, as lines by sections, and as data."""

    card: Callable[[Any, Show], Card]
    lines: Callable[[Any, Show], Iterable[Line]]
    data: Callable[[Any], dict[str, Any]]


def faces_of(command: str, case: Case) -> Faces:
    """Return the faces of the answer to a command that was asked of a case.

    Raises
    ------
    KeyError
        If there is no such command.
    """
    if command not in COMMANDS:
        raise KeyError(command)
    where = f"seaflow.present.{command}" + ("." if command in _FOLDERS else "_")
    card = getattr(import_module(f"{where}card"), f"{command}_card")
    lines = getattr(import_module(f"{where}text"), f"{command}_lines")
    content: Callable[[Any], Any] = as_data
    if command == "size":
        from seaflow.present.size.text import size_data

        lines, content = partial(lines, case=case), partial(size_data, case)
    elif command == "place":
        from seaflow.present.place.data import place_data

        content = place_data
    return Faces(card, lines, partial(_whole, command, card, content))


def _whole(
    command: str,
    card: Callable[[Any, Show], Card],
    content: Callable[[Any], dict[str, Any]],
    answer: Any,
) -> dict[str, Any]:
    """Return an answer as data, with its format and its card first."""
    head = {"format": {"answer": command, "version": FORMAT}}
    return {**head, "card": card_data(card(answer, Show())), **content(answer)}
