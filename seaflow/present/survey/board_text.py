"""The questions of a survey on board as text for a terminal, one at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from seaflow.base.glossary import glossary_entry
from seaflow.boat.tables.recorded_record import Record
from seaflow.forms.bare import bare_unit, bare_words
from seaflow.forms.checklist import declared_key, question_of
from seaflow.present.layout import bullet
from seaflow.present.survey.look_again import Again
from seaflow.present.survey.walk import Line, Station, title_of
from seaflow.present.survey_units import SurveyShow

HOW = """
One question at a time, in the order of a walk through the boat. Answer yes or
no, with the number of a choice, or with a value and its unit. "no access" and
why is an answer too. A photo or a witness goes in front: "seen, photo 12: no",
"told, by the owner: yes". "all: yes" answers the question for every such thing
of this stop, if you looked at each. Enter leaves a question open, back takes
the last answer back, ? explains, stop leaves.
""".strip()
KEPT_IN = "Each answer is kept in {file} as it is given."
BORE = "Its bore: "
WHY_SHUT = "Why could you not get at it? "
DONE = "Nothing more is open on this walk."
LEFT = "The walk is done. Passed over and still open: {count}. Started again, it asks for them."
MEANWHILE = "Answered meanwhile at another terminal, and left so: {answer}"
FOR_ALL = "all:"
HEAD = ("surveyor", "place", "date", "lay", "scope")  # of the record, as they are asked
OFFERED = " Enter takes {today}."
HEAD_WHY = "  It stands at the head of the record. Enter leaves it blank."
STILL_SO = "  Is it still so? Yes or no; Enter if nobody looked."
FIRST = "No answer was given yet since you began."


def opening(file: str, kept: int) -> str:
    """Return what is said before the first question."""
    how = f"{HOW}\n{KEPT_IN.format(file=file)}"
    answers = "1 answer is" if kept == 1 else f"{kept} answers are"
    return f"{answers} in {file}; it goes on from there.\n\n{how}" if kept else how


def arrival(number: int, stop: Station) -> str:
    """Return what is said on coming to a stop: its cautions, before anything is touched."""
    heed = "Careful: " + " ".join(caution.brief for caution in stop.careful)
    lines = (f"{number}. {stop.title.upper()}", stop.about, heed)
    return "\n" + "\n".join(bullet(line, mark="", indent=0) for line in lines)


def head_text(key: str, today: str) -> str:
    """Return a question for the head of the record; `today` is the day that is offered."""
    ask = question_of("record", key, declared_key(Record, key))
    offered = OFFERED.format(today=today) if key == "date" else ""
    return bullet(f"{ask}{offered}", mark="*", indent=0)


def again_text(again: Again) -> str:
    """Return what an earlier visit found, to be looked at again."""
    day = f" of {again.day}" if again.day else ""
    title = f"{again.number}{day}, {again.thing}: {again.found}. Look again."
    return "\n" + bullet(title, mark="", indent=0)


def asked_text(line: Line, left: int, show: SurveyShow, units: str, again: bool) -> str:
    """Return a question; the thing is named unless the one before was about it, `again`."""
    more = f"; {left} left" if left else ""
    ask = show.text(f"{line.ask} ({line.severity}{more})")
    lines = [] if again else ["", title_of(line.thing)]
    lines.append(bullet(ask, mark="*", indent=0))
    if len(line.choices) > 2:
        lines += [f"{number:>6}  {word}" for number, word in enumerate(line.choices, 1)]
    hint = " ".join(_hints(line, show, units))
    return "\n".join([*lines, *([bullet(hint, mark=" ", indent=0)] if hint else [])])


def _hints(line: Line, show: SurveyShow, units: str) -> Iterator[str]:
    if len(line.choices) == 2:
        yield f"{line.choices[0].capitalize()} or {line.choices[1]}."
    elif not line.choices and line.example:
        yield f"Such as {show.text(line.example)}."
        unit = unit_of(line, units)
        if unit is not None:
            yield bare_words(unit)


def unit_of(line: Line, units: str) -> str | None:
    """Return the unit in which a bare number is read; None if it must name one."""
    if not units or line.quantity is None:
        return None
    return bare_unit(line.quantity, glossary_entry(line.quantity).unit, units)


def taken_text(lines: Iterable[Line]) -> str:
    """Return which things an answer for all was taken for."""
    things = [title_of(line.thing) for line in lines]
    return bullet(f"Taken for {len(things)}: {'; '.join(things)}.", mark=" ", indent=0)


def why_text(line: Line) -> str:
    """Return why a question is asked."""
    return bullet(f"It answers: {line.question}", mark=" ", indent=0)


def kept_text(file: str, kept: int, command: str, has_head: bool = False) -> str:
    """Return where the answers are and how to go on."""
    if not kept and has_head:
        return f"The head of the record is kept in {file}. To go on: {command}"
    if not kept:
        return "Nothing was answered, so nothing is kept."
    count = "1 answer is" if kept == 1 else f"{kept} answers are"
    return f"{count} kept in {file}. To go on: {command}"
