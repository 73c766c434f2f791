"""The command `energy`."""

from __future__ import annotations

import click

from seaflow.cli.boat import Asked, boat_options, load_asked
from seaflow.cli.view import View, answer_with, view_options


@click.command()
@boat_options()
@view_options
def energy(asked: Asked, view: View) -> None:
    """Tell what cooling CASE costs in a day, and how long a night on the battery lasts.

    The day and the battery stand in the case, else a typical day is taken. Also tells the pump
    speed at which it costs least, whether the pump lifts its water to the highest point, and how
    slowly it may turn. Exit code 1 says that in some duty a unit does not run, that no water gets
    over the highest point, or that the pump will not do by the yardstick of `size`; 3 that it does
    tightly.
    """
    loaded = load_asked(asked, view.json_)
    from seaflow.studies.energy.study import energy as ask

    answer_with(view, "energy", loaded.case, lambda: ask(loaded.case, asked.pump_of(loaded.case)))
