"""The command `size`."""

from __future__ import annotations

import sys
from functools import partial
from typing import Any

import click

from seaflow.base.problems import SeaflowError
from seaflow.cli.common import (
    EXITS,
    json_option,
    known_parts,
    load,
    parts_option,
    read_case,
    refuse,
    sampling_options,
    show_json,
    units_option,
)
from seaflow.cli.fleet import size_many
from seaflow.cli.size_files import check_outputs, write_outputs


@click.command()
@click.argument("cases", nargs=-1, required=True, metavar="CASE...")
@json_option
@units_option
@sampling_options(0, 1_000_000, 512, "Boats to sample for bands and likelihoods; 0 for none.")
@click.option(
    "--summary", metavar="FILE", help="Write the summary of many cases as .csv or .jsonl."
)
@parts_option
@click.option(
    "-o",
    "--output",
    multiple=True,
    metavar="FILE",
    help="Write the list of materials as .csv, or the curves as .svg or .png; may be given again.",
)
def size(
    cases: tuple[str, ...],
    json_: bool,
    units: str,
    summary: str | None,
    parts: tuple[str, ...],
    **more: Any,
) -> None:
    """Size the loops of CASE and rank the pumps.

    CASE is a TOML file that describes the boat; see docs/case-file.md. Exit code 1 says that in
    some loop no pump meets the need. Several cases give a summary, one row for each loop.
    """
    drawn, outputs = (more["samples"], more["seed"]), more["output"]
    if len(cases) > 1 or summary is not None:
        if outputs:
            raise click.UsageError("-o goes with one CASE; many give a --summary.")
        read = partial(read_case, catalogue=known_parts(parts, json_))
        size_many(cases, read, drawn, (json_, units, summary))
    loaded = load(cases[0], json_, parts)
    from seaflow.studies.size.size import size as size_case

    try:
        check_outputs(outputs)
        answer = size_case(loaded.case, *drawn)
        told = write_outputs(loaded.case, answer, outputs, units) if outputs else []
    except SeaflowError as error:
        refuse(error, json_)
    if json_:
        from seaflow.present.data import as_data
        from seaflow.studies.size.materials import boat_materials

        lists = boat_materials(loaded.case, answer)
        show_json({**as_data(answer), "materials": lists})
    else:
        from seaflow.present.size.text import size_text

        click.echo(size_text(answer, units))
    for line in told:
        click.echo(line, err=json_)
    sys.exit(EXITS[answer.grade])
