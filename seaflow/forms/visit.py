"""What the answers of an interview say about the boat: its units, outlets, hoses and case."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import Any, TypeAlias

from seaflow.boat.reader.text import Path

Answers: TypeAlias = Mapping[str, str]

INTAKE, SEACOCK, STRAINER, PUMP = "cooling intake", "intake seacock", "strainer", "pump"
MANIFOLD, COLLECTOR = "manifold", "collecting manifold"


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
