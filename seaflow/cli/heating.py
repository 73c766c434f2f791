"""The command `heating`."""

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
def heating(case: str, pump: str | None, json_: bool, units: str, parts: tuple[str, ...]) -> None:
    """Tell how cold the sea may be before the units of CASE must not heat with it.

    A unit heats if the case gives its heating plate. Exit code 1 says that ice may form in some
    coil at the coldest sea for heating, all clean or at a dirty corner.
    """
    loaded = load(case, json_, parts)
    from seaflow.studies.heating.study import heating as ask

    try:
        answer = ask(loaded.case, pump)
    except SeaflowError as error:
        refuse(error, json_)
    if json_:
        show_json(answer)
    else:
        from seaflow.present.heating_text import heating_text

        click.echo(heating_text(answer, units))
    sys.exit(EXIT_FINE if answer.is_met else EXIT_NOT_MET)
