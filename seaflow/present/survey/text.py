"""A survey as plain text: findings first, then what they rest on and what is left to look at."""

from __future__ import annotations

import math
from collections.abc import Iterator

from seaflow.present.layout import bullet, heading, labelled, table
from seaflow.present.quantities import percent
from seaflow.present.survey.checklist import grouped
from seaflow.present.survey.tables import (
    LEG_HEAD,
    OPENING_HEAD,
    PLACE_HEAD,
    TRIM_HEAD,
    head_lines,
    leg_row,
    opening_rows,
    place_row,
    place_title,
    trim_row,
    trim_words,
)
from seaflow.present.survey.units import SurveyShow
from seaflow.studies.survey.blockage import StrainerResult
from seaflow.studies.survey.findings import Finding, Survey
from seaflow.studies.survey.rules import SEVERITIES

BLANK = "______________________________"


def survey_text(answer: Survey, system: str) -> str:
    """Return the whole survey as text."""
    return "\n".join(_lines(answer, SurveyShow(system)))


def summary(answer: Survey) -> str:
    """Return in one sentence how many findings there are of each severity."""
    counts = [
        f"{sum(item.severity == word for item in answer.findings)} {word}" for word in SEVERITIES
    ]
    open_ = len(answer.look_at)
    left = f"{open_} questions are left to look at on board" if open_ else "nothing is left open"
    left = "1 question is left to look at on board" if open_ == 1 else left
    return f"Findings: {', '.join(counts)}. {left[0].upper()}{left[1:]}."


def _lines(answer: Survey, show: SurveyShow) -> Iterator[str]:
    yield f"{answer.boat}: survey of the seawater loop, {answer.hull}"
    yield summary(answer)
    yield from record_lines(answer)
    if answer.overruled:
        yield heading(OVERRULED)
        yield from (bullet(line) for line in overruled_lines(answer))
    yield heading("Cautions")
    yield from (bullet(f"{item.title}: {item.text}") for item in answer.cautions)
    yield heading("Findings")
    if not answer.findings:
        yield "  None. That says nothing about what was not recorded: see below."
    for number, item in enumerate(answer.findings, 1):
        yield from _finding(number, item, show)
    yield heading("Heeled waterlines")
    for line in answer.waterlines:
        yield bullet(f"{line.name}: {angle(line.angle)}; {line.words}. Check the current edition.")
    yield heading(place_title(answer))
    yield table(PLACE_HEAD, (place_row(item, show) for item in answer.places), (2, 3, 4, 5))
    yield heading("The same, heeled and trimmed")
    yield bullet(trim_words(answer))
    if answer.trim_is_known:
        rows = (trim_row(item, show) for item in answer.trimmed)
        yield table(TRIM_HEAD, rows, (2, 3, 4, 5, 6))
    yield heading("Runs, upright")
    yield table(LEG_HEAD, (leg_row(item, show) for item in answer.legs), (2, 3, 4))
    yield from (bullet(line) for line in head_lines(answer, show))
    if answer.openings:
        yield from _openings(answer, show)
    for strainer in answer.strainers:
        yield from _strainer(strainer, show)
    yield from _look_at(answer, show)
    yield heading("What was assumed")
    yield from (bullet(line) for line in assumed(answer, show))
    yield ""
    yield f"Signed {BLANK}   Date {BLANK}"


def assumed(answer: Survey, show: SurveyShow) -> Iterator[str]:
    """Yield what was assumed, once for all things that share it."""
    grouped_: dict[tuple[str, str, str], list[str]] = {}
    for item in answer.assumptions:
        grouped_.setdefault((item.meaning, item.value, item.source), []).append(item.subject)
    for (meaning, value, source), subjects in grouped_.items():
        who = subjects[0] if len(subjects) == 1 else f"{subjects[0]} and {len(subjects) - 1} more"
        yield f"{who}: {meaning}: {show.typed(value)} ({source})"


def record_lines(answer: Survey) -> Iterator[str]:
    """Yield the head of the record, blank where nothing was typed."""
    for name, value in record_rows(answer):
        yield labelled(name, value or BLANK, 24)


OVERRULED = "Answers that differ from what was recorded; the answer counts"


def overruled_lines(answer: Survey) -> Iterator[str]:
    """Yield each answer that took the place of what was recorded, with both values."""
    for item in answer.overruled:
        yield f"{item.subject}, {item.key}: {item.now} ({item.by}); {item.was} in {item.was_in}"


def record_rows(answer: Survey) -> tuple[tuple[str, str], ...]:
    """Return the head of the record."""
    record = answer.record
    return (
        ("Boat", answer.boat),
        ("Identity", record.identity or ""),
        ("Date", record.date or ""),
        ("Place", record.place or ""),
        ("Afloat or ashore", record.lay or ""),
        ("Surveyor", record.surveyor or ""),
        ("Not seen, not opened", "; ".join(record.not_seen)),
    )


def _finding(number: int, item: Finding, show: SurveyShow) -> Iterator[str]:
    yield f"  {number}. {item.severity.upper()}: {item.where}"
    for label, text in finding_rows(item, show):
        yield labelled(f"   {label}", text, 17)
    yield ""


def finding_rows(item: Finding, show: SurveyShow) -> Iterator[tuple[str, str]]:
    """Yield the parts of a finding, each with its label."""
    yield "Found", sentence(item.found, show)
    yield "Why", show.text(item.why)
    if item.consequence:
        yield "In numbers", sentence(item.consequence, show)
    yield "Do", show.text(item.do)
    yield "Basis", show.text(item.basis_text)
    yield "Rule", f"{item.rule}, item {item.item}"


def sentence(text: str, show: SurveyShow) -> str:
    """Return a phrase as a sentence in these units."""
    text = show.text(show.sentence(text))
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


def angle(value: float | None) -> str:
    """Return an angle in degrees."""
    return "not recorded" if value is None else f"{math.degrees(value):.0f} degrees"


def _openings(answer: Survey, show: SurveyShow) -> Iterator[str]:
    yield heading("If a hose lets go")
    yield table(OPENING_HEAD, opening_rows(answer, show), (2, 3, 4, 5))
    yield bullet(bilge_words(answer, show))


def bilge_words(answer: Survey, show: SurveyShow) -> str:
    """Return what the bilge pumps deliver."""
    if answer.bilge_capacity is None:
        return "The real capacity of the bilge pumps is not recorded."
    return f"The bilge pumps deliver {show('flow', answer.bilge_capacity)}."


def _strainer(item: StrainerResult, show: SurveyShow) -> Iterator[str]:
    yield heading(strainer_title(item))
    yield bullet(strainer_words(item, show))
    if item.at:
        yield table(STRAINER_HEAD, strainer_rows(item, show), range(7))
        yield bullet(strainer_note(item, show))
    for line in limit_lines(item, show):
        yield bullet(line)
    yield bullet(item.basis)


CLEAR_FALL, LOOKS_RIGHT = 2e3, 1.1  # Pa that a gauge shows; times the clean rise
STRAINER_HEAD = ("blocked", "flow, even", "gauge", "rise", "flow, matted", "gauge", "rise")
STRAINER_NOTE = (
    "Gauge: at the pump inlet. Rise: of the water of the unit that gets warmest, a dash where none "
    "cools."
)
WATCH = " Watch the gauge: it falls while the rise still looks right."


def strainer_title(item: StrainerResult) -> str:
    """Return the title of a strainer."""
    is_said = "strainer" in item.name.lower()
    return item.name[:1].upper() + item.name[1:] if is_said else f"Strainer {item.name}"


def strainer_words(item: StrainerResult, show: SurveyShow) -> str:
    """Return the size of a strainer in words."""
    if item.open_area is None or item.over_hose is None:
        return "Neither basket area nor open share is recorded."
    return (
        f"Ports {show('bore', item.port)}, open area of the basket "
        f"{show('basket', item.open_area)}, {item.over_hose:.1f} times that of its hose."
    )


def strainer_rows(item: StrainerResult, show: SurveyShow) -> Iterator[tuple[str, ...]]:
    """Yield flow and gauge pressure at several blocked shares."""
    for row in item.at:
        yield (
            percent(row.blocked),
            show("flow", row.flow),
            show.number("pressure", row.inlet_gauge),
            show.number("rise", row.temperature_rise),
            show("flow", row.matted_flow),
            show.number("pressure", row.matted_gauge),
            show.number("rise", row.matted_rise),
        )


def strainer_note(item: StrainerResult, show: SurveyShow) -> str:
    """Return what the columns of the strainer's table are."""
    watch = WATCH if _gauge_tells(item) else ""
    return f"{STRAINER_NOTE}{watch} In {show.unit('pressure')} and {show.unit('rise')}."


def _gauge_tells(item: StrainerResult) -> bool:
    """Return whether a gauge column falls clearly while the rise beside it looks right still."""
    columns = (
        [(row.inlet_gauge, row.temperature_rise) for row in item.at],
        [(row.matted_gauge, row.matted_rise) for row in item.at],
    )
    return any(_falls_first(column) for column in columns)


def _falls_first(column: list[tuple[float | None, float | None]]) -> bool:
    clean_gauge, clean_rise = column[0]
    if clean_gauge is None or clean_rise is None:
        return False
    return any(
        gauge is not None
        and gauge < clean_gauge - CLEAR_FALL
        and rise is not None
        and rise < LOOKS_RIGHT * clean_rise
        for gauge, rise in column[1:]
    )


def limit_lines(item: StrainerResult, show: SurveyShow) -> Iterator[str]:
    """Yield for each unit how blocked the basket may get."""
    for unit in item.units:
        need = f"its need of {show('flow', unit.need)} ({show.sentence(unit.set_by)})"
        if unit.need_even == 0.0:
            got = show("flow", unit.clean)
            yield f"{unit.unit} is below {need} with a clean basket already: it gets {got}."
        else:
            shares = (unit.need_even, unit.need_matted, unit.need_gauge)
            yield f"{unit.unit} falls below {need} {_from(shares, show)}"
        least = f"its least flow of {show('flow', unit.least)}"
        if unit.even == 0.0:
            yield f"{unit.unit} is below {least} with a clean basket already."
        else:
            shares = (unit.even, unit.matted, unit.gauge_then)
            yield f"{unit.unit} falls below {least} {_from(shares, show)}"


def _from(shares: tuple[float | None, float | None, float | None], show: SurveyShow) -> str:
    """Return from which blocked shares on, by dirt evenly spread and matted, and the gauge then."""
    even, matted = ("not below 99%" if at is None else f"from {percent(at)}" for at in shares[:2])
    gauge = shares[2]
    then = f" A gauge at the pump inlet then shows {show('pressure', gauge)}." if gauge else ""
    return f"{even} blocked if the dirt is evenly spread, {matted} if it is matted.{then}"


def _look_at(answer: Survey, show: SurveyShow) -> Iterator[str]:
    yield heading("Look at on board")
    if not answer.look_at:
        yield "  Nothing is left open."
    for (_, thing), asked in grouped(answer.look_at).items():
        yield f"  {thing}"
        for item in asked:
            yield bullet(f"{show.text(item.ask)} ({item.severity}; {item.key})", "[ ]", 4)
            choices = "   ".join(f"[ ] {word}" for word in item.answers)
            yield f"        {choices or BLANK}"
