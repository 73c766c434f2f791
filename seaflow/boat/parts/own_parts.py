"""Read files of own parts, TOML or CSV, into a catalogue; all problems of all files at once."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from seaflow.base.near import nearest
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.keys import keys_of
from seaflow.boat.parts.catalogue import SHEET_TABLES, Catalogue, same_name
from seaflow.boat.parts.csv_sheet import read_csv
from seaflow.boat.parts.part import NoSuchPart
from seaflow.boat.parts.plain_sheet import MISSING, SAYS_TWO
from seaflow.boat.parts.read_sheet import read_sheet
from seaflow.boat.parts.sheet_sense import check_sheet
from seaflow.boat.parts.sheets import KINDS, PartsFile, Sheet
from seaflow.boat.reader.bounds import MOST_PROBLEMS
from seaflow.boat.reader.format import refuse_other_schema
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_record
from seaflow.boat.reader.text import CaseText, read_text

EXAMPLE = "seaflow example own-parts"
TABLE_ENDINGS = (".csv", ".tsv", ".txt", ".dat")

_TABLE_OF = {kind: table for table, kind in SHEET_TABLES.items()}


@dataclass(frozen=True, slots=True)
class LoadedParts:
    """A catalogue with own parts in it, and what was remarked in their files."""

    catalogue: Catalogue
    warnings: tuple[Problem, ...]


def parted(named: str) -> tuple[str, str]:
    """Return the name of a file, and what was told behind it: "pump.csv, 230 V 50 Hz"."""
    ends = [found.start() for found in re.finditer(",", named)]
    if not ends or os.path.lexists(named):
        return named, ""
    end = next((end for end in ends if os.path.lexists(named[:end])), ends[0])
    if not os.path.lexists(named[:end]) and not named[:end].lower().endswith(TABLE_ENDINGS):
        return named, ""
    return named[:end], named[end + 1 :].strip()


def names_a_file(named: str) -> bool:
    """Return whether a text names a file of parts, with what is told behind it or without."""
    file, _ = parted(named)
    return os.path.isfile(file) or file.lower().endswith((".toml", *TABLE_ENDINGS))


def missing_facts(named: str) -> tuple[Problem, ...]:
    """Return what a plain sheet does not tell, if nothing else is wrong with it.

    The group of each is the key under which it is told.
    """
    file, told = parted(named)
    try:
        problems = _read_raw(file, told)[2] if file.lower().endswith(TABLE_ENDINGS) else []
    except SeaflowError:
        return ()
    wrong = [problem for problem in problems if not problem.warning]
    return (
        tuple(wrong) if all(problem.code == MISSING and problem.group for problem in wrong) else ()
    )


def with_supply(named: str, supply: str) -> str:
    """Return the name of a plain sheet with the supply of the boat behind it, if it tells none.

    A plate of two ratings is still asked about: no boat tells at which of them the curve holds.
    """
    asked = {one.group: one.what for one in missing_facts(named)}
    silent = {
        key for key in ("supply", "frequency") if not asked.get(key, SAYS_TWO).startswith(SAYS_TWO)
    }
    of_the_pump = re.split(r"[,;]", supply)[0].strip()
    hertz = re.search(r"\d+\s*Hz", of_the_pump, re.IGNORECASE)
    more = of_the_pump if "supply" in silent else hertz[0] if hertz and silent else ""
    return f"{named}, {more}" if more else named


def load_parts(files: Sequence[str]) -> LoadedParts:
    """Return the packaged parts with the parts of these files before them.

    Behind the name of a plain sheet may stand what it does not say: "pump.csv, 230 V 50 Hz".

    Raises
    ------
    SeaflowError
        With every problem of every file, if one of them cannot be used.
    """
    sheets: list[Sheet] = []
    problems: list[Problem] = []
    for file in files:
        try:
            found, noted = _read_file(file)
        except SeaflowError as error:
            problems.extend(error.problems)
            continue
        for sheet, text in found:
            problems.extend(_names(sheet, text, sheets))
            sheets.append(sheet)
        problems.extend(noted)
    if any(not problem.warning for problem in problems):
        raise SeaflowError(_in_order(problems, files))
    return LoadedParts(Catalogue(tuple(sheets)), tuple(_in_order(problems, files)))


def _in_order(problems: list[Problem], files: Sequence[str]) -> list[Problem]:
    place = {parted(file)[0]: number for number, file in enumerate(files)}
    return sorted(problems, key=lambda item: (place[item.file], item.line or 0, item.code))


def _read_file(named: str) -> tuple[list[tuple[Sheet, CaseText]], list[Problem]]:
    file, told = parted(named)
    text, raw, problems = _read_raw(file, told)
    if any(not problem.warning for problem in problems):
        return [], problems  # rows that could not be read would raise complaints of their own
    problems += _unknown_tables(raw, text)
    general = {key: raw[key] for key in raw if key not in KINDS}
    reading = Reading(text)
    read_record(PartsFile, general, (), reading)
    problems += reading.problems
    found = []
    for table, kind in KINDS.items():
        for row, item in enumerate(_rows(raw, table, text, problems)):
            sheet, noted = read_sheet(kind, item, file, (table, row), text)
            problems += noted
            if len(problems) >= MOST_PROBLEMS:
                raise SeaflowError(problems[:MOST_PROBLEMS])
            if not any(not problem.warning for problem in noted):
                problems += check_sheet(sheet, text)
                found.append((sheet, text))
    if not found and not problems:
        problems.append(
            text.problem(
                "P02",
                (),
                "the file holds no part",
                why="A parts file is there to make parts known.",
                write=f"Add a [[pump]] with its figures; to see one: {EXAMPLE}.",
            )
        )
    return found, problems


def _read_raw(file: str, told: str) -> tuple[CaseText, dict[str, Any], list[Problem]]:
    ending = FilePath(file).suffix.lower()
    if ending in TABLE_ENDINGS:
        return read_csv(file, told)
    if ending != ".toml" and os.path.isfile(file):
        problem = Problem(
            "P03",
            f'a parts file is TOML or a table, and "{FilePath(file).name}" ends like neither',
            why="The ending tells how to read it.",
            write="Give it a name that ends in .toml, .csv, .tsv or .txt.",
            file=file,
        )
        raise SeaflowError([problem])
    if told:
        problem = Problem(
            MISSING,
            f'"{told}" is told beside a file that says all itself',
            why="Only a plain table leaves something to tell.",
            write="Leave it out, or write it into the file.",
            file=file,
        )
        raise SeaflowError([problem])
    text, raw = read_text(file, f"a shipped one: {EXAMPLE}")
    refuse_other_schema(text, raw)
    raw.pop("meta", None)  # free text, for the reader of the file alone
    return text, raw, []


def _unknown_tables(raw: dict[str, Any], text: CaseText) -> list[Problem]:
    known = [spelled for _, spelled, _ in keys_of(PartsFile)]
    problems = []
    for name in [name for name in raw if name not in known]:
        near = nearest(name, known)
        tables = ", ".join(f"[[{kind}]]" for kind in KINDS)
        problems.append(
            text.problem(
                "P01",
                (name,),
                f'"{name}" is no table of a parts file',
                why="What is not understood is refused, so that nothing is left out unseen.",
                write=f"Did you mean [[{near}]]?" if near else f"Tables there are: {tables}.",
            )
        )
        del raw[name]
    return problems


def _rows(
    raw: Mapping[str, Any], table: str, text: CaseText, problems: list[Problem]
) -> Iterator[dict[str, Any]]:
    rows = raw.get(table, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        reading = Reading(text)
        read_record(PartsFile, {table: rows}, (), reading)
        problems += reading.problems
        return
    yield from rows


def _names(sheet: Sheet, text: CaseText, before: Sequence[Sheet]) -> Iterator[Problem]:
    """Refuse two own parts of one name; remark one that hides a packaged part."""
    path = (sheet.table, sheet.row, "name")
    for other in before:
        if type(other) is type(sheet) and same_name(other.name, sheet.name):
            where = "" if other.file == sheet.file else f" (the other is in {other.file})"
            yield text.problem(
                "P04",
                path,
                f'two own parts of the kind {sheet.table} are called "{sheet.name}"{where}',
                why="A case could not tell them apart.",
                write="Give each its own name.",
            )
            return
    try:
        shipped, _ = Catalogue().find(_TABLE_OF[type(sheet)], sheet.name)
    except NoSuchPart:
        return
    yield text.problem(
        "P05",
        path,
        f'"{sheet.name}" stands in place of the shipped part "{shipped}"',
        why="A case that names it gets yours.",
        write="Give it another name if you want both.",
        warning=True,
    )
