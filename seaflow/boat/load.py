"""Read a case file: text, keys, sense; all problems at once."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from itertools import islice
from typing import Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.checks.astray import astray, told_astray
from seaflow.boat.checks.cuts import check_cuts, joined_up
from seaflow.boat.checks.measures import check_lengths
from seaflow.boat.checks.pumps import check_pumps
from seaflow.boat.checks.sense import AS_READ, NAMES, SENSE, Check, as_named, check_ends
from seaflow.boat.checks.turned import check_turned, straightened
from seaflow.boat.checks.ways import WAYS, check_reached
from seaflow.boat.defaults import Assumption
from seaflow.boat.gaps import filled, without_usual_words
from seaflow.boat.keys import keys_of
from seaflow.boat.known import by_address
from seaflow.boat.numbering import row_numbers
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.parts.own_units import supply_from_sheets
from seaflow.boat.reader.bounds import MOST_PROBLEMS
from seaflow.boat.reader.change import changed
from seaflow.boat.reader.format import refuse_other_schema
from seaflow.boat.reader.known import without_marks
from seaflow.boat.reader.other_kind import SHEET, other_kind, refuse_other_kind
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_record
from seaflow.boat.reader.text import FREE, CaseText, Path, nothing_yet, read_text
from seaflow.boat.seas import supply_from_place
from seaflow.boat.tables.gap import Gap

TWICE = "S02"  # which hides no hose that is missing


@dataclasses.dataclass(frozen=True, slots=True)
class Loaded:
    """A case that can be used, and what was remarked in it."""

    case: Case
    warnings: tuple[Problem, ...]


def load_case(
    file: str,
    catalogue: Catalogue | None = None,
    change: Mapping[str, Any] | None = None,
    gaps: bool = False,
) -> Loaded:
    """Return the case in `file`, with the parts that it may name.

    `change` holds values in place of those of the file, in tables like its own. With `gaps` a
    half-known boat is taken as well: what must be there and is not is filled, and kept as the gaps
    of the case.

    Raises
    ------
    SeaflowError
        With every problem found, if the case cannot be used.
    """
    text, raw = _read(file)
    refuse_other_kind(text, raw, "case")
    return load_written(text, raw, catalogue, change, gaps)


def _read(file: str) -> tuple[CaseText, dict[str, Any]]:
    try:
        return read_text(file)
    except SeaflowError:
        refuse_sheet(file, "case")
        raise


def refuse_sheet(file: str, wanted: str) -> None:
    """Refuse the sheet of a part in place of what is wanted, as `refuse_other_kind` does.

    Raises
    ------
    SeaflowError
        With one problem, if the file is such a sheet.
    """
    from seaflow.boat.parts.own_parts import is_sheet  # only where something else went wrong

    if is_sheet(file):
        raise SeaflowError([other_kind(file, SHEET, wanted)]) from None


def load_written(
    text: CaseText,
    raw: dict[str, Any],
    catalogue: Catalogue | None = None,
    change: Mapping[str, Any] | None = None,
    gaps: bool = False,
) -> Loaded:
    """Return the case in a text that is no file, as `parsed` gives it; the rest as load_case.

    Raises
    ------
    SeaflowError
        As load_case.
    """
    refuse_other_schema(text, raw)
    if change:
        text, raw = changed(text, raw, change)
    if not raw.keys() - {"schema", FREE}:
        raise SeaflowError([nothing_yet(text)])
    raw, marks = without_marks(raw, typed=True)
    text = text.only(raw) if marks else text
    reading = Reading(text, tables=_tables(), misplaced=_misplaced(raw), heads=_heads())
    meta = raw.pop("meta", {})  # free text, for the reader of the file alone
    catalogue = catalogue or Catalogue()
    supplied = (*supply_from_sheets(raw, catalogue, text), *supply_from_place(raw, reading))
    open_: tuple[Gap, ...] = ()
    usual: tuple[Assumption, ...] = ()
    if gaps:
        raw, open_, usual = filled(without_usual_words(text, raw))
        text = text.only(raw)  # what is not known stands nowhere
    more = {"text": text, "meta": meta, "catalogue": catalogue, "gaps": open_}
    before = reading.text
    case = read_record(Case, raw, (), reading, **more)
    if reading.text is not before:  # it knows where misspelt keys stand
        case = dataclasses.replace(case, text=reading.text)
    problems = _without_idle_questions(_problems(case, reading))
    if _errors(problems):
        raise SeaflowError(_in_order(problems))
    case = dataclasses.replace(
        case,
        assumptions=(*usual, *reading.assumptions, *supplied),
        spreads=reading.spreads,
        typical=frozenset(reading.typical),
        known=by_address(case, marks),
    )
    case = dataclasses.replace(case, numbers=row_numbers(case))
    # last: another slip may be why a hose seems short
    return Loaded(case, tuple(_in_order([*problems, *_run(case, (check_lengths,))])))


def _problems(case: Case, reading: Reading) -> list[Problem]:
    """Return what is wrong with a case: its values first, then its sense.

    Sense is looked for only in what could be read: a wrong unit shall not raise ten complaints.
    How the water runs hangs on names alone.
    """
    read = not reading.problems
    whole = read or (_names_are_whole(case) and not reading.unread)
    of_names = _run(case, (*NAMES, check_ends) if whole else NAMES)
    problems = [*reading.problems, *reading.questions, *of_names]
    problems += _run(case, SENSE if read else AS_READ)
    if whole:
        problems += _of_ways(case, all(problem.code == TWICE for problem in _errors(of_names)))
    # last: a hose that is led wrong may join two loops
    return problems if _errors(problems) else [*problems, *_run(case, (check_pumps,))]


def _of_ways(case: Case, named: bool) -> list[Problem]:
    """Return what is wrong with how the water runs, as far as names tell how it does."""
    cases, told = as_named(case) if named else ((case,), True)
    ways: tuple[Check, ...] = () if not named else WAYS if told else (check_reached,)
    return min((_along(one, ways) for one in cases), key=len)


def _along(case: Case, ways: tuple[Check, ...]) -> list[Problem]:
    """Return what is wrong along the water, each fault as if those before were mended."""
    straight = straightened(case)
    told = _run(case, (check_turned,))
    rest = [*_run(straight, (check_cuts,)), *_run(joined_up(straight), ways)]
    found = astray(straight) if rest else None
    if found is None:
        return [*told, *rest]
    return [*told, told_astray(straight, found), *_along(found.mended, ways)]


def _run(case: Case, checks: tuple[Check, ...]) -> list[Problem]:
    return list(islice((problem for check in checks for problem in check(case)), MOST_PROBLEMS))


def _names_are_whole(case: Case) -> bool:
    hoses = all(hose.from_ is not None and hose.to is not None for hose in case.hose)
    return hoses and all(thing.name is not None for thing in case.things)


def _tables() -> dict[str, str]:
    """Return the tables that there is one of by the keys that stand in one of them alone."""
    found: dict[str, list[str]] = {}
    for _, table, declared in keys_of(Case):
        if declared.of is not None and not declared.many:
            for _, spelled, _ in keys_of(declared.of):
                found.setdefault(spelled, []).append(table)
    return {key: tables[0] for key, tables in found.items() if len(tables) == 1}


def _heads() -> dict[str, str]:
    """Return the head of each table of a case, by its name."""
    return {
        table: f"[[{table}]]" if declared.many else f"[{table}]"
        for _, table, declared in keys_of(Case)
        if declared.of is not None
    }


def _misplaced(raw: Mapping[str, Any]) -> frozenset[Path]:
    """Return the paths of keys and tables that there is one of, and that stand under another."""
    tables, heads = _tables(), _heads()
    under = {table: content for table, content in raw.items() if isinstance(content, Mapping)}
    under[""] = raw
    found: set[Path] = set()
    for table, content in under.items():
        for key, value in content.items():
            if tables.get(key, table) != table:
                found.add((tables[key], key))
            elif table and key in heads and isinstance(value, Mapping):
                found |= {(key,), *((key, inner) for inner in value)}
    return frozenset(found)


def _errors(problems: list[Problem]) -> list[Problem]:
    return [problem for problem in problems if not problem.warning]


def _without_idle_questions(problems: list[Problem]) -> list[Problem]:
    """Leave out the questions about lines that have a problem anyway."""
    wrong = {problem.line for problem in _errors(problems)}
    return [item for item in problems if item.code[0] != "Q" or item.line not in wrong]


def _in_order(problems: list[Problem]) -> list[Problem]:
    return sorted(problems, key=lambda problem: (problem.line or 0, problem.code))
