"""Read the TOML tables that ship with the package."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def read_table(name: str) -> dict[str, Any]:
    """Return the packaged table `name`, a path below seaflow/data such as "parts/hoses.toml".

    Raises
    ------
    FileNotFoundError
        If the package holds no such table.
    """
    return tomllib.loads(files("seaflow").joinpath("data", name).read_text(encoding="utf-8"))


@cache
def read_folder(name: str) -> dict[str, Any]:
    """Return all tables of one folder below seaflow/data, merged in order of file name."""
    merged: dict[str, Any] = {}
    folder = files("seaflow").joinpath("data", name)
    for entry in sorted(folder.iterdir(), key=lambda item: item.name):
        if entry.name.endswith(".toml"):
            merged.update(tomllib.loads(entry.read_text(encoding="utf-8")))
    return merged
