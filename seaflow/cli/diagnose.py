"""The command `diagnose`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import AbstractContextManager, redirect_stdout, suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from seaflow.base.problems import SeaflowError
from seaflow.cli.boat import Asked, boat_options, load_asked
from seaflow.cli.common import (
    EXIT_FINE,
    EXIT_NOT_MET,
    DrawsRange,
    refuse,
    seed_option,
)
from seaflow.cli.readings import (
    Use,
    in_units_typed,
    loop_of,
    loop_option,
    mode_of,
    reading_options,
    readings_from,
    row_of,
    tells_of_water_in,
    told_by_stored,
)
from seaflow.cli.stored import Row
from seaflow.cli.view import View, answer_text, view_options

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.boat.network import Network
    from seaflow.studies.diagnose.answer import Diagnosis


@click.command()
@boat_options(readings=True)
@reading_options
@click.option("--tried", multiple=True, metavar="TEXT", help="What was tried and did not help.")
@click.option("--ask", is_flag=True, help="Ask one question at a time, most telling first.")
@click.option("--no-baseline", is_flag=True, help="Leave readings stored beside CASE aside.")
@loop_option
@view_options
@click.option(
    "--draws",
    type=DrawsRange(512),
    default=16384,
    show_default=True,
    help="Boats to simulate.",
)
@seed_option
def diagnose(asked: Asked, view: View, **options: Any) -> None:
    """Say why the discharge is warm, the stream weak or the unit off, from whatever is known.

    Every reading may be left out. Exit code 1 says that something should be done soon or at once.
    """
    loaded = load_asked(asked, view.json_, runs=True)

    try:
        answer, view = _answer(asked.file, loaded.case, options, view)
        text = answer_text(view, "diagnose", loaded.case, answer)
    except SeaflowError as error:
        _say_first(options)
        refuse(error, view.json_)
    click.echo(text)
    sys.exit(EXIT_FINE if answer.verdict.is_met else EXIT_NOT_MET)


def _answer(
    file: str | None, case: Case, options: dict[str, Any], view: View
) -> tuple[Diagnosis, View]:
    """Return the answer, and the view in the units in which it was asked."""
    from seaflow.boat.network import loop_called
    from seaflow.studies.design.likelihood import Sampling
    from seaflow.studies.diagnose.answer import diagnose as diagnose_loop
    from seaflow.studies.diagnose.answer import setup_of

    row = _row(options)
    with _questions(view):
        network = loop_called(case, loop_of(options, row), row, _which(options))
    setup = setup_of(case, network, mode_of(row))
    readings = readings_from(row, setup)
    view = in_units_typed(view, readings)
    sampling = Sampling(options["draws"], options["seed"])
    own, trends = told_by_stored(
        file, setup, Use(not options["no_baseline"], sampling.seed, view.units)
    )
    if options["ask"]:
        from seaflow.cli.asking import asked

        with _questions(view):
            readings = asked(setup, readings, sampling, own, view.units)
    answer = replace(diagnose_loop(setup, readings, sampling, own), trends=trends)
    return answer, in_units_typed(view, readings)


def _say_first(options: dict[str, Any]) -> None:
    """Say what cannot wait until the readings can be used: that salt water comes into the boat."""
    from seaflow.present.quantities import Show
    from seaflow.studies.diagnose.verdict import SALT_WATER

    with suppress(SeaflowError):
        if tells_of_water_in(_row(options)):
            click.echo(Show().sentence(SALT_WATER), err=True)


def _which(options: dict[str, Any]) -> Callable[[tuple[Network, ...]], str | None] | None:
    """Return the question which loop is meant, where questions may be asked."""
    if not options["ask"]:
        return None
    from seaflow.cli.asking import loop_asked

    return loop_asked


def _questions(view: View) -> AbstractContextManager[Any]:
    """Return where questions go: they are no data, so with --json beside it."""
    return redirect_stdout(sys.stderr if view.json_ else sys.stdout)


def _row(options: dict[str, Any]) -> Row:
    """Return the readings of the file, with those of the options over them."""
    tried = {"tried": list(options["tried"])} if options["tried"] else {}
    return row_of(options).under(tried)
