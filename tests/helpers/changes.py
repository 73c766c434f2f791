"""Small changes that can be made to a module: one operator, word, sign, number or index at a time.

Places are counted in bytes, as the syntax tree counts columns.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

FACTOR = 1.1  # on numbers; well outside every tolerance of a published value
OPERATORS: dict[type[ast.AST], tuple[str, str]] = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "/"),
    ast.Pow: ("**", "*"),
    ast.Mod: ("%", "+"),
    ast.Lt: ("<", ">="),
    ast.Gt: (">", "<="),
    ast.LtE: ("<=", ">"),
    ast.GtE: (">=", "<"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.Is: ("is", "is not"),
    ast.IsNot: ("is not", "is"),
    ast.In: ("in", "not in"),
    ast.NotIn: ("not in", "in"),
    ast.And: ("and", "or"),
    ast.Or: ("or", "and"),
}
CALLS = {"min": "max", "any": "all", "minimum": "maximum", "fmin": "fmax", "floor": "ceil"}
CALLS |= {"amin": "amax", "argmin": "argmax", "nanmin": "nanmax"}
CALLS |= {new: old for old, new in CALLS.items()}
# Arguments that shape a class or guard a loop; nothing that is computed depends on them.
SHAPE = {"frozen", "slots", "eq", "order", "kw_only", "repr", "compare", "strict", "maxsize"}
ABSOLUTE = {"abs", "absolute", "fabs"}


@dataclass(frozen=True)
class Change:
    """One change of one module."""

    module: Path
    line: int
    start: int
    end: int
    old: str
    new: str
    statement: tuple[int, int]  # first and last line of the statement, or of its head
    function: str  # in which it stands; empty at the top of the module and in a class
    names: tuple[str, ...]  # that a statement outside functions gives
    text: str  # of the line, without the space before and behind
    column: int  # in that text

    def __str__(self) -> str:
        place = f"{self.module}:{self.line}"
        return f"{place}: {self.old or 'nothing'} -> {self.new or 'nothing'} in  {self.text}"

    @property
    def key(self) -> tuple[str, int, str, str]:
        """What tells it from any other change wherever its line stands."""
        return self.text, self.column, self.old, self.new


def changes_of(module: Path, source: bytes) -> list[Change]:
    """Every change that can be made to a module, in the order of its text."""
    finder = _Finder(module, source)
    finder.visit(ast.parse(source))
    return sorted(finder.found, key=lambda one: (one.start, one.new))


def changed(source: bytes, change: Change) -> bytes:
    """The text of a module with one change made."""
    return source[: change.start] + change.new.encode() + source[change.end :]


class _Finder(ast.NodeVisitor):
    """Walks through a module; docstrings, types and texts are left as they are."""

    def __init__(self, module: Path, source: bytes) -> None:
        self.module, self.source = module, source
        self.lines = source.splitlines(keepends=True)
        self.starts = [0]
        for line in self.lines:
            self.starts.append(self.starts[-1] + len(line))
        self.found: list[Change] = []
        self.statement, self.names = (1, 1), ()
        self.functions: list[str] = []

    def visit(self, node: ast.AST) -> None:
        if not isinstance(node, ast.stmt):
            super().visit(node)
            return
        before = self.statement, self.names
        body = getattr(node, "body", None)
        last = node.end_lineno or node.lineno
        if isinstance(body, list) and body:
            last = max(node.lineno, body[0].lineno - 1)
        self.statement = (node.lineno, last)
        self.names = (*self.names, *_given(node)) if not self.functions else ()
        super().visit(node)
        self.statement, self.names = before

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for part in (*node.decorator_list, *node.args.defaults, *node.args.kw_defaults):
            if part is not None:
                self.visit(part)
        self.functions.append(node.name)
        for part in node.body:
            self.visit(part)
        self.functions.pop()

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        for part in (*node.decorator_list, *node.body):
            self.visit(part)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_If(self, node: ast.If) -> None:
        if "TYPE_CHECKING" not in ast.unparse(node.test):
            self.generic_visit(node)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Columns inside a text with values cannot be trusted."""

    def visit_BinOp(self, node: ast.BinOp) -> None:
        texts = (ast.JoinedStr, ast.List, ast.Tuple)
        sides = (node.left, node.right)
        if not any(isinstance(side, texts) or _is_text(side) for side in sides):
            self._between(node.left, node.op, node.right)
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        for left, right in zip(node.values, node.values[1:], strict=False):
            self._between(left, node.op, right)
        self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        sides = [node.left, *node.comparators]
        for left, operator, right in zip(sides, node.ops, sides[1:], strict=False):
            self._between(left, operator, right)
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, (ast.Not, ast.USub)):
            start = self._start(node)
            self._add(start, start + (3 if isinstance(node.op, ast.Not) else 1), "")
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        function = node.func
        name = function.attr if isinstance(function, ast.Attribute) else _name(function)
        end = self._end(function)
        if name in CALLS:
            self._add(end - len(name), end, CALLS[name])
        elif name in ABSOLUTE and len(node.args) == 1 and not node.keywords:
            self._add(self._start(function), end, "")
        for part in (node.func, *node.args, *node.keywords):
            if getattr(part, "arg", None) not in SHAPE:
                self.visit(part)

    def visit_Subscript(self, node: ast.Subscript) -> None:
        index = ast.unparse(node.slice)
        if index in ("0", "-1"):
            self._add(self._start(node.slice), self._end(node.slice), "-1" if index == "0" else "0")
        else:
            self.visit(node.slice)
        self.visit(node.value)

    def visit_Constant(self, node: ast.Constant) -> None:
        value = node.value
        if isinstance(value, bool):
            self._add(self._start(node), self._end(node), repr(not value))
        elif isinstance(value, int):
            self._add(self._start(node), self._end(node), repr(value + 1))
        elif isinstance(value, float) and value:
            self._add(self._start(node), self._end(node), repr(value * FACTOR))

    def _between(self, left: ast.expr, operator: ast.AST, right: ast.expr) -> None:
        if type(operator) not in OPERATORS:
            return
        old, new = OPERATORS[type(operator)]
        start, end = self._end(left), self._start(right)
        between = self.source[start:end].decode()
        pattern = r"\s+".join(map(re.escape, old.split()))
        place = re.search(rf"\b{pattern}\b" if old[0].isalpha() else pattern, between)
        if place and "#" not in between:
            self._add(start + place.start(), start + place.end(), new)

    def _add(self, start: int, end: int, new: str) -> None:
        line = next(i for i, first in enumerate(self.starts) if first > start)
        whole = self.lines[line - 1]
        text = whole.strip()
        column = start - self.starts[line - 1] - (len(whole) - len(whole.lstrip()))
        old = self.source[start:end].decode()
        where = (self.statement, ".".join(self.functions), self.names)
        self.found.append(
            Change(self.module, line, start, end, old, new, *where, text.decode(), column)
        )

    def _at(self, line: int, column: int) -> int:
        return self.starts[line - 1] + column

    def _start(self, node: ast.expr) -> int:
        return self._at(node.lineno, node.col_offset)

    def _end(self, node: ast.expr) -> int:
        return self._at(node.end_lineno or 0, node.end_col_offset or 0)


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _name(node: ast.expr) -> str:
    return node.id if isinstance(node, ast.Name) else ""


def _given(node: ast.stmt) -> Iterator[str]:
    """The names that a statement outside functions gives to the rest of the package."""
    if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
        yield node.name
    targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
    for target in targets:
        for part in ast.walk(target) if target is not None else ():
            if isinstance(part, ast.Name):
                yield part.id
