"""The command `balance`."""

from __future__ import annotations

import click

from seaflow.cli.common import load, parts_option
from seaflow.cli.view import View, answer_with, view_options


@click.command()
@click.argument("case", metavar="CASE")
@click.option("--pump", metavar="NAME", help="A pump of the table in place of the one fitted.")
@view_options
@parts_option
def balance(case: str, pump: str | None, view: View, parts: tuple[str, ...]) -> None:
    """Say which unit of CASE is short of water, and how to share the water of one pump.

    Shows every branch with all open and with each shut, the setting of the balancing valves that
    shares in proportion to need, wider shared hoses, units in series, and what warm water costs
    that the intake draws back in. Exit code 1 says that no setting brings all to need.
    """
    loaded = load(case, view.json_, parts)
    from seaflow.studies.balance.study import balance as ask

    answer_with(view, "balance", loaded.case, lambda: ask(loaded.case, pump))
