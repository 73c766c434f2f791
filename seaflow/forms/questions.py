"""The questions of an interview, and what the answers so far say about the boat."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any, TypeAlias

from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.case import Case
from seaflow.boat.keys import Key, keys_of, part_table
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.parts.own_units import JOINED, SHEETS_OF_A_UNIT, supply_from_sheets
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.reader.text import Path

Answers: TypeAlias = Mapping[str, str]
Row: TypeAlias = Mapping[str, Any]

YES_NO = ("yes", "no")
SHIPPED = Catalogue()
INTAKE, SEACOCK, STRAINER, PUMP = "cooling intake", "intake seacock", "strainer", "pump"
MANIFOLD, COLLECTOR = "manifold", "collecting manifold"


@dataclass(frozen=True, slots=True)
class Question:
    """One question: where its answer goes, how it is read, and what Enter takes."""

    id: str
    topic: str
    ask: str
    why: str
    measure: str
    declared: Key
    path: Path = ()
    needed: bool = False
    default: str = ""
    options: tuple[str, ...] = ()
    example: str = ""
    other: Path = ()  # the key for an answer of another dimension, such as a pressure for a head

    @property
    def name(self) -> str:
        """The key that messages name."""
        return str(self.path[-1]) if self.path else self.id.rpartition(".")[2]


def questions(answers: Answers, catalogue: Catalogue = SHIPPED) -> tuple[Question, ...]:
    """Return all questions that these answers lead to, in order."""
    return tuple(
        _question(row, words, answers, catalogue)
        for row, words in _rows(answers)
        if _is_asked(row, words, answers, catalogue)
    )


def due(answers: Answers, catalogue: Catalogue = SHIPPED) -> Question | None:
    """Return the first question that these answers do not hold, or None."""
    for row, words in _rows(answers):
        if _fill(row["id"], words) in answers:
            continue
        if _is_asked(row, words, answers, catalogue):
            return _question(row, words, answers, catalogue)
    return None


def _rows(answers: Answers) -> Iterator[tuple[Row, dict[str, str]]]:
    """Yield every row with the words that stand for its unit, outlet or run."""
    rows = _all_rows()
    start = 0
    while start < len(rows):
        each = rows[start].get("each")
        end = start + 1
        while each and end < len(rows) and rows[end].get("each") == each:
            end += 1
        for words in _repeats(each, answers):
            for row in rows[start:end]:
                yield row, words
        start = end


@cache
def _all_rows() -> tuple[Row, ...]:
    return tuple(part for row in read_table("interview.toml")["question"] for part in _parts(row))


def _parts(row: Row) -> Iterator[Row]:
    """Yield the three questions that `place` stands for, or the row itself."""
    if "place" not in row:
        yield row
        return
    for part, shared in read_table("interview.toml")["place"].items():
        known = {} if part == "height" else {f"{row['id']}.height": "given"}
        yield {
            **row,
            **shared,
            "id": f"{row['id']}.{part}",
            "ask": shared["ask"].replace("{thing}", row["thing"]),
            "key": f"{row['place']}.at.{part}",
            "needed": part == "height" and row.get("needed", True),
            "when": {**row.get("when", {}), **shared.get("when", {}), **known},
        }


def _repeats(each: str | None, answers: Answers) -> Iterator[dict[str, str]]:
    repeats: dict[str | None, list[dict[str, str]]] = {
        None: [{}],
        "unit": [{"unit": name} for name in unit_names(answers)],
        "outlet": [{"outlet": name} for name in outlet_names(answers)],
        "run": [{"from": start, "to": end} for start, end in runs(answers)],
    }
    for index, words in enumerate(repeats[each]):
        yield {"i": str(index), "n": str(index + 1), "p": str(index), **words}


def _is_asked(row: Row, words: dict[str, str], answers: Answers, catalogue: Catalogue) -> bool:
    if "offers" in row and not catalogue.rows(row["offers"]):
        return False
    if not _applies(row.get("when", {}), words, answers):
        return False
    return not _is_on_a_sheet(_path(row, "key", words), answers, catalogue)


def _is_on_a_sheet(path: Path, answers: Answers, catalogue: Catalogue) -> bool:
    """Tell whether an own sheet that was named for a unit says this already."""
    if len(path) < 3 or path[0] != "unit":
        return False
    named = {key: answers.get(f"unit.{int(path[1]) + 1}.{key}") for key in SHEETS_OF_A_UNIT}
    unit: dict[str, Any] = {key: name for key, name in named.items() if name}
    supply_from_sheets({"unit": [unit]}, catalogue)
    value = unit.get(str(path[2]))
    if isinstance(value, Mapping) and path[2] in JOINED:
        return path[3] in value
    return path[2] not in named and value is not None


def _applies(when: Mapping[str, Any], words: dict[str, str], answers: Answers) -> bool:
    return all(_holds(wanted, answers.get(_fill(name, words))) for name, wanted in when.items())


def _holds(wanted: Any, answer: str | None) -> bool:
    if wanted == "given":
        return bool(answer)
    if wanted == "several":
        return int(answer or 1) > 1
    return answer in wanted


def _question(row: Row, words: dict[str, str], answers: Answers, catalogue: Catalogue) -> Question:
    path = _path(row, "key", words)
    declared = declaration(path) if path else _own_declaration(row, _fill(row["ask"], words))
    return Question(
        id=_fill(row["id"], words),
        topic=_fill(row["topic"], words),
        ask=_fill(row["ask"], words),
        why=row["why"],
        measure=row.get("from", ""),
        declared=declared,
        path=path,
        needed=row.get("needed", declared.required),
        default=_default(row, words, answers),
        options=_options(declared, row.get("offers"), answers, catalogue),
        example=row.get("example", declared.example.strip('"')),
        other=_path(row, "or_key", words),
    )


def _fill(text: str, words: dict[str, str]) -> str:
    """Return a text with its words filled in at once: a name may have braces of its own."""
    return re.sub(r"\{(\w+)\}", lambda found: words.get(found[1], found[0]), text)


def _path(row: Row, name: str, words: dict[str, str]) -> Path:
    parts = _fill(row.get(name, ""), words).split(".")
    return tuple(int(part) if part.isdigit() else part for part in parts if part)


@cache
def declaration(path: Path) -> Key:
    """Return the declaration of the key at a path of the case."""
    record: type | None = Case
    declared = None
    for name in path:
        if isinstance(name, str):
            assert record is not None
            declared = {spelled: key for _, spelled, key in keys_of(record)}[name]
            record = declared.of
    assert declared is not None
    return declared


def _own_declaration(row: Row, ask: str) -> Key:
    """Declare an answer that is no key of the case."""
    if row["kind"] == "count":
        limits = {"least": row["least"], "most": row["most"]}
        return Key(ask, kind="number", example=row["default"], required=True, **limits)
    choices = YES_NO if row["kind"] == "yes-no" else (row["kind"],)
    return Key(ask, kind="choice", choices=choices, example='"yes"', required=True)


def _default(row: Row, words: dict[str, str], answers: Answers) -> str:
    for name in row.get("default_from", ()):
        if answers.get(_fill(name, words)):
            return answers[_fill(name, words)]
    return _fill(row.get("default", ""), words)


def _options(
    declared: Key, offers: str | None, answers: Answers, catalogue: Catalogue
) -> tuple[str, ...]:
    if declared.kind == "flag":
        return YES_NO
    table = offers or part_table(declared)
    if table == "pumps":
        return _pumps_for(answers, catalogue)
    return _names(table, catalogue) if table else declared.choices


@cache
def _names(table: str, catalogue: Catalogue) -> tuple[str, ...]:
    return tuple(catalogue.rows(table))


def _pumps_for(answers: Answers, catalogue: Catalogue) -> tuple[str, ...]:
    """Return the pumps that run on the supply that was answered."""
    current, volts = answers.get("supply.current"), answers.get("supply.voltage")
    if not current or not volts:
        return ()
    voltage = read_quantity(volts, "V")
    return tuple(pump.name for pump in _pumps(catalogue) if pump.runs_on(current, voltage))


@cache
def _pumps(catalogue: Catalogue) -> tuple[PumpPart, ...]:
    return catalogue.pumps()


def unit_names(answers: Answers) -> tuple[str, ...]:
    """Return the names of the units."""
    count = int(answers.get("units") or 1)
    return tuple(answers.get(f"unit.{n}.name") or f"unit {n}" for n in range(1, count + 1))


def outlet_names(answers: Answers) -> tuple[str, ...]:
    """Return the names of the outlets: one, or one for each unit."""
    units = unit_names(answers)
    if len(units) == 1 or _shared(answers):
        return ("outlet",)
    return tuple(f"outlet of {name}" for name in units)


def runs(answers: Answers) -> tuple[tuple[str, str], ...]:
    """Return the two ends of every hose, in the direction the water flows."""
    units = unit_names(answers)
    trunk = [INTAKE, *([STRAINER] if _has(answers, "strainer.fitted") else []), PUMP]
    if len(units) > 1:
        trunk.append(MANIFOLD)
    found = list(pairwise(trunk))
    found += [(trunk[-1], name) for name in units]
    if len(units) > 1 and _shared(answers):
        found += [(name, COLLECTOR) for name in units]
        return (*found, (COLLECTOR, "outlet"))
    return (*found, *zip(units, outlet_names(answers), strict=True))


def raw_case(answers: Answers, values: Iterable[tuple[Path, Any]]) -> dict[str, Any]:
    """Return the case as TOML data; `values` are the answers that go to a key of their own."""
    raw: dict[str, Any] = {"schema": 1}
    for path, value in values:
        _put(raw, path, value)
    _name_the_things(raw, answers)
    for index, (start, end) in enumerate(runs(answers)):
        _put(raw, ("hose", index, "from"), start)
        _put(raw, ("hose", index, "to"), end)
        _put(raw, ("hose", index, "fittings"), _fittings(answers, index + 1))
    for table in raw.values():
        for thing in table if isinstance(table, list) else ():
            _height_alone(thing)
    return raw


def _has(answers: Answers, question: str) -> bool:
    return answers.get(question) != "no"


def _shared(answers: Answers) -> bool:
    return answers.get("outlet.shared") == "yes"


def _name_the_things(raw: dict[str, Any], answers: Answers) -> None:
    units = unit_names(answers)
    names = {"through_hull": (INTAKE,), "pump": (PUMP,), "unit": units}
    names["outlet"] = outlet_names(answers)
    if _has(answers, "strainer.fitted"):
        names["strainer"] = (STRAINER,)
    if len(units) > 1:
        names["manifold"] = (MANIFOLD, COLLECTOR) if _shared(answers) else (MANIFOLD,)
    if _has(answers, "seacock.fitted"):
        names["seacock"] = (SEACOCK,)
        _put(raw, ("seacock", 0, "on"), INTAKE)
    for table, given in names.items():
        for index, name in enumerate(given):
            _put(raw, (table, index, "name"), name)
    for n, name in enumerate(names["outlet"], 1):
        if answers.get(f"outlet.{n}.seacock") == "yes":
            cock = {"name": f"seacock of {name}", "on": name, "bore": answers[f"outlet.{n}.bore"]}
            raw.setdefault("seacock", []).append(cock)


def _fittings(answers: Answers, n: int) -> list[str]:
    bends = int(answers.get(f"run.{n}.bends") or 0)
    elbows = int(answers.get(f"run.{n}.elbows") or 0)
    return ["hose barb", *["swept bend"] * bends, *["elbow 90"] * elbows, "hose barb"]


def _height_alone(thing: dict[str, Any]) -> None:
    """Write height = ... where only the height of a thing is known."""
    if set(thing.get("at", ())) == {"height"}:
        thing["height"] = thing.pop("at")["height"]


def _put(raw: dict[str, Any], path: Path, value: Any) -> None:
    here: Any = raw
    for part, following in pairwise(path):
        if isinstance(part, int):
            while len(here) <= part:
                here.append({})
            here = here[part]
        else:
            here = here.setdefault(part, [] if isinstance(following, int) else {})
    here[path[-1]] = value
