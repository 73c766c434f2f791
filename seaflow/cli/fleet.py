"""A question asked of many cases: a progress bar, a summary, and a file of it if asked.

What an interrupt leaves undone can be done later: the rows so far are kept.
"""

from __future__ import annotations

import functools
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.boat import Asked
from seaflow.cli.common import (
    EXIT_FAULT,
    EXIT_INTERRUPTED,
    EXIT_UNUSABLE,
    EXITS,
    content_of,
    known_parts,
    of_the_case,
    read_case,
    refuse,
    report_fault,
    say_aside,
    show_json,
)
from seaflow.cli.files import alone, require_free, write_new, write_whole
from seaflow.cli.sheets import completed
from seaflow.cli.view import View

if TYPE_CHECKING:
    from seaflow.present.fleet import KeptLine
    from seaflow.present.quantities import Show
    from seaflow.studies.design.fleet import FleetQuestion, FleetResult

SUMMARIES = (".csv", ".jsonl")
_F = TypeVar("_F", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Fleet:
    """How many cases are gone through: the file of the summary, processes, and whether to go on."""

    summary: str | None = None
    jobs: int | None = None
    go_on: bool = False

    def is_meant(self, asked: Asked) -> bool:
        """Return whether many cases are asked about, or a summary of one."""
        return len(asked.files) > 1 or (self.summary is not None and bool(asked.files))


def fleet_options(command: _F) -> Callable[..., Any]:
    """Add --summary, --jobs and --go-on; the command gets them as one `fleet`."""

    @functools.wraps(command)
    def with_fleet(
        *words: Any, summary: str | None, jobs: int | None, go_on: bool, **rest: Any
    ) -> Any:
        return command(*words, fleet=Fleet(summary, jobs, go_on), **rest)

    summary_ = click.option(
        "--summary", metavar="FILE", help="Write the summary of many cases as .csv or .jsonl."
    )
    jobs_ = click.option(
        "--jobs",
        type=click.IntRange(1),
        metavar="N",
        help="Processes that share many cases, by default one a core; the answer is the same.",
    )
    go_on_ = click.option(
        "--go-on", is_flag=True, help="Do only the cases that the --summary does not hold yet."
    )
    return summary_(jobs_(go_on_(with_fleet)))


def ask_many(
    fleet: Fleet, asked: Asked, view: View, made: Callable[[Any], FleetQuestion], gaps: bool = False
) -> None:
    """Ask about many cases and leave with the worst exit code; return if one case is meant.

    `made` makes the question from what reads a case.
    """
    if fleet.go_on and fleet.summary is None:
        raise click.UsageError("--go-on goes with the --summary that holds what is done.")
    if not fleet.is_meant(asked):
        if fleet.summary is not None:
            raise click.UsageError("--summary goes with CASE files.")
        return
    if asked.is_said:
        raise click.UsageError("--boat and the options below it go with one CASE or none.")
    if view.full or view.sections:
        raise click.UsageError("--full and --section go with one CASE and without --summary.")
    named = of_the_case(asked.parts, asked.files)
    told = tuple(completed(part, view.json_) for part in named)
    catalogue = known_parts(told, view.json_)
    parts = asked.parts if told == named else told  # what each case tells, or what was asked for
    read = functools.partial(read_case, catalogue=catalogue, gaps=gaps, parts=parts)
    question = replace(made(read), content=functools.partial(content_of, parts=parts))
    _through(fleet, asked.files, view, question)


def _through(fleet: Fleet, files: tuple[str, ...], view: View, question: FleetQuestion) -> NoReturn:
    from seaflow.present.fleet import fleet_table
    from seaflow.present.quantities import Show

    show = Show(view.units)
    try:
        kept = _kept(fleet, question, show)
    except SeaflowError as error:
        refuse(error, view.json_)
    held = {_in_utf8(line.file) for line in kept}
    now = {name: question.content(file) for file in files if (name := _in_utf8(file)) in held}
    old = {line.file for line in kept if now.get(_in_utf8(line.file), "") not in ("", line.content)}
    kept = [line for line in kept if line.file not in old]
    done = {_in_utf8(line.file) for line in kept}
    left = tuple(file for file in files if _in_utf8(file) not in done)
    if old:
        say_aside(f"Changed since, so done again: {', '.join(sorted(old))}.")
    if not left:
        say_aside(f"{fleet.summary} holds all of these cases; none is left to do.")
    results = _with_progress(left, question, fleet.jobs, quiet=view.json_)
    rows = [row for result in results for row in result.rows]
    failed = _not_written(fleet, (question, rows), show)  # first: what reads the rows may go away
    if view.json_:
        show_json(rows)
    elif rows:
        click.echo(fleet_table(question.row, rows, show))
        _say_cautions(results)
    if failed is not None:
        refuse(failed, json_=False, beside_answer=True)  # the rows are one document
    if len(results) < len(left):
        _say_how_to_go_on(fleet, results, left)
        sys.exit(EXIT_INTERRUPTED)
    asked = set(map(_in_utf8, files))
    sys.exit(_exit_code(results, [line.grade for line in kept if _in_utf8(line.file) in asked]))


def _kept(fleet: Fleet, question: FleetQuestion, show: Show) -> list[KeptLine]:
    """Return the lines of cases that are done, where the summary of them is gone on with.

    Raises
    ------
    SeaflowError
        If the file exists already, cannot be made, has an unknown ending or holds something else.
    """
    if fleet.summary is None:
        return []
    if Path(fleet.summary).suffix not in SUMMARIES:
        what = f'the summary "{fleet.summary}" ends neither in .csv nor in .jsonl'
        why = "The ending says how it is written: a table, or a line of data for each loop."
        write = "Write for example --summary fleet.csv."
        raise SeaflowError([Problem("F07", what, why=why, write=write)])
    if not fleet.go_on or not os.path.exists(fleet.summary):
        require_free(fleet.summary)
        return []
    from seaflow.boat.reader.text import read_characters
    from seaflow.present.fleet import kept_lines

    text = read_characters(fleet.summary, "no file: remove it, or name another --summary")
    found = kept_lines(question.row, text, fleet.summary.endswith(".csv"), show)
    if found is None:
        what = "this file is no summary of this question in these units"
        why = "Rows of two kinds in one table would be read as one."
        write = "Give --units as before, or another --summary."
        raise SeaflowError([Problem("F18", what, why=why, write=write, file=fleet.summary)])
    drawn = next((one.draws for one in found if one.draws not in ("", question.draws)), "")
    if drawn:
        what = f"the rows of this file are of {drawn}, and {question.draws} are asked for"
        why = "Shares of days that are drawn otherwise do not stand beside each other."
        write = "Give --samples and --seed as before, or another --summary."
        raise SeaflowError([Problem("F18", what, why=why, write=write, file=fleet.summary)])
    bad = {line.file for line in found if not line.is_done}
    return [line for line in found if line.file not in bad]


def _not_written(
    fleet: Fleet, what: tuple[FleetQuestion, Sequence[Any]], show: Show
) -> SeaflowError | None:
    """Write the summary, if one is asked for; return what is wrong if it cannot be written."""
    if fleet.summary is None:
        return None
    try:
        with alone(fleet.summary):
            _write(fleet, fleet.summary, what, show)
    except SeaflowError as error:
        return error
    return None


def _write(fleet: Fleet, file: str, what: tuple[FleetQuestion, Sequence[Any]], show: Show) -> None:
    """Write the rows, behind those that the file holds by now."""
    from seaflow.present.fleet import fleet_csv, fleet_lines

    question, rows = what
    new = {_in_utf8(row.file) for row in rows}
    kept = (line for line in _kept(fleet, question, show) if _in_utf8(line.file) not in new)
    before = "".join(line.text for line in kept)
    if file.endswith(".csv"):
        head, *lines = fleet_csv(question.row, rows, show).splitlines(keepends=True)
        text = head + before + "".join(lines)
    else:
        text = before + fleet_lines(rows)
    if fleet.go_on:
        write_whole(file, _in_utf8(text))
    else:
        write_new((file, _in_utf8(text)))


def _in_utf8(text: str) -> str:
    """Return a text with what no UTF-8 stands for spelt out, so that each name stays its own."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def _say_how_to_go_on(fleet: Fleet, results: Sequence[FleetResult], left: Sequence[str]) -> None:
    say_aside(f"Interrupted after {len(results)} of {len(left)} cases.")
    if fleet.summary is not None:
        more = "" if fleet.go_on else " and --go-on behind it"
        say_aside(f"{fleet.summary} holds them. To go on: the same command{more}.")
    else:
        say_aside(f"Not done: {left[len(results)]} and what comes behind it. To keep rows in a")
        say_aside("file that can be gone on with, give --summary FILE.")


def _say_cautions(results: Sequence[FleetResult]) -> None:
    """Say the hazards of what comes next, once for all boats."""
    from seaflow.present.card import block_text, careful

    said = careful(dict.fromkeys(one for result in results for one in result.cautions))
    if said is not None:
        click.echo(f"\n{block_text(said)}")


def _with_progress(
    files: Sequence[str], question: FleetQuestion, jobs: int | None, quiet: bool
) -> list[FleetResult]:
    """Return the results; of an interrupted run those so far."""
    from seaflow.cli.progress import progress
    from seaflow.studies.design.fleet import ask_fleet

    results: list[FleetResult] = []
    label = str(click.get_current_context().info_name)
    try:
        with (
            closing(ask_fleet(files, question, jobs)) as found,
            progress(found, len(files), label, quiet) as bar,
        ):
            for result in bar:
                results.append(result)
    except KeyboardInterrupt:
        say_aside("")
    return results


def _exit_code(results: Sequence[FleetResult], grades: Sequence[str]) -> int:
    """Return the worst exit code, `grades` being of what was done before; faults of this program
    are reported.
    """
    command = str(click.get_current_context().info_name)
    faults = [(result.fault, result.file) for result in results if result.fault is not None]
    for fault, file in faults:
        report_fault(fault, (command, file))
    if faults:
        return EXIT_FAULT
    if not all(result.grade for result in results):
        return EXIT_UNUSABLE
    from seaflow.studies.design.judge import worst_of

    return EXITS[worst_of([*(result.grade for result in results), *grades])]
