"""Whether a case makes sense as a boat: ends of hoses, parts, and all the checks in order."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

from seaflow.base.near import did_you_mean, nearest
from seaflow.base.problems import Problem
from seaflow.boat.case import MOST_DC, Case
from seaflow.boat.checks.days import DAYS
from seaflow.boat.checks.many import check_many
from seaflow.boat.checks.measures import MEASURES, check_dry
from seaflow.boat.checks.names import as_read, bearing_another, check_names, told_apart
from seaflow.boat.checks.ratings import RATINGS
from seaflow.boat.checks.rooms import ROOMS
from seaflow.boat.parts.part import NoSuchPart, PumpPart
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.supply import Supply
from seaflow.boat.tables.things import Unit
from seaflow.physics.heat.refrigerant import find as find_refrigerant

Check = Callable[[Case], Iterator[Problem]]


def check_ends(case: Case) -> Iterator[Problem]:
    """Every hose must start and end at a thing, and every seacock sit on one."""
    known = [thing.name for thing in case.things]
    lost, twice = _lost(case), {thing.name for thing in bearing_another(case)}
    for row, hose in enumerate(case.hose):
        for key, name in (("from", hose.from_), ("to", hose.to)):
            if name is not None and name not in known and name not in lost:
                yield _no_thing(case, ("hose", row, key), name, known)
        if hose.from_ is not None and hose.from_ == hose.to and hose.to not in twice:
            yield case.text.problem(
                "S65",
                ("hose", row, "to"),
                f'a hose leads from "{hose.from_}" to "{hose.to}" itself',
                why="A hose joins two things: one of its ends has the name of the other.",
                write="Write in `to` where its water goes, or in `from` where it comes from.",
            )
    carriers = [thing.name for thing in (*case.intakes, *case.outlet, *case.skin_fitting)]
    taken: set[str] = set()
    for cock in case.seacock:
        if cock.on is not None and cock.on not in (*carriers, *lost):
            yield _no_thing(case, ("seacock", cock.row, "on"), cock.on, carriers)
        elif cock.on in taken:
            yield case.text.problem(
                "S34",
                ("seacock", cock.row, "on"),
                f'a second seacock sits on "{cock.on}"',
                why="Water passes one after the other, and only one is counted.",
                write="Keep the narrower one, and add the other to a hose as a fitting.",
            )
        taken.add(cock.on)
    yield from _to_own_seacock(case)
    yield from _on_skin_fittings(case)
    yield from _visited(case, lost)


def _lost(case: Case) -> frozenset[str]:
    """Return the names that things may have had which bear the name of another, as is told.

    One that reads as the name of another thing is misspelt and not lost. So is one that is most
    like the name of a thing of another kind, unless all can be lost.
    """
    twice = bearing_another(case)
    names = {thing.name for thing in (*case.things, *case.skin_fitting) if thing.name}
    ends = [end for hose in case.hose for end in (hose.from_, hose.to)]
    named = {end for end in (*ends, *(cock.on for cock in case.seacock)) if end}
    alike = {as_read(name) for name in names}
    unknown = {name for name in named if as_read(name) not in alike}
    if len(unknown) > len(twice):
        tables = {thing.table for thing in twice}
        others = sorted({thing.name for thing in case.things if thing.table not in tables})
        unknown = {name for name in unknown if nearest(name, others) is None}
    return frozenset(unknown if twice else ())


def as_named(case: Case) -> tuple[tuple[Case, ...], bool]:
    """Return what the case may be with every name borne once, and whether hoses tell which it is.

    Where nothing tells which thing of one name a hose means, only what has no hose can be told.
    """
    twice, lost = bearing_another(case), _lost(case)
    apart = told_apart(case, lost)
    if not twice and apart[0].hose != case.hose:  # one of two hoses may be at the wrong thing
        apart = (case, *apart)
    return apart, len(twice) == len(lost) <= 1


def _to_own_seacock(case: Case) -> Iterator[Problem]:
    sits_on = {cock.name: cock.on for cock in case.seacock if cock.on is not None}
    for row, hose in enumerate(case.hose):
        for cock, other in ((hose.from_, hose.to), (hose.to, hose.from_)):
            if sits_on.get(cock) == other:
                yield case.text.problem(
                    "S10",
                    ("hose", row),
                    f'a hose leads from "{hose.from_}" to "{hose.to}", '
                    f'and the seacock "{cock}" is threaded on "{other}"',
                    why="A seacock that sits on an intake or outlet needs no hose to it.",
                    write=f'Take this hose out. Other hoses may name "{cock}" or "{other}".',
                )


def _on_skin_fittings(case: Case) -> Iterator[Problem]:
    """Every hose of another opening must sit on one, or on its seacock."""
    fittings = [thing.name for thing in case.skin_fitting]
    known = [*fittings, *(cock.name for cock in case.seacock if cock.on in fittings)]
    for row, hose in enumerate(case.skin_hose):
        if hose.on is not None and hose.on not in known:
            yield _no_thing(case, ("skin_hose", row, "on"), hose.on, known)


def _visited(case: Case, lost: frozenset[str]) -> Iterator[Problem]:
    """What a visit saw or measured must be there."""
    known = [thing.name for thing in (*case.things, *case.skin_fitting)]
    known += [*(hose.label for hose in case.hose), *(one.label for one in case.skin_hose)]
    known += [pump.name for pump in (case.seen.bilge_pump if case.seen else ())]
    known += ["the boat", "everything"]
    for row, visit in enumerate(case.visit):
        for key, names in (("saw", visit.saw), ("measured", visit.measured)):
            for name in names:
                if name not in known and name not in lost:
                    yield _no_thing(case, ("visit", row, key), name, known)


def _no_thing(case: Case, path: Path, name: str, known: list[str]) -> Problem:
    listed = ", ".join(f'"{item}"' for item in known if item)
    what = f'a hose names "{name}", and there is no such thing'
    why = "A hose must start and end at something, or the water goes nowhere."
    if path[0] == "seacock":
        what = f'a seacock sits on "{name}", and no opening of the hull has that name'
        why = "A seacock closes one hole in the hull, and that must be known."
    elif path[0] == "visit":
        what = f'a visit names "{name}", and there is no such thing'
        why = "What was seen of a thing that is not there would be lost."
    write = did_you_mean(name, known, f"Things there are: {listed}.")
    if path[0] == "hose" and _is_passed(case, name):
        why = "One hose leads to it and one away, so it seems that its table was left out."
        write = f'Add the [[{_table_of(case, name)}]] with name = "{name}". {write}'
    return case.text.problem("S03", path, what, why=why, write=write)


def _is_passed(case: Case, name: str) -> bool:
    """Return whether water comes to a name by one hose and goes on by another."""
    return any(hose.to == name for hose in case.hose) and any(
        hose.from_ == name for hose in case.hose
    )


def _table_of(case: Case, name: str) -> str:
    """Return the table whose kind of thing a name ends in, else one that every loop must have."""
    tables = ("strainer", "pump", "unit", "manifold", "reducer", "tee")
    needed = "unit" if case.pump or not case.unit else "pump"
    return next((table for table in tables if name.casefold().endswith(table)), needed)


def check_parts(case: Case) -> Iterator[Problem]:
    """Every name of a part must be in its table."""
    wanted: list[tuple[str, str | None, tuple[str | int, ...]]] = []
    for thing in case.intakes:
        wanted.append(("entries", thing.entry, (thing.table, thing.row, "entry")))
    wanted += [("seacocks", item.type, ("seacock", item.row, "type")) for item in case.seacock]
    wanted += [("strainers", item.model, ("strainer", item.row, "model")) for item in case.strainer]
    wanted += [("pumps", item.fitted, ("pump", item.row, "fitted")) for item in case.pump]
    wanted += [("alloys", item.alloy, ("unit", item.row, "alloy")) for item in case.unit]
    wanted += [("units", item.model, ("unit", item.row, "model")) for item in case.unit]
    wanted += [("coils", item.coil, ("unit", item.row, "coil")) for item in case.unit]
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
        case.catalogue.find(table, name)
    except NoSuchPart as missing:
        what, why, write = missing.texts
        yield case.text.problem("S16", path, what, why=why, write=write)


def _refrigerant(case: Case, unit: Unit) -> Iterator[Problem]:
    if unit.refrigerant is None:
        return
    try:
        find_refrigerant(unit.refrigerant)
    except KeyError as missing:
        hint = str(missing.args[0]).partition("; ")[2]
        place = f'unit "{unit.name}"' if unit.name else f"unit {unit.row + 1}"
        yield case.text.problem(
            "S17",
            ("unit", unit.row, "refrigerant"),
            f'{place}: the refrigerant "{unit.refrigerant}" is not known',
            why="Pressure and temperature of the cut-out belong together by the refrigerant.",
            write=f"{hint[:1].upper()}{hint[1:].rstrip('.?')}{'?' if 'did you' in hint else '.'}",
        )


def check_fitted(case: Case) -> Iterator[Problem]:
    """A pump that is fitted, or may be chosen, and is made for another supply is remarked."""
    for pump in case.pump:
        part, supply = _known(case, pump.fitted), case.on_supply_of(pump).supply
        if part is not None and _is_for_another(part, supply):
            path: Path = ("pump", pump.row, "fitted")
            said = f'{part.name}, fitted at "{pump.name}"'
            found = _for_another_supply(case, path, said, part, supply)
            # one that was told beside the file stands on no line of it
            yield found if path in case.text.keys else replace(found, line=None, column=None)
    supplies = [case.on_supply_of(pump).supply for pump in case.pump] or [case.supply]
    for index, name in enumerate(case.design.pumps if case.design else ()):
        part = _known(case, name)
        if part is not None and all(_is_for_another(part, supply) for supply in supplies):
            path, said = ("design", "pumps", index), f"{part.name}, one of the pumps to consider"
            yield _for_another_supply(case, path, said, part, supplies[0])


def _is_for_another(part: PumpPart, supply: Supply) -> bool:
    """Return whether a pump cannot run on a supply; one at fault is told elsewhere."""
    told = supply.voltage > MOST_DC if supply.current == "dc" else supply.frequency is None
    return not told and not part.runs_on(supply.current, supply.voltage)


def _for_another_supply(
    case: Case, path: Path, said: str, part: PumpPart, supply: Supply
) -> Problem:
    fitted = path[0] == "pump"
    end = "If it is so, switch it off and have a qualified person look at it."
    return case.text.problem(
        "S63",
        path,
        f"{said}, is made for {part.voltage:g} V {part.current.upper()}, and the supply is "
        f"{supply.voltage:g} V {supply.current.upper()}",
        why="On another supply it would not run, or not for long: answers leave it out.",
        write=f"Check its plate and the supply. {end}"
        if fitted
        else "Name one made for this supply (seaflow parts pumps lists them), or none.",
        warning=True,
    )


def _known(case: Case, name: str | None) -> PumpPart | None:
    try:
        return None if name is None else case.catalogue.pump(name)
    except NoSuchPart:  # `check_parts` tells it
        return None


def check_balancing(case: Case) -> Iterator[Problem]:
    """The curve of a balancing valve must fall as the valve opens."""
    for row, hose in enumerate(case.hose):
        valve = hose.balancing_valve
        if valve is None:
            continue
        known = sorted(valve.points, key=lambda point: point.turns)
        falls = all(
            one.turns < other.turns and one.loss > other.loss for one, other in pairwise(known)
        )
        if len(known) < 2 or not falls:
            yield case.text.problem(
                "S45",
                ("hose", row, "balancing_valve"),
                f'the balancing valve of "{hose.label}" has no curve that falls as it opens',
                why="A setting in turns is read off that curve, so each loss needs turns of its "
                "own.",
                write="Write two points or more, with less loss at more turns, or leave the valve "
                "out: the setting is then given as a loss coefficient alone.",
            )


# Where one of these finds fault, or `check_ends`, the hoses do not tell how the water runs.
NAMES: tuple[Check, ...] = (check_many, check_names)
# What holds of a boat of which some values could not be read as well.
AS_READ: tuple[Check, ...] = (check_parts, check_dry)
SENSE: tuple[Check, ...] = (
    check_parts,
    *MEASURES,
    *RATINGS,
    *DAYS,
    check_fitted,
    check_balancing,
    *ROOMS,
)
