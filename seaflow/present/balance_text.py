"""What the card of `balance` rests on, as text by sections."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import amount, fact
from seaflow.present.layout import Heading, Line, bullet, labelled, table
from seaflow.present.notes import caution_lines, each_loop, watts_lines
from seaflow.present.quantities import Show, percent
from seaflow.present.words.balance import DRAWN_BACK, SHARING, SWITCHED_OFF, VALVES
from seaflow.studies.balance.answer import Balance, LoopBalance, Recirculation, Trunk, ValveSettings

OPEN = "wide open"


def balance_lines(answer: Balance, show: Show) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    for loop, title in each_loop(answer.loops):
        yield Heading(f"Who gets too little, and what to do{title}")
        yield from _answer(loop, show)
        yield from _details(loop, title, show)
    yield from caution_lines(answer.cautions)


def _answer(loop: LoopBalance, show: Show) -> Iterator[Line]:
    why = show.sentence(loop.pump_why)
    yield labelled("Pump", f"{loop.pump_title} ({loop.pump}), {why}")
    yield from watts_lines(loop.judgement.remarks, show)
    for held in loop.no_start:
        yield labelled("No start", show.sentence(held.said))
    yield labelled("Starves" if loop.starves else "Water", show.sentences(loop.water, "; "))
    if loop.to_set:
        yield labelled("Set", show.sentences(loop.to_set))
    yield labelled("Season", show.sentence(loop.on_days))
    if loop.a_day is not None:
        yield labelled("A day", show.sentence(loop.a_day))
    if loop.wider is not None:
        yield labelled("Or", show.sentence(loop.wider))
    for unit in loop.series:
        yield labelled("In series", show.sentences(unit.says))
    for item in loop.discharges:
        if item.risk or item.distance is None:
            yield labelled("Warm water", show.sentence(item.says))
    yield labelled("Drawn back", show.sentence(loop.drawn_back))


def _margin(value: float) -> str:
    return f"{value:+z.1%}"


def _details(loop: LoopBalance, title: str, show: Show) -> Iterator[Line]:
    if len(loop.sharing) > 1:
        yield Heading(f"Flow of each branch, and with one branch shut{title}")
        yield _sharing_table(loop, show)
        yield f"    {SHARING}"
        yield bullet(SWITCHED_OFF)
    if loop.setting is not None:
        yield Heading(f"Balancing valves{title}")
        yield from _setting_lines(loop.setting, show)
    if loop.trunk is not None and loop.trunk.tried and loop.starves:
        yield Heading(f"Wider shared hoses, no valve touched{title}")
        yield _trunk_table(loop.trunk, show)
    yield Heading(f"Outlets and intakes{title}")
    for item in loop.discharges:
        yield bullet(show.sentence(item.says))
    yield Heading(f"Recirculation: warm water drawn back in{title}")
    yield f"  {DRAWN_BACK}"
    yield _warm_table(loop.recirculation, show)


def _sharing_table(loop: LoopBalance, show: Show) -> str:
    now = loop.sharing[0].branches
    names = [item.branch for item in now]
    rows = [("need", "-", "-", *(show.number("flow", item.need) for item in now))]
    for state in loop.sharing:
        found = {item.branch: item for item in state.branches}
        cells = []
        for name in names:
            item = found.get(name)
            if item is None:
                cells.append("shut")
                continue
            gained = f", {item.gained:+z.0%}" if state.shut else ""
            cells.append(f"{show.number('flow', item.flow)} ({_margin(item.margin)}{gained})")
        label = f"{state.shut} shut" if state.shut else "all open"
        rows.append(
            (label, show.number("flow", state.flow), show.number("power", state.power), *cells)
        )
    head = ("", f"pump {show.unit('flow')}", show.unit("power"), *names)
    return table(head, rows, right=range(1, len(head)))


def _setting_lines(setting: ValveSettings, show: Show) -> Iterator[Line]:
    rows = []
    for row in setting.branches:
        throttle = row.throttled
        turns = "-" if row.turns is None else f"{row.turns:.1f}"
        rows.append(
            (
                row.branch,
                row.hose,
                f"{row.extra_loss:.3g}" if throttle else OPEN,
                show("bore", row.bore),
                show("head", row.extra_head) if throttle else "-",
                turns if throttle or row.turns is not None else "-",
                show("flow", row.flow),
                _margin(row.margin),
                "-" if row.rise is None else show("rise", row.rise),
            )
        )
    head = ("branch", "valve in", "extra K", "on bore", "takes", "turns open", "gets", "over need")
    yield table((*head, "rise"), rows, right=(2, 3, 4, 5, 6, 7, 8))
    for row in setting.branches:
        if row.note is not None:
            yield bullet(show.sentence(row.note))
    yield bullet(VALVES)
    yield bullet(show.sentence(setting.check))
    flow, power = amount("flow", setting.flow), amount("power", setting.power)
    then = (fact("balance.pump_then", flow=flow, power=power), setting.when_dirty)
    yield bullet(show.sentences(item for item in then if item is not None))


def _trunk_table(trunk: Trunk, show: Show) -> str:
    rows = [(show("bore", row.bore), row.worst, _margin(row.margin)) for row in trunk.tried]
    return table(("all shared hoses", "poorest branch", "over need"), rows, right=(0, 2))


def _warm_table(found: tuple[Recirculation, ...], show: Show) -> str:
    rows = [
        (
            percent(row.share),
            show("rise", row.intake_warmer),
            show("rise", row.rise_over_sea),
            "-" if row.cut_out_margin is None else show("rise", row.cut_out_margin),
            row.unit if row.state == "cooling" else f"{row.unit} {row.state}",
            show("power", row.power),
        )
        for row in found
    ]
    head = ("share", "intake", "leaves above sea", "to cut-out", "nearest to it", "compressors")
    return table(head, rows, right=(0, 1, 2, 3, 5))
