"""What stands behind +/- in a case or in the sheet of a part, as a share of the value."""

from __future__ import annotations

from collections.abc import Mapping

from seaflow.boat.case import Case
from seaflow.boat.parts.sheets import Sheet
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.things import Hose, Strainer, Unit
from seaflow.model.build import Built

Shares = Mapping[str, float | None]  # by name of the thing; None where nothing is given


def coil_loss_share(case: Case, unit: Unit) -> float | None:
    """Return how sure the last loss point of a unit is, given as head or as pressure."""
    if not unit.water_loss:
        return None
    last = unit.water_loss[-1]
    path = ("unit", unit.row, "water_loss", len(unit.water_loss) - 1)
    for name, value in (("head", last.head), ("pressure", last.pressure)):
        if value is not None:
            return _share(case.spreads.get((*path, name)), value)
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
        return _share(case.spreads.get(("hose", hose.row, key)), value)
    return _of_sheet(case.catalogue.sheet("hoses", hose.kind), (key,))


def _of_strainer(case: Case, strainer: Strainer) -> float | None:
    if strainer.clean_loss is not None:
        path = ("strainer", strainer.row, "clean_loss")
        return _share(case.spreads.get(path), strainer.clean_loss)
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
