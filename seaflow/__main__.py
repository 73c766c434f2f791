"""Run the command line with `python -m seaflow`."""

from seaflow.cli.main import main

main(prog_name="seaflow")
