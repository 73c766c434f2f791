"""The command line of seaflow. Everything heavy is imported inside the command that needs it."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, NoReturn

import click

from seaflow import __version__
from seaflow.base.problems import SeaflowError

if TYPE_CHECKING:
    from seaflow.boat.load import Loaded

EXIT_FINE, EXIT_NOT_MET, EXIT_UNUSABLE = 0, 1, 2

_EPILOG = """\b
Exit codes: 0 the need is met; 1 it is not; 2 the input cannot be used.
Try: seaflow size cases/ketch-one-unit.toml"""


@click.group(epilog=_EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="seaflow")
def main() -> None:
    """Seawater cooling of marine air conditioning: which pump, why, and where it will run."""


@main.command()
@click.argument("case")
@click.option("--json", "json_", is_flag=True, help="Answer as data in SI units.")
@click.option(
    "--units",
    type=click.Choice(("metric", "us")),
    default="metric",
    show_default=True,
    help="Units of the text.",
)
def size(case: str, json_: bool, units: str) -> None:
    """Size the loops of CASE and rank the pumps.

    CASE is a TOML file that describes the boat; see docs/case-file.md. Exit code 1 says that in
    some loop no pump meets the need.
    """
    loaded = _load(case, json_)
    from seaflow.studies.size import size as size_case

    try:
        answer = size_case(loaded.case)
    except SeaflowError as error:
        _refuse(error, json_)
    if json_:
        from seaflow.present.data import as_json

        click.echo(as_json(answer))
    else:
        from seaflow.present.size_text import size_text

        click.echo(size_text(answer, units))
    sys.exit(EXIT_FINE if answer.is_met else EXIT_NOT_MET)


def _load(file: str, json_: bool) -> Loaded:
    from seaflow.boat.load import load_case

    try:
        loaded = load_case(file)
    except SeaflowError as error:
        _refuse(error, json_)
    if loaded.warnings and not json_:
        from seaflow.present.problems import problems_text

        click.echo(problems_text(loaded.warnings) + "\n", err=True)
    return loaded


def _refuse(error: SeaflowError, json_: bool) -> NoReturn:
    """Show every problem and leave with the exit code for input that cannot be used."""
    if json_:
        from seaflow.present.data import as_json

        click.echo(as_json({"problems": error.problems}))
    else:
        from seaflow.present.problems import problems_text

        click.echo(problems_text(error.problems), err=True)
    sys.exit(EXIT_UNUSABLE)
