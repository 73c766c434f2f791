"""The source of the package as syntax trees, for the tests of its architecture."""

from __future__ import annotations

import ast
import io
import subprocess
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LAYERS = ("base", "physics", "boat", "forms", "model", "studies", "present", "cli")
# Counted as McCabe's measure counts them: a comprehension is no branch.
_BRANCHES = (ast.If, ast.For, ast.While, ast.ExceptHandler, ast.match_case)
_QUIET = (tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT)
_NOT_SOURCE = {"__pycache__", "build", "dist", ".git", ".venv", "venv", ".hypothesis"}
_NOT_SOURCE |= {".mypy_cache", ".pytest_cache", ".ruff_cache"}

Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True)
class Module:
    """One module of the package."""

    name: str
    path: Path
    text: str
    tree: ast.Module

    @property
    def layer(self) -> str:
        """Folder below seaflow; the package itself and its main count as the command line."""
        parts = self.name.split(".")
        return parts[1] if len(parts) > 1 and parts[1] in LAYERS else "cli"

    @property
    def shown(self) -> str:
        return str(self.path.relative_to(ROOT))


@dataclass(frozen=True)
class Import:
    """One module that another one imports; `typing_only` if it is never imported at run time."""

    target: str
    line: int
    typing_only: bool


@cache
def modules() -> tuple[Module, ...]:
    """Every module of the package, in order of name."""
    found = []
    for path in sorted((ROOT / "seaflow").rglob("*.py")):
        parts = list(path.relative_to(ROOT).with_suffix("").parts)
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        text = path.read_text(encoding="utf-8")
        found.append(Module(name, path, text, ast.parse(text)))
    return tuple(found)


def imports(module: Module) -> Iterator[Import]:
    """What a module imports, anywhere in it; our own modules by their full names."""
    names = {one.name for one in modules()}
    only = _typing_lines(module.tree)
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(alias.name, node.lineno, node.lineno in only)
        elif isinstance(node, ast.ImportFrom):
            start = node.module or ""
            if node.level:
                package = module.name.split(".")[: -node.level]
                start = ".".join([*package, start] if start else package)
            for alias in node.names:
                full = f"{start}.{alias.name}"
                yield Import(full if full in names else start, node.lineno, node.lineno in only)


def _typing_lines(tree: ast.Module) -> set[int]:
    lines: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            for part in node.body:
                lines |= set(range(part.lineno, (part.end_lineno or part.lineno) + 1))
    return lines


def functions(module: Module) -> Iterator[Function]:
    """Every function and method of a module, those inside others too."""
    for node in ast.walk(module.tree):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            yield node


def code_lines(module: Module, function: Function) -> int:
    """Lines of a function that hold code: no blank lines, comments or docstring."""
    return len(_code_lines(module) & set(range(function.lineno, (function.end_lineno or 0) + 1)))


@cache
def _code_lines(module: Module) -> frozenset[int]:
    lines: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(module.text).readline):
        if token.type not in _QUIET:
            lines |= set(range(token.start[0], token.end[0] + 1))
    for node in ast.walk(module.tree):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)):
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                lines -= set(range(first.lineno, (first.end_lineno or 0) + 1))
    return frozenset(lines)


def n_parameters(function: Function) -> int:
    """Parameters of a function, without self and cls."""
    given = function.args
    named = [*given.posonlyargs, *given.args, *given.kwonlyargs]
    names = [one.arg for one in named if one.arg not in ("self", "cls")]
    return len(names) + (given.vararg is not None) + (given.kwarg is not None)


def complexity(function: Function) -> int:
    """Ways through a function: one, and one more for each branch, loop and handler."""
    return 1 + sum(isinstance(node, _BRANCHES) for node in ast.walk(function))


def repository_files() -> list[Path]:
    """Every file of the repository that is, or would be, under version control."""
    command = ["git", "ls-files", "-co", "--exclude-standard", "-z"]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    if run.returncode == 0:
        names = [name for name in run.stdout.split("\0") if name]
        return [ROOT / name for name in names if (ROOT / name).is_file()]
    return [
        path
        for path in ROOT.rglob("*")
        if path.is_file() and not _NOT_SOURCE & set(path.relative_to(ROOT).parts)
    ]
