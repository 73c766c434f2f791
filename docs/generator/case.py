"""The reference of the case file, from the declarations of its keys."""

from __future__ import annotations

from collections.abc import Iterable

from generator.text import page, table
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.parts.sheets import PartsFile


def case_file() -> str:
    """Return the reference of the case file."""
    return page("The case file: every key", CASE_INTRO, *_reference(Case))


def parts_file() -> str:
    """Return the reference of a file of own parts."""
    return page("The parts file: every key", PARTS_INTRO, *_reference(PartsFile))


def _reference(root: type) -> list[str]:
    simple, sections, inner = [], {}, {}
    for _, spelled, declared in keys_of(root):
        if declared.of is None:
            simple.append((spelled, declared))
        else:
            sections.setdefault(declared.of, []).append((spelled, declared))
    parts = ["## First of all\n", _key_table(simple)]
    for record, named in sections.items():
        heads = [f"[[{name}]]" if declared.many else f"[{name}]" for name, declared in named]
        parts.append("## " + ", ".join(heads) + "\n")
        parts += [f"`{head}`: {key.meaning}  " for head, (_, key) in zip(heads, named, strict=True)]
        parts += ["", _key_table([(name, declared) for _, name, declared in keys_of(record)])]
        _collect(record, inner)
    parts.append("## Tables inside tables\n")
    for record, words in inner.items():
        parts += [f"### {words}\n", (record.__doc__ or "").strip().partition("\n")[0] + "\n"]
        parts.append(_key_table([(name, declared) for _, name, declared in keys_of(record)]))
    return parts


PARTS_INTRO = """
A file of own parts holds one table for each part; [Your own parts](own-parts.md) shows how. All
quantities may be in any unit, and a head may be written as a pressure: `"8 psi"` is 5.63 m of fresh
water. In CSV the keys stand in the first row, and keys of inner tables
behind a dot, such as `water_flow.rated`.
"""

CASE_INTRO = """
A case file describes one boat in [TOML](https://toml.io). The shipped ones in `cases/` are
commented; copy one and change it.

- A quantity is text with its unit: `"4.5 m"`, `"3/4 in"`, `"16000 BTU/h"`, `"6 gpm"`. A bare number
  is refused. How well it is known may follow: `"2.4 m +/- 10 %"`.
- A head of water may be written as the pressure that a sheet prints: `head = "3 psi"` is 2.11 m of
  fresh water, in which makers measure.
- What nobody looked at on this boat is written as typical of such boats, with how far they differ:
  `"4.5 m typical +/- 1 m"`. Without half width, the [usual one](assumptions.md) of its kind holds.
  Answers are drawn over it, and name what to find out next. Between these ends lie nine such boats
  in ten, drawn evenly; behind a known value stand the widest ends thought likely, and the value
  itself is the likeliest. A name, a choice or a count cannot be typical.
- Differences of temperature are written in `K`, temperatures in `degC` or `degF`.
- Heights are from the waterline, boat upright, afloat and loaded: up is positive. `aft` is measured
  from the stem, `starboard` from the centreline; port is negative.
- A key that is left out is "not recorded", or a default stands in for it and the answer says so.
- The order of tables does not matter. Hoses join things by name. `[meta]` takes free notes.
"""


def _collect(record: type, inner: dict[type, str]) -> None:
    for _, _, declared in keys_of(record):
        if declared.of is not None and declared.of not in inner:
            inner[declared.of] = _words(declared.of)
            _collect(declared.of, inner)


def _words(record: type) -> str:
    name = "".join(
        f" {letter.lower()}" if letter.isupper() else letter for letter in record.__name__
    )
    return name.strip().capitalize()


def _key_table(keys: Iterable[tuple[str, Key]]) -> str:
    head = ("key", "what it is", "written as", "if left out", "example")
    rows = [
        (
            f"`{name}`",
            key.meaning,
            _kind(key),
            _left_out(key),
            f"`{key.example}`" if key.example else "",
        )
        for name, key in keys
    ]
    return table(head, rows)


def _kind(key: Key) -> str:
    if key.of is not None:
        link = f"[{_words(key.of).lower()}](#{_words(key.of).lower().replace(' ', '-')})"
        return f"list of {link}" if key.many else link
    if key.quantity is not None:
        words = f"{key.quantity.replace('_', ' ')} with its unit"
    elif key.choices:
        words = "one of " + ", ".join(f'"{choice}"' for choice in key.choices)
    else:
        words = {"flag": "true or false", "number": "whole number"}.get(key.kind, "text")
    return f"list: {words}" if key.many else words


def _left_out(key: Key) -> str:
    if key.required:
        return "refused"
    if key.default is None:
        return "not recorded"
    row = default(key.default)
    return f"{row.text} ({row.source})"
