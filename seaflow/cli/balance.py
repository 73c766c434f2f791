"""The command `balance`."""

from __future__ import annotations

import click

from seaflow.cli.common import answer_case, json_option, load, parts_option, units_option


@click.command()
@click.argument("case", metavar="CASE")
@click.option("--pump", metavar="NAME", help="A pump of the table in place of the one fitted.")
@json_option
@units_option
@parts_option
def balance(case: str, pump: str | None, json_: bool, units: str, parts: tuple[str, ...]) -> None:
    """Say which unit of CASE starves, and how to share the water of one pump.

    Shows every branch with all open and with each shut, the setting of the balancing valves that
    shares in proportion to need, wider shared hoses, units in series, and what warm water costs
    that the intake draws back in. Exit code 1 says that no setting brings all to need.
    """
    loaded = load(case, json_, parts)
    from seaflow.present.balance_text import balance_text
    from seaflow.studies.balance.study import balance as ask

    answer_case(loaded, json_, lambda it: ask(it, pump), lambda it: balance_text(it, units))
