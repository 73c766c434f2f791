"""From TOML data to frozen records, by their declarations; every problem found, not the first."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, TypeVar

from seaflow.base.near import did_you_mean, nearest
from seaflow.base.spread import without_typical
from seaflow.base.tables import read_table
from seaflow.boat.defaults import Assumption, default
from seaflow.boat.keys import Key, keys_of, part_table
from seaflow.boat.reader.heads import as_twins
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.text import Path
from seaflow.boat.reader.value import limited, plain_example, read_value
from seaflow.boat.reader.words import key_of, name_of, place_of

CHOSEN = ("frequency",)  # quantities of which there are one or two, with nothing between them
FEW = 4  # keys, of which all are shown in an example
# A unit behind the name of a key, as in length_m.
_UNIT_BEHIND = re.compile(
    r"_(?:mm2?|cm|m|in|inch(?:es)?|ft|feet|k?w|v|a|hz|deg_?[cf]?|[cfk]|btu_?h?)$"
)

_R = TypeVar("_R")


def read_record(
    record: type[_R], raw: dict[str, Any], path: Path, reading: Reading, **more: Any
) -> _R:
    """Return a `record` made from one TOML table; what is wrong goes to `reading`.

    `more` are fields that are no keys of the file.
    """
    raw, stands = _table(record, raw, path, reading)
    values: dict[str, Any] = dict(more)
    raw, guessed = _as_meant(record, raw, path, reading)
    raw = as_twins(record, raw, path, reading)
    for name, spelled, declared in keys_of(record):
        if spelled in raw:
            told = len(reading.problems)
            values[name] = _value(raw[spelled], declared, (*path, spelled), reading)
            if spelled in guessed and declared.of is None:
                del reading.problems[told:]  # another key may have been meant
        elif declared.required and stands:
            _missing(spelled, declared, path, reading)
        elif declared.default:
            values[name] = _default(declared, place_of(path, reading.names), reading)
        elif declared.of is not None and not declared.many and _has_defaults(declared.of):
            values[name] = read_record(declared.of, {}, (*path, spelled), reading)
    if len(path) == 2 and "row" in record.__dataclass_fields__:  # type: ignore[attr-defined]
        values |= {"table": path[0], "row": path[1]}
    return record(**values)


def _table(record: type, raw: Any, path: Path, reading: Reading) -> tuple[dict[str, Any], bool]:
    """Return a table and whether one stands there, and keep what its thing is called.

    Of a table told as one of several the first is read; where something else stands it is empty.
    """
    row = len(path) == 2 and isinstance(path[1], int)
    several = not row and _are_tables(raw)
    table: dict[str, Any] = raw[0] if several else raw if isinstance(raw, dict) else {}
    if row:
        reading.names[path] = name_of(str(path[0]), int(path[1]), table)
    if table is not raw:
        reading.note(
            "K10",
            path,
            f"{place_of(path, reading.names)} must be "
            f"{'one table, not a list of them' if several else 'a table of keys'}",
            why="The keys of a thing stand together in a table of their own.",
            write=_table_line(record, path),
        )
    if several:
        reading.text = reading.text.also((*path, 0), path)
    return table, table is raw or several


def _table_line(record: type, path: Path) -> str:
    if len(path) == 1:
        return f"Write [{path[0]}] on a line of its own and the keys below it."
    if len(path) == 2 and isinstance(path[1], int):
        return f"Write [[{path[0]}]] on a line of its own and the keys below it."
    keys = [(spelled, declared) for _, spelled, declared in keys_of(record)]
    shown = keys if len(keys) <= FEW else [one for one in keys if one[1].required] or keys[:FEW]
    inside = ", ".join(f"{spelled} = {declared.example}" for spelled, declared in shown)
    more = ", ".join(spelled for spelled, declared in keys if (spelled, declared) not in shown)
    table = f"{{ {inside} }}"
    table = f"[{table}]" if isinstance(path[-1], int) else table
    rest = f" There are also: {more}." if more else ""
    return f"Write for example {key_of(path)} = {table}.{rest}"


def _as_meant(
    record: type, raw: dict[str, Any], path: Path, reading: Reading
) -> tuple[dict[str, Any], set[str]]:
    """Return a table with what stands under unknown names under the known ones, and those.

    The slip is told once: that a key is missing, or a name is borne by nothing, is not told beside.
    """
    known = {spelled: declared for _, spelled, declared in keys_of(record)}
    made = {name: content for name, content in raw.items() if name in known}
    guessed: set[str] = set()
    for name in (name for name in raw if name not in known):
        meant = _unknown(name, raw, known, path, reading)
        if meant in made and isinstance(raw[name], list) and _are_tables(made[meant]):
            reading.text = reading.text.also((*path, name), (*path, meant), len(made[meant]))
            made[meant] = [*made[meant], *raw[name]]
        elif meant is not None and meant not in made:
            reading.text = reading.text.also((*path, name), (*path, meant))
            made[meant] = raw[name]
            guessed.add(meant)
        elif (not path or name in reading.heads) and _holds_tables(raw[name]):
            reading.unread = True
    return made, guessed


def _may_be(content: Any, declared: Key) -> bool:
    """Say whether something could stand under a key; where tables do, by the keys in them."""
    if declared.of is None:
        return not isinstance(content, dict) and not _are_tables(content)
    known = {spelled for _, spelled, _ in keys_of(declared.of)}
    rows = content if isinstance(content, list) else [content]
    return all(isinstance(row, dict) and (not row or known & row.keys()) for row in rows)


def _are_tables(content: Any) -> bool:
    return isinstance(content, list) and bool(content) and isinstance(content[0], dict)


def _holds_tables(content: Any) -> bool:
    return isinstance(content, dict) or _are_tables(content)


def _unknown(
    name: str, raw: dict[str, Any], known: dict[str, Key], path: Path, reading: Reading
) -> str | None:
    """Take down that a name of a table is not known, and return which of those alike was meant."""
    content = raw[name]
    like = {key: declared for key, declared in known.items() if _may_be(content, declared)}
    elsewhere = reading.tables.get(name) if len(path) < 2 else None
    head = reading.heads.get(name) if path and _holds_tables(content) else None
    said = None if elsewhere or head else _as_said(name, content, like)
    meant = None if elsewhere or head else said or nearest(name, like)
    write = did_you_mean(name, like if meant else known, f"Keys there are: {', '.join(known)}.")
    if head:
        write = f"It is no part of {path[0]}: write {head} on a line of its own and its keys below."
        if path == (name,):
            write = f"Write its keys below {head}, each on a line of its own."
    elif said in raw and not _holds_tables(content):
        write = f'"{said}" means that, and stands here already: take one of the two out.'
    elif said:
        write = f'Did you mean "{said}"? {like[said].meaning}'
    reading.at_key(
        "K01",
        (*path, name),
        f'there is no key "{name}" here',
        why="What is not understood is refused, so that nothing you typed is left out unseen.",
        write=f"Write it under [{elsewhere}]." if elsewhere else write,
    )
    return meant


def _as_said(name: str, content: Any, like: dict[str, Key]) -> str | None:
    """Return the key that the trade calls so, or None; a quantity only where a number stands."""
    words = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")
    plain = _UNIT_BEHIND.sub("", words)
    said = read_table("said_keys.toml")
    meant = [key for key in like if plain in (key, *said.get(key, ()))]
    quantities = [key for key in meant if like[key].quantity is not None]
    if re.search(r"\d", str(content)):
        meant = quantities or meant
    else:
        meant = [key for key in meant if key not in quantities]
    return next(iter(meant), None)


def _missing(spelled: str, declared: Key, path: Path, reading: Reading) -> None:
    table = declared.of is not None and not path
    if (*path, spelled) in reading.misplaced:
        return
    reading.note(
        "K02",
        path,
        f"{place_of(path, reading.names)}: {'table' if table else 'key'} {spelled} is missing",
        why=f"{declared.meaning} Without it nothing can be worked out.",
        write=f"Add [{spelled}] and its keys." if table else f"Add {spelled} = {declared.example}.",
    )


def _has_defaults(record: type) -> bool:
    return all(not declared.required for _, _, declared in keys_of(record)) and any(
        declared.default for _, _, declared in keys_of(record)
    )


def _default(declared: Key, label: str, reading: Reading) -> float | str:
    row = default(declared.default or "")
    reading.assumptions.append(Assumption(label, row.meaning, row.text, row.source))
    return row.value if declared.quantity else row.text


def _value(raw: Any, declared: Key, path: Path, reading: Reading) -> Any:
    if declared.many:
        return tuple(_many(raw, declared, path, reading))
    return _one(raw, declared, path, reading)


def _many(raw: Any, declared: Key, path: Path, reading: Reading) -> Iterator[Any]:
    if not isinstance(raw, list):
        table = declared.of is not None and len(path) == 1
        is_one = table and isinstance(raw, dict)
        reading.at_key(
            "K10",
            path,
            f"{path[-1]} must {'have double brackets' if is_one else 'be a list'}",
            why=f"{declared.meaning} There may be several.",
            write=f"Write [[{path[-1]}]] on a line of its own and the keys below it."
            if table
            else f"Write {path[-1]} = {declared.example}.",
        )
        if declared.of is None or not isinstance(raw, dict):
            reading.unread |= table  # what should be there may be named elsewhere
            return
        reading.text = reading.text.also(path, (*path, 0))
        raw = [raw]
    for index, item in enumerate(raw):
        yield _one(item, declared, (*path, index), reading)


def _one(raw: Any, declared: Key, path: Path, reading: Reading) -> Any:
    if declared.of is not None:
        return read_record(declared.of, raw, path, reading)
    if _said_typical(raw, declared):
        _not_typical(raw, declared, path, reading)
        return None
    if declared.quantity is not None:
        return read_value(raw, declared, path, reading)
    if declared.kind == "flag":
        return _typed(raw, bool, "true or false", declared, path, reading)
    if declared.kind == "number":
        number = _typed(raw, int, "a whole number", declared, path, reading)
        return number if number is None else limited(number, declared, path, str(number), reading)
    text = _typed(raw, str, "text in quotes", declared, path, reading)
    if text is not None and declared.choices and text not in declared.choices:
        choices = ", ".join(f'"{choice}"' for choice in declared.choices)
        reading.at_key(
            "K11",
            path,
            f'{key_of(path)} = "{text}" is no choice here',
            why=declared.meaning,
            write=f"{_near_choice(text, declared, path)}Write one of: {choices}.",
        )
        return declared.choices[0]
    return text


def _near_choice(text: str, declared: Key, path: Path) -> str:
    """Return the choice that is meant by what people say, or by a word that is like it."""
    said = read_table("said_keys.toml")["choices"].get(key_of(path), {})
    plain = " ".join(text.casefold().split())
    words = {
        word: choice for choice in declared.choices for word in (choice, *said.get(choice, ()))
    }
    meant = words.get(plain) or words.get(nearest(plain, words, 0.75) or "")
    return f'Did you mean "{meant}"? ' if meant else ""


def _said_typical(raw: Any, declared: Key) -> bool:
    """Say whether a choice, a part, a count or a flag is called typical; a name may be."""
    chosen = bool(declared.choices or part_table(declared)) or declared.quantity in CHOSEN
    chosen = chosen or declared.kind in ("flag", "number")
    return chosen and isinstance(raw, str) and raw != without_typical(raw)


def _not_typical(raw: str, declared: Key, path: Path, reading: Reading) -> None:
    plain = without_typical(raw).strip() or plain_example(declared).strip('"')
    told = plain if declared.kind in ("flag", "number") else f'"{plain}"'
    reading.at_key(
        "K16",
        path,
        f'{key_of(path)} = "{raw}" cannot be typical',
        why=f"{declared.meaning} Only what is measured lies between two ends; this is one or the "
        "other.",
        write=f"Write {key_of(path)} = {told} if that is likeliest, or leave the key out.",
    )


def _typed(raw: Any, kind: type, words: str, declared: Key, path: Path, reading: Reading) -> Any:
    if isinstance(raw, kind) and not (kind is int and isinstance(raw, bool)):
        return raw
    in_list = isinstance(path[-1], int)
    example = declared.example if in_list else plain_example(declared)
    reading.at_key(
        "K10",
        path,
        f"{'each of ' if in_list else ''}{key_of(path)} must be {words}",
        why=declared.meaning,
        write=f"Write for example {key_of(path)} = {example}.",
    )
    return None


def read_key(record: type, spelled: str, raw: Any, path: Path, reading: Reading) -> Any:
    """Return the value of one key of a record; what is wrong goes to `reading`.

    Raises
    ------
    KeyError
        If the record has no such key.
    """
    declared = {name: key for _, name, key in keys_of(record)}[spelled]
    return _value(raw, declared, path, reading)
