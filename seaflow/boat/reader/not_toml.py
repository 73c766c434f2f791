"""Why a line of a file is not TOML: the slip that was made, where it stands, and what to write."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from itertools import islice
from typing import Any

from seaflow.base.near import as_seen, named
from seaflow.base.problems import Problem
from seaflow.base.tables import read_table
from seaflow.boat.reader.bounds import LONGEST_TEXT, acts, pieces, shown
from seaflow.boat.reader.places import Twice, told_twice

_TWICE = re.compile("twice|overwrite|mutate|[Dd]uplicate")  # in what the parser says
_PRINTED = "\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u201b\u00ab\u00bb\u2033"
_FLAGS = {"yes": "true", "on": "true", "true": "true", "no": "false", "off": "false"}
_FLAGS["false"] = "false"
_UNCLOSED = re.compile(
    r'''(""")(?!.*"""$)|(\'\'\')(?!.*\'\'\'$)|'[^']*$|"(?:[^"\\]|\\.)*$''', re.DOTALL
)
MOST_LOOKED_AT = 5  # lines that tell whether a file is a table in columns
_FRACTION = re.compile(r"(?:\d+[ -]+)?\d+\s*/\s*(?:2|4|8|16|32)")
_SOLD_IN_INCHES = re.compile(r"(?:bore|port|diameter)\w*$")
_LINES = 'Write lines like length = "0.8 m", the text in quotes.'


@dataclass(frozen=True, slots=True)
class _Stop:
    """Where a parser refused to go on, and why; no column where the text had come to its end."""

    lines: tuple[str, ...]
    line: int
    column: int | None
    reason: str

    @property
    def text(self) -> str:
        """The line on which it stopped."""
        return self.lines[self.line - 1]

    @property
    def is_head(self) -> bool:
        """Whether that line is, or begins as, the head of a table."""
        return self.text.lstrip().startswith("[")

    @property
    def before(self) -> str:
        """All that it had read."""
        end = None if self.column is None else self.column - 1
        return "\n".join([*self.lines[: self.line - 1], self.text[:end]])


def not_toml(file: str, lines: tuple[str, ...], reason: str) -> Problem:
    """Return what is wrong with the lines of a file that a parser refused for this reason."""
    found = re.search(r"line (\d+), column (\d+)", reason)
    line, column = (int(found[1]), int(found[2])) if found else (len(lines), None)
    stop = _Stop(lines, line, column, reason)
    causes = (_columns, _curly, _odd_character, _told_twice, _not_closed, _slip)
    told = next((one for cause in causes if (one := cause(stop))), None) or _as_told(stop)
    return Problem("F05", file=file, **({"line": line} | told))


def _as_told(stop: _Stop) -> dict[str, Any]:
    """Return what the parser itself says."""
    reason = re.sub(r"\s*\(at .*\)", "", stop.reason).partition(";")[0]
    reason = reason.replace("character '\\n'", "end of the line")
    reason = re.sub(
        r"\((?:'[^']*',? ?)+\)", lambda path: path[0].strip("(),").replace("'", ""), reason
    )
    return {
        "what": f"this line is not TOML: {reason[:1].lower()}{reason[1:]}",
        "why": "Nothing after it can be read. Often a quote or a bracket is missing here or above.",
        "write": _LINES,
        "column": stop.column,
    }


def in_columns(text: str) -> bool:
    """Return whether a text is a table in columns, as a spreadsheet writes it, and no TOML."""
    lines = (line for line in text.splitlines() if line.strip() and line.lstrip()[0] != "#")
    head, *rows = list(islice(lines, MOST_LOOKED_AT)) or [""]
    sign = next((one for one in ";\t," if one in head), None)
    return (
        sign is not None
        and bool(rows)
        and not re.match(r"\s*([#\[]|[\w.\"'-]+\s*=)", head)
        and all(row.count(sign) >= head.count(sign) and "=" not in row for row in rows)
    )


def _columns(stop: _Stop) -> dict[str, Any] | None:
    """Return the problem that the file is a table in columns, if it is."""
    if not in_columns("\n".join(stop.lines)):
        return None
    return {
        "what": "these are columns of a table, as a spreadsheet writes them",
        "why": "A boat is written in lines, each a key, = and its value. Only parts and the curve "
        "of a pump are read from columns: seaflow size BOAT --parts FILE.csv.",
        "write": "Start from a case that explains its lines: seaflow new boat.toml.",
        "column": 1,
    }


def _curly(stop: _Stop) -> dict[str, Any] | None:
    """Return the problem with quotes of print, if they are the cause."""
    quotes = [at for at, one in enumerate(stop.text, 1) if one in _PRINTED]
    open_ = stop.text.count('"') % 2 == 1
    if not quotes or not (stop.column in quotes or open_):
        return None
    return {
        "what": f"this line is not TOML: {stop.text[quotes[0] - 1]} is a curly quote",
        "why": "A word processor or a telephone sets such quotes for you.",
        "write": 'Type straight quotes, as in length = "0.8 m".',
        "column": stop.column if stop.column in quotes else quotes[0],
    }


def _odd_character(stop: _Stop) -> dict[str, Any] | None:
    """Return the problem with a character that no key, sign or number is made of."""
    at = len(stop.text) if stop.column is None else stop.column - 1
    odd = stop.text[at : at + 1]
    if not odd or (odd.isascii() and odd.isprintable()) or odd == "\t":
        return None
    behind = re.match(r"[\w-]*", stop.text[at:][:LONGEST_TEXT])
    before = re.match(r"[\w-]*", stop.text[:at][:-LONGEST_TEXT:-1])
    assert behind is not None and before is not None
    whole = before[0][::-1] + behind[0]
    told = {
        "what": f'"{odd}", {named(odd)}, stands outside quotes',
        "why": "Keys and signs are plain letters, digits, - and _; others are read in quotes only.",
        "write": f"Type it anew in plain letters and signs. {_LINES}",
        "column": at + 1,
    }
    plain = unicodedata.normalize("NFKC", as_seen(whole))
    if odd == "\r":
        told["what"] = "a line ends here by a carriage return alone"
        told["why"] = "Other lines of the file end by a line feed, and so it is no end to them."
        told["write"] = "Press Enter here and take the old line end out, or save the file anew."
    elif acts(odd) or odd in "\u200c\u200d":
        told["what"] = f"a character that is not seen stands here: {named(odd)}"
        told["why"] = (
            "It came along with text that was copied, and outside quotes nothing may hide."
        )
        told["write"] = "Take it out, or type the line anew."
    elif odd.isspace():
        told["what"] = f"this is not a plain space: {named(odd)}"
        told["why"] = "It came along with text that was copied, and looks like a space."
        told["write"] = "Type a plain space in its place, or the line anew."
    elif behind[0] and plain.isascii():
        told["what"] = f'the letter "{odd}" is of another alphabet: {named(odd)}'
        told["why"] = "It looks like one of ours, and is another to whatever reads it."
        told["write"] = f'Type "{plain}" anew.'
    return told


def _told_twice(stop: _Stop) -> dict[str, Any] | None:
    """Return the problem with what stands twice up to where a text is not TOML, if anything."""
    if not _TWICE.search(stop.reason) or (stop.is_head and _slip(stop)):
        return None
    twice = told_twice(stop.before)
    if twice is None:
        return None
    what, why, write = _said_twice(twice)
    if stop.is_head and not twice.brackets:
        write = "Put all its keys into one of the two, and take the other out."
    column, length = twice.span
    return dict(what=what, why=why, write=write, line=twice.line, column=column, length=length)


def _said_twice(twice: Twice) -> tuple[str, str, str]:
    name, path = shown(twice.name), twice.path
    there = f"; the first is on line {twice.first}" if twice.first < twice.line else ""
    if twice.brackets == "[[":
        return (
            f"[{name}] has one pair of brackets, and [[{name}]] on line {twice.first} has two",
            "Where there may be several of a thing, each stands under double brackets.",
            f"Write [[{name}]] here.",
        )
    if twice.brackets:
        return (
            f"a second [{name}]{there}",
            "A table in single brackets stands once.",
            "Put all its keys under the first. Where they are two things, such as two hoses, each "
            "stands under double brackets, as in [[hose]].",
        )
    write = "Take one of them out."
    if there and len(path) == len(("table", "row", "key")) and isinstance(path[1], int):
        header = f"[[{shown(str(path[0]))}]]"
        write = f"Take one of them out, or write above the next thing what it is, as in {header}."
    return (
        f"a second {name} in one table{there}",
        "A key can have one value, and nobody can tell which of the two holds.",
        write,
    )


def _not_closed(stop: _Stop) -> dict[str, Any] | None:
    """Return the problem with a list or a text that was begun on a line above and not closed."""
    open_: list[tuple[int, int, str]] = []
    in_value, line, column = False, 1, 1
    for piece in pieces(stop.before):
        if piece == "=" and not open_:
            in_value = True
        elif piece in ("[", "{") and in_value:
            open_.append((line, column, piece))
        elif piece in ("]", "}") and open_:
            open_.pop()
        elif piece == "\n" and not open_:
            in_value = False
        elif _UNCLOSED.match(piece):
            open_ = open_ or [(line, column, '"')]
        line, column = line + piece.count("\n"), column + len(piece)
        if "\n" in piece:
            column = len(piece) - piece.rfind("\n")
    if not open_ or open_[0][0] >= stop.line:
        return None
    first, column, sign = open_[0]
    what, write = ("text", "Set the same quotes behind its last word.")
    if sign != '"':
        what, write = ("list", 'Close it, as in fittings = ["hose barb", "hose barb"].')
    return {
        "what": f"a {what} begins here and is not closed",
        "why": f"What stands below, up to line {stop.line}, would belong to it.",
        "write": write,
        "line": first,
        "column": column,
    }


def _slip(stop: _Stop) -> dict[str, Any] | None:
    """Return the problem with a line by a slip that is often made, if it is one of those."""
    for row in read_table("slips.toml")["slip"] if len(stop.text) <= LONGEST_TEXT else ():
        found = re.match(row["like"], stop.text)
        if found is not None:
            lead = len(found["at"]) - len(found["at"].lstrip())
            words = {name: shown((text or "").strip()) for name, text in found.groupdict().items()}
            words |= {"line": _line_of(words), "head": _head_of(words)}
            words["joined"] = re.sub(r"(?<=\w)[ -]+(?=\w)", "_", words["at"])
            told = {name: row[name].format(**words) for name in ("what", "why", "write")}
            length = len(found["at"].strip())
            return {**told, "column": found.start("at") + lead + 1, "length": max(1, length)}
    return None


def _head_of(words: dict[str, str]) -> str:
    """Return the head of a table with as many brackets behind as before."""
    open_ = words.get("open", "")
    return f"{open_}{words.get('key', '')}{']' * len(open_)}"


def _line_of(words: dict[str, str]) -> str:
    """Return a line with a key and its value, so that it can be read."""
    value = words.get("value", "").partition("#")[0].replace('"', "").strip(" '")
    value = re.sub(r"^([+-]?\d+),(\d{1,2})(?!\d)", r"\1.\2", value)  # no thousands
    if _FRACTION.fullmatch(value) and _SOLD_IN_INCHES.search(words.get("key", "")):
        value += " in"
    told = _FLAGS.get(value.lower())
    if told is None and not re.fullmatch(r"[\[{].*|\d+", value):
        told = f'"{value}"'
    return f"{words.get('key', '')} = {told or value}"
