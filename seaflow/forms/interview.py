"""An interview about a boat, one question at a time: what was answered, and what is asked next.

Nothing here knows a terminal or a file: progress and what was typed give the next progress.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.checks.measures import check_sea
from seaflow.boat.checks.names import check_names
from seaflow.boat.checks.sense import check_parts
from seaflow.boat.keys import Key
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_record
from seaflow.boat.reader.text import CaseText, Path
from seaflow.boat.reader.words import name_of
from seaflow.forms.questions import (
    SHIPPED,
    Answers,
    Question,
    declaration,
    due,
    questions,
    raw_case,
)

TAKEN, REFUSED, BACK, HELP, STOP = "taken", "refused", "back", "help", "stop"
WORDS = {"?": HELP, "help": HELP, "stop": STOP, "quit": STOP}
SKIP = "skip"
LAST = "write"  # the question after which the case is written
LONGEST_ANSWER = 200  # characters
LABELS = ("name", "from", "to")  # by these a message says which thing it means


@dataclass(frozen=True, slots=True)
class Progress:
    """The answers so far; `earlier` holds those that were gone back over, for Enter to take.

    `catalogue` holds the parts that are offered.
    """

    answers: Mapping[str, str] = field(default_factory=dict)
    earlier: Mapping[str, str] = field(default_factory=dict)
    catalogue: Catalogue = field(default=SHIPPED, compare=False)

    def with_answers(self, answers: Answers, earlier: Answers | None = None) -> Progress:
        """Return the progress with other answers."""
        kept = self.earlier if earlier is None else earlier
        return dataclasses.replace(self, answers=answers, earlier=kept)


@dataclass(frozen=True, slots=True)
class Step:
    """What became of one typed line; an answer that is taken may still be hard to believe."""

    progress: Progress
    outcome: str
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class _Heard(CaseText):
    """Text of no file, that keeps which key each problem is about."""

    heard: list[tuple[Path, Problem]] = field(default_factory=list)

    def problem(self, code: str, path: Path, what: str, **rest: Any) -> Problem:
        problem = Problem(code, what, **rest)
        self.heard.append((path, problem))
        return problem


def current(progress: Progress) -> Question | None:
    """Return the question that is due, or None when all are answered."""
    return due(progress.answers, progress.catalogue)


def place_of(progress: Progress) -> tuple[int, int]:
    """Return the number of the question that is due, and about how many there are."""
    asked = questions(progress.answers, progress.catalogue)
    done = sum(item.id in progress.answers for item in asked)
    return min(done + 1, len(asked)), len(asked)


def offered(progress: Progress, question: Question) -> str:
    """Return what Enter takes; nothing means that the answer stays open."""
    return progress.earlier.get(question.id) or question.default


def step(progress: Progress, typed: str) -> Step:
    """Take one typed line."""
    question = current(progress)
    assert question is not None
    word = " ".join(typed.split())
    if word.lower() in WORDS:
        return Step(progress, WORDS[word.lower()])
    if word.lower() == "back":
        return Step(_back(progress), BACK)
    text = _meant(question, word, offered(progress, question))
    problems = problems_with(question, text, progress)
    if problems:
        return Step(progress, REFUSED, problems)
    earlier = {name: old for name, old in progress.earlier.items() if name != question.id}
    doubts = _read(_goes_to(question, text, progress.answers), text, progress.answers).questions
    answers = {**progress.answers, question.id: text}
    return Step(progress.with_answers(answers, earlier), TAKEN, tuple(doubts))


def taken_up(answers: Answers, earlier: Answers, catalogue: Catalogue = SHIPPED) -> Progress:
    """Return the progress that kept answers lead to; what no longer fits is asked again."""
    progress = Progress({}, {**earlier, **answers}, catalogue)
    question = current(progress)
    while question is not None and question.id in answers:
        text = answers[question.id]
        if question.id == LAST or problems_with(question, text, progress):
            break
        left = {name: old for name, old in progress.earlier.items() if name != question.id}
        progress = progress.with_answers({**progress.answers, question.id: text}, left)
        question = current(progress)
    return progress


def answered_case(answers: Answers, catalogue: Catalogue = SHIPPED) -> dict[str, Any]:
    """Return the case that the answers describe, as TOML data."""
    return raw_case(answers, _values(answers, catalogue))


def problems_with(question: Question, text: str, progress: Progress) -> tuple[Problem, ...]:
    """Return what is wrong with an answer: what the reader would say of it in a file."""
    answers = progress.answers
    goal = _goes_to(question, text, answers)
    misread = tuple(_read(goal, text, answers).problems)
    number = question.declared.quantity is not None and question.path[:1] != ("sea",)
    if misread or not question.path or number:
        return misread
    answered = progress.with_answers({**answers, question.id: text})
    return tuple(_nonsense(question, answered))


def _back(progress: Progress) -> Progress:
    known = questions(progress.answers, progress.catalogue)
    asked = [item.id for item in known if item.id in progress.answers]
    if not asked:
        return progress
    last = asked[-1]
    left = {name: text for name, text in progress.answers.items() if name != last}
    return progress.with_answers(left, {**progress.earlier, last: progress.answers[last]})


def _meant(question: Question, word: str, offer: str) -> str:
    """Return the answer that a line means: an option by its number or its start, or Enter."""
    if not word:
        return offer
    if word.lower() == SKIP:
        return ""
    if len(word) > 1 and word[0] == word[-1] == '"':
        word = word[1:-1].strip()
    word = word[:LONGEST_ANSWER]
    options = question.options
    if word.isascii() and word.isdigit() and 1 <= int(word) <= len(options):
        return options[int(word) - 1]
    starts = [option for option in options if word and option.lower().startswith(word.lower())]
    exact = [option for option in starts if option.lower() == word.lower()]
    if exact or len(starts) == 1:
        return (exact or starts)[0]
    return word


def _read(question: Question, text: str, answers: Answers) -> Reading:
    """Read an answer as the one key of its thing, and of no file."""
    reading = Reading(_Heard(""))
    raw = {question.name: _native(question, text)} if text else {}
    path = question.path or ("this answer", question.name)
    known = _labels(question, answers)
    if len(path) == 3:
        raw |= known
    elif known:
        reading.names[path[:2]] = name_of(str(path[0]), int(path[1]), known)
    read_record(_one_key(question, known if len(path) == 3 else {}), raw, path[:-1], reading)
    return reading


def _labels(question: Question, answers: Answers) -> dict[str, Any]:
    """Return what the thing of a question is called, or the two ends of its hose."""
    table, row = (*question.path, "", "")[:2]
    things = raw_case(answers, ()).get(str(table), ())
    if not isinstance(row, int) or row >= len(things):
        return {}
    labels = (name for name in LABELS if name in things[row] and name != question.name)
    return {name: things[row][name] for name in labels}


def _goes_to(question: Question, text: str, answers: Answers) -> Question:
    """Return the question with its other key, where the answer fits only that one."""
    if not question.other or not text or not _read(question, text, answers).problems:
        return question
    other = dataclasses.replace(question, path=question.other, declared=declaration(question.other))
    return question if _read(other, text, answers).problems else other


def _native(question: Question, text: str) -> Any:
    """Return an answer as the TOML value that it stands for."""
    if question.declared.kind == "number" and text.isascii() and text.lstrip("+").isdigit():
        return int(text)
    if question.declared.kind == "flag":
        return {"yes": True, "no": False}.get(text, text)
    return text


def _one_key(question: Question, known: Mapping[str, Any]) -> type:
    """Return a record that has only this key, and those that tell which thing it is."""
    declared = dataclasses.replace(question.declared, required=question.needed, default=None)
    keys = {question.name: declared} | {
        f"{name}_": Key("What it is called.", spelled=name) for name in known
    }
    fields = [
        (name, object, dataclasses.field(default=None, metadata={"key": key}))
        for name, key in keys.items()
    ]
    return dataclasses.make_dataclass("Answer", fields)


def _nonsense(question: Question, progress: Progress) -> Iterator[Problem]:
    """Yield what is wrong with an answer beside the others: names, parts, the sea."""
    heard = _Heard("")
    raw, catalogue = answered_case(progress.answers, progress.catalogue), progress.catalogue
    case = read_record(Case, raw, (), Reading(heard), text=heard, catalogue=catalogue)
    heard.heard.clear()  # what is not answered yet is no problem
    for check in (check_names, check_parts, check_sea):
        for _ in check(case):
            path, problem = heard.heard[-1]
            if path == question.path or (question.name == path[-1] == "name"):
                yield problem


def _values(answers: Answers, catalogue: Catalogue) -> Iterator[tuple[Path, Any]]:
    for question in questions(answers, catalogue):
        text = answers.get(question.id)
        if text and question.path:
            yield _goes_to(question, text, answers).path, _native(question, text)
