"""What a plain sheet does not tell, asked at the terminal before the sheet is read."""

from __future__ import annotations

import sys
from shlex import quote

import click

MOST_ASKED = 3  # times that one sheet is asked about before its problems are told instead


def at_a_terminal() -> bool:
    """Return whether somebody can be asked."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def completed(named: str, json_: bool) -> str:
    """Return the name of a file of parts with what was missing told behind it, if anybody can tell.

    An answer left empty leaves the rest to the problems of the file.
    """
    if json_ or not at_a_terminal():
        return named
    from seaflow.boat.parts.own_parts import missing_facts

    told = named
    for _ in range(MOST_ASKED):
        for missing in missing_facts(told):
            click.echo(f"{missing.file}: {missing.what}.\n  {missing.why}", err=True)
            answer = click.prompt(
                f"  {missing.group}", default="", show_default=False, err=True
            ).strip()
            if not answer:
                return told
            told = f"{told}, {missing.group}: {answer}"
    if told != named:
        click.echo(f"Not to be asked again, name it as: {quote(told)}", err=True)
    return told
