"""Whether a case makes sense as a boat: names, ends of hoses, parts and values."""

from __future__ import annotations

import difflib
import math
from collections import Counter
from collections.abc import Callable, Iterator

from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.boat.parts import NoSuchPart, find
from seaflow.boat.things import Hose, Thing, Unit
from seaflow.physics.refrigerant import find as find_refrigerant
from seaflow.physics.seawater import freezing_temperature

LEAST_SCHEMA, MOST_SCHEMA = 1, 1

Check = Callable[[Case], Iterator[Problem]]


def check_schema(case: Case) -> Iterator[Problem]:
    """The format version must be one that this program reads."""
    if isinstance(case.schema, int) and not LEAST_SCHEMA <= case.schema <= MOST_SCHEMA:
        yield case.text.problem(
            "S01",
            ("schema",),
            f"this file says schema = {case.schema}, and this program reads schema 1",
            why="A later format may mean other things by the same words.",
            write="Use a newer seaflow, or write schema = 1 if that is what the file holds.",
        )


def check_names(case: Case) -> Iterator[Problem]:
    """No two things may bear one name."""
    counts = Counter(thing.name for thing in case.things if thing.name)
    seen: set[str] = set()
    for thing in case.things:
        if not thing.name.strip():
            yield case.text.problem(
                "S26",
                (thing.table, thing.row, "name"),
                f"a {thing.table.replace('_', ' ')} has an empty name",
                why="Hoses could not find it.",
                write='Write a name, such as name = "main strainer".',
            )
        if counts[thing.name] > 1 and thing.name in seen:
            yield case.text.problem(
                "S02",
                (thing.table, thing.row, "name"),
                f'two things are called "{thing.name}"',
                why="Hoses could not tell them apart.",
                write="Give each its own name.",
            )
        seen.add(thing.name)


def check_ends(case: Case) -> Iterator[Problem]:
    """Every hose must start and end at a thing, and every seacock sit on one."""
    known = [thing.name for thing in case.things]
    for row, hose in enumerate(case.hose):
        for key, name in (("from", hose.from_), ("to", hose.to)):
            if name is not None and name not in known:
                yield _no_thing(case, ("hose", row, key), name, known)
    carriers = [thing.name for thing in (*case.intakes, *case.outlet)]
    for cock in case.seacock:
        if cock.on is not None and cock.on not in carriers:
            yield _no_thing(case, ("seacock", cock.row, "on"), cock.on, carriers)


def _no_thing(case: Case, path: tuple[str | int, ...], name: str, known: list[str]) -> Problem:
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    hint = f'Did you mean "{near[0]}"?' if near else "Known: " + ", ".join(f'"{k}"' for k in known)
    return case.text.problem("S03", path, f'there is no thing called "{name}"', write=hint)


def check_parts(case: Case) -> Iterator[Problem]:
    """Every name of a part must be in its table."""
    wanted: list[tuple[str, str | None, tuple[str | int, ...]]] = []
    for thing in case.intakes:
        wanted.append(("entries", thing.entry, (thing.table, thing.row, "entry")))
    wanted += [("seacocks", item.type, ("seacock", item.row, "type")) for item in case.seacock]
    wanted += [("strainers", item.model, ("strainer", item.row, "model")) for item in case.strainer]
    wanted += [("pumps", item.fitted, ("pump", item.row, "fitted")) for item in case.pump]
    wanted += [("alloys", item.alloy, ("unit", item.row, "alloy")) for item in case.unit]
    wanted += [
        ("pumps", name, ("design", "pumps")) for name in (case.design.pumps if case.design else ())
    ]
    for row, hose in enumerate(case.hose):
        wanted.append(("hoses", hose.kind, ("hose", row, "kind")))
        wanted += [("fittings", name, ("hose", row, "fittings")) for name in hose.fittings]
    for table, name, path in wanted:
        if name is not None:
            yield from _part(case, table, name, path)
    for unit in case.unit:
        yield from _refrigerant(case, unit)


def _part(case: Case, table: str, name: str, path: tuple[str | int, ...]) -> Iterator[Problem]:
    try:
        find(table, name)
    except NoSuchPart as missing:
        near = ", ".join(f'"{item}"' for item in missing.near)
        yield case.text.problem(
            "S16",
            path,
            f'the {table} table has no "{name}"',
            write=f"Did you mean {near}?" if near else f"See the list of {table} in the docs.",
        )


def _refrigerant(case: Case, unit: Unit) -> Iterator[Problem]:
    if unit.refrigerant is None:
        return
    try:
        find_refrigerant(unit.refrigerant)
    except KeyError as missing:
        yield case.text.problem(
            "S17",
            ("unit", unit.row, "refrigerant"),
            f'the refrigerant "{unit.refrigerant}" is not in the table',
            write=str(missing.args[0]),
        )


def check_sea(case: Case) -> Iterator[Problem]:
    """The sea must be water, and its warmest not below its coldest."""
    if case.sea is None:
        return
    for key in ("warmest", "coldest"):
        value, salinity = getattr(case.sea, key), case.sea.salinity
        if value is None or math.isnan(value) or math.isnan(salinity):
            continue
        freezing = freezing_temperature(salinity)
        if value < freezing:
            yield case.text.problem(
                "S18",
                ("sea", key),
                f"water of {salinity:g} g/kg freezes at {freezing:.1f} degC, "
                f"so a {key} sea of {value:g} degC is ice",
                write=f'Write {key} = "{math.ceil(freezing):g} degC" or warmer.',
            )
    if case.sea.warmest is not None and case.sea.warmest < case.sea.coldest:
        yield case.text.problem(
            "S19",
            ("sea", "coldest"),
            f"the coldest sea ({case.sea.coldest:g} degC) is warmer than "
            f"the warmest ({case.sea.warmest:g} degC)",
            write="Swap them.",
        )


def check_heights(case: Case) -> Iterator[Problem]:
    """Pumps and outlets need a height: static head and suction hang on them."""
    for thing in (*case.pump, *case.outlet):
        if thing.level is None:
            yield case.text.problem(
                "S20",
                (thing.table, thing.row, "name"),
                f'the height of "{thing.name}" is not recorded',
                why="Without it neither the static head nor the suction can be known.",
                write="Measure from the waterline afloat and loaded, and add "
                'height = "-0.4 m" (below is negative).',
            )


def check_values(case: Case) -> Iterator[Problem]:
    """Keys that need one another."""
    for unit in case.unit:
        for index, point in enumerate(unit.water_loss):
            if point.head is None and point.pressure is None:
                yield case.text.problem(
                    "S21",
                    ("unit", unit.row, "water_loss", index),
                    f'a point of the coil loss of "{unit.name}" has neither head nor pressure',
                    write='Write { at = "15 L/min", head = "2.4 m" }.',
                )
        if (
            unit.condensing is not None
            and unit.condensing.temperature is None
            and unit.condensing.gauge_pressure is None
        ):
            yield case.text.problem(
                "S22",
                ("unit", unit.row, "condensing"),
                f'the condensing point of "{unit.name}" has neither temperature nor gauge_pressure',
                write='Write { temperature = "42 degC", water = "29 degC" }.',
            )
    for strainer in case.strainer:
        if strainer.model is None and strainer.port is None:
            yield case.text.problem(
                "S23",
                ("strainer", strainer.row, "name"),
                f'the strainer "{strainer.name}" has neither model nor port',
                write='Add model = "demo-strainer-25" or port = "25 mm".',
            )
    if case.supply is not None and case.supply.current == "ac" and case.supply.frequency is None:
        yield case.text.problem(
            "S24", ("supply",), "the AC supply has no frequency", write='Add frequency = "50 Hz".'
        )


def check_steps(case: Case) -> Iterator[Problem]:
    """A suction hose narrower than the pump's port is remarked, not refused."""
    ports = {pump.name: pump for pump in case.pump if pump.port is not None}
    for row, hose in enumerate(case.hose):
        pump = ports.get(hose.to or "")
        if pump is not None and pump.port is not None and hose.bore < 0.98 * pump.port:
            yield _narrow(case, row, hose, pump)


def _narrow(case: Case, row: int, hose: Hose, pump: Thing) -> Problem:
    port = getattr(pump, "port", 0.0)
    return case.text.problem(
        "S25",
        ("hose", row, "bore"),
        f"{hose.label}: its bore is smaller than the {port * 1000:.0f} mm "
        f'suction port of "{pump.name}"',
        why="A narrow suction hose lowers the pressure at the pump.",
        write=f'Write bore = "{port * 1000:.0f} mm" or larger if that is what is fitted.',
        warning=True,
    )


STRUCTURE: tuple[Check, ...] = (check_schema, check_names, check_ends, check_parts, check_values)
STRUCTURE += (check_sea, check_heights, check_steps)
