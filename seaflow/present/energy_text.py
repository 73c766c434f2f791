"""What the card of `energy` rests on, as text by sections."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from seaflow.base.facts import Fact, fact
from seaflow.present.layout import Heading, Line, labelled, table
from seaflow.present.notes import each_loop, notes_of, pump_lines, validity_lines
from seaflow.present.quantities import Show, percent
from seaflow.studies.energy.day import DutyEnergy
from seaflow.studies.energy.night import Night
from seaflow.studies.energy.optimum import Best
from seaflow.studies.energy.starting import Starting
from seaflow.studies.energy.study import Energy, LoopEnergy


def energy_lines(answer: Energy, show: Show) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    for loop, title in each_loop(answer.loops):
        yield Heading(f"A day, the pump and its start{title}")
        yield from _answer(loop, show)
        yield from _details(loop, title, show)
    if answer.night is not None:
        yield from _night(answer.night, answer.inverter, show)
    yield from validity_lines((note for loop in answer.loops for note in loop.validity), show)
    yield from notes_of(answer.assumptions, answer.cautions, show)


def _answer(loop: LoopEnergy, show: Show) -> Iterator[Line]:
    yield from pump_lines(loop, show)
    yield labelled("A day", show.sentence(loop.takes))
    yield labelled("Best speed" if loop.adjustable else "Throttle", show.sentences(loop.gains))
    if loop.other_pump is not None:
        yield labelled("Other pump", show.sentence(loop.other_pump))
    yield labelled("Left on", show.sentence(loop.left_on))
    yield labelled("Starts", show.sentences((*loop.starts, *loop.starting.says)))
    yield labelled("Slowest", show.sentences(loop.starting.slowest))
    for duty in loop.day.duties:
        if duty.fails is not None:
            yield labelled("Watch out", show.sentence(duty.fails))


def _details(loop: LoopEnergy, title: str, show: Show) -> Iterator[Line]:
    yield Heading(f"By duty{title}, pump at full speed")
    yield _duty_table(loop.day.duties, show)
    if loop.adjustable:
        yield Heading(f"By duty{title}, pump at its best speed")
        yield _best_duties(loop.day.duties, show)
        yield from _why_so([duty.best for duty in loop.day.duties if duty.best], show)
        yield Heading(f"Best speed over the season{title}")
        yield _best_table(loop.settings, show)
        yield from _why_so(loop.settings, show)
        yield Heading(f"Shut-off head at each speed{title}")
        yield _starting_table(loop.starting, show)


def _night(night: Night, inverter: Fact | None, show: Show) -> Iterator[Line]:
    yield Heading(f"The night, from a full battery at {night.starts}")
    yield labelled("Night", show.sentences(night.says))
    if inverter is not None:
        yield labelled("Inverter", show.sentence(inverter))
    head = ("from", "to", "duty", "on", "draws", "charges", "left then", "nine in ten")
    rows = [
        (
            part.starts,
            part.ends,
            part.name or "-",
            part.source or "-",
            show("power", part.draws),
            show("power", part.charges),
            show("charge", part.charge),
            _range("charge", part.low, part.high, show),
        )
        for part in night.stretches
    ]
    yield table(head, rows, right=(4, 5, 6, 7))
    yield Heading(f"What would help, by what is left at dawn ({night.dawn})")
    yield _changes(night, show)
    yield labelled("", show.sentence(fact("energy.below_nothing")), 4)


def _changes(night: Night, show: Show) -> str:
    head = ("otherwise", "lasts until", "left at dawn", "nine in ten", "lasts")
    rows = [
        (
            " and ".join(show.sentence(one) for one in change.changes),
            change.until or "through",
            show("charge", change.left_at_dawn),
            _range("charge", change.low, change.high, show),
            percent(change.lasting),
        )
        for change in night.changes
    ]
    return table(head, rows, right=(1, 2, 3, 4))


def _range(kind: str, low: float, high: float, show: Show) -> str:
    return f"{show.number(kind, low)} to {show(kind, high)}"


def _duty_table(duties: Sequence[DutyEnergy], show: Show) -> str:
    when = ("duty", "from", "hours", "sea", "load", "runs")
    head = (*when, "compressor", "fans", "pump")
    rows = [
        (
            duty.name,
            duty.source,
            show("duration", duty.time),
            show("temperature", duty.sea_temperature),
            percent(duty.load),
            percent(min(duty.run_share, 1.0)),
            show("energy", duty.compressor),
            show("energy", duty.fans + duty.controls),
            show("energy", duty.pump),
        )
        for duty in duties
    ]
    return table(head, rows, right=tuple(range(2, len(head))))


def _best_duties(duties: Sequence[DutyEnergy], show: Show) -> str:
    head = ("duty", "speed", "flow", "units", "pump", "saves", "")
    marks = _marks([duty.best for duty in duties if duty.best])
    rows: list[tuple[str, ...]] = []
    for duty in duties:
        best = duty.best
        if best is None:
            continue
        rows.append(
            (
                duty.name,
                percent(best.setting),
                show("flow", best.flow),
                show("energy", best.units * duty.time),
                show("energy", best.pump * duty.time),
                show("energy", duty.saved),
                marks[best.set_by],
            )
        )
    return table(head, rows, right=(1, 2, 3, 4, 5))


def _best_table(settings: Sequence[Best], show: Show) -> str:
    head = ("sea", "load", "speed", "flow", "units", "pump", "at full speed", "saves", "")
    marks = _marks(settings)
    rows = [
        (
            show("temperature", item.sea_temperature),
            percent(item.load),
            percent(item.setting),
            show("flow", item.flow),
            show("power", item.units),
            show("power", item.pump),
            show("power", item.fixed_units + item.fixed_pump),
            show("power", max(item.gain, 0.0)),
            marks[item.set_by],
        )
        for item in settings
    ]
    return table(head, rows, right=tuple(range(8)))


def _marks(settings: Sequence[Best]) -> dict[Fact, str]:
    """Return a mark for each reason, in order."""
    reasons = list(dict.fromkeys(item.set_by for item in settings))
    return {reason: f"({number})" for number, reason in enumerate(reasons, 1)}


def _why_so(settings: Sequence[Best], show: Show) -> Iterator[Line]:
    said = "; ".join(f"{mark} {show.sentence(text)}" for text, mark in _marks(settings).items())
    yield labelled("", show.sentence(fact("energy.set_by", reasons=said)), 4)


def _starting_table(found: Starting, show: Show) -> str:
    head = ("speed", "shut-off head", "over the highest point", "flow", "")
    rows = [
        (
            percent(row.speed),
            show("head", row.shut_off_head),
            "-" if row.over_starting is None else f"{row.over_starting:.1f} times",
            show("flow", row.flow),
            "" if row.delivers else "does not deliver",
        )
        for row in found.speeds
    ]
    return table(head, rows, right=(0, 1, 2, 3))
