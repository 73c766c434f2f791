"""The command `heating`."""

from __future__ import annotations

import click

from seaflow.cli.common import answer_case, json_option, load, parts_option, units_option


@click.command()
@click.argument("case", metavar="CASE")
@click.option("--pump", metavar="NAME", help="Ask of this pump, not of the one fitted.")
@json_option
@units_option
@parts_option
def heating(case: str, pump: str | None, json_: bool, units: str, parts: tuple[str, ...]) -> None:
    """Tell how cold the sea may be before the units of CASE must not heat with it.

    A unit heats if the case gives its heating plate. Exit code 1 says that ice may form in some
    coil at the coldest sea for heating, all clean or in a dirty worst case, or that the water does
    not start; 3 that this holds tightly.
    """
    loaded = load(case, json_, parts)
    from seaflow.present.heating_text import heating_text
    from seaflow.studies.heating.study import heating as ask

    answer_case(loaded, json_, lambda it: ask(it, pump), lambda it: heating_text(it, units))
