"""Every public function of the physics says what it takes, gives and refuses, and whence."""

from __future__ import annotations

import importlib
import inspect
import re
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import pytest
from source_tree import ROOT, modules

from seaflow.base import glossary
from seaflow.base.sources import CITATIONS, citation
from seaflow.base.tables import read_folder

SECTIONS = ("Parameters", "Returns", "Raises", "Examples")
ORDER = ("Parameters", "Returns", "Raises", "Notes", "Examples")
# Look-ups of a packaged table: nothing is worked out, and each row of the table names its source.
LOOK_UPS = {"conductor_sizes", "motor_data", "sound_names", "sound_row"}
LOOK_UPS |= {"record"}
SEEN = {"read", "second-hand", "memory"}
_UNIT = re.compile(r"\[([^\[\]]+)\]$")


@cache
def functions() -> dict[str, Callable[..., Any]]:
    """Public functions of the physics, by full name, from the module that defines them."""
    found = {}
    for module in modules():
        last = module.name.split(".")[-1]
        if module.layer != "physics" or last.startswith("_"):
            continue
        for name, value in vars(importlib.import_module(module.name)).items():
            if inspect.isfunction(value) and value.__module__ == module.name and told(name):
                found[f"{module.name}.{name}"] = value
    return found


def told(name: str) -> bool:
    """Whether a name is public; what only refuses is worded like `base.ranges`."""
    return not name.startswith(("_", "require_"))


def sections(function: Callable[..., Any]) -> dict[str, list[str]]:
    """The lines of each section of a docstring, in order."""
    found: dict[str, list[str]] = {"Summary": []}
    now = "Summary"
    lines = (inspect.getdoc(function) or "").splitlines()
    for number, line in enumerate(lines):
        below = lines[number + 1] if number + 1 < len(lines) else ""
        if line and below and set(below) == {"-"} and len(below) == len(line):
            now = line
            found[now] = []
        elif not (line and set(line) == {"-"}):
            found[now].append(line)
    return found


def entries(lines: list[str]) -> Iterator[tuple[str, str]]:
    """Head and joined text of each entry of a section."""
    head, text = "", []
    for line in [*lines, ""]:
        if line and not line.startswith(" "):
            if head:
                yield head, " ".join(text)
            head, text = line, []
        elif line:
            text.append(line.strip())
    if head:
        yield head, " ".join(text)


def parameters_of(function: Callable[..., Any]) -> dict[str, str]:
    """Text of each parameter in the docstring of a function."""
    told = entries(sections(function).get("Parameters", []))
    return {name.strip(): text for head, text in told for name in head.split(":")[0].split(",")}


@pytest.fixture(params=sorted(functions()))
def function(request) -> Callable[..., Any]:
    return functions()[request.param]


def test_there_are_functions() -> None:
    assert len(functions()) > 50


def test_docstring_has_its_sections_in_order(function) -> None:
    found = sections(function)
    expects = set(SECTIONS) - (set() if inspect.signature(function).parameters else {"Parameters"})
    assert not expects - set(found), f"lacks {sorted(expects - set(found))}"
    ours = [name for name in found if name in ORDER]
    assert ours == sorted(ours, key=ORDER.index)
    assert found["Summary"][0].endswith("."), "the first line is no sentence"


def test_every_parameter_is_told_with_the_unit_of_the_glossary(function) -> None:
    told, taken = parameters_of(function), list(inspect.signature(function).parameters)
    wrong = [f"{name} is not taken" for name in told if name not in taken]
    known = set(glossary.names())
    for name in taken:
        if name not in told:
            wrong.append(f"{name} is not told")
        elif name not in known:
            wrong.append(f"{name} is not in the glossary")
        else:
            unit, found = glossary.glossary_entry(name).unit, _UNIT.search(told[name])
            if found is None or found[1] != unit:
                wrong.append(f"{name}: [{found[1] if found else ''}], in the glossary [{unit}]")
    assert not wrong, "; ".join(wrong)


def test_what_it_returns_has_a_unit(function) -> None:
    lacking = [
        head
        for head, text in entries(sections(function).get("Returns", []))
        if not _UNIT.search(text)
    ]
    assert not lacking, f"no unit at the end of: {lacking}"


def test_it_names_its_source(function) -> None:
    if function.__name__ in LOOK_UPS:
        return
    cited = citation(function)
    assert cited is not None, "has no source"
    assert cited.source in read_folder("sources"), f"no source {cited.source!r} in the register"
    assert cited.where.strip()
    # a source may hold in a range of something that its formula does not take
    known = {*inspect.signature(function).parameters, *glossary.names()}
    assert set(cited.valid) <= known


def test_every_citation_is_in_the_register() -> None:
    functions()  # loads every module
    wrong = [one for one in CITATIONS.values() if one.source not in read_folder("sources")]
    assert not wrong


@pytest.mark.parametrize("folder", ["glossary", "sources"])
def test_no_name_is_used_twice(folder: str) -> None:
    homes: dict[str, list[str]] = {}
    for path in sorted((ROOT / "seaflow/data" / folder).glob("*.toml")):
        for name in tomllib.loads(path.read_text(encoding="utf-8")):
            homes.setdefault(name, []).append(path.name)
    twice = {name: files for name, files in homes.items() if len(files) > 1}
    assert not twice


def test_every_source_is_whole() -> None:
    wrong = [
        name
        for name, row in read_folder("sources").items()
        if not {"authors", "year", "title", "seen"} <= set(row) or row["seen"] not in SEEN
    ]
    assert not wrong


def test_every_glossary_entry_is_whole() -> None:
    rows = [glossary.glossary_entry(name) for name in glossary.names()]
    wrong = [row.name for row in rows if not row.unit or not row.meaning.endswith(".")]
    ranges = {row.name: row.plausible for row in rows if row.plausible is not None}
    wrong += [name for name, (low, high) in ranges.items() if not low < high]
    assert not wrong
