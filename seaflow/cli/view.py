"""How an answer is shown: its card, all of it, some sections, or data."""

from __future__ import annotations

import functools
import re
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NoReturn, Protocol, TypeVar

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.common import EXITS, json_option, refuse, units_option

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.present.layout import Line

_F = TypeVar("_F", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class View:
    """What was asked for: data or text, in which units, and how much of it."""

    json_: bool = False
    units: str = "metric"
    full: bool = False
    sections: tuple[str, ...] = ()


def view_options(command: _F) -> Callable[..., Any]:
    """Add --full, --section, --json and --units; the command gets them as one `view`."""

    @functools.wraps(command)
    def with_view(
        *words: Any, json_: bool, units: str, full: bool, section: tuple[str, ...], **rest: Any
    ) -> Any:
        return command(*words, view=View(json_, units, full, section), **rest)

    full = click.option("--full", is_flag=True, help="Everything, not only the card.")
    section = click.option(
        "--section",
        multiple=True,
        metavar="WORDS",
        help="Only the sections whose title has these words; may be given again.",
    )
    return full(section(json_option(units_option(with_view))))


class Answer(Protocol):
    """What a question asked of a case gives: it knows whether all is well."""

    @property
    def grade(self) -> str:
        """Yes, tight or no."""


def answer_with(view: View, command: str, case: Case, ask: Callable[[], Answer]) -> NoReturn:
    """Ask, print the answer to a command as it was asked for, and leave with its exit code."""
    try:
        answer = ask()
        text = answer_text(view, command, case, answer)
    except SeaflowError as error:
        refuse(error, view.json_)
    click.echo(text)
    sys.exit(EXITS[answer.grade])


def answer_text(view: View, command: str, case: Case, answer: object) -> str:
    """Return the answer to a command as it was asked for: as data, or as text.

    A command that writes files makes this first, so that what it refuses leaves none.

    Raises
    ------
    SeaflowError
        If there is no section with the words asked for.
    """
    from seaflow.present.card import card_text
    from seaflow.present.data import as_json
    from seaflow.present.faces import faces_of
    from seaflow.present.layout import page, shows_bold
    from seaflow.present.quantities import Show

    faces = faces_of(command, case)
    if view.json_:
        return as_json(faces.data(answer))
    show, bolder = Show(view.units), shows_bold()
    if view.sections:
        return page(_chosen(faces.lines(answer, show), view.sections), bolder).lstrip("\n")
    card = card_text(faces.card(answer, show), bolder)
    return f"{card}\n{page(faces.lines(answer, show), bolder)}" if view.full else card


def _chosen(lines: Iterable[Line], words: Iterable[str]) -> list[Line]:
    from seaflow.present.layout import sections

    parts = list(sections(lines))
    found: list[Line] = []
    for asked in words:
        mine = [part for title, part in parts if has_words(title, asked)]
        if not mine:
            raise SeaflowError([_no_section(asked, [title for title, _ in parts if title])])
        found += [line for part in mine for line in part]
    return found


def has_words(title: str, asked: str) -> bool:
    """Return whether these words stand in a title; the last may be the start of one."""
    return re.search(rf"(?<!\w){re.escape(asked)}", title, re.IGNORECASE) is not None


def _no_section(asked: str, titles: list[str]) -> Problem:
    return Problem(
        "A04",
        f'this answer has no section "{asked}"',
        why=f"It has: {'; '.join(titles)}.",
        write="Give --section some words of a title, or take --full.",
    )
