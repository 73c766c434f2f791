"""The command `energy`."""

from __future__ import annotations

import click

from seaflow.cli.common import load, parts_option
from seaflow.cli.view import View, answer_with, view_options


@click.command()
@click.argument("case", metavar="CASE")
@click.option("--pump", metavar="NAME", help="Ask of this pump, not of the one fitted.")
@view_options
@parts_option
def energy(case: str, pump: str | None, view: View, parts: tuple[str, ...]) -> None:
    """Tell what cooling CASE costs in a day, and the pump speed at which it costs least.

    The day and the battery stand in the case, else a typical day is taken. Also tells whether
    the pump lifts its water to the highest point, and how slowly it may turn. Exit code 1 says
    that in some duty a unit does not run, that no water gets over the highest point, or that the
    pump will not do by the yardstick of `size`; 3 that it does tightly.
    """
    loaded = load(case, view.json_, parts)
    from seaflow.studies.energy.study import energy as ask

    answer_with(view, "energy", loaded.case, lambda: ask(loaded.case, pump))
