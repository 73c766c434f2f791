"""The owner's part of a page alone: of one boat, or of any whose unit is of a usual size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from seaflow.base.facts import fact
from seaflow.boat.case import Case
from seaflow.present.page.both import AMERICAN, said, told
from seaflow.present.page.dock import dock_sheet
from seaflow.present.page.html import filled
from seaflow.studies.diagnose.drawn import PackedBoats
from seaflow.studies.page.any_boat import AnyBoat


def owner_html(case: Case, boats: Sequence[PackedBoats], system: str) -> str:
    """Return the owner's part of a page alone."""
    dock, packed = dock_sheet(case.boat.name, boats)
    invented = any(boats_.setup.part.invented for boats_ in boats)
    title = said(fact("dock.title", boat=case.boat.name))
    more = {"title": title, "invented": invented, "boats": packed}
    return filled(case.boat.name, [replace(dock, starts=False)], system, more)


def any_boat_html(sizes: Sequence[AnyBoat], system: str) -> str:
    """Return the owner's part of a page for boats of which only the size of the unit is known."""
    plates = [round(AMERICAN.value("heat", one.cooling)) for one in sizes]
    labels = [
        told(fact("dock.size_of_unit", plate=plate, kilowatts=one.cooling / 1000.0))
        for plate, one in zip(plates, sizes, strict=True)
    ]
    name = told(fact("dock.any_boat", low=min(plates), high=max(plates))).metric
    dock, packed = dock_sheet(name, [one.boats for one in sizes], labels)
    title, made = (told(fact(kind)) for kind in ("dock.any_title", "dock.any_made"))
    more = {"title": title, "invented": False, "boats": packed, "made": made}
    return filled(name, [replace(dock, starts=False)], system, more)
