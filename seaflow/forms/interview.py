"""An interview about a boat, one question at a time: a few facts, then whatever else gets measured.

Nothing here knows a terminal or a file: progress and what was typed give the next progress. What is
not answered stays typical, so that the boat is whole after the first few questions, and after any.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from seaflow.base.glossary import glossary_entry
from seaflow.base.near import called
from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.case import Case
from seaflow.boat.checks.ways import MOST_UNITS
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.paths import quantity_at, told_at, value_at
from seaflow.boat.reader.text import Path
from seaflow.boat.reader.words import in_unit
from seaflow.forms.typical.boat import Spoken, whole_boat
from seaflow.forms.typical.build import raw_case, usual_plate
from seaflow.forms.typical.facts import Facts, UnitFacts
from seaflow.forms.typical.figure import Figure
from seaflow.forms.typical.figure import said as written
from seaflow.forms.typical.hull import families, hull_of
from seaflow.forms.typical.said import Said, is_year, kind_called, said

TAKEN, REFUSED, BACK, HELP, STOP, WRITE = "taken", "refused", "back", "help", "stop", "write"
WORDS = {"?": HELP, "help": HELP, "stop": STOP, "quit": STOP, "write": WRITE}
SKIP = "skip"
MEASURED = "at"  # begins the name of an answer that goes to one key of the case
PLATES = 0.4  # how far the plates of such boats lie from the usual one; our assumption
LONGEST_ANSWER = 200  # characters
SHIPPED = Catalogue()


@dataclass(frozen=True, slots=True)
class Question:
    """One question: how it is asked, what Enter takes, and of which quantity a bare number is.

    `typical` is the value that stays if an answer is left empty, in the unit of the package.
    """

    id: str
    topic: str
    ask: str
    why: str = ""
    how: str = ""
    default: str = ""
    example: str = ""
    options: tuple[str, ...] = ()
    bare: str = ""
    enter: str = "typical of such boats"  # what an answer left empty means
    typical: float | None = None


@dataclass(frozen=True, slots=True)
class Progress:
    """The answers so far; `earlier` holds those that were gone back over, for Enter to take.

    An empty answer leaves the value typical. `catalogue` holds the parts that may be named.
    """

    answers: Mapping[str, str] = field(default_factory=dict)
    earlier: Mapping[str, str] = field(default_factory=dict)
    catalogue: Catalogue = field(default=SHIPPED, compare=False)


@dataclass(frozen=True, slots=True)
class Step:
    """What became of one typed line; an answer that is taken may still be hard to believe."""

    progress: Progress
    outcome: str
    problems: tuple[Problem, ...] = ()


def questions(progress: Progress) -> tuple[Question, ...]:
    """Return the questions before the first answer, in order."""
    rows = read_table("interview.toml")["question"]
    return tuple(one for row in rows for one in _questions(row, progress))


def _questions(row: Mapping[str, Any], progress: Progress) -> Iterator[Question]:
    many = range(1, _count(progress.answers) + 1) if "{n}" in row["id"] else (0,)
    for number in many:
        if row["id"].startswith("loss.") and _names_a_sheet(progress, number):
            continue  # which tells it
        texts = {key: text.replace("{n}", str(number)) for key, text in row.items()}
        options = families() if row["id"] == "kind" else ()
        own = _own_sheets(row.get("sheets", ""), progress.catalogue)
        if own:
            texts["example"] = f"{own}, of your sheets; or {texts['example']}"
        texts.pop("sheets", None)
        yield Question(**texts, options=options)


def _own_sheets(table: str, parts: Catalogue) -> str:
    """Return the names of own sheets that may be answered."""
    if not table or not parts.own:
        return ""
    return ", ".join(name for name in parts.rows(table) if name not in SHIPPED.rows(table))


def _names_a_sheet(progress: Progress, number: int) -> bool:
    return progress.answers.get(f"unit.{number}") in progress.catalogue.rows("units")


def _count(answers: Mapping[str, str]) -> int:
    told = answers.get("units", "")
    return int(told) if told.isdigit() else 1


def current(progress: Progress) -> Question | None:
    """Return the question that is due before the first answer, or None when all are answered."""
    return next((one for one in questions(progress) if one.id not in progress.answers), None)


def question_at(case: Case, path: Path) -> Question:
    """Return the question that makes a typical value of a case a known one."""
    told, value = told_at(case, path), value_at(case, path)
    entry = glossary_entry(quantity_at(path))
    shown = "" if value is None else _shown(value, quantity_at(path))
    return Question(
        id=name_of(path),
        topic="To find out",
        ask=f"{told.what[:1].upper()}{told.what[1:]}?",
        why=entry.meaning,
        how=f"{told.how[:1].upper()}{told.how[1:]}.",
        bare=quantity_at(path),
        enter=f"{shown}, typical" if shown else "typical",
        typical=value,
    )


def _shown(value: float, quantity: str) -> str:
    unit = {"bore": "mm", "cooling": "kW"}.get(quantity, glossary_entry(quantity).unit)
    return in_unit(value, glossary_entry(quantity).unit, unit)


def name_of(path: Path) -> str:
    """Return the name of the answer that goes to a key of the case."""
    return ".".join((MEASURED, *map(str, path)))


def path_of(name: str) -> Path | None:
    """Return the key of the case that an answer goes to, or None for one of the first facts."""
    first, *parts = name.split(".")
    if first != MEASURED:
        return None
    return tuple(int(part) if part.isdigit() else part for part in parts)


def offered(progress: Progress, question: Question) -> str:
    """Return what Enter takes; nothing means that it stays typical."""
    return progress.earlier.get(question.id) or question.default


def step(progress: Progress, question: Question, typed: str) -> Step:
    """Take one line typed to a question."""
    word = " ".join(typed.split())
    if word.lower() in WORDS:
        return Step(progress, WORDS[word.lower()])
    if word.lower() == "back":
        return Step(_back(progress), BACK)
    text = _meant(question, word, offered(progress, question))
    answers = {**progress.answers, question.id: text}
    earlier = {name: old for name, old in progress.earlier.items() if name != question.id}
    then = dataclasses.replace(progress, answers=answers, earlier=earlier)
    try:
        _check(question, text)
        doubts = asked(then).loaded.warnings if text else ()
    except SeaflowError as error:
        return Step(progress, REFUSED, tuple(map(_of_no_file, error.problems)))
    known = asked(progress).loaded.warnings if doubts else ()
    return Step(then, TAKEN, tuple(_of_no_file(one) for one in doubts if one not in known))


def _of_no_file(problem: Problem) -> Problem:
    return dataclasses.replace(problem, file="", line=None, column=None)


def _check(question: Question, text: str) -> None:
    """Refuse a count, a kind or a year that is none.

    Raises
    ------
    SeaflowError
        With what to type.
    """
    what = write = ""
    whole = text.isascii() and text.isdigit()
    if question.id == "units" and not (whole and 0 < int(text) <= MOST_UNITS):
        what = f'"{text}" is no number of units'
        write = f"Write a whole number from 1 to {MOST_UNITS}."
    elif question.id == "built" and text and not is_year(text):
        what = f'"{text}" is no year'
        write = "Write its four digits, such as 2008, or leave it empty if nobody knows."
    elif question.options and text not in question.options:
        what = f'"{text}" is no choice here'
        write = f"Write its number, or one of: {'; '.join(question.options)}."
    if what:
        code = "K11" if question.options else "K10"
        raise SeaflowError([Problem(code, what, why=question.why, write=write)])


def _meant(question: Question, word: str, offer: str) -> str:
    """Return what a line means: an option by its number, start or usual name, or Enter."""
    if not word:
        return offer
    if word.lower() == SKIP:
        return question.default
    if len(word) > 1 and word[0] == word[-1] == '"':
        word = word[1:-1].strip()
    word, options = word[:LONGEST_ANSWER], question.options
    if word.isascii() and word.isdigit() and 1 <= int(word) <= len(options):
        return options[int(word) - 1]
    meant = called(word, options)
    if len(meant) == 1:
        return meant[0]
    return (kind_called(word) if question.id == "kind" else None) or word


def _back(progress: Progress) -> Progress:
    if not progress.answers:
        return progress
    last = list(progress.answers)[-1]
    left = {name: text for name, text in progress.answers.items() if name != last}
    earlier = {**progress.earlier, last: progress.answers[last]}
    return dataclasses.replace(progress, answers=left, earlier=earlier)


def taken_up(answers: Mapping[str, str], earlier: Mapping[str, str], parts: Catalogue) -> Progress:
    """Return the progress that kept answers lead to; what no longer fits is asked again."""
    progress = Progress({}, {**earlier, **answers}, parts)
    while (question := current(progress)) is not None and question.id in answers:
        progress, outcome = _again(progress, question, answers[question.id])
        if outcome == REFUSED:
            return progress
    for name in answers if current(progress) is None else ():
        path, case = path_of(name), asked(progress).loaded.case
        if path is not None and path in case.typical:
            progress, _ = _again(progress, question_at(case, path), answers[name])
    return progress


def _again(progress: Progress, question: Question, text: str) -> tuple[Progress, str]:
    if text:
        taken = step(progress, question, f'"{text}"')
        return taken.progress, taken.outcome
    earlier = {name: old for name, old in progress.earlier.items() if name != question.id}
    answers = {**progress.answers, question.id: ""}
    return dataclasses.replace(progress, answers=answers, earlier=earlier), TAKEN


def asked(progress: Progress) -> Spoken:
    """Return the boat that the answers make, typical where they are silent.

    Raises
    ------
    SeaflowError
        With everything that is wrong in them.
    """
    told = _said(progress)
    raw = raw_case(told.facts)
    if progress.answers.get("name"):
        raw["boat"]["name"] = progress.answers["name"]
    _mark_usual_plates(raw, progress, told.facts)
    _name_sheets(raw, progress)
    for name, text in progress.answers.items():
        path = path_of(name)
        if path is not None and text:
            _put(raw, path, text)
    return whole_boat(told.facts, raw, told.catalogue)


def _said(progress: Progress) -> Said:
    answers = progress.answers
    hull = [answers.get(key) for key in ("kind", "length", "built")]
    texts = {key: answers.get(key) or None for key in ("supply", "sea", "pump")}
    numbers = range(1, _count(answers) + 1)
    plates = [_plate(answers.get(f"unit.{n}") or "", progress.catalogue) for n in numbers]
    losses = [answers.get(f"loss.{n}") or "" for n in numbers]
    whole = [", ".join(filter(None, pair)) for pair in zip(plates, losses, strict=True)]
    boat = ", ".join(word for word in hull if word) if hull[1] else None
    told_of = [one for one, plate in zip(whole, plates, strict=True) if plate]
    told = said({**texts, "boat": boat, "unit": told_of}, progress.catalogue)
    if "units" not in answers:
        return told
    usual = usual_plate(hull_of(told.facts), len(plates))
    named = iter(told.facts.units)
    units = tuple(
        next(named) if plate else _usual_unit(usual, loss)
        for plate, loss in zip(plates, losses, strict=True)
    )
    return dataclasses.replace(told, facts=dataclasses.replace(told.facts, units=units))


def _usual_unit(cooling: float, loss: str) -> UnitFacts:
    """Return a unit whose plate nobody read, with what its coil loses if that was told."""
    if not loss:
        return UnitFacts(cooling)
    (unit,) = said({"unit": f"{written(cooling, 'W')}, {loss}"}, SHIPPED).facts.units
    return dataclasses.replace(unit, cooling=cooling)


def _plate(text: str, parts: Catalogue) -> str:
    """Return what stands on a plate, where a sheet of one's own was named."""
    row = parts.rows("units").get(text)
    return text if row is None else str(row["cooling"])


def _name_sheets(raw: dict[str, Any], progress: Progress) -> None:
    """Let the units whose sheets were named stand in the case by these."""
    for name, text in progress.answers.items():
        if name.startswith("unit.") and text in progress.catalogue.rows("units"):
            plate = read_quantity(_plate(text, progress.catalogue), "W")
            row = next(one for one in raw["unit"] if one.get("cooling") == written(plate, "W"))
            for key in set(row) - {"name", "at"}:  # the sheet tells the rest
                del row[key]
            row["model"] = text


def _mark_usual_plates(raw: dict[str, Any], progress: Progress, facts: Facts) -> None:
    """Say of the plates that nobody read that they are typical."""
    number = _count(progress.answers)
    unread = [n for n in range(1, number + 1) if not progress.answers.get(f"unit.{n}")]
    if not unread or "units" not in progress.answers:
        return
    usual = facts.units[unread[0] - 1].cooling
    for row in raw["unit"]:
        if row["cooling"] == written(usual, "W"):
            row["cooling"] = Figure(usual, PLATES * usual).text("W", "kW", 2)


def _put(raw: Any, path: Path, text: str) -> None:
    for part in path[:-1]:
        raw = raw[part]
    raw[path[-1]] = text
