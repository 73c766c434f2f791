"""The command `new`: a commented starter, or a case made by asking."""

from __future__ import annotations

import sys

import click

from seaflow.base.problems import SeaflowError
from seaflow.cli.common import (
    EXIT_FINE,
    known_parts,
    parts_option,
    refuse,
    units_asked_for,
    units_option,
)
from seaflow.cli.files import require_free, write_new


@click.command()
@click.argument("file")
@click.option("--ask", is_flag=True, help="Ask for the values one at a time, then size the case.")
@parts_option
@units_option
def new(file: str, ask: bool, units: str, parts: tuple[str, ...]) -> None:
    """Write a new case to FILE, never over an existing file.

    The case is an invented boat with every key explained; it runs as it stands. With --ask the
    values are asked for in the order of a site visit, and the answer of size follows. An interview
    that was left half way is taken up again by the same command; until a case is written it ends
    with exit code 2. With --parts own parts are offered too, and own pumps, strainers, units and
    coils answer what stands on their sheets.
    """
    if parts and not ask:
        raise click.UsageError("--parts names parts to be asked about: it goes with --ask.")
    try:
        require_free(file)
        if ask:
            from seaflow.cli.interview import interview

            interview(file, parts, known_parts(parts, json_=False), units_asked_for())
        else:
            from seaflow.forms.starter import starter_text

            write_new((file, starter_text()))
    except SeaflowError as error:
        refuse(error, json_=False)
    if not ask:
        click.echo(f"{file} holds an invented boat: put your values in their place from the top.")
        click.echo(f"To check it: seaflow check {file}. To size it: seaflow size {file}")
        sys.exit(EXIT_FINE)
    from seaflow.cli.size import size

    click.get_current_context().invoke(size, cases=(file,), units=units, parts=parts)
