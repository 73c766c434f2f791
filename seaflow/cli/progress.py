"""What shows how far a long answer has come: a bar over many cases, a count of the parts of one."""

from __future__ import annotations

import io
import os
import sys
import time
from collections.abc import Callable, Iterable
from contextlib import AbstractContextManager, suppress
from itertools import count
from typing import TYPE_CHECKING, TextIO, cast

import click

if TYPE_CHECKING:
    from seaflow.studies.design.fleet import FleetResult

PATIENCE = 1.0  # s; what is done sooner needs no word on how far it is
_USUAL = 80  # columns, where nobody knows how many there are
_WIDEST, _LEAST = 30, 5  # columns of the bar itself
_SHARE, _TIME = len("  100%"), len("  00:00:00")
_LEAST_NAME = 8  # letters of a name that still tell something


class _Aside(io.TextIOBase):
    """Standard error, which stops nothing if it takes no more."""

    def write(self, text: str) -> int:
        with suppress(OSError):
            sys.stderr.write(text)
        return len(text)

    def flush(self) -> None:
        with suppress(OSError):
            sys.stderr.flush()

    def isatty(self) -> bool:
        """Return whether a bar can be drawn there: not where no letter can be written over."""
        return sys.stderr.isatty() and os.environ.get("TERM") != "dumb"


def progress(
    found: Iterable[FleetResult], length: int, label: str, quiet: bool
) -> AbstractContextManager[Iterable[FleetResult]]:
    """Return a bar over results that come one by one, no wider than the terminal."""
    left = _columns() - 1 - len(label) - _SHARE  # a line that is full would begin another
    timed = left >= _TIME
    left -= _TIME if timed else 0
    bar = min(_WIDEST, left - len("  []"))
    drawn = bar >= _LEAST
    left -= bar + len("  []") if drawn else 0

    def name(result: FleetResult | None) -> str | None:
        room = left - len("  ")
        if result is None or room < _LEAST_NAME:
            return None
        return result.file if len(result.file) <= room else f"...{result.file[3 - room :]}"

    return click.progressbar(
        found,
        length=length,
        label=label,
        width=bar if drawn else 1,
        bar_template="%(label)s  [%(bar)s]  %(info)s" if drawn else "%(label)s  %(info)s",
        show_eta=timed,
        file=cast("TextIO", _Aside()),
        hidden=quiet,
        item_show_func=name,
    )


def is_watched() -> bool:
    """Return whether somebody sees standard error as it is written."""
    return sys.stderr.isatty()


def parts_told(name: str, of: int, quiet: bool) -> Callable[[], None]:
    """Return what tells at the terminal that another of some parts is begun, once it takes longer.

    `name` is what they are called.
    """
    begun, begins = time.monotonic(), count(1)

    def tell() -> None:
        number = next(begins)
        if not quiet and is_watched() and time.monotonic() - begun > PATIENCE:
            with suppress(OSError):
                click.echo(f"\r{name} {number} of {of}", nl=number >= of, err=True)

    return tell


def _columns() -> int:
    """Return how wide the terminal is that standard error goes to."""
    told = os.environ.get("COLUMNS", "")
    if told.isdecimal() and int(told) > 0:
        return int(told)
    try:
        return os.get_terminal_size(sys.stderr.fileno()).columns or _USUAL
    except (OSError, ValueError):
        return _USUAL
