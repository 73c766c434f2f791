"""The parts of a survey that text and page share: titles, tables and sentences, without a face."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from seaflow.base.facts import Fact
from seaflow.forms.checklist import Overruled
from seaflow.physics.hull.openings import SHARP_EDGE
from seaflow.present.notes import assumption_text
from seaflow.present.quantities import percent
from seaflow.present.survey import titles
from seaflow.present.survey_units import SurveyShow
from seaflow.present.words import survey as words
from seaflow.studies.survey.findings import AS_SHE_WORKS, AT_REST, Survey
from seaflow.studies.survey.hung import Finding
from seaflow.studies.survey.places import Placed, RunLeg, Trimmed
from seaflow.studies.survey.running import StrainerResult
from seaflow.studies.survey.waterlines import Waterline

WHEN = {AT_REST: "at rest", AS_SHE_WORKS: "as she works"}
PLACE_HEAD = ("", "", "at rest", "starboard down", "port down", "turns at")
TRIM_HEAD = ("", "", "stbd, bow", "stbd, stern", "port, bow", "port, stern", "turns at")
LEG_HEAD = ("from", "to", "rise", "along", "slope", "reverses at")
OPENING_HEAD = (
    "opening",
    "under water",
    "depth",
    "bore",
    f"sharp edge, {SHARP_EDGE:g}",
    "as printed, 1",
)
STRAINER_HEAD = ("blocked", "flow, even", "gauge", "rise", "flow, matted", "gauge", "rise")


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a survey: its title, a lead, a table, a note on that, and lines.

    The first `names` columns of the table are words, the rest figures.
    """

    title: str
    lead: str = ""
    head: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    names: int = 2
    note: str = ""
    lines: tuple[str, ...] = ()


def before_findings(answer: Survey) -> Iterator[Section]:
    """Yield what answers changed of what was recorded, if they did."""
    for title, stands in ((words.OVERRULED, False), (words.STANDS, True)):
        lines = [_differs(item) for item in answer.overruled if bool(item.stands) is stands]
        if lines:
            yield Section(title, lines=tuple(lines))


def _differs(item: Overruled) -> str:
    """Return what counts, where it stands, and what differs from it."""
    counts, other = (item.now, item.by), (item.was, item.was_in)
    if item.stands:
        counts, other = other, counts
    why = f", {words.WHY_STANDS[item.stands]}" if item.stands else ""
    return f"{item.subject}, {item.key}: {counts[0]} ({counts[1]}); {other[0]} in {other[1]}{why}"


def after_findings(answer: Survey, show: SurveyShow) -> Iterator[Section]:
    """Yield what the findings rest on: where things are, runs, openings and strainers."""
    lines = tuple(_waterline(line, show) for line in answer.waterlines)
    yield Section(words.WATERLINES, lines=lines)
    places = tuple(_place_row(item, show) for item in answer.places)
    yield Section(_place_title(answer), head=PLACE_HEAD, rows=places)
    known = answer.trimmed if answer.trim_is_known else ()
    yield Section(
        words.TRIMMED,
        lead=show.whole(answer.attitude),
        head=TRIM_HEAD,
        rows=tuple(_trim_row(item, show) for item in known),
    )
    yield Section(
        words.RUNS,
        head=LEG_HEAD,
        rows=tuple(_leg_row(item, show) for item in answer.legs),
        lines=tuple(show.whole(item.told) for item in answer.starting_heads),
    )
    if answer.openings:
        rows, note = tuple(_opening_rows(answer, show)), show.whole(answer.bilge)
        yield Section(words.IF_A_HOSE_FAILS, head=OPENING_HEAD, rows=rows, note=note)
    for strainer in answer.strainers:
        yield _strainer(strainer, show)


def assumed(answer: Survey, show: SurveyShow) -> Section:
    """Return what was simplified or assumed, once for all things that share it."""
    lines = [show.whole(item) for item in answer.simplified]
    grouped: dict[tuple[str, str, str], list[str]] = {}
    for item in answer.assumptions:
        grouped.setdefault((item.meaning, item.value, item.source), []).append(item.subject)
    for (meaning, value, source), subjects in grouped.items():
        who = subjects[0] if len(subjects) == 1 else f"{subjects[0]} and {len(subjects) - 1} more"
        lines.append(f"{who}: {assumption_text(meaning, value, source, show)}")
    return Section(words.ASSUMED, lines=tuple(lines))


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
        ("Scope", record.scope or ""),
        ("Not seen, not opened", "; ".join(record.not_seen)),
    )


def finding_rows(
    item: Finding, show: SurveyShow, sources: Mapping[str, int]
) -> Iterator[tuple[str, str]]:
    """Yield the parts of a finding, each with its label; `sources` are numbered at the end."""
    yield "Found", show.whole(item.found)
    yield "Why", show.text(item.why)
    if item.in_numbers:
        yield "In numbers", show.whole(*item.in_numbers)
    first = "" if item.first is None else f"{show.whole(item.first)} "
    yield "Do", first + show.text(item.do)
    yield "Basis", f"{_basis(item.rests_on, show, sources)} Rule {item.rule}."


def _basis(rests_on: Fact, show: SurveyShow, sources: Mapping[str, int]) -> str:
    """Return on what a finding rests, with its sources by their numbers."""
    values = dict(rests_on.values)
    numbers = sorted(sources[name] for name in values.get("standards", ()) if name in sources)  # type: ignore[attr-defined]
    if not numbers:
        return show.whole(rests_on)
    listed = ", ".join(map(str, numbers))
    return titles.PUBLISHED.format(says=values["says"], sources=listed)


def _waterline(line: Waterline, show: SurveyShow) -> str:
    angle = "not recorded" if line.angle is None else show("angle", line.angle)
    return f"{line.name}: {angle}; {show.sentence(line.asks)}. Check the current edition."


def _place_title(answer: Survey) -> str:
    if answer.working_heel is None:
        return words.PLACES_WITHOUT_HEEL
    return words.PLACES.format(heel=f"{math.degrees(answer.working_heel):.3g}")


def _place_row(item: Placed, show: SurveyShow) -> tuple[str, ...]:
    levels = (item.height, item.starboard_down, item.port_down)
    return (item.name, item.kind, *(show("height", level) for level in levels), _turns(item))


def _trim_row(item: Trimmed, show: SurveyShow) -> tuple[str, ...]:
    levels = (item.starboard_bow, item.starboard_stern, item.port_bow, item.port_stern)
    return (item.name, item.kind, *(show("height", level) for level in levels), _turns(item))


def _turns(item: Placed | Trimmed) -> str:
    """Return the heel at which a thing comes out of the water or goes under."""
    if not item.is_known:
        return "not recorded"
    if item.kind == "pump":
        return ""
    is_under = item.kind != "intake" and (item.height or 0.0) < 0.0
    return "is under" if is_under else _angle(item.turns_at)


def _angle(value: float | None) -> str:
    return "> 60°" if value is None else f"{math.degrees(value):.0f}°"


def _leg_row(item: RunLeg, show: SurveyShow) -> tuple[str, ...]:
    return (
        item.start,
        item.end,
        show("height", item.rise),
        show("height", item.run),
        "-" if item.slope is None else percent(item.slope),
        _angle(item.reverses_at) if item.is_known else "not recorded",
    )


def _opening_rows(answer: Survey, show: SurveyShow) -> Iterator[tuple[str, ...]]:
    for item in answer.openings:
        yield (
            item.name,
            WHEN[item.when],
            show("height", item.depth),
            show("bore", item.bore),
            show("flow", item.flow),
            show("flow", item.flow_at_one),
        )


def _strainer(item: StrainerResult, show: SurveyShow) -> Section:
    note = words.STRAINER_COLUMNS.format(pressure=show.unit("pressure"), rise=show.unit("rise"))
    is_said = "strainer" in item.name.lower()
    limits = (line for unit in item.units for line in (unit.of_need, unit.of_least))
    return Section(
        item.name[:1].upper() + item.name[1:] if is_said else f"Strainer {item.name}",
        lead=show.whole(item.size),
        head=STRAINER_HEAD,
        rows=tuple(_strainer_rows(item, show)),
        names=0,
        note=f"{note} {words.WATCH_THE_GAUGE}" if item.gauge_tells else note,
        lines=(
            *(show.whole(*line) for line in limits),
            *([show.whole(item.rests_on)] if item.at else ()),
        ),
    )


def _strainer_rows(item: StrainerResult, show: SurveyShow) -> Iterator[tuple[str, ...]]:
    for row in item.at:
        yield (
            percent(row.blocked),
            show("flow", row.flow),
            show.number("pressure", row.inlet_gauge),
            _rise_told(row.temperature_rise, row.stopped, show),
            show("flow", row.matted_flow),
            show.number("pressure", row.matted_gauge),
            _rise_told(row.matted_rise, row.matted_stopped, show),
        )


def _rise_told(rise: float | None, stopped: tuple[str, ...], show: SurveyShow) -> str:
    """Return a rise, and how many units no longer have a part in it."""
    number = show.number("rise", rise)
    return f"{number} ({len(stopped)} stopped)" if stopped else number
