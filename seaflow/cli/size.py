"""The command `size`."""

from __future__ import annotations

import sys
from functools import partial
from typing import Any

import click

from seaflow.base.problems import SeaflowError
from seaflow.cli.boat import Asked, boat_options, load_asked, of_its_pump
from seaflow.cli.common import EXITS, known_parts, read_case, refuse, sampling_options
from seaflow.cli.fleet import size_many
from seaflow.cli.size_files import check_outputs, write_outputs
from seaflow.cli.view import View, answer_text, view_options


@click.command()
@boat_options(many=True)
@view_options
@sampling_options(0, 1_000_000, 512, "Boats to sample for bands and likelihoods; 0 for none.")
@click.option(
    "--summary", metavar="FILE", help="Write the summary of many cases as .csv or .jsonl."
)
@click.option(
    "--jobs",
    type=click.IntRange(1),
    metavar="N",
    help="Processes that share many cases; as a rule one for each core. The answer is the same.",
)
@click.option(
    "-o",
    "--output",
    multiple=True,
    metavar="FILE",
    help="Write the list of materials as .csv, or the curves as .svg or .png; may be given again.",
)
def size(asked: Asked, view: View, summary: str | None, **more: Any) -> None:
    """Size the loops of a boat and rank the pumps.

    CASE is a TOML file that describes the boat; without one the boat is a typical one, but for
    what --boat and the options below it say. Exit code 1 says that in some loop no pump meets the
    need. Several cases give a summary, one row for each loop.
    """
    drawn, outputs = (more["samples"], more["seed"]), more["output"]
    if len(asked.files) > 1 or (summary is not None and asked.files):
        if asked.is_said:
            raise click.UsageError("--boat and the options below it go with one CASE or none.")
        if outputs:
            raise click.UsageError("-o goes with one CASE; many give a --summary.")
        if view.full or view.sections:
            raise click.UsageError("--full and --section go with one CASE and without --summary.")
        read = partial(read_case, catalogue=known_parts(asked.parts, view.json_))
        size_many(asked.files, read, (drawn, more["jobs"]), (view.json_, view.units, summary))
    if summary is not None:
        raise click.UsageError("--summary goes with CASE files.")
    case = load_asked(asked, view.json_).case
    from seaflow.studies.size.size import size as size_case

    told: list[str] = []
    try:
        check_outputs(outputs)
        case = of_its_pump(case, asked.pump_of(case))
        answer = size_case(case, *drawn)
        text = answer_text(view, "size", case, answer)
        if outputs:
            told = write_outputs(case, answer, outputs, view.units)
    except SeaflowError as error:
        refuse(error, view.json_)
    click.echo(text)
    for line in told:
        click.echo(line, err=view.json_)
    sys.exit(EXITS[answer.grade])
