"""A typical case as the text of a file: what was said, and what is typical, told apart."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from seaflow.base.shipped import schema_line
from seaflow.base.tables import read_table
from seaflow.forms.starter import remark, value_text
from seaflow.forms.typical.asked_pump import asked_rows
from seaflow.forms.typical.build import raw_case
from seaflow.forms.typical.facts import BatteryFacts, Facts, LossFacts
from seaflow.forms.typical.figure import Usual, said
from seaflow.forms.typical.hull import hull_of


def case_of(facts: Facts, raw: Mapping[str, Any] | None = None) -> str:
    """Return a whole case file from a few facts; the ordinary reader reads it.

    `raw` is the case as TOML data where more than the facts is known.

    Raises
    ------
    KeyError
        If no layout bears the kind of boat.
    """
    hull = hull_of(facts)
    told = ", ".join(spoken(facts)) or "nothing"
    head = read_table("starter.toml")["typical_head"].format(
        kind=hull.kind, length=hull.length.value, said=told
    )
    lines = [schema_line("case"), *remark(head), ""]
    for table, content in (raw_case(facts) if raw is None else raw).items():
        if isinstance(content, Mapping):
            lines += [f"[{table}]", *_keys(content), ""]
        elif isinstance(content, list):
            for row in content:
                lines += [f"[[{table}]]", *_keys(row), ""]
        else:
            lines += [f"{table} = {content}", ""]
    return "\n".join(lines)


def sheet_text(facts: Facts) -> str:
    """Return the file of parts with the pump that was told of by its figures; empty without one."""
    if facts.pump is None or facts.pump.fitted is not None:
        return ""
    lines = [
        schema_line("parts"),
        "# The pump asked about, by the figures that were told.",
    ]
    return "\n".join([*lines, "schema = 1", "", "[[pump]]", *_keys(asked_rows(facts)), ""])


def _keys(row: Mapping[str, Any]) -> Iterator[str]:
    for key, value in row.items():
        mark = "  # typical" if isinstance(value, Usual) else ""
        yield f"{key} = {value_text(value)}{mark}"


def spoken(facts: Facts) -> Iterator[str]:
    """Yield what was said, each fact in a few words."""
    if facts.boat is not None:
        yield f"{facts.boat.kind}, {said(facts.boat.length, 'm')}"
        if facts.boat.beam is not None:
            yield f"beam {said(facts.boat.beam, 'm')}"
        if facts.boat.built is not None:
            yield f"built {facts.boat.built}"
    for unit in facts.units:
        yield " ".join((f"unit {said(unit.cooling, 'W')}", *_coil(unit.losses)))
    if facts.supply is not None:
        frequency = facts.supply.frequency
        hertz = "" if frequency is None else f" {said(frequency, 'Hz')}"
        yield f"supply {said(facts.supply.voltage, 'V')} {facts.supply.current.upper()}{hertz}"
    if facts.unit_supply is not None:
        volts = said(facts.unit_supply.voltage, "V")
        yield f"units on {volts} {facts.unit_supply.current.upper()}"
    if facts.sea is not None:
        warmest = "" if facts.sea.warmest is None else said(facts.sea.warmest, "degC")
        yield f"sea {', '.join(word for word in (facts.sea.place, warmest) if word)}"
    yield from _bank(facts.battery)
    if facts.pump is not None:
        yield "the pump"


def _coil(losses: tuple[LossFacts, ...]) -> Iterator[str]:
    for loss in losses:
        flow, lost = loss.typed
        yield f"that loses {lost} at {flow}"


def _bank(battery: BatteryFacts | None) -> Iterator[str]:
    if battery is not None:
        charge, energy, volts = battery.charge, battery.energy, battery.voltage
        held = said(charge, "A s") if charge is not None else said(energy or 0.0, "J")
        yield f"battery {held}" + ("" if volts is None else f" {said(volts, 'V')}")
