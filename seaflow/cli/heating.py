"""The command `heating`."""

from __future__ import annotations

import click

from seaflow.cli.boat import Asked, boat_options, load_asked
from seaflow.cli.view import View, answer_with, view_options


@click.command()
@boat_options()
@view_options
def heating(asked: Asked, view: View) -> None:
    """Tell how cold the sea may be before the units of CASE must not heat with it.

    A unit heats if the case gives its heating plate. Exit code 1 says that ice may form in some
    coil at the coldest sea for heating, all clean or in a dirty worst case, or that the water does
    not start; 3 that this holds tightly.
    """
    loaded = load_asked(asked, view.json_)
    from seaflow.studies.heating.study import heating as ask

    answer_with(view, "heating", loaded.case, lambda: ask(loaded.case, asked.pump_of(loaded.case)))
