"""The command `energy`."""

from __future__ import annotations

import sys

import click

from seaflow.base.problems import SeaflowError
from seaflow.cli.common import (
    EXIT_FINE,
    EXIT_NOT_MET,
    json_option,
    load,
    parts_option,
    refuse,
    show_json,
    units_option,
)


@click.command()
@click.argument("case", metavar="CASE")
@click.option("--pump", metavar="NAME", help="Ask of this pump, not of the one fitted.")
@json_option
@units_option
@parts_option
def energy(case: str, pump: str | None, json_: bool, units: str, parts: tuple[str, ...]) -> None:
    """Tell what cooling CASE costs in a day, and the pump speed at which it costs least.

    The day and the battery stand in the case, else a day stands in for them. Also tells whether
    the pump lifts its water to the highest point, and how slowly it may turn. Exit code 1 says
    that in some duty a unit does not run, or that no water gets over the highest point.
    """
    loaded = load(case, json_, parts)
    from seaflow.studies.energy.study import energy as ask

    try:
        answer = ask(loaded.case, pump)
    except SeaflowError as error:
        refuse(error, json_)
    if json_:
        show_json(answer)
    else:
        from seaflow.present.energy_text import energy_text

        click.echo(energy_text(answer, units))
    sys.exit(EXIT_FINE if answer.is_met else EXIT_NOT_MET)
