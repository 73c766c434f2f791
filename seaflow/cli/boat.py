"""The boat a command is asked about: a case in a file, or what was said of it in a few words."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING, Any, TypeVar

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.common import (
    known_parts,
    of_the_case,
    parts_option,
    refuse,
    sheet_beside,
    warn,
    with_sheets,
)
from seaflow.cli.files import write_new
from seaflow.cli.sheets import completed

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.boat.load import Loaded
    from seaflow.boat.parts.catalogue import Catalogue
    from seaflow.forms.typical.boat import Spoken

_F = TypeVar("_F", bound=Callable[..., Any])

OPTIONS = {
    "boat": ("TEXT", "Kind and length, as in 12 m sailing monohull, or 40 ft ketch."),
    "unit": ("TEXT", "Plate of a unit, as in 16000 BTU/h; may be given again."),
    "supply": ("TEXT", "What the pump runs from, as in 230 V 50 Hz, or 24 V DC."),
    "sea": ("TEXT", "Warmest sea, as in 30 degC, or a place, as in Lesser Antilles."),
    "pump": ("TEXT", "The pump: its name, its sheet, or shut-off 4.2 m, 30 L/min open."),
    "battery": ("TEXT", "What may be drawn from the battery, as in 400 Ah 12 V."),
}


@dataclass(frozen=True, slots=True)
class Asked:
    """Which boat is meant: files or none, what was said of it, and files of own parts."""

    files: tuple[str, ...]
    texts: Mapping[str, Any]
    parts: tuple[str, ...] = ()

    @property
    def file(self) -> str | None:
        """The only file, or none."""
        return self.files[0] if self.files else None

    def pump_of(self, case: Case) -> str | None:
        """Return the pump that was said, as the case with it calls it, or None."""
        return case.pump[0].fitted if self.texts.get("pump") and case.pump else None

    @property
    def is_said(self) -> bool:
        """Whether anything was said."""
        return any(self.texts.values())


def boat_options(
    readings: bool = False, many: bool = False, battery: bool = False
) -> Callable[[_F], Callable[..., Any]]:
    """Add CASE, what may be said of a boat in its place, and --parts; all as one `asked`.

    With `readings` --sea and --pump stay readings, but for a sea that names a place and a pump that
    is told by its name, its sheet or its figures. With `many` CASE may be given again, and
    `asked.files` has all of them. Only with `battery` is one asked about.
    """
    left_out = (("sea", "pump") if readings else ()) + (() if battery else ("battery",))
    mine = [name for name in OPTIONS if name not in left_out]

    def add(command: _F) -> Callable[..., Any]:
        @functools.wraps(command)
        def with_boat(*words: Any, parts: tuple[str, ...], case: Any, **rest: Any) -> Any:
            texts = {name: rest.pop(name) for name in mine}
            if readings:
                rest["sea"], texts["sea"] = _places_among(rest["sea"])
                rest["pump"], texts["pump"] = _pumps_among(rest["pump"])
            files = case if many else (case,) if case else ()
            return command(*words, asked=Asked(files, texts, parts), **rest)

        added: Any = said_options(mine)(parts_option(with_boat))
        metavar = "[CASE]..." if many else "[CASE]"
        case = click.argument("case", nargs=-1 if many else 1, required=False, metavar=metavar)
        asks: Callable[..., Any] = case(added)
        return asks

    return add


def said_options(names: Iterable[str]) -> Callable[[_F], _F]:
    """Add the options of these names that say something of a boat."""

    def add(command: _F) -> _F:
        for name in reversed(tuple(names)):
            metavar, words = OPTIONS[name]
            many = name == "unit"
            command = click.option(f"--{name}", metavar=metavar, help=words, multiple=many)(command)
        return command

    return add


def _places_among(seas: tuple[str, ...]) -> tuple[tuple[str, ...], str | None]:
    """Part what was read today from the name of a place, which tells of the boat."""
    from seaflow.boat.seas import NoSuchPlace, sea_at

    read, place = [], None
    for text in seas:
        try:
            sea_at(text)
        except NoSuchPlace:
            read.append(text)
        else:
            place = text
    return tuple(read), place


def _pumps_among(sounds: tuple[str, ...]) -> tuple[tuple[str, ...], str | None]:
    """Part what a pump sounds like from what tells which one it is: a name, a file or figures."""
    told = [text for text in sounds if Path(text).exists() or re.search(r"\d", text)]
    return tuple(text for text in sounds if text not in told), told[-1] if told else None


def load_asked(asked: Asked, json_: bool, gaps: bool = False, runs: bool = False) -> Loaded:
    """Return the boat that is meant; warnings go to standard error, problems end the command.

    With `gaps` a half-known boat is taken as well. A pump that was said and is made for another
    supply is left to the answer, which refuses it, unless it `runs` on the boat already.
    """
    try:
        loaded = meant(asked, json_).read(gaps)
    except SeaflowError as error:
        refuse(error, json_)
    if not json_:
        refused = bool(asked.texts.get("pump")) and not runs
        warn(tuple(one for one in loaded.warnings if one.code != "S63" or not refused))
    return loaded


@dataclass(frozen=True, slots=True)
class Meant:
    """The boat that is meant, with the parts that she may have; it may be read more than once."""

    file: str | None
    texts: Mapping[str, Any]
    catalogue: Catalogue

    def read(self, gaps: bool = False) -> Loaded:
        """Return the boat; with `gaps` a half-known one is taken as well.

        Raises
        ------
        SeaflowError
            With every problem of what was said, or of the file.
        """
        if self.file is not None and not any(self.texts.values()):
            from seaflow.boat.load import load_case

            return load_case(self.file, self.catalogue, gaps=gaps)
        from seaflow.forms.typical.boat import said_of_a_file, spoken_boat

        if self.file is None:
            return spoken_boat(self.texts, self.catalogue, gaps).loaded
        return said_of_a_file(self.file, self.texts, self.catalogue, gaps)


def meant(asked: Asked, json_: bool) -> Meant:
    """Return which boat is meant; what is remarked in her parts goes to standard error.

    Raises
    ------
    SeaflowError
        If no boat is named, or two.
    """
    pump = asked.texts.get("pump")
    mine = () if pump and Path(pump).is_file() else asked.files  # its sheet stands for hers
    texts, parts = asked.texts, tuple(_on_her_supply(part, asked) for part in asked.parts)
    catalogue = known_parts(with_sheets(parts, mine), json_)
    if pump:
        texts = {**texts, "pump": completed(_on_her_supply(pump, asked), json_)}
        _remarked(texts["pump"], json_)
    _check(asked)
    return Meant(asked.file, texts, catalogue)


def _on_her_supply(named: str, asked: Asked) -> str:
    from seaflow.boat.parts.own_parts import with_supply

    (told,) = of_the_case((with_supply(named, asked.texts.get("supply") or ""),), asked.files)
    return told


def _remarked(named: str, json_: bool) -> None:
    """Show what was remarked in a sheet that is named in place of a pump, if it can be read."""
    from seaflow.boat.parts.own_parts import load_parts, names_a_file

    if json_ or not names_a_file(named):
        return
    try:
        warn(load_parts((named,)).warnings)
    except SeaflowError:
        return  # its problems are told with all others


def _check(asked: Asked) -> None:
    """Refuse a command that names no boat, or two.

    Raises
    ------
    SeaflowError
        With what to type.
    """
    command = click.get_current_context().info_name
    if asked.file is None and not asked.is_said:
        what = "no boat is named"
        why = "Name a case file, or say what is known of the boat: all else is taken as typical."
        write = (
            f'Type for example: seaflow {command} --boat "sailing monohull, 12 m" '
            '--unit "16000 BTU/h" --supply "230 V 50 Hz" --sea "Lesser Antilles". '
            f"Or: seaflow example ketch-one-unit, then seaflow {command} ketch-one-unit.toml."
        )
        raise SeaflowError([Problem("T06", what, why=why, write=write)])
    both = [f"--{name}" for name in ("boat", "unit") if asked.texts.get(name)]
    if asked.file is not None and both:
        what = f"{asked.file} tells of a boat, and so does {' and '.join(both)}"
        why = (
            "The two would be one boat or another; only --supply, --sea and --pump go with a file."
        )
        write = "Leave out the file, or change the units and the hull in it."
        raise SeaflowError([Problem("T07", what, why=why, write=write)])


def of_its_pump(case: Case, pump: str | None) -> Case:
    """Return a case in which no pump comes into question but that which was asked about.

    Raises
    ------
    SeaflowError
        If it is made for another supply.
    """
    if pump is None:
        return case
    from seaflow.studies.design.which_pump import named_pump

    name = named_pump(case, pump).name
    return replace(case, design=replace(case.design, pumps=(name,)), asked_pump=name)


def write_boat(file: str, boat: Spoken, pump: str, parts: tuple[str, ...]) -> tuple[str, ...]:
    """Write a boat that was told of, and return the files of parts that go with it.

    A pump told of by its figures gets a sheet beside the case; `pump` may name the file of one.

    Raises
    ------
    SeaflowError
        If one of the files cannot be written; then none is.
    """
    from seaflow.boat.parts.own_parts import names_a_file
    from seaflow.forms.typical.text import sheet_text

    files, sheet = [(file, boat.text)], sheet_text(boat.facts)
    if sheet:
        parts = (*parts, sheet_beside(file))
        files.append((parts[-1], sheet))
    elif pump and names_a_file(pump):
        parts = (*parts, pump)
    write_new(*files)
    return parts


def with_parts(parts: tuple[str, ...]) -> str:
    """Return the options that name files of parts."""
    return "".join(f" --parts {quote(part)}" for part in parts)
