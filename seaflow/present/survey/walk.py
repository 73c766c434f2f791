"""The checklist as a walk through the boat: stops in order, at each the facts to look at."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.network import along_the_water
from seaflow.boat.tables.recorded_machines import BilgePump
from seaflow.boat.tables.things import OtherUser, Place, Seacock
from seaflow.forms.checklist import PLACE, SEEN, YES_NO, question_of, record_of
from seaflow.studies.design.cautions import Caution, named_cautions
from seaflow.studies.survey.evidence import THE_BOAT
from seaflow.studies.survey.findings import Survey
from seaflow.studies.survey.judged import holds
from seaflow.studies.survey.questions import LookAt
from seaflow.studies.survey.rules import Rule, rules

# The tables of parts whose rows are the words that a key may have.
_ROWS = {
    ("seacock", "type"): "seacocks",
    ("intake", "entry"): "entries",
    ("hose", "kind"): "hoses",
    ("unit", "alloy"): "alloys",
}
_NO_ROW = re.compile(r": a row of the \w+ table")  # the rows are there to tick
FEW_WORDS = 8  # of a choice, beyond which it is written and not ticked


@dataclass(frozen=True, slots=True)
class Line:
    """One fact to look at: a line of the checklist, with its answers to tick or none to write one.

    `block` and `row` name the block of answers that it goes into, and `path` the key there.
    """

    table: str
    thing: str
    ask: str
    severity: str
    question: str
    block: str
    row: Mapping[str, str]
    path: tuple[str, ...]
    choices: tuple[str, ...] = ()
    example: str = ""
    quantity: str | None = None

    @property
    def ticks(self) -> tuple[str, ...]:
        """The answers to tick; none where one is written."""
        return self.choices if len(self.choices) <= FEW_WORDS else ()


@dataclass(frozen=True, slots=True)
class Station:
    """One stop of the walk: what to heed first, and what to look at, thing by thing."""

    title: str
    about: str
    careful: tuple[Caution, ...]
    asked: tuple[tuple[str, str, tuple[LookAt, ...]], ...]


def walk(answer: Survey, case: Case) -> tuple[Station, ...]:
    """Return the stops at which something is open, in the order of the walk.

    Inside, things come as the water meets them; the boat as a whole comes last at every stop.
    """
    stops = read_table("walk.toml")["stop"]
    sails = "sailing" in (answer.hull or "sailing")
    order = {name: number for number, name in enumerate(along_the_water(case))}
    groups: dict[tuple[int, str, str], list[LookAt]] = {}
    for item in answer.look_at:
        key = (_stop_of(stops, item), item.table, item.thing)
        groups.setdefault(key, []).append(item)
    ranked = sorted(groups, key=lambda key: (key[0], key[1] == "boat", order.get(key[2], -1)))
    return tuple(
        Station(
            title=row["title"],
            about=row.get("about_under_sail" if sails else "about", row["about"]),
            careful=_careful(row["careful"], answer, case),
            asked=tuple(
                (table, thing, _in_order(row, groups[number, table, thing]))
                for at, table, thing in ranked
                if at == number
            ),
        )
        for number, row in enumerate(stops)
        if any(at == number for at, _, _ in ranked)
    )


def _stop_of(stops: list[dict[str, Any]], item: LookAt) -> int:
    named = (n for n, row in enumerate(stops) if f"{item.table}.{item.key}" in row.get("asks", ()))
    rest = (n for n, row in enumerate(stops) if item.table in row.get("else", ()))
    return next(named, next(rest, 1))


def _in_order(row: Mapping[str, Any], items: list[LookAt]) -> tuple[LookAt, ...]:
    """Return questions as their stop names them, and then as they came."""
    asks = list(row.get("asks", ()))
    return tuple(
        sorted(items, key=lambda one: _place(asks, f"{one.table}.{one.key}") or len(asks) + 1)
    )


def _place(asks: list[str], name: str) -> int | None:
    return asks.index(name) + 1 if name in asks else None


def _careful(names: list[str], answer: Survey, case: Case) -> tuple[Caution, ...]:
    """Return what to heed at a stop, as the survey itself says it where it does."""
    high = case.high_voltage
    said = {item.title: item for item in answer.cautions if item.brief}
    named = named_cautions(name for name in names if high or name != "high_voltage")
    return tuple(said.get(item.title, item) for item in named)


def lines(answer: Survey, case: Case, items: tuple[LookAt, ...]) -> Iterator[Line]:
    """Yield the lines of some questions: what is told of in blocks of its own is parted."""
    for item in items:
        if item.table == "point":
            continue  # of a hose; it stands in the case alone
        if item.key == "seacock" and item.table in ("intake", "outlet"):
            row = {"name": f"seacock on {item.thing}", "on": item.thing}
            yield from _of_record(item, "seacock", row, Seacock, ("type", "bore"))
        elif item.key == "bilge_pump":
            sides = ("hull",) if "multihull" in (answer.hull or "multihull") else ()
            for name in answer.bilge_pumps or ("bilge pump",):
                keys = ("capacity", "automatic", *sides)
                yield from _of_record(item, "bilge_pump", {"name": name}, BilgePump, keys)
        elif item.key == "also_feeds":
            users = next((one.users for one in answer.shared if one.intake == item.thing), ())
            for user in users:
                row = {"name": item.thing, "user": user}
                yield from _of_record(item, "also_feeds", row, OtherUser, ("flow", "bore"))
        else:
            yield from _plain(item)


def _plain(item: LookAt) -> Iterator[Line]:
    record = record_of(item.table, item.key)
    assert record is not None
    declared = next(key for _, spelled, key in keys_of(record) if spelled == item.key)
    row = {} if item.table == "boat" else {"name": item.thing}
    if declared.of is None:
        yield _line(item, item.table, row, (item.key,), declared)
        return
    for _, spelled, inner in keys_of(declared.of):
        yield _line(item, item.table, row, (item.key, spelled), inner)


def _of_record(
    item: LookAt, block: str, row: Mapping[str, str], record: type, keys: tuple[str, ...]
) -> Iterator[Line]:
    known = {spelled: declared for _, spelled, declared in keys_of(record)}
    for key in keys:
        line = _line(item, block, row, (key,), known[key])
        named = row.get("user", row["name"])
        yield replace(line, ask=f"{title_of(named)}: {line.ask}")


def _line(
    item: LookAt, block: str, row: Mapping[str, str], path: tuple[str, ...], declared: Key
) -> Line:
    choices = choices_of(block, path[-1], declared)
    return Line(
        table=item.table,
        thing=item.thing,
        ask=_NO_ROW.sub("", question_of(path[-2] if path[1:] else block, path[-1], declared)),
        severity=item.severity,
        question=item.question,
        block=block,
        row=row,
        path=path,
        choices=choices,
        example=declared.example.strip('"'),
        quantity=declared.quantity,
    )


def choices_of(table: str, key: str, declared: Key) -> tuple[str, ...]:
    """Return the words that may answer a key; none where a value is written."""
    if declared.kind == "flag":
        return YES_NO
    if (table, key) in _ROWS:
        rows = read_table(f"parts/{_ROWS[table, key]}.toml")
        return tuple(rows.get(key, rows))
    return declared.choices


def good_of(line: Line) -> tuple[str, ...]:
    """Return the choices that are in order by a rule on this fact alone; none where none is.

    A rule that only names what is bad makes nothing else good. What is good of a thing is so of
    another by the same yes or no.
    """
    table = {"skin_hose": "hose", "skin_fitting": "intake"}.get(line.block, line.block)
    on_it = [one for one in _keyed() if (one.table, one.key) == (table, line.path[-1])]
    means: dict[str, Any] = dict(zip(line.choices, line.choices, strict=True))
    if line.choices == YES_NO:
        means = dict(zip(YES_NO, (True, False), strict=True))
        on_it = on_it or [one for one in _keyed() if one.key == line.path[-1]]
    if all(rule.test is None or rule.test[0] != "good" for rule in on_it):
        told = read_table("walk.toml")["good"].get(f"{line.block}.{line.path[-1]}")
        return () if told is None else (told,)
    return tuple(word for word in means if all(holds(rule, means[word]) for rule in on_it))


@cache
def _keyed() -> tuple[Rule, ...]:
    return tuple(rule for rule in rules() if rule.key is not None)


def flat(table: str, record: type) -> Iterator[tuple[str, Key]]:
    """Yield the keys of a record, those of its place and of what is seen of it among them."""
    for _, spelled, declared in keys_of(record):
        if declared.of is Place:
            yield from ((inner, key) for _, inner, key in keys_of(Place))
        elif spelled == "seen" and table == "skin_fitting":
            continue  # asked once the opening is listed
        elif spelled == "seen":
            yield from ((inner, key) for _, inner, key in keys_of(SEEN[table]))
        elif spelled not in PLACE:
            yield spelled, declared


def waits_for(item: LookAt) -> str:
    """Return the question that waits for a fact which is no answer to it, else nothing."""
    own = record_of(item.table, item.key)
    return "" if own is not None and own.__name__.endswith("Seen") else item.question


def title_of(thing: str) -> str:
    """Return what a thing is called at a stop."""
    return "The boat" if thing == THE_BOAT else thing[:1].upper() + thing[1:]
