"""Spreads of uncertain inputs: what stands behind +/- in a case or a sheet, else one table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.parts.sheets import Sheet
from seaflow.boat.reader.text import Path
from seaflow.boat.seas import SeaOfPlace, below_warmest, sea_at
from seaflow.boat.tables.things import Hose, Strainer, Unit
from seaflow.model.build import Built

Shares = Mapping[str, float | None]  # by name of the thing; None where nothing is given

# Spreads of what nobody gave.
ASSUMED = (
    *("coil_generic", "conductance_generic", "plate_heat_generic", "coil_exponent"),
    *("pump_exponent", "cut_out", "hose_kind", "season_assumed"),
    *("priming_lift", "priming_air_share", "priming_time"),
)
GIVEN = fact("design.given_half_width")
TYPICAL, BY_ITSELF = "typical", "by itself"  # spreads of one value of the case


@dataclass(frozen=True, slots=True)
class Spread:
    """How far one input may lie from the value used.

    `shape` is "factor" (multiplies, most likely 1, triangular in logarithms), "offset" (adds,
    triangular about 0), "up to" (uniform from nothing to `high` times the value), "blend" (uniform
    from `low` to `high`), "even" (adds, uniform) or "range" (the input knows its own range).
    """

    name: str
    shape: str
    low: float
    high: float
    meaning: str
    source: str | Fact
    measure: str
    unit: str

    @property
    def assumed(self) -> bool:
        """Whether it stands in for a value that the case leaves open."""
        return self.name in ASSUMED

    @property
    def varies(self) -> bool:
        """Whether it differs from day to day, so that no look settles it."""
        return self.shape == "up to" or self.name in ("voltage", "season")

    def at(self, share: Array) -> Array:
        """Return the values at these shares of the distribution, each from 0 to 1."""
        if self.shape == "factor":
            return np.exp(triangular(share, np.log(self.low), 0.0, np.log(self.high)))
        if self.shape == "offset":
            return triangular(share, self.low, 0.0, self.high)
        return self.low + (self.high - self.low) * share


def triangular(share: Array, low: float, mode: float, high: float) -> Array:
    """Return the quantiles of a triangular distribution."""
    if high <= low:
        return np.full_like(share, low)
    knee = (mode - low) / (high - low)
    left = low + np.sqrt(np.maximum(share * (high - low) * (mode - low), 0.0))
    right = high - np.sqrt(np.maximum((1.0 - share) * (high - low) * (high - mode), 0.0))
    return np.where(share < knee, left, right)


def spread(name: str) -> Spread:
    """Return the default spread of an input.

    Raises
    ------
    KeyError
        If the table has no such row.
    """
    row = read_table("spreads.toml")[name]
    return Spread(
        name=name,
        shape=row["shape"],
        low=float(row.get("low", 0.0)),
        high=float(row.get("high", 1.0)),
        meaning=row["meaning"],
        source=row["source"],
        measure=row["measure"],
        unit=row.get("unit", "-") if row["shape"] == "offset" else "-",
    )


def half_width(case: Case, path: Path) -> float | None:
    """Return the half width given with a value that was looked at; a typical one has none.

    What stays unsure of any value that is looked up stays so of a typical one, beside its spread.
    """
    return None if path in case.typical else case.spreads.get(path)


def given(default: Spread, half_width: float | None, value: float | None = None) -> Spread:
    """Return the spread that is given as plus or minus `half_width`, else the default.

    For a "factor" the half width is turned into a share of `value`.
    """
    if half_width is None:
        return default
    if default.shape == "factor":
        share = half_width / value if value else 0.0
        low, high = max(1.0 - share, 0.01), 1.0 + share
    else:
        low, high = -half_width, half_width
    return replace(default, low=low, high=high, source=GIVEN)


@dataclass(frozen=True, slots=True)
class Season:
    """The sea temperatures of the season as quantiles."""

    source: Fact
    shares: tuple[float, ...] = measured("-")
    temperatures: tuple[float, ...] = measured("degC")

    def at(self, share: Array) -> Array:
        """Return the sea temperature at these shares of the season."""
        return np.interp(share, self.shares, self.temperatures)


def season(case: Case) -> Season:
    """Return the season of a case: its months, or coldest, typical and warmest sea, or a preset."""
    sea = case.sea
    place = _place_of_months(case)
    warm = season_of_months(case)
    if warm:
        if place is not None:  # as warm or cold as the harbour is beside its place, all the year
            warm = [month + sea.warmest - place.warmest for month in warm]
        middles = [(number + 0.5) / len(warm) for number in range(len(warm))]
        shares = (0.0, *middles, 1.0)
        temperatures = (warm[0], *warm, max(warm[-1], sea.warmest))
        source = fact("design.season_of_months")
        if place is not None:
            source = fact("design.season_of_place", place=place.name)
        return Season(source, shares, temperatures)
    typical, source = sea.typical, fact("design.season_of_three")
    if typical is None:
        usual = default("sea.below_warmest")
        below = below_warmest(sea.season) if sea.season else usual.value
        typical = max(sea.warmest - below, sea.coldest)
        source = fact("design.no_season", below=amount("rise", below), source=usual.source)
        if sea.season is not None:
            source = fact("design.season_by_name", season=sea.season, below=amount("rise", below))
    steps = np.linspace(0.0, 1.0, 101)
    levels = triangular(steps, sea.coldest, typical, sea.warmest)
    return Season(source, tuple(steps.tolist()), tuple(levels.tolist()))


def _place_of_months(case: Case) -> SeaOfPlace | None:
    """Return the place whose warmest sea and months stand in for what the case leaves open."""
    filled = {item.meaning for item in case.assumptions if item.subject == "the sea"}
    if case.sea.place is None or not {"warmest", "months"} <= filled:
        return None
    return sea_at(case.sea.place)


def other_seasons(case: Case, about: Spread) -> tuple[Season, ...]:
    """Return the season with a typical sea at either end; none where the case tells the season."""
    sea = case.sea
    if sea.typical is not None or sea.season is not None or season_of_months(case):
        return ()
    usual = sea.warmest - default("sea.below_warmest").value
    typical = (max(usual + end, sea.coldest) for end in (about.low, about.high))
    return tuple(season(replace(case, sea=replace(sea, typical=one))) for one in typical)


def season_of_months(case: Case) -> list[float]:
    """Return the months in which cooling runs, coldest first [degC]."""
    return sorted(value for value in case.sea.months if value >= case.sea.coldest)


def coil_loss_share(case: Case, unit: Unit) -> float | None:
    """Return how sure the last loss point of a unit is, given as head or as pressure."""
    if not unit.water_loss:
        return None
    last = unit.water_loss[-1]
    path = ("unit", unit.row, "water_loss", len(unit.water_loss) - 1)
    for name, value in (("head", last.head), ("pressure", last.pressure)):
        if value is not None:
            return _share(half_width(case, (*path, name)), value)
    return None


def hose_shares(case: Case, built: Built, key: str) -> Shares:
    """Return how sure a key of each hose is; its kind's sheet may tell the roughness."""
    return {hose.label: _of_hose(case, hose, key) for hose in built.network.hoses}


def strainer_shares(case: Case, built: Built) -> Shares:
    """Return how sure the clean loss of each strainer is."""
    things = built.network.things.values()
    return {
        thing.name: _of_strainer(case, thing) for thing in things if isinstance(thing, Strainer)
    }


def pump_share(built: Built, figure: str) -> float | None:
    """Return how sure "head" or "flow" of the pumps is: that of the least sure that tells."""
    told = [getattr(part, f"{figure}_spread") for part in built.pumps.values()]
    return max((share for share in told if share is not None), default=None)


def _of_hose(case: Case, hose: Hose, key: str) -> float | None:
    value: float | None = getattr(hose, key)
    if value is not None:
        return _share(half_width(case, ("hose", hose.row, key)), value)
    return _of_sheet(case.catalogue.sheet("hoses", hose.kind), (key,))


def _of_strainer(case: Case, strainer: Strainer) -> float | None:
    if strainer.clean_loss is not None:
        path = ("strainer", strainer.row, "clean_loss")
        return _share(half_width(case, path), strainer.clean_loss)
    if strainer.model is None:
        return None
    sheet = case.catalogue.strainer(strainer.model)
    if sheet.clean_loss is not None:
        return _of_sheet(sheet, ("clean_loss",))
    # the coefficient goes with the drop and with one over the square of the flow
    drop = [_of_sheet(sheet, ("clean_drop", name)) for name in ("head", "pressure", "at", "at")]
    told = [share for share in drop if share is not None]
    return sum(told) if told else None


def _of_sheet(sheet: Sheet, path: Path) -> float | None:
    value = sheet.value_at(path)
    return None if value is None else _share(sheet.spreads.get(path), value)


def _share(half_width: float | None, value: float) -> float | None:
    return None if half_width is None or not value else abs(half_width / value)


def kind_is_assumed(case: Case, hose: Hose) -> bool:
    """Return whether the kind of a hose stands in for one that the case leaves open."""
    meaning = default("hose.kind").meaning
    names = (hose.name,) if hose.name else (hose.from_, hose.to)
    return any(
        item.meaning == meaning and all(f'"{name}"' in item.subject for name in names)
        for item in case.assumptions
    )


def lift_is_assumed(part: PumpPart) -> bool:
    """Return whether the height from which a pump primes itself stands in for one not given."""
    meaning = default("pump.priming_lift").meaning
    return part.self_priming and any(item.meaning == meaning for item in part.assumptions)
