"""Change one sign, operator or number of seaflow/physics at a time and see whether a test fails.

Not part of the suite. From the top of the repository:

    python tests/architecture/mutate.py --count 40 --seed 1 [--module pump runs] [--list]

Every change is made in a copy of the package, never in the tree. A change that no test of
tests/published, tests/laws or tests/cross notices is printed as a survivor: either the change
means nothing (a starting value, a bound that is never met) or a test is missing.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PHYSICS = Path("seaflow/physics")
KINDS = ("published", "laws", "cross")
PATIENCE = 240  # seconds; a change that makes a loop endless counts as noticed
FACTOR = 1.1  # on numbers; well outside every tolerance of a published value
SWAPS: dict[type[ast.AST], str] = {
    ast.Add: "-",
    ast.Sub: "+",
    ast.Mult: "/",
    ast.Div: "*",
    ast.Lt: ">=",
    ast.Gt: "<=",
    ast.LtE: ">",
    ast.GtE: "<",
}
SIGNS = {"+", "-", "*", "/", "<", ">", "<=", ">="}


@dataclass(frozen=True)
class Change:
    """One change of the text of one module."""

    module: Path
    line: int
    start: int
    end: int
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.module}:{self.line}: {self.old.strip()!r} -> {self.new.strip()!r}"


def changes_of(module: Path, folder: Path) -> Iterator[Change]:
    """Every change that can be made to a module of the copy."""
    text = (folder / module).read_text(encoding="utf-8")
    starts = [0]
    for line in text.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))

    def place(line: int, column: int) -> int:
        return starts[line - 1] + column

    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.BinOp):
            yield from _operator(module, text, place, (node.left, node.op, node.right))
        elif isinstance(node, ast.Compare) and len(node.ops) == 1:
            yield from _operator(module, text, place, (node.left, node.ops[0], node.comparators[0]))
        elif isinstance(node, ast.Constant) and type(node.value) is float and node.value:
            start = place(node.lineno, node.col_offset)
            end = place(node.end_lineno or 0, node.end_col_offset or 0)
            new = repr(node.value * FACTOR)
            yield Change(module, node.lineno, start, end, text[start:end], new)


def _operator(module, text, place, parts) -> Iterator[Change]:
    left, operator, right = parts
    if type(operator) not in SWAPS:
        return
    start = place(left.end_lineno, left.end_col_offset)
    end = place(right.lineno, right.col_offset)
    between = text[start:end]
    found = [i for i, letter in enumerate(between) if letter in "+-*/<>"]
    if not found or "#" in between:
        return
    first = start + found[0]
    length = 2 if text[first : first + 2] in SIGNS else 1
    old = text[first : first + length]
    yield Change(module, left.end_lineno, first, first + length, old, SWAPS[type(operator)])


def tests_of(module: Path) -> list[str]:
    """The test files that speak of a module, the published values always among them."""
    found = ["tests/published"]
    for kind in KINDS[1:]:
        for path in sorted((ROOT / "tests" / kind).glob("test_*.py")):
            text = path.read_text(encoding="utf-8")
            name = module.stem
            if "seaflow.physics" in text and (name in text or name.startswith("_")):
                found.append(str(path.relative_to(ROOT)))
    return found


def survives(change: Change, folder: Path) -> bool:
    """Whether all tests still pass with the change made in the copy."""
    target = folder / change.module
    text = target.read_text(encoding="utf-8")
    target.write_text(text[: change.start] + change.new + text[change.end :], encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider"]
    environment = {**os.environ, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1"}
    try:
        run = subprocess.run(
            [*command, *tests_of(change.module)],
            cwd=folder,
            env=environment,
            capture_output=True,
            timeout=PATIENCE,
            check=False,
        )
        return run.returncode == 0
    except subprocess.TimeoutExpired:
        return False
    finally:
        target.write_text(text, encoding="utf-8")


def main() -> int:
    """Try a sample of changes and print those that no test notices."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--module", nargs="*", default=["*"], help="modules, such as pump")
    parser.add_argument("--list", action="store_true", help="only list what would be changed")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for part in ("seaflow", "tests", "cases"):
            shutil.copytree(ROOT / part, folder / part)
        shutil.copy(ROOT / "pyproject.toml", folder)
        paths = {path for name in asked.module for path in (folder / PHYSICS).rglob(f"{name}.py")}
        modules = sorted(path.relative_to(folder) for path in paths)
        possible = [change for module in modules for change in changes_of(module, folder)]
        sample = random.Random(asked.seed).sample(possible, min(asked.count, len(possible)))
        if asked.list:
            print("\n".join(map(str, sample)))
            return 0
        survivors = [change for change in sample if tried(change, folder)]
    print(f"{len(survivors)} of {len(sample)} changes ({len(possible)} possible) were not noticed")
    return 1 if survivors else 0


def tried(change: Change, folder: Path) -> bool:
    """Try one change, say how it went, and return whether it survives."""
    alive = survives(change, folder)
    print(f"{'SURVIVES' if alive else 'noticed '}  {change}", flush=True)
    return alive


if __name__ == "__main__":
    sys.exit(main())
