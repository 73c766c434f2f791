"""The pump that was said: a row of the table, a sheet, or its figures; and its sheet from these."""

from __future__ import annotations

import re
from shlex import quote

from seaflow.base.problems import SeaflowError
from seaflow.base.tables import read_table
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.parts.own_parts import load_parts, names_a_file
from seaflow.boat.parts.part import NoSuchPart
from seaflow.boat.parts.sheets import PumpSheet
from seaflow.boat.reader.heads import FRESH_DENSITY
from seaflow.forms.typical.facts import PumpFacts, SupplyFacts
from seaflow.forms.typical.measures import Measure, Scanned
from seaflow.forms.typical.told import Text, is_near, words_of
from seaflow.physics.hull.openings import head_of_pressure

SAME_VOLTS = 0.15  # between names of one supply, such as 115 V and 120 V
_UNITS = ("m3/s", "m", "Pa", "W", "A")
_SUPPLY = re.compile(
    r"[,;]?\s*\b\d{2,3}(?:\.\d)?\s*V(?:\s*(?:AC|DC))?\b(?:[\s,/]*\d{2}\s*Hz\b)?", re.I
)
_AT = re.compile(r"\s*,?\s*(?:at|@|against|against a)(?: a)?(?: head of| lift of)?\s*", re.I)
_TOP = r"shut[- ]?off|dead[- ]?head|max(?:imum)? (?:head|lift)|top|shut[- ]?off head|max head"
_OPEN = r"open|open[- ]flow|free[- ]flow|free|max(?:imum)? flow|no head"


def read_pump(
    told: Text, catalogue: Catalogue, supply: SupplyFacts | None = None
) -> tuple[PumpFacts | None, Catalogue]:
    """Return the pump that was said, and the parts with its sheet if that is a file.

    Of several curves in one file that of the `supply` is taken.
    """
    try:
        return PumpFacts(fitted=catalogue.meant("pumps", told.text)), catalogue
    except NoSuchPart as missing:
        near = missing.near
    if names_a_file(told.text):
        return _of_a_file(told, catalogue, supply)
    found = told.scan(_SUPPLY.sub("", told.text), _UNITS)
    if not found.measures:
        shown = f"Near it: {', '.join(near)}. " if near else ""
        forms = read_table("said.toml")["forms"]["pump"]
        told.wrong("no such pump, and no figure of one", write=f"{shown}Write for example {forms}.")
        return None, catalogue
    return _of_figures(told, found), catalogue


def volts_said(told: Text) -> Text | None:
    """Return what is said of the supply beside the figures of a pump, or None."""
    found = _SUPPLY.search(told.text)
    return None if found is None else Text("supply", found[0].strip(" ,;"))


def _of_a_file(
    told: Text, catalogue: Catalogue, supply: SupplyFacts | None
) -> tuple[PumpFacts | None, Catalogue]:
    try:
        loaded = load_parts((told.text,)).catalogue.own
    except SeaflowError as error:
        told.problems.extend(error.problems)
        return None, catalogue
    sheets = [sheet for sheet in loaded if isinstance(sheet, PumpSheet)]
    mine = [sheet for sheet in sheets if supply is not None and _runs_on(sheet, supply)]
    pumps = [sheet.name for sheet in (mine if len(mine) == 1 else sheets)]
    if len(pumps) != 1:
        write = (
            f"Write --parts {quote(told.text)} --pump and one of: {', '.join(map(quote, pumps))}."
            if pumps
            else ""
        )
        told.wrong(f"the file holds {len(pumps) or 'no'} pumps", "One is asked about.", write)
        return None, catalogue
    return PumpFacts(fitted=pumps[0]), Catalogue((*loaded, *catalogue.own))


def _runs_on(sheet: PumpSheet, supply: SupplyFacts) -> bool:
    """Return whether the curve of a sheet holds on a supply: current, volts and hertz."""
    alike = sheet.supply == supply.current and sheet.voltage is not None
    alike = alike and abs((sheet.voltage or 0.0) / supply.voltage - 1.0) <= SAME_VOLTS
    hertz = (sheet.frequency, supply.frequency)
    return alike and (None in hertz or hertz[0] == hertz[1])


def _of_figures(told: Text, found: Scanned) -> PumpFacts | None:
    table = read_table("said.toml")["passed_over"]
    passed = (*table["words"], *table["pump"])
    told.unknown(word for word in words_of(found.words) if word not in passed)
    for number in found.bare:
        told.wrong(f"{number} has no unit")
    points, rest = _points(found)
    tops = [head for one in rest if (head := _head(one)) is not None]
    opens = [one.value for one in rest if one.unit == "m3/s"]
    tops += [head for flow, head in points if flow == 0.0]
    opens += [flow for flow, head in points if head == 0.0 and flow > 0.0]
    points = [(flow, head) for flow, head in points if flow > 0.0 and head > 0.0]
    _ends_the_right_way(told, rest)
    for one in found.measures:
        if one.value < 0.0 or (one.value == 0.0 and one in rest):
            told.wrong(f"{one.text} is no figure of a pump: it gives more than nothing")
    powers, amps = ([one.value for one in found.of(unit)] for unit in ("W", "A"))
    if max(len(tops), len(opens), len(powers), len(amps)) > 1:
        told.wrong("it gives more than one figure of a kind", "Two figures are one curve or none.")
    if not points and not (tops and opens):
        end = (
            "the head at no flow" if opens else "the flow with the hose open" if tops else "a curve"
        )
        told.wrong(f"{end} is missing")
    top, most, power, current = ([*some, None][0] for some in (tops, opens, powers, amps))
    return PumpFacts(top, most, power, tuple(points), current=current)


def _ends_the_right_way(told: Text, rest: list[Measure]) -> None:
    """Take down a flow that is called a head, and a head that is called a flow."""
    for one in rest:
        if one.unit == "m3/s" and is_near(one, _TOP):
            told.wrong(f"{one.text} is a flow; a pump that is shut off gives a head")
        elif _head(one) is not None and is_near(one, _OPEN):
            told.wrong(f"{one.text} is no flow; an open pump gives a flow")


def _points(found: Scanned) -> tuple[list[tuple[float, float]], list[Measure]]:
    """Return pairs such as "12 L/min at 3 m", and the figures that belong to none."""
    points, rest = [], []
    left = list(found.measures)
    while left:
        first, *others = left
        second = others[0] if others and _AT.fullmatch(first.after) else None
        pair = {one.unit: one for one in (first, second) if one is not None}
        head = next((_head(one) for one in pair.values() if _head(one) is not None), None)
        if second is not None and "m3/s" in pair and head is not None:
            points.append((pair["m3/s"].value, head))
            left = others[1:]
        else:
            rest.append(first)
            left = others
    return points, rest


def _head(measure: Measure) -> float | None:
    """Return a head, or the head of a pressure [m]; None of anything else."""
    if measure.unit == "Pa":
        return float(head_of_pressure(measure.value, FRESH_DENSITY))
    return measure.value if measure.unit == "m" else None
