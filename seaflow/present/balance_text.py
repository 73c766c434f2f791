"""The answer of `balance` as text: who starves and what to do first, then what it rests on."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import bullet, heading, labelled, table
from seaflow.present.quantities import Show, percent
from seaflow.studies.balance.answer import (
    Balance,
    BranchFlow,
    LoopBalance,
    Recirculation,
    SeriesUnit,
    Setting,
    Trunk,
)

OPEN = "wide open"
THIN = 0.1  # of need; less is soon lost to dirt and growth


def balance_text(answer: Balance, system: str) -> str:
    """Return the whole answer as text."""
    return "\n".join(_lines(answer, Show(system)))


def _lines(answer: Balance, show: Show) -> Iterator[str]:
    sea = show("temperature", answer.sea_temperature)
    yield f"{answer.boat}: {answer.hull}, warmest sea {sea}, all clean, every unit on"
    if answer.invented_parts:
        yield "Pumps named demo-... are invented, to show the method."
    for loop in answer.loops:
        yield heading(f"Loop of {loop.name}")
        yield from _answer(loop, show)
    for loop in answer.loops:
        title = f", {loop.name}" if len(answer.loops) > 1 else ""
        yield from _details(loop, title, show)
    if answer.cautions:
        yield heading("Cautions")
        for item in answer.cautions:
            yield bullet(f"{item.title}: {item.text}")


def _answer(loop: LoopBalance, show: Show) -> Iterator[str]:
    yield labelled("Pump", f"{loop.pump_title} ({loop.pump}), {show.sentence(loop.pump_why)}")
    yield labelled("Starves" if _short(loop) else "Water", _who(loop, show))
    if loop.setting is not None:
        yield labelled("Set", _what_to_set(loop, loop.setting, show))
    if loop.trunk is not None and _short(loop):
        yield labelled("Or", _wider(loop.trunk, show))
    for unit in loop.series:
        yield labelled("In series", _in_series(unit, show))
    for item in loop.discharges:
        if item.risk or item.distance is None:
            away = "" if item.distance is None else f" {show('length', item.distance)} from"
            link = away or " and"
            yield labelled(
                "Warm water", f'"{item.outlet}"{link} "{item.intake}": {show.sentence(item.words)}.'
            )
    yield labelled("Swallowed", _swallowed(loop.recirculation, show))


def _short(loop: LoopBalance) -> list[BranchFlow]:
    return [item for item in loop.states[0].branches if item.margin < -1e-6]


def _margin(value: float) -> str:
    return f"{value:+.1%}"


def _who(loop: LoopBalance, show: Show) -> str:
    if _short(loop):
        return "; ".join(
            f"{item.branch} gets {show('flow', item.flow)}, {-item.margin:.1%} less than the "
            f"{show('flow', item.need)} it needs"
            for item in sorted(_short(loop), key=lambda item: item.margin)
        )
    least = min(loop.states[0].branches, key=lambda item: item.margin)
    if len(loop.states[0].branches) == 1:
        return (
            f"{least.branch} gets {show('flow', least.flow)} ({_margin(least.margin)}); there is "
            "one branch, so there is nothing to balance"
        )
    return f"no branch starves; the poorest is {least.branch} ({_margin(least.margin)})"


def _what_to_set(loop: LoopBalance, setting: Setting, show: Show) -> str:
    rows = [row for row in setting.branches if row.extra_loss > 0.0]
    if not rows:
        return "leave every valve wide open: the water is shared in proportion to need already"
    parts = []
    for row in rows:
        text = f"{row.hose} by an extra K of {row.extra_loss:.3g}"
        if row.turns is not None:
            text += f" ({row.turns:.1f} turns open)"
        parts.append(text)
    open_ = " and ".join(row.hose for row in setting.branches if row.extra_loss == 0.0)
    text = f"throttle {_listed(parts)}; leave {open_} wide open. "
    if not setting.settled:
        text += (
            "No setting shares exactly, because the leg after a crest fills or empties near this "
            "one and the flows jump; it is the best found. "
        )
    if setting.meets:
        text += f"Then every branch gets its need and {max(setting.margin, 0.0):.1%} more"
        if not _short(loop):
            text += ", though none has to be touched"
        if setting.margin < THIN:
            text += ". That is thin: seaflow improve says how likely it is to be enough"
        return text + "."
    every = "every branch" if setting.settled else "the poorest branch"
    return text + (
        f"Even so {loop.pump} cannot bring all to need: the shortage is then shared, and {every} "
        f"gets {1.0 + setting.margin:.0%} of it. A bigger pump or wider bores are needed: "
        "see seaflow improve."
    )


def _listed(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + " and " + parts[-1]


def _wider(trunk: Trunk, show: Show) -> str:
    if not trunk.tried:
        return "the hoses that all branches share cannot be made wider"
    if trunk.enough is not None:
        return (
            f"widen all {len(trunk.hoses)} shared hoses to {show('bore', trunk.enough.bore)}: that "
            f"alone brings every branch to need (least {_margin(trunk.enough.margin)})"
        )
    last = trunk.tried[-1]
    return (
        f"no wider trunk is enough alone: with {show('bore', last.bore)} in all shared hoses "
        f"{last.worst} is still at {_margin(last.margin)}"
    )


def _in_series(unit: SeriesUnit, show: Show) -> str:
    behind = " and ".join(unit.behind)
    text = (
        f"{unit.unit} stands behind {behind} and gets its water at "
        f"{show('temperature', unit.inlet_temperature)}, {show('rise', unit.warmer)} warmer. "
    )
    if unit.cut_out_margin is None:
        return text + f"There it {unit.state}. Pipe the units in parallel."
    if unit.margin_with_sea_water is None:
        return text + "Pipe the units in parallel."
    more = unit.power / unit.power_with_sea_water - 1.0
    return text + (
        f"It stays {show('rise', unit.cut_out_margin)} below its cut-out, where water from the sea "
        f"would leave {show('rise', unit.margin_with_sea_water)}, and takes {more:.0%} more power. "
        "Pipe the units in parallel."
    )


def _swallowed(found: tuple[Recirculation, ...], show: Show) -> str:
    first, some = found[0], found[2]
    text = (
        f"if {percent(some.share)} of the intake's water were discharge it would be "
        f"{show('rise', some.intake_warmer)} warmer"
    )
    if first.cut_out_margin is None:
        return f"{first.unit} does not cool even with clean sea water; more warmth is no question"
    if some.cut_out_margin is None:
        return f"{text}, and {some.unit} would not run"
    return (
        f"{text}, and {some.unit} {show('rise', some.cut_out_margin)} below its cut-out in place "
        f"of {show('rise', first.cut_out_margin)}"
    )


def _details(loop: LoopBalance, title: str, show: Show) -> Iterator[str]:
    if len(loop.states) > 1:
        yield heading(f"Flow of each branch, and with one branch shut{title}")
        yield _state_table(loop, show)
        yield bullet(
            "Switching a unit off changes none of these flows: its coil goes on taking water. Only "
            "shutting its branch gives its water to the others."
        )
    if loop.setting is not None:
        yield heading(f"Balancing valves{title}")
        yield from _setting_lines(loop.setting, show)
    if loop.trunk is not None and loop.trunk.tried and _short(loop):
        yield heading(f"Wider shared hoses, no valve touched{title}")
        yield _trunk_table(loop.trunk, show)
    yield heading(f"Outlets and intakes{title}")
    for item in loop.discharges:
        away = "" if item.distance is None else f"{show('length', item.distance)}, "
        yield bullet(f"{item.outlet} to {item.intake}: {away}{show.sentence(item.words)}")
    yield "  What discharge in the intake's water costs, all units on:"
    yield _warm_table(loop.recirculation, show)


def _state_table(loop: LoopBalance, show: Show) -> str:
    names = [item.branch for item in loop.states[0].branches]
    rows = [("need", "-", "-", *(show.number("flow", x.need) for x in loop.states[0].branches))]
    for state in loop.states:
        found = {item.branch: item for item in state.branches}
        cells = []
        for name in names:
            item = found.get(name)
            if item is None:
                cells.append("shut")
                continue
            gained = f", {item.gained:+.0%}" if state.shut else ""
            cells.append(f"{show.number('flow', item.flow)} ({_margin(item.margin)}{gained})")
        label = f"{state.shut} shut" if state.shut else "all open"
        rows.append(
            (label, show.number("flow", state.flow), show.number("power", state.power), *cells)
        )
    head = ("", f"pump {show.unit('flow')}", show.unit("power"), *names)
    return table(head, rows, right=range(1, len(head))) + (
        "\n    In brackets: over need; with a branch shut also what that gives over all open."
    )


def _setting_lines(setting: Setting, show: Show) -> Iterator[str]:
    rows = []
    for row in setting.branches:
        throttle = row.extra_loss > 0.0
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
            )
        )
    head = ("branch", "valve in", "extra K", "on bore", "takes", "turns open", "gets", "over need")
    yield table(head, rows, right=(2, 3, 4, 5, 6, 7))
    for row in setting.branches:
        if row.note:
            yield bullet(f"{row.hose}: {show.sentence(row.note)}.")
    yield bullet(
        "K is on the velocity in that hose, on top of the branch with its valve wide open. No "
        "other setting gives the poorest branch more. Without a valve's curve, close it until "
        "its stream over the side shows this flow, bucket and watch in hand, and go round twice: "
        "each valve moves the others."
    )
    yield bullet(
        f"The pump then gives {show('flow', setting.flow)} at {show('power', setting.power)}. "
        + _dirty(setting, show)
    )


def _dirty(setting: Setting, show: Show) -> str:
    if not setting.dirty_words:
        return ""
    where = show.sentence(setting.dirty_words)
    if setting.dirty_margin < 0.0:
        return (
            f"When dirty it is not enough: {where}, is {_margin(setting.dirty_margin)} against the "
            "least it must keep."
        )
    return (
        f"When dirty all keep what they must: the least is {where}, "
        f"{_margin(setting.dirty_margin)} over it."
    )


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
