"""The tables of the verification page: printed values beside ours. Uses the driver of the tests."""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from generator.text import ROOT, page, table

PUBLISHED = ROOT / "tests" / "published"
CROSS = ROOT / "tests" / "cross"
INTRO = """
How far seaflow's numbers can be trusted, by what vouches for them. "Allowed" is the tolerance and
comes from the evidence, mostly half a unit of the last digit printed. "Used" is the share of it
that the difference takes up. The tests run every row.
"""
SEEN = {
    "read": "in print",
    "computed": "with a library that is named",
    "second-hand": "in a copy",
    "memory": "not seen",
}
PARTS = {  # by title: the first column of values, what the rows prove, where they stand
    "Outside values": (
        "printed",
        "Values from outside this project, by a route of their own.",
        "`tests/published/*.toml`",
    ),
    "Weak": (
        "printed",
        "Values from outside too, but more than 20 % off would pass: they show the right order.",
        "`tests/published/*.toml`",
    ),
    "Worked by hand": (
        "hand",
        "Somebody did the sum with plain arithmetic, by the formula that the row names. They show "
        "that the formula was typed rightly, not that it is right.",
        "`tests/cross/by_hand/*.toml`",
    ),
    "Plumbing": (
        "library",
        "The library that seaflow asks, beside itself: only the units, the order of the arguments "
        "and a table made with it are tried. No outside truth.",
        "`tests/cross/plumbing/*.toml`",
    ),
}
DIGITS_BEYOND = 1  # of the tolerance, to which our value is shown
MOST_DECIMALS = 8

Rows = list[tuple[str, dict[str, Any]]]


def verification() -> str:
    """Return every value that vouches for seaflow beside ours, by what it proves."""
    driver = _driver(ROOT / "tests" / "helpers" / "value_rows.py")
    found: dict[str, Rows] = {"Outside values": [], "Weak": []}
    for name, row in driver.rows(PUBLISHED):
        found["Weak" if driver.is_weak(row) else "Outside values"].append((name, row))
    found["Worked by hand"] = driver.rows(CROSS / "by_hand")
    found["Plumbing"] = driver.rows(CROSS / "plumbing")
    counts = (
        (f"[{title}](#{title.lower().replace(' ', '-')})", len(rows), PARTS[title][1])
        for title, rows in found.items()
    )
    parts = [table(("part", "checks", "what they are"), counts), _how_seen(found["Outside values"])]
    for title, rows in found.items():
        parts += _part(driver, title, rows)
    return page("Verification", INTRO, *parts)


def _how_seen(rows: Rows) -> str:
    """Return how the values of some rows were seen, and how many each way."""
    seen = [row["seen"] for _, row in rows]
    each = [f'{seen.count(word)} "{word}" ({meaning})' for word, meaning in SEEN.items()]
    return f"How the {len(rows)} outside values were seen: {', '.join(each)}.\n"


def _part(driver: ModuleType, title: str, rows: Rows) -> Iterator[str]:
    """Yield the tables and sources of one part, a table for each subject."""
    column, meaning, where = PARTS[title]
    yield f"## {title}\n"
    yield f"{meaning} There are {len(rows)}, in {where}.\n"
    subjects: dict[str, list[dict[str, Any]]] = {}
    for name, row in rows:
        subjects.setdefault(name.removesuffix(".toml"), []).append(row)
    head = ("check", "what", column, "ours", "allowed", "used", "seen")
    for subject, checks in subjects.items():
        yield f"### {title}: {subject}\n"
        yield table(head, (_line(driver, row) for row in checks))
        yield from _sources(checks)


def _driver(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location("value_rows", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _line(driver: ModuleType, row: dict[str, Any]) -> tuple[str, ...]:
    """Return one row of the table; of several values the one that is furthest off."""
    printed, ours, many = _worst(driver, row)
    allowed = _allowed(row, printed)
    what = row["what"] + (f" (furthest off of {many})" if many > 1 else "")
    used = abs(ours - printed) / allowed
    return (
        row["id"],
        what,
        f"{printed:.10g}",
        _shown(ours, allowed),
        f"{allowed:.2g}",
        f"{used:.2f}",
        row["seen"],
    )


def _worst(driver: ModuleType, row: dict[str, Any]) -> tuple[float, float, int]:
    expected = row["expected"]
    if isinstance(expected, dict):
        pairs = [(value, driver.ours(row, field)) for field, value in expected.items()]
    else:
        pairs = [(expected, driver.ours(row))]
    printed = np.concatenate([np.ravel(np.asarray(a, dtype=float)) for a, _ in pairs])
    ours = np.concatenate([np.ravel(np.asarray(b, dtype=float)) for _, b in pairs])
    used = [abs(b - a) / _allowed(row, a) for a, b in zip(printed, ours, strict=True)]
    worst = int(np.argmax(np.round(used, 2)))
    return float(printed[worst]), float(ours[worst]), printed.size


def _allowed(row: dict[str, Any], printed: float) -> float:
    tolerance = row["tolerance"]
    share = tolerance.get("relative", 0.0) * abs(printed)
    return float(max(tolerance.get("absolute", 0.0), share))


def _shown(value: float, allowed: float) -> str:
    """Return our value to one digit beyond the tolerance."""
    decimals = min(DIGITS_BEYOND - math.floor(math.log10(allowed)), MOST_DECIMALS)
    if decimals > 0:
        return f"{value:.{decimals}f}" if abs(value) >= 1e-4 else f"{value:.4g}"
    return f"{value:.0f}"


def _sources(rows: list[dict[str, Any]]) -> Iterator[str]:
    """Yield where the values come from and why the tolerance is what it is."""
    grouped: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        grouped.setdefault((row["source"], row["why"]), []).append(row["id"])
    for (source, why), checks in grouped.items():
        yield f"- {', '.join(checks)}: {source.rstrip('.')}. Allowed: {why.rstrip('.')}."
    yield ""
