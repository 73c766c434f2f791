"""The case file as text: reading it safely, and finding the line of a key."""

from __future__ import annotations

import codecs
import os
import re
import stat
import tomllib
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from itertools import islice
from typing import Any, TypeVar

from seaflow.base.near import nearest
from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.shipped import examples
from seaflow.boat.reader.bounds import (
    MOST_PROBLEMS,
    acting,
    acting_texts,
    excess,
    named_acting,
    shown,
    too_deep,
)
from seaflow.boat.reader.not_toml import not_toml
from seaflow.boat.reader.places import Path as Path  # noqa: PLC0414 (all others take it from here)
from seaflow.boat.reader.places import Span, places

FREE = "meta"  # a table for the reader of the file alone: it is never shown
NO_FILE = "the typical boat"  # in place of the name of a file
LARGEST_FILE = 1_000_000
_ON_THE_KEY = ("K01",)  # where the key itself is wrong, and not what stands behind it
_Place = TypeVar("_Place")
_NO_TEXT = (  # how files begin that are no text
    *(b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"\x1f\x8b"),
)
SHIPPED = "a new one: seaflow new boat.toml"


@dataclass(frozen=True, slots=True)
class CaseText:
    """The lines of a case file and the line on which each key stands.

    `spans` are columns and lengths of values on their lines, `keys` those of the keys before them;
    `beside` tells of what another file supplies: its text, and the path there.
    """

    file: str
    lines: tuple[str, ...] = ()
    where: dict[Path, int] = field(default_factory=dict)
    spans: dict[Path, Span] = field(default_factory=dict)
    keys: dict[Path, Span] = field(default_factory=dict)
    beside: dict[Path, tuple[CaseText, Path]] = field(default_factory=dict)

    def problem(self, code: str, path: Path, what: str, **rest: Any) -> Problem:
        """Return a Problem that points at the key at `path`, or at the nearest table above it."""
        for up in _upwards(path):
            if up in self.beside:
                other, place = self.beside[up]
                return other.problem(code, (*place, *path[len(up) :]), what, **rest)
        line = self.line(path)
        at_key = code in _ON_THE_KEY or bool(path and acting(str(path[-1])))
        column, length = (None, 1) if line is None else self._span(path, at_key)
        return Problem(code, what, file=self.file, line=line, column=column, length=length, **rest)

    def only(self, raw: dict[str, Any]) -> CaseText:
        """Return the same text, with places for nothing but what is in this TOML data."""
        where = {path: line for path, line in self.where.items() if _is_in(raw, path)}
        return replace(self, where=where)

    def also(self, written: Path, meant: Path, by: int = 0) -> CaseText:
        """Return the same text, with all that stands at one path to be found at another as well.

        `by` is how many rows are before it there.
        """

        def moved(here: dict[Path, _Place]) -> dict[Path, _Place]:
            depth = len(written)
            found = {path: place for path, place in here.items() if path[:depth] == written}
            return here | {_by(path[depth:], meant, by): at for path, at in found.items()}

        where, spans, keys = moved(self.where), moved(self.spans), moved(self.keys)
        return replace(self, where=where, spans=spans, keys=keys)

    def line(self, path: Path) -> int | None:
        """Return the line of the key at `path`, or of the nearest table above it."""
        return next((self.where[up] for up in _upwards(path) if up in self.where), None)

    def _span(self, path: Path, on_the_key: bool) -> Span:
        found = next(up for up in _upwards(path) if up in self.where)
        if on_the_key and found in self.keys:
            return self.keys[found]
        if found in self.spans:
            return self.spans[found]
        text = self.lines[self.where[found] - 1]
        stripped = text.partition("#")[0].strip()
        return text.index(stripped) + 1 if stripped else 1, max(1, len(stripped))


def _by(rest: Path, meant: Path, by: int) -> Path:
    """Return the end of a path below another, its first row moved on."""
    if by and rest and isinstance(rest[0], int):
        rest = (rest[0] + by, *rest[1:])
    return (*meant, *rest)


def _upwards(path: Path) -> Iterator[Path]:
    """Yield a path and all above it, the longest first."""
    return (path[:end] for end in range(len(path), 0, -1))


def _is_in(raw: Any, path: Path) -> bool:
    for part in path:
        try:
            raw = raw[part]
        except (KeyError, IndexError, TypeError):
            return False
    return True


def read_text(file: str, start_from: str = SHIPPED) -> tuple[CaseText, dict[str, Any]]:
    """Return a file as text and as raw TOML data; `start_from` is what to look at instead.

    Raises
    ------
    SeaflowError
        If the file is missing, a folder, empty, too large, not UTF-8 or not TOML.
    """
    return parsed(file, read_characters(file, start_from))


def parsed(file: str, text: str) -> tuple[CaseText, dict[str, Any]]:
    """Return the characters of a file with their places, and as raw TOML data.

    Raises
    ------
    SeaflowError
        If they are not TOML, more than any boat takes, or would act where they are shown.
    """
    lines = tuple(text.replace("\r\n", "\n").split("\n"))  # as TOML counts them
    deep = too_deep(text)
    if deep is not None:
        line, what = deep
        raise SeaflowError([beyond(file, what, line)])
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SeaflowError([not_toml(file, lines, str(error))]) from None
    except RecursionError:
        raise SeaflowError(
            [beyond(file, "tables or lists stand too deep in each other", None)]
        ) from None
    except ValueError:  # what Python itself refuses to read: a whole number of thousands of digits
        raise SeaflowError([_endless_number(file, lines)]) from None
    stand = places("\n".join(lines))
    found = CaseText(file, lines, stand.where, stand.values, stand.keys)
    told = {name: content for name, content in raw.items() if name != FREE}
    more = excess(told)
    if more is not None:
        raise SeaflowError([beyond(file, more[1], found.line(more[0]))])
    acts = list(islice(acting_texts(told), MOST_PROBLEMS))
    if acts:
        raise SeaflowError(acting_problem(found, path, word) for path, word in acts)
    return found, raw


def beyond(file: str, what: str, line: int | None) -> Problem:
    """Return the refusal of a file that holds more than anything about a boat."""
    return Problem(
        "F16",
        what,
        why="This is another file, or something was pasted in many times over.",
        write="Take out what does not belong to the boat.",
        file=file,
        line=line,
    )


def _endless_number(file: str, lines: tuple[str, ...]) -> Problem:
    longest = {line: max(map(len, re.findall(r"\d[\d_]*", line)), default=0) for line in lines}
    line = lines.index(max(lines, key=longest.__getitem__))
    return beyond(file, "a number has thousands of digits", line + 1)


def nothing_yet(text: CaseText) -> Problem:
    """Return the refusal of a file of which nothing is about a boat yet."""
    return text.problem(
        "F03",
        (),
        "nothing about a boat stands in the file yet",
        why="There is nothing in it to calculate.",
        write=f"Start from {SHIPPED}.",
    )


def acting_problem(text: CaseText, path: Path, word: str) -> Problem:
    """Return the refusal of a text that would act where it is shown."""
    return text.problem(
        "K14",
        path,
        f'"{shown(word)}" holds a character that is not shown but does something: '
        f"{', '.join(named_acting(word))}",
        why="It would act on the screen, the page or the table that it stands on.",
        write="Type it anew, on one line, in letters, digits and signs.",
    )


def read_characters(file: str, start_from: str = SHIPPED) -> str:
    """Return the characters of a file.

    Raises
    ------
    SeaflowError
        If the file is missing, a folder, empty, too large or not UTF-8.
    """
    content = bytes_of(file, start_from)
    if content.startswith(_NO_TEXT):
        why = "It begins as a workbook, a document, a picture or a packed file does."
        told = (why, f"Save what is in it as plain text, or start from {start_from}.")
        raise _refuse("F04", file, "this is no plain text", told)
    try:
        return decoded(content)
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8-sig", "replace").split("\n")
        why = (
            "A letter such as \u00e9 or \u00b0 was saved in another alphabet, and it could be any."
        )
        raise _refuse(
            "F04",
            file,
            "the file is not UTF-8 text",
            (why, "Save it as UTF-8 in the editor."),
            len(before),
            len(before[-1]) + 1,
        ) from None


def decoded(content: bytes, errors: str = "strict") -> str:
    """Return the characters of a file of UTF-8, or of UTF-16 with a mark or without.

    A file begins with a letter or sign of ASCII, of which UTF-16 makes two bytes, one of them
    nought. Where no line ends in a line feed, each ends in a carriage return.

    Raises
    ------
    UnicodeDecodeError
        If it is neither, unless `errors` is "replace".
    """
    first, code = content[:2], "utf-8-sig"
    if first in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE) and len(content) > len(first):
        code = "utf-16"
    elif first[:1] != first[1:] and b"\0" in (first[:1], first[1:]):
        code = "utf-16-be" if first[0] == 0 else "utf-16-le"
    text = content.decode(code, errors)
    return text if "\n" in text else text.replace("\r", "\n")


def bytes_of(file: str, start_from: str = SHIPPED) -> bytes:
    """Return the bytes of a file.

    Raises
    ------
    SeaflowError
        If it is missing, a folder, no regular file, empty or too large.
    """
    if os.path.isdir(file):  # False where it raises, as for a name too long
        words = ("Only a file can be read.", "Name a file in it, or move the folder away.")
        raise _refuse("F02", file, "this is a folder, not a file", words)
    try:
        if not stat.S_ISREG(os.stat(file).st_mode):
            words = ("It may never end, or wait for ever.", "Copy what it gives into a file.")
            raise _refuse("F15", file, "this is a pipe or a device, not a file", words)
        with open(file, "rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        if os.path.islink(file):
            what = f'this is a link to "{shown(os.readlink(file))}", and there is no such file'
            words = (
                "The link stands, but what it leads to is gone.",
                "Mend the link or remove it.",
            )
            raise _refuse("F01", file, what, words) from None
        words = ("Names are taken as typed, from the folder you are in.", _named_instead(file))
        raise _refuse("F01", file, "there is no such file", words) from None
    except (OSError, ValueError) as error:  # the latter for a name that no file can bear
        words = (
            "The computer does not let this program read it.",
            "Check its permissions, or copy it.",
        )
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise _refuse("F01", file, f"the file cannot be read: {reason}", words) from None
    if len(content) > LARGEST_FILE:
        words = ("A boat takes a few kilobytes, so this is another file.", "Check the name.")
        raise _refuse("F06", file, "the file is larger than 1 MB", words)
    if not content.removeprefix(codecs.BOM_UTF8).strip():
        words = ("There is nothing in it to read.", f"Start from {start_from}.")
        raise _refuse("F03", file, "the file is empty", words)
    return content


def _named_instead(file: str) -> str:
    folder, base = os.path.split(file)
    name, ending = os.path.splitext(base)
    if name in examples():
        return f"It ships with seaflow. To write it into this folder: seaflow example {name}"
    with suppress(OSError, ValueError):  # where no folder can be listed
        there = [one for one in os.listdir(folder or ".") if one.endswith(ending or ".toml")]
        near = nearest(base, there)
        if near is not None:
            return f'Did you mean "{shown(os.path.join(folder, near))}"?'
    return "Check name and folder."


def _refuse(
    code: str,
    file: str,
    what: str,
    words: tuple[str, str],
    line: int | None = None,
    column: int | None = None,
) -> SeaflowError:
    """Return an error of one problem; `words` are why it matters and what to write."""
    why, write = words
    return SeaflowError(
        [Problem(code, what, why=why, write=write, file=file, line=line, column=column)]
    )
