"""Pages of the packaged tables: parts, assumptions, problem codes, glossary."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

from generator.text import ROOT, page, table
from seaflow.base import glossary
from seaflow.base.problems import meanings
from seaflow.base.sources import source
from seaflow.base.tables import read_table
from seaflow.boat.seas import places, sea_at
from seaflow.present.problems import meanings_text

DATA = ROOT / "seaflow" / "data"
LONGEST_LIST = 7  # entries of a list that a page shows; the tables hold longer ones


def parts_page() -> str:
    """Return the parts tables with the source of each row."""
    blocks = []
    for path in (
        *sorted((DATA / "parts").glob("*.toml")),
        *(DATA / f"{name}.toml" for name in OTHERS),
        *sorted((DATA / "sound").glob("*.toml")),
    ):
        text = path.read_text(encoding="utf-8")
        rows = [
            (f"`{name}`", _figures(row), "invented" if row.get("invented") else _source(row))
            for name, row in _rows(tomllib.loads(text))
        ]
        blocks += [
            f"## {'sound: ' if path.parent.name == 'sound' else ''}{path.stem}\n",
            _comment(text) + "\n",
            table(("name", "figures", "source"), rows),
        ]
    intro = """
The parts that come with seaflow, as they stand in `seaflow/data/`, and at the end the tables that
[`seaflow place`](placing.md) reckons sound with. Pumps and strainers are invented, to show the
method. "Common practice" means that the trade says so and no source was found; "trade page" that
one page was read whose publisher is not named here.
"""
    return page("Parts and other tables", intro, *blocks)


def seas() -> str:
    """Return the table of seas by place, with the rule that makes a harbour of it."""
    rows = []
    for place in places():
        sea = sea_at(place.name)
        figures = (place.warmest, place.typical, place.coldest_used, min(place.months))
        shown = (f"{value:.1f}" for value in (*figures, place.between_years, sea.warmest))
        rows.append((place.name, ", ".join(place.also), *shown, f"{place.salinity:.0f}"))
    content = read_table("seas.toml")
    rules = [
        (name, f"{row['above_warmest']} +/- {row['half_width']}", row["above_month"], row["source"])
        for name, row in content["water"].items()
    ]
    winter = content["winter"]
    cited = ", ".join(source(content[key]).text for key in ("source", "salinity_source"))
    intro = f"""
`--sea "Lesser Antilles"`, and `place = "Lesser Antilles"` in the table `[sea]` of a case, take the
sea from this table, without a network. Of seas that bear one name the warmest is taken. Months are
those of the surface of open water, 1991 to 2020, in degC; "used" is the coolest of the six warmest
months, "between years" the standard deviation of the warmest. Sources: {cited}.

A harbour is warmer than the open water in summer and colder in winter. For heating
{winter["below_coldest"]} are taken off the coldest month: {winter["source"]}. A thermometer in the
harbour beats the table: write what it shows as `warmest`, and the answer says that it did.
"""
    head = ("place", "also", "warmest", "typical", "used", "coldest", "between years")
    return page(
        "Seas by place",
        intro,
        table(("water", "over the warmest month", "over other months", "source"), rules),
        table((*head, "hot afternoon in harbour", "g/kg"), rows),
    )


OTHERS = ("motors", "conductors", "refrigerants", "duties")


def _comment(text: str) -> str:
    lines = []
    for line in text.splitlines():
        if not line.startswith("#"):
            break
        lines.append(line.lstrip("# "))
    return " ".join(lines)


def _rows(content: dict[str, Any], before: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield every innermost table with its name."""
    for name, row in content.items():
        if isinstance(row, dict) and row and all(isinstance(item, dict) for item in row.values()):
            yield from _rows(row, "")
        elif isinstance(row, dict):
            yield before + name, row


def _figures(row: dict[str, Any]) -> str:
    skipped = ("seen", "aliases", "invented")
    shown = {key: item for key, item in row.items() if key not in skipped}
    return "; ".join(
        f"{key.replace('_', ' ')} {_value(item)}"
        for key, item in shown.items()
        if not key.endswith("source")
    )


def _value(item: Any) -> str:
    if isinstance(item, list):
        many = len(item) > LONGEST_LIST
        return f"{len(item)} values" if many else ", ".join(_value(part) for part in item)
    if isinstance(item, dict):
        return " ".join(f"{key} {_value(part)}" for key, part in item.items())
    return {True: "yes", False: "no"}.get(item, str(item)) if isinstance(item, bool) else str(item)


def _source(row: dict[str, Any]) -> str:
    texts = [str(item) for key, item in row.items() if key.endswith("source")]
    if not texts:
        return "said above the table"
    return "; ".join(texts) + (f" ({row['seen']})" if "seen" in row else "")


def assumptions() -> str:
    """Return defaults, limits and spreads with their sources."""
    head = ("name", "meaning", "value", "source")
    blocks = []
    for title, name, value in (
        ("Defaults: what stands in for a key left out", "defaults", lambda row: row["value"]),
        ("Limits and aims", "limits", lambda row: row["value"]),
        ("Spreads: how far an input may lie from the value used", "spreads", _spread),
        (
            "Typical values: how far boats lie from one that gives no half width",
            "typical_widths",
            lambda row: row["half"],
        ),
    ):
        rows = [
            (
                f"`{key}`",
                _meaning(name, key, row),
                value(row),
                row["source"],
            )
            for key, row in read_table(f"{name}.toml").items()
        ]
        blocks += [f"## {title}\n", table(head, rows)]
    intro = """
Nothing stands in silently. Each answer lists the defaults it needed; this page lists them all.
What the theory leaves out is on the page on [theory](theory.md#what-is-left-out).
"""
    return page("Limits and assumptions", intro, *blocks)


def _meaning(name: str, key: str, row: dict[str, Any]) -> str:
    if name == "typical_widths":
        return glossary.glossary_entry(key).meaning
    return str(row["meaning"])


def _spread(row: dict[str, Any]) -> str:
    unit = f" {row['unit']}" if "unit" in row else ""
    ends = f" {row['low']} to {row['high']}{unit}" if "low" in row else ""
    return f"{row.get('shape', '')}{ends}"


def problems() -> str:
    """Return the problem codes."""
    rows = [(one.code, one.title, one.meaning, one.mend, str(one.exit)) for one in meanings()]
    intro = """
A problem names the thing on the boat, the file and the line, shows the line with a mark under what
is wrong, says why it matters and what to write. The same slip on several lines is shown once, with
the other lines named. All problems are told at once, and then nothing is calculated. A warning is
told and the calculation goes ahead. With `--json` every problem stands by itself.

`seaflow explain K02` shows a row of this page at the terminal, several codes several rows, and no
code all of them:

```console
$ seaflow explain K02
%s
```

The letter tells where it lies: F the file, K a key or its value, Q a value that can be used and is
hard to believe, S the boat as a whole, P a part of your own, A a checklist that was filled in, M
something that was asked and cannot be known, D a reading of a diagnosis, W a file that was to be
written.

## Exit codes

| exit code | what it says |
| --- | --- |
| 0 | the answer is yes: the need is met, nothing found is serious, every file can be used |
| 1 | the answer is no: the need is not met, something is critical or major, or to be done soon |
| 2 | the input cannot be used: every problem is listed, and nothing was calculated or written |
| 3 | tight, or what decides was not seen: the text says what is short or missing |
| 70 | a fault of seaflow itself: one line says how to report it, with which files |
| 74 | the answer cannot be written: standard output is full, closed, or nobody reads it any more |
| 130 | interrupted: files are whole or not there, and the answers of an interview are kept |

Where several cases are asked about the worst of them counts. A code with exit 0 below is a warning
and changes nothing.

## Codes
"""
    head = ("code", "title", "meaning", "what to do", "exit")
    shown = meanings_text(meanings(["K02"]))
    return page("Problem codes", intro % shown, table(head, rows))


def glossary_page() -> str:
    """Return the glossary."""
    rows = []
    for name in glossary.names():
        entry = glossary.glossary_entry(name)
        span = (
            "" if entry.plausible is None else f"{entry.plausible[0]:g} to {entry.plausible[1]:g}"
        )
        rows.append((f"`{name}`", entry.meaning, entry.unit, span))
    intro = "The names of quantities in the code and in `--json`, each with its one unit inside."
    return page("Glossary", intro, table(("name", "meaning", "unit", "plausible"), rows))
