"""The command `improve`."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

import click

from seaflow.base.constants import MOST_OF_CHOICES
from seaflow.cli.boat import Asked, boat_options, load_asked
from seaflow.cli.common import sampling_options
from seaflow.cli.fleet import Fleet, ask_many, fleet_options
from seaflow.cli.progress import PATIENCE, is_watched
from seaflow.cli.view import View, answer_with, view_options

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.studies.design.fleet import FleetQuestion


@click.command()
@boat_options(many=True)
@fleet_options
@sampling_options(16, 512, "Boats to sample for each choice.", MOST_OF_CHOICES)
@view_options
def improve(asked: Asked, view: View, fleet: Fleet, **sampling: int) -> None:
    """Say what to change on the boat of CASE: strainer, hoses, through-hull or pump.

    Each change is tried alone, then all together over the tables of parts; shown are the best
    trade-offs between likelihood of enough water, energy of the pump, number of changes and price.
    Exit code 1 says that no choice is likely enough to give enough water. Several
    cases give a summary, one row for each loop.
    """
    drawn = (sampling["samples"], sampling["seed"])
    ask_many(fleet, asked, view, partial(_question, sampling=drawn))
    loaded = load_asked(asked, view.json_)
    from seaflow.studies.improve.study import improve as ask
    from seaflow.studies.improve.study import no_progress

    progress = no_progress if view.json_ else _started
    answer_with(
        view,
        "improve",
        loaded.case,
        lambda: ask(loaded.case, asked.pump_of(loaded.case), drawn, progress),
    )


def _question(read: Callable[[str], Case], sampling: tuple[int, int]) -> FleetQuestion:
    from seaflow.studies.design.fleet import FleetQuestion, draws_of
    from seaflow.studies.improve.fleet import ImproveRow, improve_rows

    asks = partial(improve_rows, sampling=sampling)
    return FleetQuestion(ImproveRow, asks, read, draws_of(sampling))


def _started(name: str, count: int) -> Callable[[int], None]:
    """Return what tells at the terminal how far a loop is, once it takes longer."""
    begun = time.monotonic()
    sampled: list[int] = []

    def tell(more: int) -> None:
        sampled.append(more)
        done = sum(sampled)
        if is_watched() and time.monotonic() - begun > PATIENCE:
            end = done >= count
            click.echo(f"\r{name}: {done} of {count} choices sampled", nl=end, err=True)

    return tell
