"""Which things and keys a checklist may answer, and laying values over the things of a case."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

from seaflow.boat.case import Boat, Case, Design
from seaflow.boat.keys import keys_of
from seaflow.boat.tables.recorded_hull import Manifold, SkinFitting
from seaflow.boat.tables.recorded_machines import BilgePump, BoatSeen
from seaflow.boat.tables.recorded_record import Record
from seaflow.boat.tables.things import (
    Hose,
    Intake,
    Outlet,
    Place,
    Pump,
    Seacock,
    Strainer,
    Unit,
)

KINDS: dict[str, type] = {
    "intake": Intake,
    "seacock": Seacock,
    "strainer": Strainer,
    "pump": Pump,
    "unit": Unit,
    "outlet": Outlet,
    "hose": Hose,
    "manifold": Manifold,
    "skin_fitting": SkinFitting,
}
PLACE = ("aft", "starboard", "height")
SEEN: dict[str, type] = {
    table: key.of
    for table, kind in KINDS.items()
    for _, name, key in keys_of(kind)
    if name == "seen" and key.of is not None
}
SEEN |= {table: SEEN["intake"] for table in ("through_hull", "sea_chest")}


def record_of(table: str, key: str) -> type | None:
    """Return the record that declares a key of a checklist, or None where none does."""
    kinds: tuple[type | None, ...] = (BoatSeen, Boat, Design)
    if table in KINDS:
        kinds = (SEEN.get(table), Place if key in PLACE else None, KINDS[table])
    elif table in ("record", "bilge_pump"):
        kinds = (Record if table == "record" else BilgePump,)
    for kind in kinds:
        if kind is not None and any(spelled == key for _, spelled, _ in keys_of(kind)):
            return kind
    return None


def things_of(case: Case, table: str) -> tuple[Any, ...]:
    """Return the things of a table of a checklist."""
    return case.intakes if table == "intake" else tuple(getattr(case, table))


def name_of_thing(thing: Any) -> str:
    """Return the name by which a checklist knows a thing."""
    return str(thing.label if isinstance(thing, Hose) else thing.name)


def with_things(case: Case, table: str, values: Mapping[str, dict[str, Any]]) -> Case:
    """Return a case with values laid over the things of a table, by their names."""
    if not values:
        return case
    changed: dict[str, Any] = {}
    for name in ("through_hull", "sea_chest") if table == "intake" else (table,):
        changed[name] = tuple(
            _with(thing, table, values.get(name_of_thing(thing), {}))
            for thing in getattr(case, name)
        )
    return dataclasses.replace(case, **changed)


def _with(thing: Any, table: str, values: Mapping[str, Any]) -> Any:
    """Return a thing with answers laid over it."""
    if not values:
        return thing
    seen: dict[str, Any] = {}
    place: dict[str, Any] = {}
    own: dict[str, Any] = {}
    for key, value in values.items():
        record = record_of(table, key)
        target = place if record is Place else own if record is KINDS[table] else seen
        target[key] = value
    if seen:
        own["seen"] = dataclasses.replace(thing.seen or SEEN[table](), **seen)
    if place:
        own["at"] = dataclasses.replace(thing.at or Place(height=thing.height), **place)
    return dataclasses.replace(thing, **own)
