"""The command `energy`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.boat import Asked, boat_options, load_asked
from seaflow.cli.common import EXITS, refuse
from seaflow.cli.files import write_new
from seaflow.cli.fleet import Fleet, ask_many, fleet_options
from seaflow.cli.view import View, answer_text, view_options

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.studies.design.fleet import FleetQuestion
    from seaflow.studies.energy.study import Energy


@click.command()
@boat_options(many=True, battery=True)
@click.option(
    "-o", "--output", metavar="FILE.svg", help="Draw the charge of the battery into a new SVG file."
)
@fleet_options
@view_options
def energy(asked: Asked, output: str | None, view: View, fleet: Fleet) -> None:
    """Tell what cooling CASE costs in a day, and how long a night on the battery lasts.

    The day and the battery stand in the case, else a typical day is taken; --battery tells of one
    in a few words. Also tells the pump speed at which it costs least, whether the pump lifts its
    water to the highest point, and how slowly it may turn. Exit code 1 says that in some duty a
    unit does not run, that no water gets over the highest point, or that the pump will not do by
    the yardstick of `size`; 3 that it does tightly. Several cases give a summary, one row for each
    loop.
    """
    if output is not None:
        _check_output(output, view, fleet.is_meant(asked))
    ask_many(fleet, asked, view, _question)
    loaded = load_asked(asked, view.json_)
    from seaflow.studies.energy.study import energy as ask

    try:
        answer = ask(loaded.case, asked.pump_of(loaded.case))
        text = answer_text(view, "energy", loaded.case, answer)
        if output is not None:
            _draw(answer, output, view.units)
    except SeaflowError as refused:
        refuse(refused, view.json_)
    click.echo(text)
    if output is not None:
        said = f"The drawing is in {output}."
        click.echo(said if view.json_ else f"\n{said}", err=view.json_)
    sys.exit(EXITS[answer.grade])


def _question(read: Callable[[str], Case]) -> FleetQuestion:
    from seaflow.studies.design.fleet import FleetQuestion
    from seaflow.studies.energy.fleet import EnergyRow, energy_rows

    return FleetQuestion(EnergyRow, energy_rows, read)


def _check_output(output: str, view: View, many: bool) -> None:
    """Refuse a picture of many boats, or one of another kind."""
    if many:
        raise click.UsageError("-o goes with one CASE.")
    if Path(output).suffix.lower() != ".svg":
        what = f'"{output}" does not end in .svg'
        why = "The drawing is an SVG picture, which any browser shows."
        error = SeaflowError([Problem("F12", what, why=why, write="Write -o night.svg.")])
        refuse(error, view.json_)


def _draw(answer: Energy, output: str, units: str) -> None:
    """Draw the night into a new file.

    Raises
    ------
    SeaflowError
        If nothing runs on a battery, or the name is taken.
    """
    from seaflow.present.energy_svg import night_svg

    if answer.night is None:
        what = "there is no charge to draw: nothing runs on a battery"
        why = "The picture shows how a night on the battery goes."
        write = 'Write source = "battery" in a [[duty]], and [battery] with its capacity.'
        raise SeaflowError([Problem("F19", what, why=why, write=write)])
    write_new((output, night_svg(answer.boat, answer.night, units)))
