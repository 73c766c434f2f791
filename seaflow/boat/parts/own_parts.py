"""Read files of own parts, TOML or CSV, into a catalogue; all problems of all files at once."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path as FilePath
from typing import Any

from seaflow.base.near import nearest
from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.tables import read_table
from seaflow.boat.keys import keys_of
from seaflow.boat.parts.catalogue import SHEET_TABLES, Catalogue, same_name
from seaflow.boat.parts.csv_sheet import read_csv
from seaflow.boat.parts.part import NoSuchPart
from seaflow.boat.parts.plain_sheet import SAYS_TWO
from seaflow.boat.parts.read_sheet import read_sheet
from seaflow.boat.parts.same_pump import same_pump
from seaflow.boat.parts.sheet_curves import MISSING, TWICE
from seaflow.boat.parts.sheet_sense import check_sheet
from seaflow.boat.parts.sheets import KINDS, PartsFile, PumpSheet, Sheet
from seaflow.boat.reader.bounds import MOST_PROBLEMS
from seaflow.boat.reader.format import refuse_other_schema
from seaflow.boat.reader.other_kind import refuse_other_kind
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


def is_sheet(file: str) -> bool:
    """Return whether a file is a sheet in columns that can be read, if something is told."""
    if not file.lower().endswith(TABLE_ENDINGS):
        return False
    try:
        _, raw, problems = _read_raw(file, "")
    except SeaflowError:
        return False
    told = any(not problem.warning for problem in problems)
    return bool(missing_facts(file)) if told else bool(raw)


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


def with_supply(named: str, supply: str, told_by: str = "") -> str:
    """Return the name of a plain sheet with the supply of the boat behind it, if it tells none.

    A plate of two ratings is still asked about: no boat tells at which of them the curve holds.
    `told_by` is written before it: "supply of the case: ".
    """
    asked = {one.group: one.what for one in missing_facts(named)}
    silent = {
        key for key in ("supply", "frequency") if not asked.get(key, SAYS_TWO).startswith(SAYS_TWO)
    }
    of_the_pump = re.split(r"[,;]", supply)[0].strip()
    hertz = re.search(r"\d+\s*Hz", of_the_pump, re.IGNORECASE)
    more = of_the_pump if "supply" in silent else hertz[0] if hertz and silent else ""
    return f"{named}, {told_by}{more}" if more else named


def of_the_case(named: str, case: str) -> str:
    """Return the name of a plain sheet with the supply of a case behind it, if it tells none."""
    if not missing_facts(named):
        return named
    return with_supply(named, _supply_in(case), "supply of the case: ")


def _supply_in(case: str) -> str:
    """Return the supply of the pumps of a case as it is said; nothing if it cannot be read."""
    try:
        raw = read_text(case, EXAMPLE)[1]
    except SeaflowError:
        return ""
    pumps = raw.get("pump")
    own = [pump.get("supply") for pump in pumps or () if isinstance(pump, dict)]
    supply = own[0] if own and isinstance(own[0], dict) else raw.get("supply")
    if not isinstance(supply, dict):
        return ""
    volts, hertz = (
        re.match(rf"\s*\d+(?:\.\d+)?\s*{unit}\b", str(supply.get(key, "")))
        for key, unit in (("voltage", "V"), ("frequency", "Hz"))
    )
    if volts is None:
        return ""
    current = str(supply.get("current", "")).upper()
    return f"{volts[0].strip()} {hertz[0].strip() if hertz else current}"


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
    most, n_pumps = read_table("most.toml")["pumps"], 0
    for file in files:
        try:
            found, noted = _read_file(file)
        except SeaflowError as error:
            problems.extend(error.problems)
            continue
        pumps = [text for sheet, text in found if isinstance(sheet, PumpSheet)]
        n_pumps += len(pumps)
        if n_pumps > most["most"]:
            what = f"{n_pumps} pumps of one's own stand here, and {most['most']} are the most"
            why = {"why": most["why"], "write": most["write"]}
            problems.append(pumps[0].problem("F16", ("pump",), what, **why))
            break  # what more files say is not looked at
        for sheet, text in found:
            twin = _twin(sheet, sheets)
            if twin is not None:
                problems.append(_twice(sheet, text, sheets[twin]))
                sheets[twin] = also_called(sheets[twin], sheet.name)
                continue
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
    refuse_other_kind(text, raw, "parts")
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


def _twin(sheet: Sheet, before: Sequence[Sheet]) -> int | None:
    """Return which of the sheets before is of the same pump."""
    if not isinstance(sheet, PumpSheet):
        return None
    for number, other in enumerate(before):
        if isinstance(other, PumpSheet) and same_pump(other, sheet):
            return number
    return None


def _twice(sheet: Sheet, text: CaseText, other: Sheet) -> Problem:
    where = "above" if other.file == sheet.file else f"in {other.file}"
    return text.problem(
        TWICE,
        (sheet.table, sheet.row, "name"),
        f'"{sheet.name}" is the pump "{other.name}" {where} once more: the curve is the same',
        why="One pump that stands twice would be compared with itself.",
        write="Nothing need be done; both names mean the one that stands first.",
        warning=True,
    )


def also_called(sheet: Sheet, name: str) -> Sheet:
    """Return a sheet that is found by another name too."""
    if same_name(sheet.name, name):
        return sheet
    aliases = (*sheet.aliases, name)
    return replace(sheet, aliases=aliases, written={**sheet.written, "aliases": list(aliases)})


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
