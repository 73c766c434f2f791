"""The command `size`."""

from __future__ import annotations

import sys
from functools import partial

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


@click.command()
@click.argument("cases", nargs=-1, required=True, metavar="CASE...")
@json_option
@units_option
@sampling_options(0, 1_000_000, 512, "Boats to sample for bands and likelihoods; 0 for none.")
@click.option(
    "--summary", metavar="FILE", help="Write the summary of many cases as .csv or .jsonl."
)
@parts_option
def size(
    cases: tuple[str, ...],
    json_: bool,
    units: str,
    summary: str | None,
    parts: tuple[str, ...],
    **sampling: int,
) -> None:
    """Size the loops of CASE and rank the pumps.

    CASE is a TOML file that describes the boat; see docs/case-file.md. Exit code 1 says that in
    some loop no pump meets the need. Several cases give a summary, one row for each loop.
    """
    drawn = (sampling["samples"], sampling["seed"])
    if len(cases) > 1 or summary is not None:
        read = partial(read_case, catalogue=known_parts(parts, json_))
        size_many(cases, read, drawn, (json_, units, summary))
    loaded = load(cases[0], json_, parts)
    from seaflow.studies.size.size import size as size_case

    try:
        answer = size_case(loaded.case, *drawn)
    except SeaflowError as error:
        refuse(error, json_)
    if json_:
        show_json(answer)
    else:
        from seaflow.present.size.text import size_text

        click.echo(size_text(answer, units))
    sys.exit(EXITS[answer.grade])
