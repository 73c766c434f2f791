"""What every command shares: exit codes, options, loading a case, and refusing bad input."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click
from click.core import ParameterSource

from seaflow import __version__
from seaflow.base.constants import MOST_DRAWS
from seaflow.base.problems import Problem, ProgramFault, SeaflowError

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.boat.load import Loaded
    from seaflow.boat.parts.catalogue import Catalogue

EXIT_FINE, EXIT_NOT_MET, EXIT_UNUSABLE, EXIT_TIGHT = 0, 1, 2, 3
EXIT_FAULT, EXIT_NO_OUTPUT, EXIT_INTERRUPTED = 70, 74, 130
CONTENT_LETTERS = 12  # no two of a million states of a file have them all in common
EXITS = {"yes": EXIT_FINE, "tight": EXIT_TIGHT, "no": EXIT_NOT_MET}

_F = TypeVar("_F", bound=Callable[..., Any])


def json_option(command: _F) -> _F:
    """Add --json."""
    return click.option("--json", "json_", is_flag=True, help="Answer as data in SI units.")(
        command
    )


def units_option(command: _F) -> _F:
    """Add --units."""
    return click.option(
        "--units",
        type=click.Choice(("metric", "us")),
        default="metric",
        show_default=True,
        help="Units of the text.",
    )(command)


def units_asked_for() -> str:
    """Return the units named on the command line; nothing where they were left to the default."""
    context = click.get_current_context()
    source = context.get_parameter_source("units")
    return str(context.params["units"]) if source is ParameterSource.COMMANDLINE else ""


def parts_option(command: _F) -> _F:
    """Add --parts."""
    return click.option(
        "--parts",
        multiple=True,
        metavar="FILE",
        help="Own parts: a .toml file or a table; may be given again. BOAT-pump.toml beside "
        "BOAT.toml is read by itself.",
    )(command)


def seed_option(command: _F) -> _F:
    """Add --seed."""
    return click.option(
        "--seed",
        type=click.IntRange(0, 2**31),
        default=20,
        show_default=True,
        help="Seed of the draws.",
    )(command)


class DrawsRange(click.IntRange):
    """How many boats are simulated for one question: from `least` to what memory carries."""

    def __init__(self, least: int, most: int = MOST_DRAWS) -> None:
        """Take at least and at most so many."""
        super().__init__(least, most)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Return the number, or say at the command line what to write instead."""
        number = click.INT.convert(value, param, ctx)
        if self.max is not None and number > self.max:
            self.fail(
                f"{number} is more boats than memory carries; write {self.max} or fewer.",
                param,
                ctx,
            )
        return int(super().convert(value, param, ctx))


def sampling_options(
    least: int, default: int, words: str, most: int = MOST_DRAWS
) -> Callable[[_F], _F]:
    """Add --samples and --seed."""

    def add(command: _F) -> _F:
        samples = click.option(
            "--samples",
            type=DrawsRange(least, most),
            default=default,
            show_default=True,
            help=words,
        )
        return samples(seed_option(command))

    return add


def sheet_beside(file: str) -> str:
    """Return where the sheet of the pump that a boat was told with stands beside her case."""
    return str(Path(file).parent / f"{Path(file).stem}-pump.toml")


def with_sheets(parts: tuple[str, ...], files: Sequence[str]) -> tuple[str, ...]:
    """Return files of parts, with the sheets that stand beside these cases.

    Where a case is a link those beside the file it leads to count as well. What bears such a name
    and is no file is returned too, for whoever reads it to say so.
    """
    named = {os.path.realpath(part) for part in parts}
    found = list(parts)
    for file in files:
        for case in (file, os.path.realpath(file)) if os.path.islink(file) else (file,):
            sheet = sheet_beside(case)
            if os.path.lexists(sheet) and os.path.realpath(sheet) not in named:
                named.add(os.path.realpath(sheet))
                found.append(sheet)
    return tuple(found)


def of_the_case(parts: tuple[str, ...], files: Sequence[str]) -> tuple[str, ...]:
    """Return files of parts, plain sheets that tell no supply with that of the first case."""
    if not parts or not files:
        return parts
    from seaflow.boat.parts import own_parts

    return tuple(own_parts.of_the_case(part, files[0]) for part in parts)


def known_parts(parts: tuple[str, ...], json_: bool) -> Catalogue:
    """Return the shipped parts with own parts before them; problems end the command."""
    from seaflow.boat.parts.catalogue import Catalogue

    if not parts:
        return Catalogue()
    from seaflow.boat.parts.own_parts import load_parts
    from seaflow.cli.sheets import completed

    try:
        loaded = load_parts(tuple(completed(part, json_) for part in parts))
    except SeaflowError as error:
        refuse(error, json_)
    if not json_:
        warn(loaded.warnings)
    return loaded.catalogue


def load(file: str, json_: bool, parts: tuple[str, ...] = (), gaps: bool = False) -> Loaded:
    """Return the case in a file; warnings go to standard error, problems end the command.

    With `gaps` a half-known boat is taken as well.
    """
    from seaflow.boat.load import load_case

    catalogue = known_parts(of_the_case(parts, (file,)), json_)
    try:
        loaded = load_case(file, catalogue, gaps=gaps)
    except SeaflowError as error:
        refuse(error, json_)
    if not json_:
        warn(loaded.warnings)
    return loaded


def read_case(
    file: str, catalogue: Catalogue | None = None, gaps: bool = False, parts: tuple[str, ...] = ()
) -> Case:
    """Return the case in a file, or raise what is wrong with it; with `gaps` half a case too.

    A sheet that stands beside it is read with the files `parts`, which `catalogue` holds; a plain
    one that tells no supply is taken to hold on that of this case.
    """
    from seaflow.boat.load import load_case

    beside = of_the_case(with_sheets(parts, (file,)), (file,))
    if beside != parts:
        from seaflow.boat.parts.own_parts import load_parts

        catalogue = load_parts(beside).catalogue
    return load_case(file, catalogue, gaps=gaps).case


def content_of(file: str, parts: tuple[str, ...] = ()) -> str:
    """Return letters and digits that change with whatever `read_case` reads of a case."""
    import base64
    import hashlib

    from seaflow.boat.parts.own_parts import parted
    from seaflow.boat.reader.text import bytes_of

    seen = hashlib.sha256()
    sheets = of_the_case(with_sheets(parts, (file,)), (file,))
    for one in (file, *(parted(sheet)[0] for sheet in sheets)):
        with suppress(SeaflowError):  # the question itself says what is wrong with it
            seen.update(hashlib.sha256(bytes_of(one)).digest())
    seen.update("\0".join(parted(sheet)[1] for sheet in sheets).encode("utf-8", "replace"))
    return base64.b32encode(seen.digest()).decode().lower()[:CONTENT_LETTERS]


def warn(warnings: tuple[Problem, ...]) -> None:
    """Show warnings on standard error."""
    if warnings:
        from seaflow.present.problems import problems_text

        click.echo(problems_text(warnings) + "\n", err=True)


def refuse(error: SeaflowError, json_: bool, beside_answer: bool = False) -> NoReturn:
    """Show every problem and leave with the exit code for input that cannot be used.

    `beside_answer` says that an answer is shown all the same.
    """
    if json_:
        show_json({"problems": error.problems})
    else:
        from seaflow.present.problems import problems_text

        click.echo(problems_text(error.problems, beside_answer), err=True)
    sys.exit(EXIT_UNUSABLE)


def show_json(answer: Any) -> None:
    """Print an answer as data."""
    from seaflow.present.data import as_json

    click.echo(as_json(answer))


def is_interrupt(stopped: click.Abort) -> bool:
    """Return whether somebody interrupted a prompt, and did not only end its input."""
    return isinstance(stopped.__context__, KeyboardInterrupt)


def say_aside(line: str) -> None:
    """Say a line on standard error, if anybody can hear it."""
    with suppress(OSError):
        click.echo(line, err=True)


def report_fault(fault: ProgramFault, words: Sequence[str]) -> None:
    """Keep a fault of this program in a file and say in one line how to report it.

    `words` are those of the command that met it.
    """
    import platform
    import tempfile

    file = os.path.join(tempfile.gettempdir(), f"seaflow-fault-{os.urandom(4).hex()}.txt")
    with suppress(OSError), open(file, "x", encoding="utf-8", errors="replace") as stream:
        stream.write(f"seaflow {__version__}, Python {platform.python_version()}, ")
        stream.write(f"{platform.platform()}\nseaflow {' '.join(words)}\n\n{fault.trace}")
    named = [word for word in words if os.path.isfile(word)]
    say_aside(
        f"seaflow: a fault of this program, not of your boat ({fault.place}). "
        f"Please report it to the project with {' and '.join([*named, file])}."
    )
