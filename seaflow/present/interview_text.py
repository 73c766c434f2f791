"""The questions of an interview as text for a terminal, and the decision under each answer."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import amount, fact
from seaflow.base.glossary import glossary_entry
from seaflow.base.units import read_quantity
from seaflow.boat.reader.words import in_unit
from seaflow.forms.bare import bare_unit, bare_words
from seaflow.forms.interview import Progress, Question, offered, questions
from seaflow.present.card import GRADE
from seaflow.present.layout import bullet
from seaflow.present.quantities import Show, trade_inches
from seaflow.studies.size.size import LoopSize, Sizing

ARROW = "> "


def welcome(file: str, kept: str, count: int) -> str:
    """Return what is said before the first question."""
    lines = []
    if count:
        answers = "answer is" if count == 1 else "answers are"
        lines.append(f"{count} {answers} kept in {kept}; it goes on from there.")
        lines.append("To begin anew, stop and move that file away.")
    lines += [
        f"A few answers make the case {file}, and its first card. Write every quantity with the",
        "unit you measured in. Enter takes what is offered, back goes one question back,",
        f"? explains, stop leaves and keeps the answers in {kept}.",
    ]
    return "\n".join(lines)


def whole_text() -> str:
    """Return what is said once the boat is whole."""
    return (
        "The boat is whole now: what you did not say is typical of such boats. Each question from\n"
        "here on narrows the answer most. Enter passes over it; write writes the case and ends."
    )


def unit_of_bare(question: Question, units: str) -> str | None:
    """Return the unit in which a bare answer is read, or None if it must name one."""
    if not units or not question.bare:
        return None
    return bare_unit(question.bare, glossary_entry(question.bare).unit, units)


def question_text(progress: Progress, question: Question, units: str = "") -> str:
    """Return a question; with `units` in which unit a bare number is read."""
    names = [one.id for one in questions(progress)]
    place = f"  ({names.index(question.id) + 1} of {len(names)})" if question.id in names else ""
    lines = ["", f"{question.topic}{place}", bullet(question.ask, mark="*", indent=0)]
    if question.how:
        lines.append(bullet(question.how, mark=" ", indent=0))
    lines += [f"{number:>6}  {option}" for number, option in enumerate(question.options, 1)]
    hint = " ".join(
        _hints(question, _enter(progress, question, units), unit_of_bare(question, units))
    )
    lines.append(bullet(hint, mark=" ", indent=0))
    return "\n".join(lines)


def _enter(progress: Progress, question: Question, units: str) -> str:
    """Return what Enter takes, in US units if these are asked for."""
    offer, unit = offered(progress, question), unit_of_bare(question, units)
    if units != "us" or unit is None:
        return offer or question.enter
    inside = glossary_entry(question.bare).unit
    if not offer and question.typical is not None:
        if unit == "in":
            return f"{trade_inches(Show(units).value('bore', question.typical))} in, typical"
        return f"{in_unit(question.typical, inside, unit)}, typical"
    if offer and offer == question.default:
        return f"{offer} ({in_unit(read_quantity(offer, inside), inside, unit)})"
    return offer or question.enter


def _hints(question: Question, enter: str, unit: str | None) -> Iterator[str]:
    if question.options:
        yield "Its number or its name."
    elif question.example:
        yield f"Such as {question.example}."
    yield f"Enter: {enter}."
    if unit is not None:
        yield bare_words(unit)


def explanation(question: Question) -> str:
    """Return the explanation of a question."""
    lines = [f"Why: {question.why}"]
    if question.how:
        lines.append(f"How: {question.how}")
    return "\n".join(bullet(line, mark=" ", indent=0) for line in lines)


def decision(answer: Sizing, show: Show) -> str:
    """Return the decision of each loop and its band, a line for each."""
    return "\n".join(bullet(_decision(loop, show), mark="=", indent=0) for loop in answer.loops)


def _decision(loop: LoopSize, show: Show) -> str:
    best = loop.chosen
    sure = None if best is None or loop.certainty is None else loop.certainty.of(best.part.name)
    if best is None or sure is None:
        return show.sentence(fact("size.no_pump_fits"))
    band = next(one for one in sure.bands if one.name == "flow")
    flow = (amount("flow", band.low), amount("flow", band.high))
    told = {"grade": GRADE[loop.grade], "pump": best.part.title, "flow": flow}
    decides = best.judgement.decides
    if decides is None:
        return show.sentence(fact("size.asked_so_far", **told))
    return show.sentence(fact("size.asked_so_far_held", **told, said=decides))


def kept_text(command: str, kept: str, count: int) -> str:
    """Return what is said when an interview is left."""
    answers = "The answer so far is" if count == 1 else f"The {count} answers so far are"
    return f"{answers} kept in {kept}. To go on: {command}"
