"""The command `explain`."""

from __future__ import annotations

import sys

import click

from seaflow.base.problems import SeaflowError, meanings
from seaflow.cli.common import EXIT_FINE, json_option, refuse, show_json


@click.command()
@click.argument("codes", metavar="[CODE]...", nargs=-1)
@json_option
def explain(codes: tuple[str, ...], json_: bool) -> None:
    """Tell what each problem CODE means, what to do, and the exit code; all codes if none is named.

    A code stands before every problem, such as K02.
    """
    try:
        found = meanings(codes)
    except SeaflowError as error:
        refuse(error, json_)
    if json_:
        show_json({"codes": found})
    else:
        from seaflow.present.problems import codes_text, meanings_text

        click.echo(meanings_text(found) if codes else codes_text(found))
    sys.exit(EXIT_FINE)
