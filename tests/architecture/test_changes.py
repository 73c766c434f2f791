"""The changes that the mutation script makes: each kind is found, text and types are left alone."""

from __future__ import annotations

import ast
import tomllib
from pathlib import Path

from changes import Change, changed, changes_of

MODULE = '''
"""Not - this."""

LEAST = 2.5


def f(a: int = 1, *, b: bool = True) -> float:
    """Nor this - one."""
    if not a and b is None:
        return -abs(a - LEAST)
    return max("°", a[0], f"{a - 1}", zip(a, b, strict=True)) if a[-1] <= 3 else g(a)
'''
KINDS = {
    ("2.5", "2.75"),
    ("1", "2"),
    ("True", "False"),
    ("not", ""),
    ("and", "or"),
    ("is", "is not"),
    ("-", ""),
    ("abs", ""),
    ("-", "+"),
    ("max", "min"),
    ("0", "-1"),
    ("-1", "0"),
    ("<=", ">"),
    ("3", "4"),
}


def found() -> list[Change]:
    return changes_of(Path("seaflow/module.py"), MODULE.encode())


def test_every_kind_of_change_is_found_and_nothing_else() -> None:
    assert {(one.old, one.new) for one in found()} == KINDS
    assert len(found()) == len(KINDS)


def test_a_changed_module_differs_in_one_line_and_still_is_one() -> None:
    for one in found():
        new = changed(MODULE.encode(), one).decode()
        ast.parse(new)
        lines = zip(MODULE.split("\n"), new.split("\n"), strict=True)
        assert [i for i, (old, now) in enumerate(lines, 1) if old != now] == [one.line]


def test_a_change_tells_where_it_stands() -> None:
    by_text = {(one.old, one.new): one for one in found()}
    constant, sign = by_text["2.5", "2.75"], by_text["-", "+"]
    assert (constant.function, constant.names, constant.text) == ("", ("LEAST",), "LEAST = 2.5")
    assert (sign.function, sign.names) == ("f", ())
    assert sign.text[sign.column] == "-"
    assert sign.key == ("return -abs(a - LEAST)", 14, "-", "+")


def test_every_line_that_is_said_to_make_no_difference_still_stands() -> None:
    here = Path(__file__)
    text = here.with_name("equivalents.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["equivalent"]
    keys = [(row["line"], row["column"], row["old"], row["new"]) for row in rows]
    modules = list((here.parents[2] / "seaflow").rglob("*.py"))
    lines = {line.strip() for path in modules for line in path.read_text("utf-8").split("\n")}
    assert len(set(keys)) == len(keys)
    gone = [line for line, column, old, _ in keys if line not in lines]
    gone += [line for line, column, old, _ in keys if line[column:][: len(old)] != old]
    assert gone == []
