"""A case file as text, with every key explained: the starter, and what an interview ends in.

Keys that are not given are written as lines that start with # and no space; remarks have a space.
"""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

from seaflow.base.shipped import schema_line
from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.keys import Key, keys_of

WIDTH = 100
REMARK_COLUMN = 44


def starter_text() -> str:
    """Return the starter: an invented boat that can be sized as it stands."""
    return case_text(read_table("starter.toml")["case"], "head")


def case_text(raw: Mapping[str, Any], head: str) -> str:
    """Return a case as a commented file, in the order of a site visit.

    `raw` holds the values as TOML data; `head` names the heading in seaflow/data/starter.toml.
    """
    table = read_table("starter.toml")
    declared = {spelled: key for _, spelled, key in keys_of(Case)}
    explained: set[type] = set()
    lines = [schema_line("case"), *remark(table[head]), "", f"schema = {raw['schema']}", ""]
    for name in table["order"]:
        lines += [_rule(name), *remark(table["lessons"][name])]
        lines += _tables(name, declared[name], raw.get(name), explained)
    return "\n".join(lines).rstrip("\n") + "\n"


def value_text(value: Any) -> str:
    """Return a value as it is written in TOML, on one line."""
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {value_text(item)}" for key, item in value.items()) + " }"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(value_text(item) for item in value) + "]"
    return str(value)


def _tables(name: str, declared: Key, given: Any, explained: set[type]) -> Iterator[str]:
    record = declared.of
    assert record is not None
    if not declared.many:
        # A table that is read whether it stands there or not needs no # before its head.
        live = given is not None or any(key.default for _, _, key in keys_of(record))
        yield f"[{name}]" if live else f"#[{name}]"
        yield from _all_keys(record, given or {}, explained)
        yield ""
        return
    for index, item in enumerate(given or ()):
        yield f"[[{name}]]"
        yield from _all_keys(record, item, explained) if index == 0 else _bare_keys(record, item)
        yield ""
    if not given:
        yield f"#[[{name}]]"
        yield from _all_keys(record, {}, explained, called=name.replace("_", " "))
        yield ""


def _bare_keys(record: type, given: Mapping[str, Any]) -> Iterator[str]:
    for _, spelled, _ in keys_of(record):
        if spelled in given:
            yield f"{spelled} = {value_text(given[spelled])}"


def _all_keys(
    record: type, given: Mapping[str, Any], explained: set[type], called: str = ""
) -> Iterator[str]:
    """Yield every key of a table; `called` is the name of a thing that is only an example."""
    for _, spelled, declared in keys_of(record):
        if spelled == "name" and called:
            yield f"#name = {value_text(called)}"
            continue
        line = f"#{spelled} = {example_of(declared)}"
        if spelled in given:
            line = f"{spelled} = {value_text(given[spelled])}"
        if declared.of is not None and declared.of not in explained:
            explained.add(declared.of)
            yield from _explanation(spelled, declared)
            yield line
        else:
            yield from _with_meaning(line, declared)


def example_of(declared: Key) -> str:
    """Return an example of a key as TOML; that of a nested table shows every key it may have."""
    if declared.of is None:
        return declared.example
    inner = ", ".join(f"{spelled} = {example_of(key)}" for _, spelled, key in keys_of(declared.of))
    return f"[{{ {inner} }}]" if declared.many else f"{{ {inner} }}"


def _explanation(name: str, declared: Key) -> Iterator[str]:
    assert declared.of is not None
    yield from remark(f"{name}: {_meaning(declared)} It holds")
    for _, spelled, key in keys_of(declared.of):
        yield from textwrap.wrap(
            f"{spelled:<16} {_meaning(key)}{' Needed.' if key.required else ''}",
            WIDTH,
            initial_indent="#   ",
            subsequent_indent="#" + " " * 20,
        )


def _with_meaning(line: str, declared: Key) -> Iterator[str]:
    """Yield a key with its meaning beside it, or above it where the line would be too long."""
    meaning = _meaning(declared)
    if line.startswith("#") and declared.required:
        meaning += " Needed."
    beside = f"{line:<{REMARK_COLUMN - 2}}  # {meaning}"
    if len(beside) <= WIDTH:
        yield beside
    else:
        yield from remark(meaning)
        yield line


def _meaning(declared: Key) -> str:
    if declared.choices:
        return declared.meaning + " One of: " + ", ".join(declared.choices) + "."
    if declared.default is not None:
        return f"{declared.meaning} If left out: {default(declared.default).text}."
    return declared.meaning


def _rule(name: str) -> str:
    return f"# {'-' * 4} {name.replace('_', ' ')} ".ljust(WIDTH, "-")


def remark(text: str) -> Iterator[str]:
    """Yield a text as lines of remarks; an empty line parts paragraphs."""
    for index, paragraph in enumerate(text.strip().split("\n\n")):
        if index:
            yield "#"
        for line in textwrap.wrap(paragraph, WIDTH - 2):
            yield f"# {line}"
