"""Rows of values in TOML: a function, its inputs, what is expected and why by so much.

A row names a function, its inputs and the expected value. Optional keys: `pick` takes a field, key
or place of the answer ("a.0" goes two steps deep); `less` holds the inputs of a second call that
is subtracted; `scale` turns our unit into the expected one. An input that is itself a table with
`call` and `inputs` is worked out first.
"""

from __future__ import annotations

import sys
import tomllib
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

if str(Path(__file__).parent) not in sys.path:
    sys.path.insert(0, str(Path(__file__).parent))  # a row may name a helper beside this file

REQUIRED = {"id", "what", "call", "inputs", "expected", "tolerance", "why", "source", "seen"}
OPTIONAL = {"pick", "scale", "less"}
SEEN = {"read", "computed", "memory", "second-hand"}
KINDS = {"absolute", "relative"}
WEAK = 0.2  # allowed share of the values of a row above which it shows the right order at most


def rows(folder: Path) -> list[tuple[str, dict[str, Any]]]:
    """All rows of all tables of a folder, each with the name of its file."""
    found = []
    for path in sorted(folder.glob("*.toml")):
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        assert set(table) == {"check"}, f"{path.name} holds something else than [[check]] rows"
        found += [(path.name, row) for row in table["check"]]
    return found


def faults(row: dict[str, Any]) -> list[str]:
    """What is wrong with the form of a row."""
    wrong = [f"lacks {key}" for key in sorted(REQUIRED - set(row))]
    wrong += [f"has unknown key {key}" for key in sorted(set(row) - REQUIRED - OPTIONAL)]
    tolerance = row.get("tolerance")
    if not isinstance(tolerance, dict) or not tolerance or not set(tolerance) <= KINDS:
        wrong.append("tolerance is not a table of absolute or relative")
    elif not all(0 < value < np.inf for value in tolerance.values()):
        wrong.append("tolerance is not above zero")
    if row.get("seen") not in SEEN:
        wrong.append(f"seen is none of {sorted(SEEN)}")
    for key in ("id", "what", "why", "source", "call"):
        if not str(row.get(key, "")).strip():
            wrong.append(f"{key} is empty")
    if str(row.get("call", "")).count(":") != 1:
        wrong.append("call is not of the form module:function")
    if isinstance(row.get("expected"), (list, dict)) and not row["expected"]:
        wrong.append("expected is empty")
    return wrong


def run(call: str, inputs: dict[str, Any]) -> Any:
    """Call the named function with the inputs."""
    module, name = call.split(":")
    function: Any = import_module(module)
    for part in name.split("."):
        function = getattr(function, part)
    return function(**{key: _input(value) for key, value in inputs.items()})


def _input(value: Any) -> Any:
    if isinstance(value, dict) and set(value) == {"call", "inputs"}:
        return run(value["call"], value["inputs"])
    if isinstance(value, list) and all(isinstance(item, (int, float)) for item in value):
        return np.array(value, dtype=float)
    return value


def pick(answer: Any, path: str | int) -> Any:
    """Follow a path of fields, keys and places into an answer."""
    for step in str(path).split("."):
        if isinstance(answer, dict):
            answer = answer[step]
        elif step.lstrip("-").isdigit():
            answer = answer[int(step)]
        else:
            answer = getattr(answer, step)
    return answer


def ours(row: dict[str, Any], field: str | None = None) -> Any:
    """Our answer to a row, in the printed unit; of one named field if the row expects several."""

    def once(inputs: dict[str, Any]) -> Any:
        answer = run(row["call"], inputs)
        answer = pick(answer, row["pick"]) if "pick" in row else answer
        return pick(answer, field) if field is not None else answer

    answer = np.asarray(once(row["inputs"]), dtype=float)
    if "less" in row:
        answer = answer - np.asarray(once(row["less"]), dtype=float)
    return answer * row.get("scale", 1.0)


def compare(row: dict[str, Any], answer: Any, expected: Any) -> None:
    """Assert that answer and printed value agree within the row's tolerance."""
    printed = np.asarray(expected, dtype=float)
    assert np.shape(answer) == printed.shape, (np.shape(answer), printed.shape)
    tolerance = row["tolerance"]
    allowed = np.maximum(
        tolerance.get("absolute", 0.0), tolerance.get("relative", 0.0) * np.abs(printed)
    )
    off = np.abs(answer - printed)
    assert np.all(off <= allowed), (
        f"{row['what']}: printed {printed}, ours {answer}, off by {off}, allowed {allowed}"
    )


def is_weak(row: dict[str, Any]) -> bool:
    """Whether a row allows more than a fifth of what it expects, on the average of its values."""
    expected = row["expected"]
    every = list(expected.values()) if isinstance(expected, dict) else [expected]
    mean = min(float(np.mean(np.abs(np.asarray(value, dtype=float)))) for value in every)
    tolerance = row["tolerance"]
    absolute = tolerance.get("absolute", 0.0)
    return bool(tolerance.get("relative", 0.0) > WEAK or absolute > WEAK * mean > 0.0)


def check(row: dict[str, Any]) -> None:
    """Assert that a row is well formed and that seaflow gives what it expects."""
    assert not faults(row)
    if isinstance(row["expected"], dict):
        for field, value in row["expected"].items():
            compare(row, ours(row, field), value)
    else:
        compare(row, ours(row), row["expected"])
