"""The command `baseline`."""

from __future__ import annotations

import datetime
import os
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.boat import Asked, boat_options, load_asked
from seaflow.cli.common import (
    EXIT_FINE,
    refuse,
)
from seaflow.cli.readings import (
    Use,
    in_units_typed,
    loop_of,
    loop_option,
    mode_of,
    reading_options,
    readings_from,
    row_of,
    rows_of_loop,
    told_by_stored,
)
from seaflow.cli.stored import file_beside, kept_already, store
from seaflow.cli.view import View, answer_text, view_options

if TYPE_CHECKING:
    from seaflow.studies.diagnose.readings import Readings
    from seaflow.studies.diagnose.simulate import Setup

MOST_AGO = 40  # years, beyond which no reading was taken on this boat; own choice
MOST_AHEAD = 7  # days by which the clock of a computer on board may be behind


@click.command()
@boat_options(readings=True)
@reading_options
@click.option(
    "--store",
    metavar="DATE",
    help="Keep these readings of the healthy boat beside CASE, under a date such as 2026-05-31.",
)
@click.option("--no-baseline", is_flag=True, help="Leave readings stored beside CASE aside.")
@loop_option
@view_options
def baseline(asked: Asked, view: View, **options: Any) -> None:
    """Print the commissioning sheet of CASE: what it should read today, with room for the readings.

    Sea, volts, load and mode say what today is; the warmest sea and full load if left out. Other
    readings count only with --store: they then correct the model of this boat.
    """
    from seaflow.boat.network import loop_called
    from seaflow.studies.baseline.sheet import baseline as sheet_of
    from seaflow.studies.diagnose.answer import setup_of
    from seaflow.studies.diagnose.readings import BUCKET, US_BUCKET

    if options["store"] is not None and asked.file is None:
        raise click.UsageError("--store keeps readings beside a CASE, so it needs one.")
    loaded = load_asked(asked, view.json_, runs=True)
    try:
        row = row_of(options)
        network = loop_called(loaded.case, loop_of(options, row), row)
        setup = setup_of(loaded.case, network, mode_of(row))
        readings = readings_from(row, setup)
        view = in_units_typed(view, readings)
        stores = options["store"] is not None
        if stores:
            _require_date(options["store"])
            _require_healthy(setup, readings, row, view.units)
            _require_new(setup, readings, options["store"], file_beside(str(asked.file)))
        new = ((options["store"], readings),) if stores else ()
        use = Use(not options["no_baseline"], 20, view.units)
        own, trends = told_by_stored(asked.file, setup, use, new)
        bucket = US_BUCKET if view.units == "us" and not view.json_ else BUCKET
        answer = replace(sheet_of(setup, readings, own, bucket=bucket), trends=trends)
        text = answer_text(view, "baseline", loaded.case, answer)
        if stores:  # last, so that nothing is stored of what is refused
            beside = file_beside(str(asked.file))
            told = {key: value for key, value in row.items() if key not in ("date", "loop")}
            store(beside, {"date": options["store"], "loop": network.name, **told})
            click.echo(f"Stored in {beside}.", err=True)
    except SeaflowError as error:
        refuse(error, view.json_)
    click.echo(text)
    sys.exit(EXIT_FINE)


def _require_date(date: str) -> None:
    from seaflow.forms.days import this_day

    try:
        day = datetime.date.fromisoformat(date)
        ahead, ago = (day - this_day()).days, this_day().year - day.year
        what = f'"{date}" is {ahead} days ahead' if ahead > MOST_AHEAD else ""
        what = f'"{date}" is {ago} years ago' if ago > MOST_AGO else what
        what = what if day.isoformat() == date else f'"{date}" is no date as it is kept'
    except ValueError:
        what = f'"{date}" is no date'
    if what:
        write = "Write the day they were taken as year-month-day, such as 2026-05-31."
        why = "Readings are kept under the day on which they were taken."
        raise SeaflowError([Problem("D03", what, why=why, write=write)])


def _require_new(setup: Setup, readings: Readings, date: str, file: str) -> None:
    """Refuse readings of a date that stand in the file already, however they were written.

    Raises
    ------
    SeaflowError
        If they do.
    """
    if not os.path.exists(file):
        return
    for row in rows_of_loop(file, setup):
        if str(row.get("date")) == date and readings.alike(readings_from(row, setup)):
            raise kept_already(file)


def _require_healthy(setup: Setup, readings: Readings, row: dict[str, object], units: str) -> None:
    """Refuse to keep what a healthy boat does not read: it would bend the model of this boat.

    Raises
    ------
    SeaflowError
        If nothing was read, or if the verdict on it is anything but normal.
    """
    from seaflow.present.quantities import Show
    from seaflow.studies.diagnose.answer import diagnose
    from seaflow.studies.diagnose.verdict import NORMAL
    from seaflow.studies.diagnose.written import PASSED

    if set(row) <= {"mode", "load", *PASSED}:
        what = "there is nothing to store"
        why = "Only what was read on the healthy boat can correct the model of it."
        write = 'Give readings, such as --sea "27 degC".'
        raise SeaflowError([Problem("D03", what, why=why, write=write)])
    verdict = diagnose(setup, readings).verdict
    if verdict.word == NORMAL:
        return
    word, reason = (Show(units).sentence(fact) for fact in (verdict.word, verdict.why))
    what = f'these readings are no baseline: the verdict on them is "{word}"'
    why = f"{reason} Kept, they would become what this boat should read."
    write = "See what seaflow diagnose says of them, or correct the case; nothing was stored."
    raise SeaflowError([Problem("D06", what, why=why, write=write)])
