"""`size` over many cases: a progress bar, a summary, and a file of it if asked."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.common import EXIT_UNUSABLE, EXITS, refuse, show_json
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
    sampling: tuple[int, int],
    shown: tuple[bool, str, str | None],
) -> NoReturn:
    """Size every case, show the summary and leave with the worst exit code.

    `shown` is whether to answer as data, the units, and the summary file.
    """
    json_, units, summary = shown
    check_summary(summary, json_)
    results = _with_progress(files, read, sampling, quiet=json_)
    rows = [row for result in results for row in result.rows()]
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

    answers = [result.answer for result in results if result.answer is not None]
    said = careful(dict.fromkeys(one for answer in answers for one in answer.cautions))
    if said is not None:
        click.echo(f"\n{block_text(said)}")


def _with_progress(
    files: tuple[str, ...],
    read: Callable[[str], Case],
    sampling: tuple[int, int],
    quiet: bool,
) -> list[FleetResult]:
    from seaflow.studies.size.fleet import size_fleet

    found = size_fleet(files, read, *sampling)
    with click.progressbar(
        found,
        length=len(files),
        label="Sizing",
        file=sys.stderr,
        hidden=quiet,
        item_show_func=lambda result: None if result is None else result.file,
    ) as bar:
        return list(bar)


def _exit_code(results: list[FleetResult]) -> int:
    if any(result.answer is None for result in results):
        return EXIT_UNUSABLE
    from seaflow.studies.design.judge import worst_of

    return EXITS[worst_of(result.answer.grade for result in results if result.answer is not None)]
