"""`size` over many cases: a progress bar, a summary, and a file of it if asked."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.common import (
    EXIT_FAULT,
    EXIT_UNUSABLE,
    EXITS,
    refuse,
    report_fault,
    show_json,
)
from seaflow.cli.files import require_free, write_new

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.studies.size.fleet import FleetResult

SUMMARIES = (".csv", ".jsonl")


def check_summary(summary: str | None, json_: bool) -> None:
    """Refuse a summary file that exists already, cannot be made, or has an unknown ending."""
    if summary is None:
        return
    try:
        if Path(summary).suffix not in SUMMARIES:
            what = f'the summary "{summary}" ends neither in .csv nor in .jsonl'
            why = "The ending says how it is written: a table, or a line of data for each loop."
            write = "Write for example --summary fleet.csv."
            raise SeaflowError([Problem("F07", what, why=why, write=write)])
        require_free(summary)
    except SeaflowError as error:
        refuse(error, json_)


def size_many(
    files: tuple[str, ...],
    read: Callable[[str], Case],
    how: tuple[tuple[int, int], int | None],
    shown: tuple[bool, str, str | None],
) -> NoReturn:
    """Size every case, show the summary and leave with the worst exit code.

    `how` is how many boats to sample with which seed, and how many processes share the work;
    `shown` is whether to answer as data, the units, and the summary file.
    """
    json_, units, summary = shown
    check_summary(summary, json_)
    results = _with_progress(files, read, how, quiet=json_)
    rows = [row for result in results for row in result.rows]
    if json_:
        show_json(rows)
    else:
        from seaflow.present.quantities import Show
        from seaflow.present.size.fleet import fleet_table

        click.echo(fleet_table(rows, Show(units)))
        _say_cautions(results)
    if summary is not None:
        from seaflow.present.size.fleet import fleet_csv, fleet_lines

        text = fleet_csv(rows) if summary.endswith(".csv") else fleet_lines(rows)
        try:
            write_new((summary, text))
        except SeaflowError as error:
            refuse(error, json_)
    sys.exit(_exit_code(results))


def _say_cautions(results: list[FleetResult]) -> None:
    """Say the hazards of what comes next, once for all boats."""
    from seaflow.present.card import block_text, careful

    said = careful(dict.fromkeys(one for result in results for one in result.cautions))
    if said is not None:
        click.echo(f"\n{block_text(said)}")


def _with_progress(
    files: tuple[str, ...],
    read: Callable[[str], Case],
    how: tuple[tuple[int, int], int | None],
    quiet: bool,
) -> list[FleetResult]:
    from seaflow.studies.size.fleet import size_fleet

    with (
        closing(size_fleet(files, read, *how)) as found,
        click.progressbar(
            found,
            length=len(files),
            label="Sizing",
            file=sys.stderr,
            hidden=quiet,
            item_show_func=lambda result: None if result is None else result.file,
        ) as bar,
    ):
        return list(bar)


def _exit_code(results: list[FleetResult]) -> int:
    """Return the worst exit code; what is a fault of this program is reported."""
    faults = [(result.fault, result.file) for result in results if result.fault is not None]
    for fault, file in faults:
        report_fault(fault, ("size", file))
    if faults:
        return EXIT_FAULT
    if not all(result.grade for result in results):
        return EXIT_UNUSABLE
    from seaflow.studies.design.judge import worst_of

    return EXITS[worst_of(result.grade for result in results)]
