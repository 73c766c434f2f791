"""The program around all commands: no letter stops its output, and its exit code is true."""

from __future__ import annotations

import codecs
import os
import sys
import warnings
from collections.abc import Iterator, MutableMapping, Sequence
from contextlib import contextmanager, suppress
from importlib import import_module
from typing import Any, NoReturn

import click

from seaflow.base.problems import Problem, SeaflowError, program_fault
from seaflow.cli.common import (
    EXIT_FAULT,
    EXIT_FINE,
    EXIT_INTERRUPTED,
    EXIT_NO_OUTPUT,
    EXIT_UNUSABLE,
    refuse,
    report_fault,
    say_aside,
)
from seaflow.cli.help import Command, HelpContext

# What stands in for a sign that a code page or a terminal does not have; all else becomes "?".
_INSTEAD = {
    **{"°": "deg ", "²": "2", "³": "3", "±": "+/-", "×": "x", "·": "*", "µ": "u", "…": "..."},
    **{"–": "-", "—": "-", "−": "-", "≤": "<=", "≥": ">=", "→": "->", "’": "'", "“": '"', "”": '"'},
}
_ON_ERROR = "seaflow.instead"
_ELSEWHERE = {"schema": "example"}  # commands that stand in the module of another


class Commands(MutableMapping[str, click.Command]):
    """Commands by name; each is loaded, from the module of that name, when it is looked up."""

    def __init__(self, *names: str) -> None:
        self._found: dict[str, click.Command | None] = dict.fromkeys(names)

    def __getitem__(self, name: str) -> click.Command:
        found = self._found[name]
        if found is None:
            module = import_module(f"seaflow.cli.{_ELSEWHERE.get(name, name)}")
            found = self._found[name] = Command.of(getattr(module, name))
        return found

    def __setitem__(self, name: str, command: click.Command) -> None:
        self._found[name] = Command.of(command)

    def __delitem__(self, name: str) -> None:
        del self._found[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._found)

    def __len__(self) -> int:
        return len(self._found)


class Program(click.Group):
    """All commands, with what holds for every one of them."""

    context_class = HelpContext

    def main(self, args: Sequence[str] | None = None, *more: Any, **rest: Any) -> NoReturn:
        """Run one command and leave with its exit code."""
        words = list(sys.argv[1:] if args is None else args)
        if sys.stderr is None:  # closed: what would be said there goes nowhere
            sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
        if sys.stdin is None:  # closed: as if what is typed had ended
            sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: SIM115
        if sys.stdout is None:
            say_aside("seaflow: standard output is closed, so there is nowhere to answer.")
            sys.exit(EXIT_NO_OUTPUT)
        for stream in (sys.stdout, sys.stderr):
            if hasattr(stream, "reconfigure"):
                stream.reconfigure(errors=_ON_ERROR)
        rest["standalone_mode"] = False
        try:
            code = self._ended(words, *more, **rest)
            sys.stdout.flush()
        except (_NoOutput, OSError) as error:
            code = _without_output(error)
        sys.exit(code)

    def make_context(self, *words: Any, **rest: Any) -> click.Context:
        """Read the words of the command; that may print a help text."""
        from seaflow.present.layout import NARROW, width

        if width() <= NARROW:  # narrower than click folds a help text by itself
            rest["terminal_width"] = width()
        with _to_output():
            return super().make_context(*words, **rest)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command."""
        with _to_output():
            return super().invoke(ctx)

    def _ended(self, words: list[str], *more: Any, **rest: Any) -> int:
        """Run one command and return its exit code."""
        try:
            with warnings.catch_warnings():
                # overflow in a figure that no boat has: the answer itself tells of it
                warnings.simplefilter("ignore", RuntimeWarning)
                _require_plain(words)
                return _code(super().main(words, *more, **rest))
        except SystemExit as ended:
            return _code(ended.code)
        except click.ClickException as error:
            error.show()
            return EXIT_UNUSABLE
        except (click.Abort, KeyboardInterrupt):
            say_aside("Interrupted.")
            return EXIT_INTERRUPTED
        except SeaflowError as error:
            return _refused(error, "--json" in words)
        except _NoOutput:
            raise
        except Exception as error:
            problem = _problem_of(error)
            if problem is not None:
                return _refused(SeaflowError([problem]), "--json" in words)
            report_fault(program_fault(error), words)
            return EXIT_FAULT


class _NoOutput(Exception):  # noqa: N818 - it says what happened
    """Standard output takes nothing more; click would take the exit code 1 for that."""


@contextmanager
def _to_output() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        if error.filename is not None or isinstance(error, FileNotFoundError):
            raise
        raise _NoOutput from error  # no file has failed by name, so it is standard output


def _code(returned: Any) -> int:
    return int(returned) if isinstance(returned, int) else EXIT_FINE


def _instead(error: UnicodeError) -> tuple[str, int]:
    """Return what stands in for letters that the output cannot show."""
    assert isinstance(error, UnicodeEncodeError)
    letters = error.object[error.start : error.end]
    return "".join(_INSTEAD.get(letter, "?") for letter in letters), error.end


codecs.register_error(_ON_ERROR, _instead)


def _require_plain(words: Sequence[str]) -> None:
    """Refuse a word that would act on the terminal; one that is not UTF-8 may still name a file."""
    from seaflow.boat.reader.bounds import acting
    from seaflow.boat.reader.text import CaseText, acting_problem

    for word in words:
        if not word.isascii() or not word.isprintable():
            plain = word.encode("utf-8", "replace").decode("utf-8")
            if acting(plain):
                raise SeaflowError([acting_problem(CaseText(""), (), plain)])


def _problem_of(error: Exception) -> Problem | None:
    """Return what is wrong around an error that is no fault of this program."""
    from seaflow.base.ranges import RangeError, beyond  # needs numpy, as an answer does

    if isinstance(error, RangeError):
        return beyond(error)
    if not isinstance(error, FileNotFoundError) or error.filename is not None:
        return None
    return Problem(
        "W02",
        f"there is no folder to work in: {error.strerror}",
        why="The folder that you are in is gone, or there is none for temporary files.",
        write="Go to a folder that exists, or set TMPDIR to one that you may write to.",
    )


def _refused(error: SeaflowError, json_: bool) -> int:
    try:
        refuse(error, json_)
    except SystemExit as ended:
        return _code(ended.code)


def _without_output(error: Exception) -> int:
    """Say that the answer could not be written, unless whoever read it has gone."""
    cause = error.__cause__ if isinstance(error, _NoOutput) else error
    if isinstance(cause, OSError) and not isinstance(cause, BrokenPipeError):
        say_aside(f"seaflow: standard output cannot be written: {cause.strerror}.")
    with suppress(OSError, ValueError):  # so that nothing is written at the very end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return EXIT_NO_OUTPUT
