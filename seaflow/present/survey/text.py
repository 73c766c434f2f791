"""A survey as plain text: findings first, then what they rest on and what is left to look at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from seaflow.base.facts import Fact
from seaflow.present.layout import bullet, heading, labelled, table
from seaflow.present.quantities import percent
from seaflow.present.survey.checklist import grouped
from seaflow.present.survey.tables import (
    LEG_HEAD,
    OPENING_HEAD,
    PLACE_HEAD,
    TRIM_HEAD,
    leg_row,
    opening_rows,
    place_row,
    place_title,
    trim_row,
)
from seaflow.present.survey.units import SurveyShow
from seaflow.present.words.survey import (
    IF_A_HOSE_FAILS,
    LOOK_AT,
    NO_FINDINGS,
    NOTHING_OPEN,
    OVERRULED,
    STRAINER_COLUMNS,
    WATCH_THE_GAUGE,
)
from seaflow.studies.survey.evidence import Waterline
from seaflow.studies.survey.findings import Finding, Survey
from seaflow.studies.survey.running import StrainerResult

BLANK = "______________________________"


def survey_text(answer: Survey, system: str) -> str:
    """Return the whole survey as text."""
    return "\n".join(_lines(answer, SurveyShow(system)))


def summary(answer: Survey, system: str) -> str:
    """Return the boat and how many findings there are."""
    return f"{answer.boat}. {sentence(answer.counted, SurveyShow(system))}"


def _lines(answer: Survey, show: SurveyShow) -> Iterator[str]:
    yield f"{answer.boat}: survey of the seawater loop, {answer.hull}"
    yield sentence(answer.counted, show)
    yield from record_lines(answer)
    if answer.overruled:
        yield heading(OVERRULED)
        yield from (bullet(line) for line in overruled_lines(answer))
    yield heading("Cautions")
    yield from (bullet(f"{item.title}. {item.text}", mark="!") for item in answer.cautions)
    yield heading("Findings")
    if not answer.findings:
        yield f"  {NO_FINDINGS}"
    for number, item in enumerate(answer.findings, 1):
        yield from _finding(number, item, show)
    yield heading("Heeled waterlines")
    yield from (bullet(waterline(line, show)) for line in answer.waterlines)
    yield heading(place_title(answer))
    yield table(PLACE_HEAD, (place_row(item, show) for item in answer.places), (2, 3, 4, 5))
    yield heading("The same, heeled and trimmed")
    yield bullet(sentence(answer.attitude, show))
    if answer.trim_is_known:
        rows = (trim_row(item, show) for item in answer.trimmed)
        yield table(TRIM_HEAD, rows, (2, 3, 4, 5, 6))
    yield heading("Runs, upright")
    yield table(LEG_HEAD, (leg_row(item, show) for item in answer.legs), (2, 3, 4))
    yield from (bullet(sentence(item.told, show)) for item in answer.starting_heads)
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
    yield from (sentence(item, show) for item in answer.simplified)
    for item in answer.assumptions:
        grouped_.setdefault((item.meaning, item.value, item.source), []).append(item.subject)
    for (meaning, value, source), subjects in grouped_.items():
        who = subjects[0] if len(subjects) == 1 else f"{subjects[0]} and {len(subjects) - 1} more"
        yield f"{who}: {meaning}: {show.typed(value)} ({source})"


def record_lines(answer: Survey) -> Iterator[str]:
    """Yield the head of the record, blank where nothing was typed."""
    for name, value in record_rows(answer):
        yield labelled(name, value or BLANK, 24)


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
    if item.in_numbers:
        yield "In numbers", sentences(item.in_numbers, show)
    yield "Do", show.text(item.do)
    yield "Basis", sentence(item.rests_on, show)
    yield "Rule", f"{item.rule}, item {item.item}"


def sentence(fact: Fact, show: SurveyShow) -> str:
    """Return a fact as a whole sentence in these units."""
    text = show.text(show.sentence(fact))
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?")) else ".")


def sentences(facts: Iterable[Fact], show: SurveyShow) -> str:
    """Return facts as sentences one after another."""
    return " ".join(sentence(item, show) for item in facts)


def waterline(line: Waterline, show: SurveyShow) -> str:
    """Return a heeled waterline, its angle and who asks for it."""
    angle = "not recorded" if line.angle is None else show("angle", line.angle)
    return f"{line.name}: {angle}; {show.sentence(line.asks)}. Check the current edition."


def _openings(answer: Survey, show: SurveyShow) -> Iterator[str]:
    yield heading(IF_A_HOSE_FAILS)
    yield table(OPENING_HEAD, opening_rows(answer, show), (2, 3, 4, 5))
    yield bullet(sentence(answer.bilge, show))


def _strainer(item: StrainerResult, show: SurveyShow) -> Iterator[str]:
    yield heading(strainer_title(item))
    yield bullet(sentence(item.size, show))
    if item.at:
        yield table(STRAINER_HEAD, strainer_rows(item, show), range(7))
        yield bullet(strainer_note(item, show))
    yield from (bullet(line) for line in limit_lines(item, show))
    yield bullet(sentence(item.rests_on, show))


STRAINER_HEAD = ("blocked", "flow, even", "gauge", "rise", "flow, matted", "gauge", "rise")


def strainer_title(item: StrainerResult) -> str:
    """Return the title of a strainer."""
    is_said = "strainer" in item.name.lower()
    return item.name[:1].upper() + item.name[1:] if is_said else f"Strainer {item.name}"


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
    note = STRAINER_COLUMNS.format(pressure=show.unit("pressure"), rise=show.unit("rise"))
    return f"{note} {WATCH_THE_GAUGE}" if item.gauge_tells else note


def limit_lines(item: StrainerResult, show: SurveyShow) -> Iterator[str]:
    """Yield for each unit how blocked the basket may get."""
    for unit in item.units:
        yield sentences(unit.of_need, show)
        yield sentences(unit.of_least, show)


def _look_at(answer: Survey, show: SurveyShow) -> Iterator[str]:
    yield heading(LOOK_AT)
    if not answer.look_at:
        yield f"  {NOTHING_OPEN}"
    for (_, thing), asked in grouped(answer.look_at).items():
        yield f"  {thing}"
        for item in asked:
            yield bullet(f"{show.text(item.ask)} ({item.severity}; {item.key})", "[ ]", 4)
            choices = "   ".join(f"[ ] {word}" for word in item.answers)
            yield f"        {choices or BLANK}"
