"""Answers at the terminal while they are given: what is typed, taken, kept, and taken back."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from seaflow.base.near import called
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.reader.bounds import acting
from seaflow.boat.reader.text import CaseText, acting_problem, read_text
from seaflow.cli.common import EXIT_INTERRUPTED, is_interrupt
from seaflow.cli.files import alone, require_free, write_whole
from seaflow.forms.answers import read_answers
from seaflow.forms.bare import bare_unit, with_unit
from seaflow.forms.checklist import YES_NO
from seaflow.forms.interview import STOP, WORDS
from seaflow.forms.on_board import AnswerPlace, answers_text, with_answer
from seaflow.forms.sheet import Answered
from seaflow.present.problems import problems_text
from seaflow.present.survey.board_text import BORE, MEANWHILE, WHY_SHUT, kept_text, unit_of
from seaflow.present.survey.walk import Line

_HEAD = "# Answers given on board, kept by seaflow survey --ask. To go on: {command}"
SHUT = ("no access", "not accessible", "n/a")
NO_COCK = "none"
NO_CHOICE = ("K11", "S16")  # of a word, and of a row of a table of parts
FOLLOWED = "finding"  # the table of what became of findings


class StoppedError(Exception):
    """Somebody stops here, or the input has ended."""


@dataclass(frozen=True, slots=True)
class Asking:
    """What is asked about: the case, the answers before, the file that keeps the new ones."""

    case: Case
    before: tuple[str, ...]
    file: str
    command: str
    units: str
    told: list[dict[str, Any]] = field(default_factory=list)  # one more for each answer
    passed: set[AnswerPlace] = field(default_factory=set)

    @property
    def now(self) -> dict[str, Any]:
        return self.told[-1]

    def read(self, told: Mapping[str, Any]) -> Answered:
        """Return the case with all answers laid over it."""
        head = _HEAD.format(command=self.command)
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, Path(self.file).name)
            Path(path).write_text(answers_text(told, head), encoding="utf-8", errors="replace")
            return read_answers((*self.before, path), self.case)

    def renew(self) -> None:
        """Go on from what the file holds by now, if somebody else has answered beside this walk."""
        if os.path.lexists(self.file):
            held = kept_in(self.file)
            if answers_text(held, "") != answers_text(self.now, ""):
                self.told[:] = [held]  # what is theirs is not taken back here

    def take(self, told: dict[str, Any]) -> bool:
        """Keep answers if they can be read, and say what is wrong where they cannot."""
        try:
            _ask_back(self.read(told).questions, self.read(self.now).questions)
        except SeaflowError as error:
            click.echo(problems_said(error.problems))
            return False
        self.keep(told)
        self.told.append(told)
        return True

    def keep(self, told: Mapping[str, Any]) -> None:
        """Put the answers into their file, whole."""
        write_whole(self.file, answers_text(told, _HEAD.format(command=self.command)))


def spot_of(line: Line) -> AnswerPlace:
    """Return where the answer to a line goes."""
    return AnswerPlace(line.block, tuple(line.row.items()), line.path)


def said_before(told: Mapping[str, Any], line: Line) -> Any:
    """Return what a line was answered with, if only that nobody could get at it."""
    content = told.get("intake" if line.block == "also_feeds" else line.block) or {}
    rows = content if isinstance(content, list) else [content]
    for row in rows:
        inner: Any = row
        if isinstance(content, list) and row.get("name") != line.row.get("name"):
            continue
        if line.block == "also_feeds":
            users = row.get("also_feeds") or []
            inner = next((one for one in users if one["name"] == line.row["user"]), {})
        for key in line.path:
            inner = inner.get(key) if isinstance(inner, Mapping) else None
        if inner is not None:
            return inner
    return None


def taken_back(asking: Asking) -> bool:
    """Take the last answer back, if there is one."""
    with alone(asking.file):
        asking.renew()
        if len(asking.told) == 1:
            return False
        asking.told.pop()
        asking.keep(asking.now)
    return True


def take(asking: Asking, alike: Sequence[Line], typed: str) -> bool:
    """Take an answer for some lines alike, if it can be one; what is wrong is said."""
    line = alike[0]
    if acting(typed):
        click.echo(problems_said([acting_problem(CaseText(""), (), typed)]))
        return False
    value = _value(asking, line, typed)
    answers = {spot_of(one): value for one in alike}
    if line.block == "seacock" and line.path == ("type",) and value != NO_COCK:
        unit = bare_unit("bore", "m", asking.units or "metric")
        bore = with_unit(typed_answer(asking, BORE), unit)
        answers |= {replace(spot, path=("bore",)): bore for spot in answers}  # read with both
    with alone(asking.file):
        asking.renew()
        theirs = said_before(asking.now, line)
        if theirs is not None:
            click.echo(MEANWHILE.format(answer=theirs))
            return True
        told = asking.now
        for spot, text in answers.items():
            told = with_answer(told, spot, text)
        try:
            _ask_back(asking.read(told).questions, asking.read(asking.now).questions)
        except SeaflowError as error:
            click.echo(problems_said(_of_numbered(line, typed, error.problems)))
            return False
        asking.keep(told)
        asking.told.append(told)
    return True


def _ask_back(now: Sequence[Problem], before: Sequence[Problem]) -> None:
    """Say what of an answer is hard to believe; it is kept as it stands."""
    known = {one.what for one in before}
    new = [one for one in now if one.what not in known]
    if new:
        click.echo(problems_said(new))


def _of_numbered(line: Line, typed: str, problems: Iterable[Problem]) -> Iterator[Problem]:
    """Yield the problems; of a word that is no choice, as the choices stood at the question."""
    for problem in problems:
        if problem.code in NO_CHOICE and len(line.choices) > 2:
            what = f'"{typed}" is none of the answers to this'
            why = "They stand above with their numbers, and what is typed must be one of them."
            write = f"Type a number from 1 to {len(line.choices)}, or the words behind it."
            yield replace(problem, what=what, why=why, write=write)
        else:
            yield problem


def _value(asking: Asking, line: Line, typed: str) -> str:
    """Return the answer as it stands in the file: a choice in full, a number with its unit."""
    word = typed.lower()
    for shut in SHUT:
        if word == shut or word.startswith((f"{shut}:", f"{shut} ", f"{shut},")):
            why = typed[len(shut) :].strip(" :,") or typed_answer(asking, WHY_SHUT)
            return f"not accessible: {why}" if why else "not accessible"
    if line.choices == YES_NO and word in ("y", "n"):
        return YES_NO[word == "n"]
    if word.isdigit() and 0 < int(word) <= len(line.choices):
        return line.choices[int(word) - 1]
    begun = called(word, line.choices)
    if len(begun) == 1:
        return begun[0]
    return with_unit(typed, unit_of(line, asking.units))


def typed_answer(asking: Asking, arrow: str) -> str:
    """Return what is typed; whoever stops, at whichever prompt, leaves the question open."""
    try:
        typed: str = click.prompt(arrow, default="", show_default=False, prompt_suffix="")
    except click.Abort as stopped:
        click.echo()
        if not is_interrupt(stopped):
            raise StoppedError from stopped
        click.echo(kept_text(asking.file, count_of(asking.now), asking.command))
        sys.exit(EXIT_INTERRUPTED)
    typed = typed.strip().encode("utf-8", "replace").decode("utf-8")
    if WORDS.get(typed.lower()) == STOP:
        raise StoppedError
    return typed


def problems_said(problems: Iterable[Problem]) -> str:
    """Return what is wrong with an answer, without the place in the file that tried it."""
    plain = (replace(one, file="", line=None) for one in problems)
    return problems_text(tuple(plain)).rpartition("\n\n")[0]


def count_of(told: Mapping[str, Any]) -> int:
    """Return how many answers there are; names and the head of the record are none."""
    rows = (content for table, content in told.items() if table not in ("record", FOLLOWED))
    followed = len(told.get(FOLLOWED) or ())
    return followed + sum(_facts(row) for content in rows for row in _rows(content))


def _rows(content: Any) -> list[Any]:
    return content if isinstance(content, list) else [content]


def _facts(row: Mapping[str, Any]) -> int:
    found = 0
    for key, value in row.items():
        inner = [one for one in _rows(value) if isinstance(one, Mapping)]
        found += sum(map(_facts, inner)) if inner else key not in ("name", "on")
    return found


def kept_in(file: str) -> dict[str, Any]:
    """Return the answers that the file holds; today's date, if there is no such file yet.

    Raises
    ------
    SeaflowError
        If it is a file that was not written here, so that nothing of it gets lost, or if none can
        be written there.
    """
    if not os.path.lexists(file):
        require_free(file)
        today = datetime.now().astimezone().date().isoformat()
        return {"record": {"date": today}}
    text, raw = read_text(file)
    if not text.lines[0].startswith(_HEAD.partition(".")[0]):
        raise SeaflowError([_not_ours(file)])
    return dict(raw)


def _not_ours(file: str) -> Problem:
    return Problem(
        "W01",
        "there is such a file already, and it is left as it is",
        why="It was not kept by --ask, and what is typed around its answers would be lost.",
        write="Give it with --answers, and a new name to --ask.",
        file=file,
    )
