"""The command `size`."""

from __future__ import annotations

import sys

import click

from seaflow.base.problems import SeaflowError
from seaflow.cli.common import (
    EXIT_FINE,
    EXIT_NOT_MET,
    json_option,
    load,
    refuse,
    show_json,
    units_option,
)


@click.command()
@click.argument("case")
@json_option
@units_option
@click.option(
    "--samples",
    type=click.IntRange(0, 1_000_000),
    default=1024,
    show_default=True,
    help="Boats to sample for bands and likelihoods; 0 for none.",
)
@click.option(
    "--seed", type=click.IntRange(0, 2**31), default=20, show_default=True, help="Seed of the draws."
)
def size(case: str, json_: bool, units: str, samples: int, seed: int) -> None:
    """Size the loops of CASE and rank the pumps.

    CASE is a TOML file that describes the boat; see docs/case-file.md. Exit code 1 says that in
    some loop no pump meets the need.
    """
    loaded = load(case, json_)
    from seaflow.studies.size import size as size_case

    try:
        answer = size_case(loaded.case, samples, seed)
    except SeaflowError as error:
        refuse(error, json_)
    if json_:
        show_json(answer)
    else:
        from seaflow.present.size_text import size_text

        click.echo(size_text(answer, units))
    sys.exit(EXIT_FINE if answer.is_met else EXIT_NOT_MET)
