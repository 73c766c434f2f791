"""The command `balance`."""

from __future__ import annotations

import click

from seaflow.cli.boat import Asked, boat_options, load_asked
from seaflow.cli.view import View, answer_with, view_options


@click.command()
@boat_options()
@view_options
def balance(asked: Asked, view: View) -> None:
    """Say which unit of CASE is short of water, and how to share the water of one pump.

    Shows every branch with all open and with each shut, the setting of the balancing valves that
    shares in proportion to need, wider shared hoses, units in series, and what warm water costs
    that the intake draws back in. Graded as `size` and `improve` grade it, over a whole season:
    exit code 1 says that the boat will not do, with valves set or not, 3 that it does tightly.
    """
    loaded = load_asked(asked, view.json_)
    from seaflow.studies.balance.study import balance as ask

    answer_with(view, "balance", loaded.case, lambda: ask(loaded.case, asked.pump_of(loaded.case)))
