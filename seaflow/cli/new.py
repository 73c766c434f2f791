"""The command `new`: a commented starter, or a case made by asking."""

from __future__ import annotations

import sys
from typing import Any, NoReturn

import click

from seaflow.base.problems import SeaflowError
from seaflow.cli.boat import OPTIONS, said_options, with_parts, write_boat
from seaflow.cli.common import (
    EXIT_FINE,
    known_parts,
    parts_option,
    refuse,
    units_asked_for,
    units_option,
    warn,
)
from seaflow.cli.files import require_free, write_new


@click.command()
@click.argument("file")
@click.option(
    "--ask", is_flag=True, help="Ask one question at a time: a few to a first card, then more."
)
@said_options(OPTIONS)
@parts_option
@units_option
def new(file: str, ask: bool, units: str, parts: tuple[str, ...], **texts: Any) -> None:
    """Write a new case to FILE, never over an existing file.

    The case is an invented boat with every key explained; it runs as it stands. With --boat or an
    option below it, it is a typical boat with what was said in it, and the two are told apart. With
    --ask a few questions lead to a first card; then what narrows it most is asked for, as long as
    you like. An interview that was left half way is taken up again by the same command; until a
    case is written it ends with exit code 2. With --parts own units and pumps may be named.
    """
    said = any(texts.values())
    if parts and not (ask or said):
        raise click.UsageError("--parts names own parts: it goes with --ask or with --pump.")
    if ask and said:
        raise click.UsageError("--ask asks for what --boat and its like say: give one of the two.")
    try:
        require_free(file)
        if said:
            _write_typical(file, texts, parts)
        if ask:
            from seaflow.cli.interview import interview

            known = known_parts(parts, json_=False)
            parts = interview(file, parts, known, units_asked_for())
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

    click.get_current_context().invoke(size, case=(file,), units=units, parts=parts)


def _write_typical(file: str, texts: dict[str, Any], parts: tuple[str, ...]) -> NoReturn:
    """Write the typical boat of what was said, and the sheet of a pump told of by its figures."""
    from seaflow.forms.typical.boat import spoken_boat

    spoken = spoken_boat(texts, known_parts(parts, json_=False))
    own = write_boat(file, spoken, texts["pump"] or "", parts)
    warn(spoken.loaded.warnings)
    case = spoken.loaded.case
    typical = len(case.typical)
    click.echo(f"{file} holds a typical boat with what you said of it; {typical} figures in it are")
    click.echo("typical and say so: put what you read or measure in their place.")
    if spoken.facts.pump is not None and spoken.facts.pump.fitted is None:
        click.echo(f"{own[-1]} holds the pump as you told of it.")
    click.echo(f"To size it: seaflow size {file}{with_parts(own)}")
    sys.exit(EXIT_FINE)
