"""The questions of an interview as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.glossary import glossary_entry
from seaflow.boat.defaults import default
from seaflow.forms.bare import bare_unit
from seaflow.forms.interview import Progress, current, offered, place_of
from seaflow.forms.questions import YES_NO, Question
from seaflow.present.layout import bullet

ARROW = "> "


def welcome(file: str, kept: str, count: int) -> str:
    """Return what is said before the first question."""
    lines = []
    if count:
        answers = "answer is" if count == 1 else "answers are"
        lines.append(f"{count} {answers} kept in {kept}; it goes on from there.")
        lines.append("To begin anew, stop and move that file away.")
    lines += [
        f"The answers make the case {file}. Write every quantity with the unit you measured in.",
        "Enter takes what is offered, skip leaves a question open, back goes one question back,",
        f"? explains, stop leaves and keeps the answers in {kept}.",
    ]
    return "\n".join(lines)


def unit_of_bare(progress: Progress, units: str) -> str | None:
    """Return the unit in which a bare answer is read, or None if it must name one."""
    question = current(progress)
    if not units or question is None or question.declared.quantity is None:
        return None
    quantity = question.declared.quantity
    return bare_unit(quantity, glossary_entry(quantity).unit, units)


def question_text(progress: Progress, units: str = "") -> str:
    """Return the question that is due; with `units` in which unit a bare number is read."""
    question = current(progress)
    assert question is not None
    number, count = place_of(progress)
    about = f"{number} of about {count}"
    lines = ["", f"{question.topic}  ({about})", bullet(question.ask, mark="*", indent=0)]
    if question.measure:
        lines.append(bullet(question.measure, mark=" ", indent=0))
    lines += _options(question)
    hint = _hint(question, offered(progress, question))
    unit = unit_of_bare(progress, units)
    if unit is not None:
        hint = f"{hint} A bare number is in {unit}."
    lines.append(bullet(hint, mark=" ", indent=0))
    return "\n".join(lines)


def explanation(progress: Progress) -> str:
    """Return the explanation of the question that is due."""
    question = current(progress)
    assert question is not None
    lines = [f"Why: {question.why}"]
    if question.path:
        lines.append(f"In the case: {question.name}. {question.declared.meaning}")
    if question.declared.quantity is not None:
        unit = glossary_entry(question.declared.quantity).unit
        lines.append(f"Any unit of this kind is read; inside it becomes {unit}.")
    if question.measure:
        lines.append(f"How: {question.measure}")
    return "\n".join(bullet(line, mark=" ", indent=0) for line in lines)


def kept_text(command: str, kept: str, count: int) -> str:
    """Return what is said when an interview is left."""
    answers = "The answer so far is" if count == 1 else f"The {count} answers so far are"
    return f"{answers} kept in {kept}. To go on: {command}"


def _options(question: Question) -> Iterator[str]:
    if question.options and question.options != YES_NO:
        for number, option in enumerate(question.options, 1):
            yield f"{number:>6}  {option}"


def _hint(question: Question, offer: str) -> str:
    if question.options == YES_NO or set(question.declared.choices) & set(YES_NO):
        such = "yes or no." if question.declared.choices != ("yes",) else ""
    elif question.options:
        such = "Its number or its name."
    else:
        such = f"Such as {question.example}."
    return f"{such} {_enter(question, offer)}".strip()


def _enter(question: Question, offer: str) -> str:
    if offer:
        return f"Enter: {offer}."
    if question.needed:
        return ""
    if question.declared.default is not None:
        return f"Enter: not recorded; {default(question.declared.default).text} is assumed."
    return "Enter: not recorded."
