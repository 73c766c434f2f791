"""The command line of seaflow. Everything heavy is imported inside the command that needs it."""

from __future__ import annotations

import gc

import click

from seaflow import __version__
from seaflow.cli.program import Commands, Program

_EPILOG = """
Exit codes: 0 the need is met; 3 tightly; 1 it is not; 2 the input cannot be used;
130 interrupted; 74 the answer cannot be written; 70 a fault of seaflow itself.

Without a file: seaflow size --boat "12 m sloop" --unit 16k --supply "230 V"

Try: seaflow example ketch-one-unit, then seaflow size ketch-one-unit.toml"""

gc.set_threshold(100_000)  # a command ends before there is garbage worth looking for


COMMANDS = Commands(
    *(
        "new",
        "check",
        "size",
        "parts",
        "balance",
        "improve",
        "energy",
        "heating",
        "place",
        "survey",
    ),
    *("page", "baseline", "diagnose", "explain", "example", "schema"),
)


@click.group(
    cls=Program,
    commands=COMMANDS,
    epilog=_EPILOG,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(__version__, prog_name="seaflow")
def main() -> None:
    """Seawater cooling of marine air conditioning: which pump, why, and where it will run."""
