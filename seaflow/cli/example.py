"""The commands `example` and `schema`: write a file that ships with seaflow."""

from __future__ import annotations

import sys
from typing import Any

import click

from seaflow.base.near import called
from seaflow.base.problems import SeaflowError
from seaflow.base.shipped import example_text, examples, schemas
from seaflow.cli.common import EXIT_FINE, refuse
from seaflow.cli.files import write_new


class _Named(click.Choice[str]):
    """One of a few names, in full or by a beginning of one alone."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the name that is meant."""
        meant = called(str(value), self.choices)
        return super().convert(meant[0] if len(meant) == 1 else value, param, ctx)


@click.command()
@click.argument("name", required=False, metavar="[NAME]", type=_Named(tuple(examples())))
@click.option("-o", "--output", metavar="FILE", help="Write it into FILE, not under its own name.")
def example(name: str | None, output: str | None) -> None:
    """List the boats and sheets of parts that ship with seaflow, or write the one called NAME.

    They are invented, and run as they stand. An existing file is never written over.
    """
    if name is None:
        if output is not None:
            raise click.UsageError("-o names the file for one example: give its NAME too.")
        from seaflow.present.shipped_text import examples_text

        click.echo(examples_text(examples()))
        sys.exit(EXIT_FINE)
    path = examples()[name]
    file = path.name if output is None else output
    _write(file, example_text(path))
    if name.startswith("own-"):
        click.echo(f"{file} holds invented parts. To use them: seaflow size BOAT --parts {file}")
    else:
        click.echo(f"{file} holds an invented boat. To size it: seaflow size {file}")
    sys.exit(EXIT_FINE)


@click.command()
@click.argument("kind", type=click.Choice(tuple(schemas())))
@click.option("-o", "--output", metavar="FILE", help="Write it into FILE, a new one.")
def schema(kind: str, output: str | None) -> None:
    """Print the JSON Schema of a KIND of file, by which an editor explains and checks its keys.

    A case that seaflow wrote looks for case.schema.json beside it.
    """
    text = schemas()[kind].read_text(encoding="utf-8")
    if output is None:
        click.echo(text, nl=False)
    else:
        _write(output, text)
        click.echo(f"The schema is in {output}.")
    sys.exit(EXIT_FINE)


def _write(file: str, text: str) -> None:
    try:
        write_new((file, text))
    except SeaflowError as error:
        refuse(error, json_=False)
