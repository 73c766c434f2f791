"""The sheet of a pump that was told of by its figures."""

from __future__ import annotations

from typing import Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.tables import read_table
from seaflow.base.units import factor_and_offset, read_quantity
from seaflow.boat.defaults import default
from seaflow.boat.parts.read_sheet import read_sheet
from seaflow.boat.parts.sheet_sense import check_sheet
from seaflow.boat.parts.sheets import PumpSheet
from seaflow.boat.reader.text import CaseText
from seaflow.forms.typical.build import ASKED
from seaflow.forms.typical.facts import Facts, PumpFacts, SupplyFacts
from seaflow.forms.typical.figure import said as written

AT = 0.6  # share of free flow at which pumps are rated; our assumption
UNSURE = "25 %"  # either way, of a curve through one point; our assumption


def asked_sheet(facts: Facts) -> tuple[PumpSheet, tuple[Problem, ...]]:
    """Return the sheet of the pump that was told of by its figures, and questions about these.

    Raises
    ------
    SeaflowError
        If they make no curve.
    """
    sheet, problems = read_sheet(PumpSheet, asked_rows(facts), "", ("pump",), CaseText(""))
    questions = tuple(problem for problem in problems if problem.warning)
    if len(questions) == len(problems):
        problems = list(check_sheet(sheet, CaseText("")))
    wrong = [problem for problem in problems if not problem.warning]
    if wrong:
        raise SeaflowError(wrong)
    return sheet, questions


def asked_rows(facts: Facts) -> dict[str, Any]:
    """Return the pump that was told of as the rows of a parts file.

    Raises
    ------
    ValueError
        If no pump was told of by figures.
    """
    if facts.pump is None:
        raise ValueError("no pump was told of")
    supply = facts.supply or _usual_supply()
    rows: dict[str, Any] = {"name": ASKED, "source": "figures that were told"}
    rows |= {"supply": supply.current, "voltage": written(supply.voltage, "V")}
    if supply.frequency is not None:
        rows["frequency"] = written(supply.frequency, "Hz")
    rows |= _curve(facts.pump)
    if facts.pump.power is not None:
        rows["power"] = f"{facts.pump.power:.6g} W"
    elif facts.pump.current is not None:  # watts by the volts, and of mains by a usual factor
        rows["current"] = f"{facts.pump.current:.6g} A"
    return rows


def _usual_supply() -> SupplyFacts:
    usual = read_table("typical/trade.toml")["supply"]
    frequency = read_quantity(usual["frequency"], "Hz")
    return SupplyFacts(usual["current"], read_quantity(usual["voltage"], "V"), frequency)


def _curve(pump: PumpFacts) -> dict[str, Any]:
    """Return the curve as its points, or as two ends; from one point both ends are a guess."""
    points = [*pump.points]
    if pump.shut_off_head is not None:
        points.append((0.0, pump.shut_off_head))
    if pump.open_flow is not None:
        points.append((pump.open_flow, 0.0))
    if len(points) > 2 or (len(points) == 2 and len(pump.points) == 2):
        rows = [{"flow": _flow(flow), "head": f"{head:.6g} m"} for flow, head in sorted(points)]
        return {"points": rows}
    exponent = default("pump.exponent").value
    top, most, unsure = pump.shut_off_head, pump.open_flow, ""
    if pump.points:
        ((flow, head),) = pump.points
        if top is None and most is None:
            top, most, unsure = head / (1.0 - AT**exponent), flow / AT, f" +/- {UNSURE}"
        elif top is None and most is not None and flow < most:
            top = head / (1.0 - (flow / most) ** exponent)
        elif most is None and top is not None and head < top:
            most = flow / (1.0 - head / top) ** (1.0 / exponent)
    if top is None or most is None:
        rows = [{"flow": _flow(flow), "head": f"{head:.6g} m"} for flow, head in sorted(points)]
        return {"points": rows}
    return {"shut_off_head": f"{top:.6g} m{unsure}", "free_flow": f"{_flow(most)}{unsure}"}


def _flow(flow: float) -> str:
    factor, _ = factor_and_offset("m3/s", "L/min")
    return f"{factor * flow:.6g} L/min"
