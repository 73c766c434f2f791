"""The answer of `energy` as text: the day first, then the best speeds and the starting head."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from seaflow.present.layout import heading, labelled, table
from seaflow.present.notes import notes_of, validity_lines
from seaflow.present.quantities import Show, percent
from seaflow.studies.energy.day import Day, DutyEnergy
from seaflow.studies.energy.optimum import Best
from seaflow.studies.energy.starting import Starting
from seaflow.studies.energy.study import Energy, LoopEnergy

SMALL = 0.005  # of a day's energy; less is next to nothing


def energy_text(answer: Energy, system: str) -> str:
    """Return the whole answer as text."""
    return "\n".join(_lines(answer, Show(system)))


def _lines(answer: Energy, show: Show) -> Iterator[str]:
    day = "the day of the case" if answer.day_given else "a day that stands in for hers"
    yield f"{answer.boat}: {answer.hull}, energy of {day}"
    for loop in answer.loops:
        yield heading(f"Loop of {loop.name}")
        yield from _answer(loop, show)
    if len(answer.loops) > 1:
        yield heading("The whole boat")
        yield labelled(
            "A day",
            f"{show('energy', answer.total)}, and {show('charge', answer.net_charge)} net "
            "from the battery.",
        )
    for loop in answer.loops:
        title = f", {loop.name}" if len(answer.loops) > 1 else ""
        yield from _details(loop, title, show)
    yield from validity_lines((note for loop in answer.loops for note in loop.validity), show)
    yield from notes_of(answer.assumptions, answer.cautions, show)


def _answer(loop: LoopEnergy, show: Show) -> Iterator[str]:
    day = loop.day
    yield labelled("Pump", f"{loop.title} ({loop.pump}), {show.sentence(loop.chosen)}")
    yield labelled("A day", _whole_day(day, show))
    if any(duty.source == "battery" for duty in day.duties):
        yield labelled("Battery", _battery(day, show))
    if loop.adjustable:
        yield labelled("Best speed", _best_speed(loop, show))
    else:
        yield labelled("Throttle", f"{show.sentence(loop.says)}.")
        if loop.like_saved is not None:
            yield labelled("Other pump", _like(loop, loop.like_saved, show))
    yield labelled("Left on", _left_on(day, show))
    yield labelled("Starts", _starts(loop.starting, show))
    yield labelled("Slowest", _slowest(loop, show))
    for duty in day.duties:
        if duty.words != "cooling":
            yield labelled("Watch out", f"{duty.name}: {duty.words}, so its figures say little.")


def _whole_day(day: Day, show: Show) -> str:
    hours = sum(duty.time for duty in day.duties)
    return (
        f"{show('energy', day.total)} in {show('duration', hours)} of duties, "
        f"{show('energy', day.pump)} of it for the pump ({percent(day.pump_share)})"
        + (" at full speed." if day.saved else ".")
    )


def _battery(day: Day, show: Show) -> str:
    text = f"{show('charge', day.charge)} at {show('voltage', day.bank.voltage)}"
    if day.share_of_capacity is not None:
        text += f", {percent(day.share_of_capacity)} of what may be drawn from it"
    if day.regenerated:
        back = f"{show('charge', day.regenerated)} come back meanwhile"
        net = "the battery gains" if day.net_charge < 0 else "net"
        text += f"; {back}, {net} {show('charge', abs(day.net_charge))}"
    if day.share_of_capacity is not None and day.share_of_capacity > 1.0:
        text += ". That is more than the battery gives in one go"
    return f"{text}."


def _best_speed(loop: LoopEnergy, show: Show) -> str:
    day = loop.day
    settings = [duty.best.setting for duty in day.duties if duty.best and duty.best.setting]
    text = f"over the season {show.sentence(loop.says)}."
    if not settings or day.saved <= 0:
        return text
    low, high = percent(min(settings)), percent(max(settings))
    span = low if low == high else f"{low} to {high}"
    share = day.saved / day.total
    text += (
        f" On this day {span} of full speed saves {show('energy', day.saved)} against full speed "
        f"({percent(share)} of all"
    )
    if day.saved_charge > 0:
        text += f", {show('charge', day.saved_charge)} of the battery's"
    return f"{text})."


def _like(loop: LoopEnergy, saved: float, show: Show) -> str:
    if saved < SMALL * loop.day.total:
        return (
            "a pump like it whose speed can be set would save next to nothing here: what it takes "
            "less, the compressor takes more."
        )
    return (
        f"a pump like it whose speed can be set would save {show('energy', saved)} a day "
        f"({percent(saved / loop.day.total)})."
    )


def _left_on(day: Day, show: Show) -> str:
    always = day.always_on
    return (
        f"a pump that is never switched off takes {show('power', always.power)}, "
        f"{show('energy', always.energy)} a day ({show('charge', always.charge)}); "
        f"{show('energy', always.wasted)} of it ({show('charge', always.wasted_charge)}) for "
        "nothing, against a pump that runs with the units."
    )


def _starts(found: Starting, show: Show) -> str:
    shut_off = show("head", found.shut_off_head)
    if found.factor is None:
        text = f"nothing of the run stands above the water, and its shut-off head is {shut_off}"
    else:
        verdict = "enough"
        if found.factor < 1.0:
            verdict = "it cannot start the water"
        elif found.factor < found.factor_wanted:
            verdict = f"less than the {found.factor_wanted:g} times of common practice"
        running = "nothing is left to lift"
        if found.running_head > 0:
            running = f"only {show('height', found.running_head)} are left, to the outlet"
        text = (
            f"shut-off head {shut_off} against {show('height', found.starting_head)} to the "
            f"highest point ({found.highest}), {found.factor:.1f} times: {verdict}; once every leg "
            f"runs full {running}"
        )
    return f"{text}. Priming: {found.priming}."


def _slowest(loop: LoopEnergy, show: Show) -> str:
    found = loop.starting
    if found.least_speed is None:
        return "even at full speed some branch gets no water."
    if not found.least_by_affinity:
        return "it delivers at any speed, since nothing stands above the water."
    text = (
        f"from rest, below {percent(found.least_speed)} of full speed no water gets over the "
        "highest point, or not to every unit (shut-off head falls with speed squared: "
        f"{percent(found.least_by_affinity)} by that alone)"
    )
    if found.least_once_full:
        text += f"; a leg that runs full already holds on to {percent(found.least_once_full)}"
    if loop.least_setting is not None:
        safe = loop.least_setting > found.least_speed
        text += f". It can be set down to {percent(loop.least_setting)}" + (
            ", so the water never stops" if safe else ": set it no lower than needed"
        )
    return f"{text}."


def _details(loop: LoopEnergy, title: str, show: Show) -> Iterator[str]:
    yield heading(f"By duty{title}, pump at full speed")
    yield _duty_table(loop.day.duties, show)
    if loop.adjustable:
        yield heading(f"By duty{title}, pump at its best speed")
        yield _best_duties(loop.day.duties, show)
        yield from _why_so([duty.best for duty in loop.day.duties if duty.best], show)
        yield heading(f"Best speed over the season{title}")
        yield best_table(loop.settings, show)
        yield from _why_so(loop.settings, show)
        yield heading(f"Shut-off head at each speed{title}")
        yield starting_table(loop.starting, show)


def _duty_table(duties: Sequence[DutyEnergy], show: Show) -> str:
    when = ("duty", "from", "hours", "sea", "load", "runs")
    head = (*when, "compressor", "pump", "share", "drawn", "regained")
    rows = [
        (
            duty.name,
            duty.source,
            show("duration", duty.time),
            show("temperature", duty.sea_temperature),
            percent(duty.load),
            percent(min(duty.run_share, 1.0)),
            show("energy", duty.compressor),
            show("energy", duty.pump),
            percent(duty.pump / duty.total if duty.total else 0.0),
            show("charge", duty.charge) if duty.source == "battery" else "-",
            show("charge", duty.regenerated) if duty.regenerated else "-",
        )
        for duty in duties
    ]
    return table(head, rows, right=tuple(range(2, len(head))))


def _best_duties(duties: Sequence[DutyEnergy], show: Show) -> str:
    head = ("duty", "speed", "flow", "compressor", "pump", "saves", "")
    reasons = _reasons([duty.best for duty in duties if duty.best])
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
                show("energy", best.compressor * duty.time),
                show("energy", best.pump * duty.time),
                show("energy", duty.saved),
                reasons[best.set_by],
            )
        )
    return table(head, rows, right=(1, 2, 3, 4, 5))


def best_table(settings: Sequence[Best], show: Show) -> str:
    """Return the best speed for each sea and load."""
    head = ("sea", "load", "speed", "flow", "compressor", "pump", "at full speed", "saves", "")
    reasons = _reasons(settings)
    rows = [
        (
            show("temperature", item.sea_temperature),
            percent(item.load),
            percent(item.setting),
            show("flow", item.flow),
            show("power", item.compressor),
            show("power", item.pump),
            show("power", item.fixed_compressor + item.fixed_pump),
            show("power", max(item.gain, 0.0)),
            reasons[item.set_by],
        )
        for item in settings
    ]
    return table(head, rows, right=tuple(range(8)))


def _reasons(settings: Sequence[Best]) -> dict[str, str]:
    """Return a mark for each reason, in order."""
    names = list(dict.fromkeys(item.set_by for item in settings))
    return {name: f"({number})" for number, name in enumerate(names, 1)}


def _why_so(settings: Sequence[Best], show: Show) -> Iterator[str]:
    said = "; ".join(f"{mark} {show.sentence(text)}" for text, mark in _reasons(settings).items())
    yield labelled("", f"For the same cooling. The speed is set by {said}.", 4)


def starting_table(found: Starting, show: Show) -> str:
    """Return the shut-off head that is left at each speed, and what flows."""
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
