"""Which of its table a row is as the water meets it, whatever it is called and wherever it stands.

A boat may be told with other names and with her tables in another order. What is drawn of a value
may hang on neither, so rows get numbers by what they are: first by how far along the water they
are, then by what hangs on them, last by what is told of them, of units before hoses. Rows of which
all of this is the same are twins: they get numbers of their own in the order of the file, and what
hangs on a twin goes with it, so that exchanging them exchanges two equal things. This is colour
refinement (Weisfeiler and Leman 1968), with one of some twins set apart wherever it comes to a
halt.

Numbers are given once, when a case is read. A boat changed on paper keeps them, and so her draws.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import is_dataclass, replace
from functools import cache, partial, reduce
from typing import Any

from seaflow.base.constants import HAIR
from seaflow.boat.case import INTAKE_TABLES, THING_TABLES, Case
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.network import Network, loops, runs_of
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.things import Hose, Place
from seaflow.boat.tables.use import Duty

Row = tuple[str, int]  # table, and row in it

DIGITS = 9  # of a value that count: the same value in another unit is rounded beyond them
LEAST = 12  # decimals in SI below which a value is nothing
# Keys by which one row means another, with the tables that it may be of.
_MEANS = {
    "from": THING_TABLES,
    "to": THING_TABLES,
    "on": THING_TABLES,
    "units": ("unit",),
    "compartment": ("compartment",),
    "between": ("compartment",),
    "faces": ("compartment",),
    "pump": ("pump",),
    "intake": INTAKE_TABLES,
}
_NAMES = ("name", "loop", "thermostat")  # and say nothing else
# Tables whose content is looked at before that of others; last of all.
_STAGES = (("unit",), THING_TABLES, None)

Edges = Mapping[Row, tuple[tuple[str, Row], ...]]


def row_numbers(case: Case) -> dict[Row, int]:
    """Return the number of every row of a case within its table, counted from nought."""
    case, further = _with_whole_hoses(case)
    left = {row for rows in further.values() for row in rows}
    rows = {
        (table, row): record
        for table in _tables()
        for row, record in _rows(case, table)
        if (table, row) not in left
    }
    edges = _edges(case, rows)
    depths = _depths(rows, edges)
    order = _Order(rows, edges)
    order.split(order.rows, lambda row: (depths[row], _tables()[row[0]], order.by_ends(row)))
    for tables in _STAGES:
        looked_at = [row for row in order.rows if tables is None or row[0] in tables]
        order.split(looked_at, lambda row: _content(case, rows[row], row))
    order.part_twins()
    first = _first_of_loop(edges, order.place)
    found: dict[str, int] = {}
    numbers = {}
    inside = sorted(rows, key=lambda row: (first.get(row, 0), order.place[row]))
    for row in (*inside, *(more for one in inside for more in further.get(one, ()))):
        numbers[row] = found.setdefault(row[0], 0)
        found[row[0]] += 1
    return numbers


def _with_whole_hoses(case: Case) -> tuple[Case, dict[Row, tuple[Row, ...]]]:
    """Return the case with every hose in pieces as one, in the row of its first piece.

    With it the rows of the joints and of the further pieces, by that row.
    """
    hoses, further, spreads = list(case.hose), dict[Row, tuple[Row, ...]](), dict(case.spreads)
    for loop in loops(case):
        for run in runs_of(loop, loop.hoses):
            if len(run) > 1:
                first = ("hose", run[0].row)
                joints = [loop.things[piece.from_] for piece in run[1:]]
                further[first] = tuple((one.table, one.row) for one in (*joints, *run[1:]))
                start, end = (case.hose[piece.row] for piece in (run[0], run[-1]))
                whole = reduce(partial(_whole, loop), run)
                hoses[start.row] = replace(whole, from_=start.from_, to=end.to)
                told = [spreads.get(("hose", piece.row, "length")) for piece in run]
                if None not in told:
                    spreads[*first, "length"] = sum(half for half in told if half)
    return (replace(case, hose=tuple(hoses), spreads=spreads) if further else case), further


def _whole(loop: Network, one: Hose, other: Hose) -> Hose:
    """Return two pieces as one hose; their joint is a point on its way if the way bends there."""
    joint = loop.things[one.to]
    via = (*one.via, *other.via)
    if joint.level is not None and (via or not _is_straight(loop, one, other)):
        via = (*one.via, joint.at or Place(height=joint.level), *other.via)
    return replace(
        one,
        to=other.to,
        length=one.length + other.length,
        fittings=(*one.fittings, *other.fittings),
        via=via,
        balancing_valve=one.balancing_valve or other.balancing_valve,
        barb_bore_to=other.barb_bore_to,
        adapter_to=other.adapter_to,
    )


def _is_straight(loop: Network, one: Hose, other: Hose) -> bool:
    """Return whether the joint of two pieces lies on the line between their other ends."""
    start, joint, end = (loop.things[name].level for name in (one.from_, one.to, other.to))
    if start is None or joint is None or end is None:
        return False
    share = one.length / (one.length + other.length)
    return abs(start + share * (end - start) - joint) < HAIR


@cache
def _tables() -> dict[str, int]:
    """Return the tables of many rows, each with its place among them."""
    many = [name for name, _, declared in keys_of(Case) if declared.of and declared.many]
    return {name: number for number, name in enumerate(many)}


def _rows(case: Case, table: str) -> Iterator[tuple[int, Any]]:
    return enumerate(getattr(case, table))


def _edges(case: Case, rows: Mapping[Row, Any]) -> Edges:
    """Return for each row what it means and what means it, each with the key and the direction."""
    named = {
        (row[0], record.name): row
        for row, record in rows.items()
        if getattr(record, "name", None) is not None
    }
    intake = next(((one.table, one.row) for one in case.intakes), None)
    first: Mapping[str, Mapping[str, Row | None]] = {
        "pump_place": {"pump": ("pump", 0)},
        "intake_place": {"intake": intake},
    }
    found: dict[Row, list[tuple[str, Row]]] = {row: [] for row in rows}
    for row, record in rows.items():
        for key, name in _meant(record):
            targets = (named.get((table, name)) for table in _MEANS[key])
            there = next((one for one in targets if one is not None), None)
            if name is None:
                there = first.get(row[0], {}).get(key)
            if there in found and there is not None:
                found[row].append((f"{key} >", there))
                found[there].append((f"{key} <", row))
    return {row: tuple(ends) for row, ends in found.items()}


def _meant(record: Any) -> Iterator[tuple[str, str | None]]:
    """Yield what a record means by name, those inside it too, with the key that says so."""
    for name, spelled, declared in keys_of(type(record)):
        value = getattr(record, name)
        if _means(spelled, declared):
            yield from ((spelled, one) for one in (value if declared.many else (value,)))
        elif declared.of is not None:
            for one in value if isinstance(value, tuple) else (value,):
                yield from _meant(one) if one is not None else ()


def _means(spelled: str, declared: Key) -> bool:
    return spelled in _MEANS and declared.kind == "text"


def _depths(rows: Iterable[Row], edges: Edges) -> dict[Row, int]:
    """Return how many things and hoses the water meets before each row, on its longest way."""
    on = {row: _one(edges[row], "on >") for row in rows if row[0] == "seacock"}
    ahead: dict[Row, list[Row]] = {row: [] for row in rows}
    waits = dict.fromkeys(ahead, 0)

    def follows(one: Row | None, other: Row | None) -> None:
        if one is not None and other is not None:
            ahead[one].append(other)
            waits[other] += 1

    for row in ahead:
        if row[0] == "hose":
            start, end = (_one(edges[row], key) for key in ("from >", "to >"))
            follows(on.get(start, start) if start else None, row)
            follows(row, on.get(end, end) if end else None)
    found = dict.fromkeys(ahead, 0)
    ready = [row for row, many in waits.items() if not many]
    while ready:
        row = ready.pop()
        for other in ahead[row]:
            found[other] = max(found[other], found[row] + 1)
            waits[other] -= 1
            if not waits[other]:
                ready.append(other)
    return found | {cock: found[thing] for cock, thing in on.items() if thing is not None}


def _one(ends: tuple[tuple[str, Row], ...], role: str) -> Row | None:
    return next((row for key, row in ends if key == role), None)


def _first_of_loop(edges: Edges, place: Mapping[Row, int]) -> dict[Row, int]:
    """Return for each row that hoses join to others the place of the first of them."""
    found: dict[Row, int] = {}
    things = (row for row in edges if row[0] in THING_TABLES)
    for start in sorted(things, key=lambda row: place[row]):
        waiting = [start] if start not in found else []
        while waiting:
            row = waiting.pop()
            if row not in found:
                found[row] = place[start]
                waiting += [
                    other for key, other in edges[row] if key.split()[0] in ("from", "to", "on")
                ]
    return found


def _content(case: Case, record: Any, path: Path) -> tuple[Any, ...]:
    """Return what is told of a record, with spreads, without names: in a form that has an order."""
    found: list[Any] = []
    if isinstance(record, Duty):
        found.append(path[1] if record.start is None else -1)  # else they follow one another
    for name, spelled, declared in keys_of(type(record)):
        if spelled not in _NAMES and not _means(spelled, declared):
            found.append(_told(case, getattr(record, name), (*path, spelled)))
    return tuple(found)


def _told(case: Case, value: Any, path: Path) -> tuple[Any, ...]:
    if value is None:
        return (0,)
    if isinstance(value, str):
        return (2, value)
    if isinstance(value, tuple):
        return (3, tuple(_told(case, one, (*path, row)) for row, one in enumerate(value)))
    if is_dataclass(value):
        return (4, _content(case, value, path))
    half = case.spreads.get(path)
    spread = () if half is None else (_rounded(half), path in case.typical)
    return (1, _rounded(float(value)), spread)


def _rounded(value: float) -> float:
    return round(float(f"{value:.{DIGITS}g}"), LEAST)


class _Order:
    """Rows put into classes, which stand in order: the place of each is that of its first row."""

    def __init__(self, rows: Iterable[Row], edges: Edges) -> None:
        """Put all rows into one class."""
        self.rows = tuple(rows)
        self.edges = edges
        self.place = dict.fromkeys(self.rows, 0)
        self.classes = {0: dict.fromkeys(self.rows)}

    def split(self, rows: Iterable[Row], key: Callable[[Row], Any]) -> None:
        """Split classes by a key of each of these rows, and whatever then differs by its ends."""
        moved = self._divided(rows, key)
        while moved:
            near = dict.fromkeys(other for row in moved for _, other in self.edges[row])
            moved = self._divided(near, self.by_ends)

    def part_twins(self) -> None:
        """Set the last of some rows that are alike apart, until none are."""
        for place in range(len(self.rows)):
            while len(alike := self.classes[place]) > 1:
                last = next(reversed(alike))
                self.split([last], last.__eq__)

    def by_ends(self, row: Row) -> tuple[tuple[str, int], ...]:
        """Return the places of what a row means and what means it, each with its role."""
        return tuple(sorted((role, self.place[other]) for role, other in self.edges[row]))

    def _divided(self, rows: Iterable[Row], key: Callable[[Row], Any]) -> list[Row]:
        """Split the classes of these rows by a key, and return the rows that have moved.

        Others of a class are alike in it, so that one of them is asked.
        """
        asked: dict[int, list[Row]] = {}
        for row in rows:
            if len(self.classes[self.place[row]]) > 1:
                asked.setdefault(self.place[row], []).append(row)
        keyed = {}
        for place, mine in asked.items():
            rest, groups = self.classes[place], dict[Any, dict[Row, None]]()
            for row in mine:
                del rest[row]
                groups.setdefault(key(row), {})[row] = None
            if rest:
                alike = groups.get(of_rest := key(next(iter(rest))), {})
                groups[of_rest] = rest | alike if alike else rest
            keyed[place] = groups
        return [row for place, groups in keyed.items() for row in self._parted(place, groups)]

    def _parted(self, place: int, groups: Mapping[Any, dict[Row, None]]) -> Iterator[Row]:
        """Put the groups of a class in the order of their keys, and yield the rows that move."""
        for key in sorted(groups):
            self.classes[place] = groups[key]
            for row in groups[key] if self.place[next(iter(groups[key]))] != place else ():
                self.place[row] = place
                yield row
            place += len(groups[key])
