"""The command line of seaflow. Everything heavy is imported inside the command that needs it."""

from __future__ import annotations

import gc

import click

from seaflow import __version__
from seaflow.cli.balance import balance
from seaflow.cli.baseline import baseline
from seaflow.cli.check import check
from seaflow.cli.diagnose import diagnose
from seaflow.cli.energy import energy
from seaflow.cli.example import example, schema
from seaflow.cli.explain import explain
from seaflow.cli.heating import heating
from seaflow.cli.improve import improve
from seaflow.cli.new import new
from seaflow.cli.page import page
from seaflow.cli.parts import parts
from seaflow.cli.place import place
from seaflow.cli.program import Program
from seaflow.cli.size import size
from seaflow.cli.survey import survey

_EPILOG = """
Exit codes: 0 the need is met; 3 tightly; 1 it is not; 2 the input cannot be used;
130 interrupted; 74 the answer cannot be written; 70 a fault of seaflow itself.

Without a file: seaflow size --boat "12 m sloop" --unit 16k --supply "230 V"

Try: seaflow example ketch-one-unit, then seaflow size ketch-one-unit.toml"""

gc.set_threshold(100_000)  # a command ends before there is garbage worth looking for


@click.group(cls=Program, epilog=_EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="seaflow")
def main() -> None:
    """Seawater cooling of marine air conditioning: which pump, why, and where it will run."""


for _command in (new, check, size, parts, balance, improve, energy, heating, place, survey, page):
    main.add_command(_command)

for _command in (baseline, diagnose, explain, example, schema):
    main.add_command(_command)
