"""The command `size`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

import click

from seaflow.base.problems import SeaflowError
from seaflow.cli.boat import Asked, boat_options, load_asked, of_its_pump
from seaflow.cli.common import EXITS, refuse, sampling_options
from seaflow.cli.fleet import Fleet, ask_many, fleet_options
from seaflow.cli.size_files import check_outputs, write_outputs
from seaflow.cli.view import View, answer_text, view_options

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.studies.design.fleet import FleetQuestion


@click.command()
@boat_options(many=True)
@view_options
@sampling_options(0, 512, "Boats to sample for bands and likelihoods; 0 for none.")
@fleet_options
@click.option(
    "-o",
    "--output",
    multiple=True,
    metavar="FILE",
    help="Write a page as .html, the list of materials as .csv, the curves as .svg or .png; may be "
    "given again.",
)
def size(asked: Asked, view: View, fleet: Fleet, **more: Any) -> None:
    """Size the loops of a boat and rank the pumps.

    CASE is a TOML file that describes the boat; without one the boat is a typical one, but for
    what --boat and the options below it say. Exit code 1 says that in some loop no pump meets the
    need. Several cases give a summary, one row for each loop.
    """
    drawn, outputs = (more["samples"], more["seed"]), more["output"]
    if fleet.is_meant(asked) and outputs:
        raise click.UsageError("-o goes with one CASE and without --summary.")
    ask_many(fleet, asked, view, partial(_question, sampling=drawn))
    case = load_asked(asked, view.json_).case
    from seaflow.studies.size.size import size as size_case

    told: list[str] = []
    try:
        check_outputs(outputs)
        case = of_its_pump(case, asked.pump_of(case))
        answer = size_case(case, *drawn)
        text = answer_text(view, "size", case, answer)
        if outputs:
            told = write_outputs(case, answer, outputs, view.units)
    except SeaflowError as error:
        refuse(error, view.json_)
    click.echo(text)
    for line in told:
        click.echo(line, err=view.json_)
    sys.exit(EXITS[answer.grade])


def _question(read: Callable[[str], Case], sampling: tuple[int, int]) -> FleetQuestion:
    from seaflow.studies.design.fleet import FleetQuestion, draws_of
    from seaflow.studies.size.fleet import SizeRow, size_rows

    asks = partial(size_rows, sampling=sampling)
    return FleetQuestion(SizeRow, asks, read, draws_of(sampling))
