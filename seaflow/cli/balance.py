"""The command `balance`."""

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
@click.option("--pump", metavar="NAME", help="A pump of the table in place of the one fitted.")
@json_option
@units_option
@parts_option
def balance(case: str, pump: str | None, json_: bool, units: str, parts: tuple[str, ...]) -> None:
    """Say which unit of CASE starves, and how to share the water of one pump.

    Shows every branch with all open and with each shut, the setting of the balancing valves that
    shares in proportion to need, wider shared hoses, units in series, and what discharge costs
    that the intake swallows again. Exit code 1 says that no setting brings all to need.
    """
    loaded = load(case, json_, parts)
    from seaflow.studies.manifold.study import balance as balance_case

    try:
        answer = balance_case(loaded.case, pump)
    except SeaflowError as error:
        refuse(error, json_)
    if json_:
        show_json(answer)
    else:
        from seaflow.present.balance_text import balance_text

        click.echo(balance_text(answer, units))
    sys.exit(EXIT_FINE if answer.is_met else EXIT_NOT_MET)
