"""Read the TOML tables that ship with the package."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

DATA = Path(__file__).parents[1] / "data"


@cache
def read_table(name: str) -> dict[str, Any]:
    """Return the packaged table `name`, a path below seaflow/data such as "parts/hoses.toml".

    Raises
    ------
    FileNotFoundError
        If the package holds no such table.
    """
    return _read(DATA / name)


@cache
def read_folder(name: str) -> dict[str, Any]:
    """Return all tables of one folder below seaflow/data, merged in order of file name."""
    merged: dict[str, Any] = {}
    for path in sorted((DATA / name).glob("*.toml")):
        merged.update(_read(path))
    return merged


def _read(path: Path) -> dict[str, Any]:
    import tomllib  # help texts are shown without a table

    return tomllib.loads(path.read_text(encoding="utf-8"))
