"""The command `energy`."""

from __future__ import annotations

import click

from seaflow.cli.common import answer_case, json_option, load, parts_option, units_option


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
    that in some duty a unit does not run, that no water gets over the highest point, or that the
    pump will not do by the yardstick of `size`; 3 that it does tightly.
    """
    loaded = load(case, json_, parts)
    from seaflow.present.energy_text import energy_text
    from seaflow.studies.energy.study import energy as ask

    answer_case(loaded, json_, lambda it: ask(it, pump), lambda it: energy_text(it, units))
