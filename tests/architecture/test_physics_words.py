"""Every public function of the physics says what it takes, gives and refuses, and whence."""

from __future__ import annotations

import importlib
import inspect
import tomllib
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from generator.docstrings import told
from source_tree import ROOT, modules

from seaflow.base import glossary
from seaflow.base.sources import CITATIONS, citation
from seaflow.base.tables import read_folder

# Look-ups of a packaged table: nothing is worked out, and each row of the table names its source.
LOOK_UPS = {"conductor_sizes", "motor_data", "sound_names", "sound_row"}
LOOK_UPS |= {"record"}
# They take any numbers: a caller on a hot way has checked them, or there is nothing to take.
NEVER_REFUSES = {"friction_factor_and_slope", "head_and_slope", "octave_frequencies"}
SEEN = {"read", "second-hand", "memory"}


@cache
def functions() -> dict[str, Callable[..., Any]]:
    """Public functions of the physics, by full name, from the module that defines them."""
    found = {}
    for module in modules():
        last = module.name.split(".")[-1]
        if module.layer != "physics" or last.startswith("_"):
            continue
        for name, value in vars(importlib.import_module(module.name)).items():
            ours = inspect.isfunction(value) and value.__module__ == module.name
            # what only refuses is worded like `base.ranges`
            if ours and not name.startswith(("_", "require_")):
                found[f"{module.name}.{name}"] = value
    return found


@pytest.fixture(params=sorted(functions()))
def function(request) -> Callable[..., Any]:
    return functions()[request.param]


def test_there_are_functions() -> None:
    assert len(functions()) > 50


def test_docstring_has_its_parts(function) -> None:
    found = told(function)
    assert found.summary.endswith("."), "the first sentence is none"
    assert found.gives, "it does not say what it returns"
    assert found.example, "it has no example"
    assert found.refuses or function.__name__ in NEVER_REFUSES, "it does not say what it refuses"
    assert not found.strange, f"lines that are none of its parts: {found.strange}"


def test_every_parameter_is_told_with_the_unit_of_the_glossary(function) -> None:
    takes, taken = told(function).takes, list(inspect.signature(function).parameters)
    known = set(glossary.names())
    wrong = [f"{name} is not taken" for name in takes if name not in taken]
    for name in taken:
        if name not in takes:
            wrong.append(f"{name} is not told")
        elif name not in known:
            wrong.append(f"{name} is not in the glossary")
        else:
            unit = glossary.glossary_entry(name).unit
            if takes[name][0] != unit:
                wrong.append(f"{name}: [{takes[name][0]}], in the glossary [{unit}]")
    assert not wrong, "; ".join(wrong)


def test_every_parameter_has_a_shape(function) -> None:
    """Annotations say what is a number or an array, and what is an array alone."""
    assert not [
        name
        for name, one in inspect.signature(function).parameters.items()
        if one.annotation is inspect.Parameter.empty
    ]


BROKEN = '''
def f(bore):
    """Area of a bore.

    bore: its width
    returns [m2]: the area
    """
'''


def test_a_line_out_of_shape_is_seen() -> None:
    space: dict[str, Any] = {}
    exec(BROKEN, space)
    found = told(space["f"])
    assert found.strange == ["bore: its width"]
    assert found.gives == ("m2", "the area")
    assert not found.example


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
