"""The boats that scripts ask about: one that a file describes, or one of a few words."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Mapping
from os import PathLike, fsdecode
from types import NoneType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.boat.load import Loaded
    from seaflow.boat.parts.catalogue import Catalogue


def load(
    file: str | PathLike[str],
    parts: str | PathLike[str] | Iterable[str | PathLike[str]] = (),
    change: Mapping[str, Any] | None = None,
    gaps: bool = False,
) -> Case:
    """Return the boat that a case file describes.

    `parts` are files of own parts. `change` gives values in place of those of the file, as text or
    quantities in tables like its own: {"sea": {"warmest": "28 degC"}, "hose": {"pump to saloon
    unit": {"length": "4 m"}}}. With `gaps` a half-known boat is taken too, for a survey: what is
    typical then counts as not seen. Warnings about the file go to Python's warnings.

    Raises
    ------
    SeaflowError
        With every problem of the file; its `problems` have code, line and what to write.
    TypeError
        If `file` is no name of a file, or `change` no dictionary.
    """
    from seaflow.boat.load import load_case

    if not isinstance(change, (Mapping, NoneType)):
        raise TypeError(f"what to change is a dictionary of tables, not {change!r:.60}")
    known = _catalogue(parts, _file_name(file))
    return _warned(load_case(_file_name(file), known, written(change), gaps))


def typical(
    boat: str | None = None,
    *,
    unit: str | Iterable[str] = (),
    parts: str | PathLike[str] | Iterable[str | PathLike[str]] = (),
    gaps: bool = False,
    **said: str | None,
) -> Case:
    """Return a typical boat, but for what is said of it in the words of the command line.

    typical("sailing monohull, 12 m", unit="16000 BTU/h", supply="230 V 50 Hz", sea="Bahamas").
    `said` are `supply`, `sea` and `pump`; `unit` may be several texts; `parts` and `gaps` are as in
    `load`. What is hard to believe goes to Python's warnings.

    Raises
    ------
    SeaflowError
        With everything that was not understood, and the forms that are.
    TypeError
        If something said is no text, or of none of these.
    """
    from seaflow.forms.typical.boat import spoken_boat

    units = [unit] if isinstance(unit, str) else list(unit)
    unknown = said.keys() - {"supply", "sea", "pump"}
    if unknown:
        raise TypeError(f"of a boat are said unit, supply, sea and pump, not {sorted(unknown)}")
    texts = {name: name_of(text) for name, text in ({"boat": boat} | said).items()}
    told = {**texts, "unit": [str(name_of(one)) for one in units]}
    return _warned(spoken_boat(told, _catalogue(parts), gaps).loaded)


def _catalogue(
    parts: str | PathLike[str] | Iterable[str | PathLike[str]], case: str = ""
) -> Catalogue | None:
    from seaflow.boat.parts.own_parts import load_parts, of_the_case

    names = [parts] if isinstance(parts, (str, PathLike)) else list(parts)
    files = [_file_name(name) for name in names]
    files = [of_the_case(name, case) for name in files] if case else files
    return load_parts(files).catalogue if files else None


def _warned(loaded: Loaded) -> Case:
    """Return a case, and give what was remarked in it to Python's warnings."""
    for problem in loaded.warnings:
        warnings.warn(f"{problem.code} {problem.what}", stacklevel=3)
    return loaded.case


def _file_name(name: str | PathLike[str]) -> str:
    if not isinstance(name, (str, PathLike)):
        raise TypeError(f"the name of a file is text or a path, not {name!r:.60}")
    return fsdecode(name)


def written(value: Any) -> Any:
    """Return values as they would be written, in a file or by hand."""
    if isinstance(value, Mapping):
        return {str(name): written(item) for name, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [written(item) for item in value]
    if hasattr(value, "magnitude") and hasattr(value, "units"):
        return f"{value.magnitude:.12g} {value.units:~C}"
    return value


def name_of(name: str | None) -> str | None:
    """Return a name, or none.

    Raises
    ------
    TypeError
        If it is neither.
    """
    if not isinstance(name, (str, NoneType)):
        raise TypeError(f"a name is text, not {name!r:.60}")
    return name
