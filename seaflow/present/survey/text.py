"""A survey as plain text: findings first, then what they rest on and what is left to look at."""

from __future__ import annotations

import math
from collections.abc import Iterator

from seaflow.present.layout import bullet, heading, labelled, table
from seaflow.present.quantities import Show, percent
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
    trim_row,
    trim_words,
)
from seaflow.studies.survey.blockage import StrainerResult
from seaflow.studies.survey.findings import Finding, Survey
from seaflow.studies.survey.rules import SEVERITIES

BLANK = "______________________________"


def survey_text(answer: Survey, system: str) -> str:
    """Return the whole survey as text."""
    return "\n".join(_lines(answer, Show(system)))


def summary(answer: Survey) -> str:
    """Return in one sentence how many findings there are of each severity."""
    counts = [
        f"{sum(item.severity == word for item in answer.findings)} {word}" for word in SEVERITIES
    ]
    open_ = len(answer.look_at)
    left = f"{open_} questions are left to look at on board" if open_ else "nothing is left open"
    return f"Findings: {', '.join(counts)}. {left[0].upper()}{left[1:]}."


def _lines(answer: Survey, show: Show) -> Iterator[str]:
    yield f"{answer.boat}: survey of the seawater loop, {answer.hull}"
    yield summary(answer)
    yield from record_lines(answer)
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
    yield heading("Where openings and pumps lie")
    yield table(PLACE_HEAD, (place_row(item, show) for item in answer.places), (2, 3, 4, 5))
    yield heading("The same, heeled and trimmed")
    yield bullet(trim_words(answer))
    if answer.working_trim is not None:
        rows = (trim_row(item, show) for item in answer.trimmed)
        yield table(TRIM_HEAD, rows, (2, 3, 4, 5, 6))
    yield heading("Runs, upright")
    yield table(LEG_HEAD, (leg_row(item, show) for item in answer.legs), (2, 3, 4))
    yield from (bullet(line) for line in head_lines(answer, show))
    if answer.openings:
        yield from _openings(answer, show)
    for strainer in answer.strainers:
        yield from _strainer(strainer, show)
    yield from _look_at(answer)
    yield heading("What was assumed")
    yield from (bullet(line) for line in assumed(answer, show))
    yield ""
    yield f"Signed {BLANK}   Date {BLANK}"


def assumed(answer: Survey, show: Show) -> Iterator[str]:
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
        yield labelled(name, value or BLANK, 22)


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


def _finding(number: int, item: Finding, show: Show) -> Iterator[str]:
    yield f"  {number}. {item.severity.upper()}: {item.where}"
    for label, text in finding_rows(item, show):
        yield labelled(f"   {label}", text, 17)
    yield ""


def finding_rows(item: Finding, show: Show) -> Iterator[tuple[str, str]]:
    """Yield the parts of a finding, each with its label."""
    yield "Found", sentence(item.found, show)
    yield "Why", item.why
    if item.consequence:
        yield "In numbers", sentence(item.consequence, show)
    yield "Do", item.do
    yield "Basis", item.basis_text
    yield "Rule", f"{item.rule}, item {item.item}"


def sentence(text: str, show: Show) -> str:
    """Return a phrase as a sentence in these units."""
    text = show.sentence(text)
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


def angle(value: float | None) -> str:
    """Return an angle in degrees."""
    return "not recorded" if value is None else f"{math.degrees(value):.0f} degrees"


def _openings(answer: Survey, show: Show) -> Iterator[str]:
    yield heading("If a hose lets go")
    yield table(OPENING_HEAD, opening_rows(answer, show), (2, 3, 4, 5))
    yield bullet(bilge_words(answer, show))


def bilge_words(answer: Survey, show: Show) -> str:
    """Return what the bilge pumps deliver."""
    if answer.bilge_capacity is None:
        return "The real capacity of the bilge pumps is not recorded."
    return f"The bilge pumps deliver {show('flow', answer.bilge_capacity)}."


def _strainer(item: StrainerResult, show: Show) -> Iterator[str]:
    yield heading(f"Strainer {item.name}")
    yield bullet(strainer_words(item, show))
    if item.at:
        yield table(STRAINER_HEAD, strainer_rows(item, show), range(7))
        yield bullet(strainer_note(show))
    for line in limit_lines(item, show):
        yield bullet(line)
    yield bullet(item.basis)


STRAINER_HEAD = ("blocked", "flow, even", "gauge", "rise", "flow, matted", "gauge", "rise")
STRAINER_NOTE = (
    "Gauge: at the pump inlet. Rise: of the water of the unit that gets warmest, a dash where none "
    "cools. Watch the gauge: it falls while the rise still looks right."
)


def strainer_words(item: StrainerResult, show: Show) -> str:
    """Return the size of a strainer in words."""
    if item.open_area is None or item.over_hose is None:
        return "Neither basket area nor open share is recorded."
    return (
        f"Ports {show('bore', item.port)}, open area of the basket "
        f"{item.open_area * 1e4:.0f} cm2, {item.over_hose:.1f} times that of its hose."
    )


def strainer_rows(item: StrainerResult, show: Show) -> Iterator[tuple[str, ...]]:
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


def strainer_note(show: Show) -> str:
    """Return what the columns of the strainer's table are."""
    return f"{STRAINER_NOTE} In {show.unit('pressure')} and {show.unit('rise')}."


def limit_lines(item: StrainerResult, show: Show) -> Iterator[str]:
    """Yield for each unit how blocked the basket may get."""
    for unit in item.units:
        even = "not below 99%" if unit.even is None else f"from {percent(unit.even)}"
        matted = "not below 99%" if unit.matted is None else f"from {percent(unit.matted)}"
        gauge = (
            ""
            if unit.gauge_then is None
            else f" A gauge at the pump inlet then shows {show('pressure', unit.gauge_then)}."
        )
        yield (
            f"{unit.unit} falls below its least flow of {show('flow', unit.least)} {even} blocked "
            f"if the dirt is evenly spread, {matted} if it is matted.{gauge}"
        )


def _look_at(answer: Survey) -> Iterator[str]:
    yield heading("Look at on board")
    if not answer.look_at:
        yield "  Nothing is left open."
    for (_, thing), asked in grouped(answer.look_at).items():
        yield f"  {thing}"
        for item in asked:
            yield bullet(f"{item.ask} ({item.severity}; {item.key})", "[ ]", 4)
            choices = "   ".join(f"[ ] {word}" for word in item.answers)
            yield f"        {choices or BLANK}"
