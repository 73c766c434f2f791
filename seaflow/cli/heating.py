"""The command `heating`."""

from __future__ import annotations

import click

from seaflow.cli.common import load, parts_option
from seaflow.cli.view import View, answer_with, view_options


@click.command()
@click.argument("case", metavar="CASE")
@click.option("--pump", metavar="NAME", help="Ask of this pump, not of the one fitted.")
@view_options
@parts_option
def heating(case: str, pump: str | None, view: View, parts: tuple[str, ...]) -> None:
    """Tell how cold the sea may be before the units of CASE must not heat with it.

    A unit heats if the case gives its heating plate. Exit code 1 says that ice may form in some
    coil at the coldest sea for heating, all clean or in a dirty worst case, or that the water does
    not start; 3 that this holds tightly.
    """
    loaded = load(case, view.json_, parts)
    from seaflow.studies.heating.study import heating as ask

    answer_with(view, "heating", loaded.case, lambda: ask(loaded.case, pump))
