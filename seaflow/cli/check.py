"""The command `check`."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.common import (
    EXIT_FINE,
    EXIT_UNUSABLE,
    json_option,
    known_parts,
    of_the_case,
    parts_option,
    show_json,
    with_sheets,
)

if TYPE_CHECKING:
    from seaflow.boat.parts.catalogue import Catalogue


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found in one file."""

    file: str
    usable: bool
    problems: tuple[Problem, ...]


@click.command()
@click.argument("cases", nargs=-1, metavar="[CASE]...")
@json_option
@parts_option
def check(cases: tuple[str, ...], json_: bool, parts: tuple[str, ...]) -> None:
    """Read each CASE and report every problem and warning in it at once; calculate nothing.

    Files of own parts are read whole, and may be checked without a case. Exit code 0 says that
    every file can be used, 2 that one cannot. Remarks change neither.
    """
    if not cases and not parts:
        raise click.UsageError("Name a CASE, or files of own parts with --parts.")
    catalogue = known_parts(of_the_case(with_sheets(parts, cases), cases), json_)
    found = [_checked(file, catalogue) for file in cases]
    if not cases:
        found = [Checked(file, True, ()) for file in parts]
    if json_:
        show_json({"files": found})
    else:
        _show(found, "cases" if cases else "files")
    sys.exit(EXIT_FINE if all(item.usable for item in found) else EXIT_UNUSABLE)


def _checked(file: str, catalogue: Catalogue) -> Checked:
    from seaflow.boat.load import load_case

    try:
        return Checked(file, True, load_case(file, catalogue).warnings)
    except SeaflowError as error:
        return Checked(file, False, error.problems)


def _show(found: Sequence[Checked], what: str) -> None:
    from seaflow.present.layout import folded
    from seaflow.present.problems import problems_text

    for item in found:
        if item.problems:
            click.echo(problems_text(item.problems))
        if item.usable:
            click.echo(folded(f"{item.file}: can be used."))
        if item.problems and len(found) > 1:
            click.echo()
    bad = sum(not item.usable for item in found)
    if len(found) > 1:
        said = f"{bad} of them cannot be used." if bad else "all of them can be used."
        click.echo(folded(f"{len(found)} {what}, {said}"))
