"""The boat that a few words tell of: a whole case as the ordinary reader has it, without a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.tables import read_table
from seaflow.base.units import factor_and_offset, read_quantity
from seaflow.boat.defaults import default
from seaflow.boat.load import Loaded, load_written
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.parts.read_sheet import read_sheet
from seaflow.boat.parts.sheet_sense import check_sheet
from seaflow.boat.parts.sheets import PumpSheet
from seaflow.boat.reader.text import CaseText
from seaflow.forms.typical.build import ASKED, usual_cooling
from seaflow.forms.typical.facts import Facts, PumpFacts, SupplyFacts
from seaflow.forms.typical.figure import said as written
from seaflow.forms.typical.hull import hull_of
from seaflow.forms.typical.said import said
from seaflow.forms.typical.text import case_of

NO_FILE = "the typical boat"  # in place of the name of a file
FAR = 3.0  # times the usual cooling, or a part of it, where a plate and a boat are hard to believe
WIDE = 0.4  # of the usual beam, either way; our assumption, for such boats spread 12 %
AT = 0.6  # share of free flow at which pumps are rated; our assumption, known within
UNSURE = "25 %"  # either way, of a curve through one point


@dataclass(frozen=True, slots=True)
class Spoken:
    """A boat from a few words: the facts, the text of its case, and the case itself."""

    facts: Facts
    text: str
    loaded: Loaded


def spoken_boat(
    texts: Mapping[str, str | Sequence[str] | None], catalogue: Catalogue | None = None
) -> Spoken:
    """Return the typical boat of what was said, by option: "boat", "unit", "supply", "sea", "pump".

    Raises
    ------
    SeaflowError
        With everything that was not understood, and the forms that are.
    """
    told = said(texts, catalogue or Catalogue())
    known = told.catalogue
    if told.facts.pump is not None and told.facts.pump.fitted is None:
        known = Catalogue((asked_sheet(told.facts), *known.own))
    text = case_of(told.facts)
    loaded = load_written(NO_FILE, text, known)
    questions = tuple(_questions(told.facts))
    return Spoken(told.facts, text, replace(loaded, warnings=(*questions, *loaded.warnings)))


def asked_sheet(facts: Facts) -> PumpSheet:
    """Return the sheet of the pump that was told of by its figures.

    Raises
    ------
    SeaflowError
        If they make no curve.
    """
    sheet, problems = read_sheet(PumpSheet, asked_rows(facts), "")
    problems += check_sheet(sheet, CaseText(""))
    wrong = [problem for problem in problems if not problem.warning]
    if wrong:
        raise SeaflowError(wrong)
    return sheet


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


def _questions(facts: Facts) -> Iterator[Problem]:
    """Yield what is hard to believe together; it is used as it was said."""
    hull = hull_of(facts)
    cold = sum(unit.cooling for unit in facts.units)
    usual = usual_cooling(hull)
    if facts.boat is not None and cold and not usual / FAR <= cold <= usual * FAR:
        factor, _ = factor_and_offset("W", "BTU/h")
        much = "much" if cold > usual else "little"
        yield _question(
            f"{factor * cold:,.0f} BTU/h is {much} for a {hull.kind} of {hull.length.value:.3g} m: "
            f"such boats are cooled with about {factor * usual:,.0f} BTU/h",
            "Look at the plates of the units, and whether all were named.",
        )
    beam = facts.boat.beam if facts.boat else None
    plain = hull_of(replace(facts, boat=replace(facts.boat, beam=None))) if facts.boat else hull
    if beam is not None and abs(beam / plain.beam.value - 1.0) > WIDE:
        yield _question(
            f"a beam of {beam:.3g} m is unusual for a {hull.kind} of {hull.length.value:.3g} m: "
            f"such boats have about {plain.beam.value:.2g} m",
            "Look at the length, the beam and their units.",
        )


def _question(what: str, write: str) -> Problem:
    why = "What was said is used as it stands; one of the two may be a slip."
    return Problem("Q03", what, why=why, write=write, warning=True)
