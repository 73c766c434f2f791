"""What a checklist may ask of which thing and in which words, and what one answer changes.

What an answer leaves out keeps the value that the case has. What is told of a table before all that
it must hold is known is kept as a part of one.
"""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from seaflow.base.glossary import glossary_entry
from seaflow.base.tables import read_table
from seaflow.base.units import Misread, split
from seaflow.boat.case import Boat, Case, Design, Sea
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_key, read_record
from seaflow.boat.reader.text import Path
from seaflow.boat.reader.words import in_unit, key_of
from seaflow.boat.tables.recorded_hull import Manifold, SkinFitting, SkinHose
from seaflow.boat.tables.recorded_machines import BilgePump, BoatSeen
from seaflow.boat.tables.recorded_record import Record
from seaflow.boat.tables.supply import Supply
from seaflow.boat.tables.things import Hose, Intake, Outlet, Place, Pump, Seacock, Strainer, Unit

Address: TypeAlias = tuple[str, str, str]  # table, name of the thing, key

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
    "skin_hose": SkinHose,
}
OF_BOAT: dict[type, str] = {  # what a checklist asks of the boat as a whole, and where it goes
    BoatSeen: "seen",
    Boat: "boat",
    Design: "design",
    Sea: "sea",
    Supply: "supply",
}
YES_NO = ("yes", "no")
QUESTIONS = "board_questions.toml"
POINT = "How high above the waterline is it?"
_YES, _NO = ("yes", "true"), ("no", "false")
PLACE = ("aft", "starboard", "height")
SEEN: dict[str, type] = {
    table: key.of
    for table, kind in KINDS.items()
    for _, name, key in keys_of(kind)
    if name == "seen" and key.of is not None
}
SEEN |= {"through_hull": SEEN["intake"], "sea_chest": SEEN["intake"], "boat": BoatSeen}


def record_of(table: str, key: str) -> type | None:
    """Return the record that declares a key of a checklist, or None where none does."""
    kinds: tuple[type | None, ...] = tuple(OF_BOAT)
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
    return str(thing.label if isinstance(thing, (Hose, SkinHose)) else thing.name)


def asked(table: str, key: str) -> tuple[str, tuple[str, ...]]:
    """Return what to find out for a key, and the answers to choose from; none for a value."""
    record = record_of(table, key)
    if key == "seacock" and table in ("intake", "outlet"):
        ask = read_table(QUESTIONS)["ask"][key]
        return ask, YES_NO  # a thing of its own, which the checklist has a block for
    if record is None:
        return POINT, ()  # of a hose
    declared = declared_key(record, key)
    ask = question_of(table, key, declared)
    if declared.of is not None:
        parts = (question_of(key, inner, item) for _, inner, item in keys_of(declared.of))
        return " ".join((ask, *parts)), ()
    return ask, YES_NO if declared.kind == "flag" else declared.choices


def question_of(table: str, key: str, declared: Key) -> str:
    """Return the question for a key of a table, or of a table inside a thing, as asked aloud."""
    asks = read_table(QUESTIONS)["ask"]
    found: str | None = asks.get(f"{table}.{key}") or asks.get(key)
    return found or as_question(declared.meaning)


@dataclass(frozen=True, slots=True)
class Partial:
    """What is known of a table that lacks something which it must hold."""

    values: Mapping[str, Any]


def declared_key(record: type, spelled: str) -> Key:
    """Return the declaration of a key of a record."""
    return next(item for _, name, item in keys_of(record) if name == spelled)


def answered(content: Any) -> Any:
    """Return a table without the answers that were left empty."""
    if isinstance(content, list):
        return [item for item in map(answered, content) if not _is_empty(item)]
    if not isinstance(content, Mapping):
        return content
    kept = {key: answered(item) for key, item in content.items()}
    return {key: item for key, item in kept.items() if not _is_empty(item)}


def _is_empty(item: Any) -> bool:
    return item in ("", [], {}) or (isinstance(item, str) and not item.strip())


def plain(record: type, key: str, value: Any) -> Any:
    """Return yes and no as true and false, and a count in quotes as a number."""
    declared = declared_key(record, key)
    if not isinstance(value, str):
        return value
    word = value.strip().lower()
    if declared.kind == "flag" and word in (*_YES, *_NO):
        return word in _YES
    if declared.kind == "number" and re.fullmatch(r"\d+", word):
        return int(word)
    return value


def read_answer(record: type, key: str, value: Any, path: Path, reading: Reading) -> Any:
    """Return the value of one answer; what is wrong goes to `reading`, in a checklist's words."""
    declared, value = declared_key(record, key), plain(record, key, value)
    if declared.kind == "flag" and not isinstance(value, bool):
        name = key_of(path)
        reading.at_key(
            "K10",
            path,
            f"{name} must be yes or no",
            why=as_question(declared.meaning),
            write=f'Write {name} = "yes" or {name} = "no", or leave it empty.',
        )
        return None
    return read_key(record, key, value, path, reading)


def as_question(meaning: str) -> str:
    """Return the meaning of a flag in words of yes and no."""
    for word, says in (("rue if ", "es if "), ("alse if ", "o if ")):
        for big, small in (("T", "Y"), ("t", "y"), ("F", "N"), ("f", "n")):
            meaning = meaning.replace(big + word, small + says)
    return meaning


def plain_row(record: type, row: Any, path: Path, reading: Reading) -> Any:
    """Return a table with its answers made plain; keys that are not known stay as they are."""
    if not isinstance(row, Mapping):
        return row
    known = {spelled: key for _, spelled, key in keys_of(record)}
    found = {}
    for key, value in row.items():
        made = plain(record, key, value) if key in known else value
        if key in known and known[key].kind == "flag" and not isinstance(made, bool):
            read_answer(record, key, value, (*path, key), reading)
            continue
        found[key] = made
    return found


def merged(record: type, known: Any, row: Any, path: Path, reading: Reading) -> Any:
    """Return a record with answers laid over it, or what is known of one, as a `Partial`."""
    row = plain_row(record, row, path, reading)
    declared = {name: key for _, name, key in keys_of(record)}
    if (
        not isinstance(row, Mapping)
        or set(row) - set(declared)
        or ("name" in declared and not known)
    ):
        return read_record(record, row, path, reading)
    values = {
        key: read_key(record, key, value, (*path, key), reading) for key, value in row.items()
    }
    if known is not None and not isinstance(known, Partial):
        return dataclasses.replace(known, **values)
    told = {**known.values, **values} if isinstance(known, Partial) else values
    if all(name in told for name, key in declared.items() if key.required):
        return record(**told)
    return Partial(told)


def merged_rows(
    record: type, known: tuple[Any, ...], rows: Any, path: Path, reading: Reading
) -> tuple[Any, ...]:
    """Return the records known with what was told of them, and those that were not known.

    Records are told apart by name; a row that holds nothing but a name tells nothing.
    """
    found: dict[Any, Any] = {item.name: item for item in known}
    for name, index, row in _told(rows):
        found[name] = merged(record, found.get(name), row, (*path, index), reading)
    return tuple(found.values())


def _told(rows: Any) -> Iterator[tuple[Any, int, Any]]:
    for index, row in enumerate(rows if isinstance(rows, list) else [rows]):
        if not isinstance(row, Mapping) or set(row) != {"name"}:
            yield row.get("name") if isinstance(row, Mapping) else index, index, row


@dataclass(frozen=True, slots=True)
class Overruled:
    """A recorded value and an answer that differs; `by` is the file, `was_in` where it stood.

    The answer counts unless `stands` says why the recorded value does: the answer is only "told"
    against what was looked at, or "earlier".
    """

    subject: str
    key: str
    was: str
    now: str
    was_in: str
    by: str
    stands: str = ""


def differences(record: type, key: str, pair: tuple[Any, Any], raw: Any) -> Iterator[list[str]]:
    """Yield key, value before and value now wherever an answer changes what was recorded."""
    old, new = pair
    declared = declared_key(record, key)
    if declared.many or old is None or new is None:
        return
    if declared.of is None:
        if not _same(old, new):
            yield [key, *(_words(declared, value, raw) for value in (old, new))]
        return
    inner = raw if isinstance(raw, Mapping) else {}
    known = {name for _, name, _ in keys_of(declared.of)}
    for name, value in inner.items():
        if name not in known:
            continue
        for _, was, now in differences(
            declared.of, name, (part_of(old, name), part_of(new, name)), value
        ):
            yield [f"{key}.{name}", was, now]


def row_differences(record: type, old: Any, new: Any, raw: Any) -> Iterator[list[str]]:
    """Yield the same of a row of its own, such as a bilge pump."""
    known = {name for _, name, _ in keys_of(record)} - {"name"}
    for name, value in raw.items() if isinstance(raw, Mapping) else ():
        if name in known:
            yield from differences(record, name, (part_of(old, name), part_of(new, name)), value)


def part_of(record: Any, name: str) -> Any:
    """Return a value inside a record, or inside what is known of one."""
    return record.values.get(name) if isinstance(record, Partial) else getattr(record, name, None)


def _same(old: Any, new: Any) -> bool:
    if isinstance(old, float) and isinstance(new, float):
        return math.isclose(old, new, rel_tol=1e-6, abs_tol=1e-9) or math.isnan(new)
    return bool(old == new)


def _words(declared: Key, value: Any, raw: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if declared.quantity is None or not isinstance(raw, str):
        return str(value)
    try:
        written = split(raw)[1]
    except Misread:
        return str(value)
    return in_unit(value, glossary_entry(declared.quantity).unit, written)
