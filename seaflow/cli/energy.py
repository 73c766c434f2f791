"""The command `energy`."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from seaflow.cli.boat import Asked, boat_options, load_asked
from seaflow.cli.fleet import Fleet, ask_many, fleet_options
from seaflow.cli.view import View, answer_with, view_options

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.studies.design.fleet import FleetQuestion


@click.command()
@boat_options(many=True)
@fleet_options
@view_options
def energy(asked: Asked, view: View, fleet: Fleet) -> None:
    """Tell what cooling CASE costs in a day, and how long a night on the battery lasts.

    The day and the battery stand in the case, else a typical day is taken. Also tells the pump
    speed at which it costs least, whether the pump lifts its water to the highest point, and how
    slowly it may turn. Exit code 1 says that in some duty a unit does not run, that no water gets
    over the highest point, or that the pump will not do by the yardstick of `size`; 3 that it does
    tightly. Several cases give a summary, one row for each loop.
    """
    ask_many(fleet, asked, view, _question)
    loaded = load_asked(asked, view.json_)
    from seaflow.studies.energy.study import energy as ask

    answer_with(view, "energy", loaded.case, lambda: ask(loaded.case, asked.pump_of(loaded.case)))


def _question(read: Callable[[str], Case]) -> FleetQuestion:
    from seaflow.studies.design.fleet import FleetQuestion
    from seaflow.studies.energy.fleet import EnergyRow, energy_rows

    return FleetQuestion(EnergyRow, energy_rows, read)
