"""Run the command line, as `seaflow` or with `python -m seaflow`."""

import signal
import sys


def run() -> None:
    """Run the command line; an interrupt while it still loads ends it as any other does."""
    try:
        from seaflow.cli.main import main
    except KeyboardInterrupt:
        sys.stderr.write("Interrupted.\n")
        sys.exit(128 + signal.SIGINT)
    main(prog_name="seaflow")


if __name__ == "__main__":
    run()
