"""The faces of every answer: its card, the text behind it, and its data."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial
from importlib import import_module
from typing import Any

from seaflow.base.facts import fact
from seaflow.boat.case import Case
from seaflow.boat.reader.text import NO_FILE
from seaflow.present.card import Block, Card, card_data
from seaflow.present.data import as_data
from seaflow.present.layout import Line
from seaflow.present.quantities import Show

FORMAT = 0  # of the data; it grows when a key goes or changes its meaning
_FOLDERS = ("page", "place", "size", "survey")  # answers with a folder of their own


@dataclass(frozen=True, slots=True)
class Faces:
    """How one kind of answer is shown: as a card, as lines by sections, and as data."""

    card: Callable[[Any, Show], Card]
    lines: Callable[[Any, Show], Iterable[Line]]
    data: Callable[[Any], dict[str, Any]]


def faces_of(command: str, case: Case) -> Faces:
    """Return the faces of the answer to a command that was asked of a case."""
    made = getattr(import_module(f"{_where(command)}card"), f"{command}_card")
    card = partial(_card, made, case)
    return Faces(card, partial(_lines, command, case), partial(_whole, command, case, card))


def _card(made: Callable[[Any, Show], Card], case: Case, answer: Any, show: Show) -> Card:
    """Return a card whose head says how much of the boat is only typical.

    Of a boat without a file the next commands take what was typed in place of her name.
    """
    card = made(answer, show)
    if case.text.file == NO_FILE:
        told = show.sentence(fact("design.card_same_words"))
        blocks = (_as_typed(one, told) for one in card.blocks)
        card = replace(card, blocks=tuple(blocks))
    if not case.typical or case.gaps:  # of a half-known boat the survey counts what is open
        return card
    typical = show.sentence(fact("design.card_typical", values=len(case.typical)))
    return replace(card, title=f"{card.title}; {typical}")


def _as_typed(one: Block, told: str) -> Block:
    says = tuple(said.replace(" BOAT", " ...") for said in one.says)
    return one if says == one.says else replace(one, says=(*says, told), kept=one.kept + 1)


def _where(command: str) -> str:
    return f"seaflow.present.{command}" + ("." if command in _FOLDERS else "_")


def _lines(command: str, case: Case, answer: Any, show: Show) -> Iterable[Line]:
    """Return what stands behind the card; it is loaded no sooner, for the card needs none of it."""
    lines = getattr(import_module(f"{_where(command)}text"), f"{command}_lines")
    found: Iterable[Line] = lines(answer, show, case) if command == "size" else lines(answer, show)
    return found


def _whole(
    command: str, case: Case, card: Callable[[Any, Show], Card], answer: Any
) -> dict[str, Any]:
    """Return an answer as data, with its format and its card first."""
    head = {"format": {"answer": command, "version": FORMAT}}
    whole = {**head, "card": card_data(card(answer, Show())), **as_data(answer)}
    if command == "size":
        from seaflow.studies.size.materials import boat_materials

        whole["materials"] = as_data(boat_materials(case, answer))
    return whole
