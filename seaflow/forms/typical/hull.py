"""The hull of a typical boat: its measures by kind, length and year, and heights in them."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from seaflow.base.tables import read_folder, read_table
from seaflow.base.units import read_quantity
from seaflow.forms.typical.facts import BoatFacts, Facts
from seaflow.forms.typical.figure import Figure

_TERM = re.compile(r"([+-]?)\s*([\d.]*)\s*([a-z]+)\s*")
_USUAL_AGE = 1980  # an age nobody told: the boats between the old and the new


@dataclass(frozen=True, slots=True)
class Hull:
    """The measures of a hull, each with how far such boats differ.

    `row` is its layout, `shape` the curves of its family.
    """

    kind: str
    row: Mapping[str, Any]
    length: Figure
    beam: Figure
    waterline: Figure
    freeboard: Figure
    depth: Figure
    shape: Mapping[str, Any]

    def level(self, text: str) -> float:
        """Return a height over the water [m] from terms such as "sole + 0.15 m"."""
        total = 0.0
        for sign, number, name in _TERM.findall(text):
            size = float(number) if number else 1.0
            total += (-size if sign == "-" else size) * self._measure(name)
        return total

    def _measure(self, name: str) -> float:
        if name == "m":
            return 1.0
        if name in ("depth", "freeboard"):
            measure: Figure = getattr(self, name)
            return measure.value
        return self.level(self.row["levels"][name])

    def spot(
        self, spot: tuple[float, float, str], kind: str = "height"
    ) -> tuple[Figure, Figure, Figure]:
        """Return metres aft, to starboard and up of a place of the layout; see `height`."""
        return self.aft(spot[0]), self.starboard(spot[1]), self.height(spot[2], kind)

    def aft(self, share: float) -> Figure:
        """Return a distance from the stem, a share of the length."""
        half = math.hypot(_spread("aft") * self.length.value, share * (self.length.half or 0.0))
        return Figure(share * self.length.value, half)

    def starboard(self, share: float) -> Figure:
        """Return a distance from the centreline, a share of the beam."""
        return Figure(share * self.beam.value, _spread("starboard") * self.beam.value)

    def height(self, text: str, kind: str = "height") -> Figure:
        """Return a height over the water; `kind` is "suction" for what is led to rise to a pump."""
        value = self.level(text)
        least, share = read_table("typical/trade.toml")["spread"][kind]
        return Figure(value, read_quantity(least, "m") + share * abs(value))


def _spread(name: str) -> float:
    return float(read_table("typical/trade.toml")["spread"][name])


def layouts() -> Mapping[str, Mapping[str, Any]]:
    """Return every layout; one that is `like` another has all of it but what it says itself."""
    rows = read_folder("typical/layouts")
    return {key: rows.get(row.get("like"), {}) | row for key, row in rows.items()}


def kinds() -> tuple[str, ...]:
    """Return every word for a kind of boat that has a layout: families first."""
    rows = layouts()
    return tuple(dict.fromkeys((*(row["family"] for row in rows.values()), *rows)))


def families() -> tuple[str, ...]:
    """Return the kinds of boat that have layouts, whatever their size."""
    rows = layouts()
    return tuple(dict.fromkeys(row["family"] for row in rows.values()))


def hull_of(facts: Facts) -> Hull:
    """Return the hull of the boat that the facts speak of; a usual one where they are silent.

    Raises
    ------
    KeyError
        If no layout bears the kind.
    """
    usual = read_table("typical/trade.toml")["boat"]
    length = read_quantity(usual["length"], "m")
    boat = facts.boat or BoatFacts(usual["kind"], length)
    layout = _layout(boat)
    row = layouts()[layout]
    told = Figure(boat.length, None if facts.boat else _spread("length") * length)
    shape = _shape(row["family"], boat.built)
    a, b = shape["freeboard"]
    return Hull(
        layout,
        row,
        told,
        Figure(boat.beam) if boat.beam else _sized(shape, "beam", told),
        _sized(shape, "waterline", told),
        _about(a * told.value + b, shape["freeboard_spread"], told),
        _about(shape["depth"] * told.value, shape["depth_spread"], told),
        shape,
    )


def _layout(boat: BoatFacts) -> str:
    """Return the layout a kind names, or that of its family for the length."""
    rows = layouts()
    if boat.kind in rows:
        return boat.kind
    family = {key: row for key, row in rows.items() if row["family"] == boat.kind}
    for key, row in family.items():
        if row["lengths"][0] <= boat.length < row["lengths"][1]:
            return key
    raise KeyError(boat.kind)


def _shape(family: str, built: int | None) -> Mapping[str, Any]:
    """Return the row of hulls of a family and a year; the rows stand newest first."""
    year = _USUAL_AGE if built is None else built
    rows = read_table("typical/hulls.toml")["hull"]
    found: Mapping[str, Any] = next(
        row for row in rows if row["family"] == family and row["from"] <= year
    )
    return found


def _sized(shape: Mapping[str, Any], name: str, length: Figure) -> Figure:
    a, b = shape[name]
    return _about(a * length.value**b, shape[f"{name}_spread"], length)


def _about(value: float, spread: float, length: Figure) -> Figure:
    """Return a measure with its spread, wider where the length is not known either."""
    return Figure(value, value * math.hypot(spread, (length.half or 0.0) / length.value))
