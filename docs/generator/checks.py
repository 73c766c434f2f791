"""The tables of the verification page: printed values beside ours. Uses the driver of the tests."""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from generator.text import ROOT, page

HEAD = ("check", "what", "printed", "ours", "allowed", "used", "seen")
PUBLISHED = ROOT / "tests" / "published"
BY_HAND = ROOT / "tests" / "cross" / "by_hand"
HAND = """## Worked by hand

These stand in no print: somebody did the sum with plain arithmetic, by the formula that the row
names. They show that the formula was typed rightly, not that it is right. The rows stand in
`tests/cross/by_hand/*.toml`.
"""
DIGITS_BEYOND = 1  # of the tolerance, to which our value is shown
MOST_DECIMALS = 8


def verification() -> str:
    """Return every outside value beside ours."""
    intro = """
Every value that comes from outside this project beside the value that seaflow gives. The rows stand
in `tests/published/*.toml` and the tests run them all. "Allowed" is the tolerance and comes from
the evidence, mostly half a unit of the last digit printed. "Used" is the share of it that the
difference takes up. "Seen" says how the value was seen: "read" in print, "computed" with a library
that is named, "second-hand" in a copy, "memory" not seen.
"""
    return page(
        "Verification", intro, *_parts(PUBLISHED, "printed"), HAND, *_parts(BY_HAND, "hand")
    )


def _parts(folder: Path, expected: str) -> Iterator[str]:
    """Yield the tables and sources of every file of a folder of values."""
    driver = _driver(ROOT / "tests" / "helpers" / "value_rows.py")
    files: dict[str, list[dict[str, Any]]] = {}
    for name, row in driver.rows(folder):
        files.setdefault(name, []).append(row)
    yield f"There are {sum(len(rows) for rows in files.values())} checks.\n"
    head = tuple(expected if word == "printed" else word for word in HEAD)
    for name, rows in files.items():
        yield f"## {name.removesuffix('.toml')}{'' if expected == 'printed' else ', by hand'}\n"
        lines = [head, ("---",) * len(head), *(_line(driver, row) for row in rows)]
        yield "\n".join("| " + " | ".join(cells) + " |" for cells in lines) + "\n"
        yield from _sources(rows)


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
        what.replace("|", "\\|"),
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
