"""How each rule is judged: by one thing seen, compared with the rule's data, or by a function."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from seaflow.base.facts import fact
from seaflow.base.glossary import glossary_entry
from seaflow.base.units import read_quantity
from seaflow.boat.tables.recorded_hull import SkinFitting, SkinHose
from seaflow.boat.tables.things import Hose, Intake, Pump, Seacock, Strainer
from seaflow.forms.checklist import SEEN, declared_key, name_of_thing, things_of
from seaflow.studies.survey import (
    as_found,
    delivery,
    intakes,
    machines,
    metals,
    openings,
    starting,
    suction,
    trim,
    wiring,
)
from seaflow.studies.survey.evidence import NO_COCK, THE_BOAT, Evidence, hose_table
from seaflow.studies.survey.rules import Breach, Kept, Rule, Unknown, Verdict

Check = Callable[[Evidence], Iterator[Verdict]]

ROOMS = (
    openings,
    metals,
    intakes,
    trim,
    starting,
    suction,
    delivery,
    machines,
    as_found,
    wiring,
)
CHECKS: dict[str, Check] = {
    function.__name__.replace("_", "-"): function for room in ROOMS for function in room.RULES
}
# What such a rule says of a loop hangs on that loop and what is known of the boat as a whole.
OF_A_LOOP = frozenset(
    function.__name__.replace("_", "-")
    for room in ROOMS
    for function in getattr(room, "OF_A_LOOP", ())
)


def judged(rule: Rule, evidence: Evidence) -> tuple[Verdict, ...]:
    """Return what a rule says of every thing that it applies to."""
    found = by_key(rule, evidence) if rule.key else CHECKS[rule.id](evidence)
    return tuple(map(rule.grade, found))


def judged_things(
    evidence: Evidence, table: str, key: str | None = None
) -> Iterator[tuple[str, Any]]:
    """Yield name and record of all things of a table that a rule on a key may be judged on.

    Whether it sits firm is asked of every fitting in the hull that somebody looked at.
    """
    if table == "boat":
        yield THE_BOAT, evidence.case
        return
    things = things_of(evidence.case, table)
    for thing in evidence.hoses if table == "hose" else things:
        if not isinstance(thing, Seacock) or thing.type not in NO_COCK:
            yield name_of_thing(thing), thing
    if (table, key) == ("intake", "firm"):
        yield from ((item.name, item) for item in evidence.case.skin_fitting if item.seen)


def seen_of(thing: Any, key: str) -> Any:
    """Return what was seen of a thing, or None."""
    return None if thing.seen is None else getattr(thing.seen, key)


def asked_of(rule: Rule, evidence: Evidence) -> list[tuple[str, Any, bool]]:
    """Return all that a rule on a key looks at: things by name, and whether it applies to them."""
    assert rule.table is not None
    return [
        (name, thing, rule.when is None or APPLIES[rule.when](evidence, thing) is not False)
        for name, thing in judged_things(evidence, rule.table, rule.key)
    ]


def looks_at(rule: Rule, evidence: Evidence) -> tuple[object, ...] | None:
    """Return what decides all that a rule says, known by the very things; None if that is much."""
    if not rule.key or rule.table == "boat":
        return None
    return tuple((id(thing), applies) for _, thing, applies in asked_of(rule, evidence))


def by_key(rule: Rule, evidence: Evidence) -> Iterator[Verdict]:
    """Judge a rule by its one key on every thing that it applies to."""
    assert rule.table is not None
    assert rule.key is not None
    for name, thing, applies in asked_of(rule, evidence):
        if not applies and rule.otherwise is None:
            continue
        near = None if applies else rule.otherwise
        value = seen_of(thing, rule.key)
        if value is None:
            yield Unknown(_asked_as(rule.table, thing), name, rule.key, near=near)
        elif holds(rule, value):
            yield Kept(name)
        else:
            found = fact("survey.seen", rule=rule.id, value=value, unit=_unit(rule) or "")
            yield Breach(name, found, near=near)


def _asked_as(table: str, thing: Any) -> str:
    """Return the table under which a checklist asks about a thing that a rule is judged on."""
    if table == "hose":
        return hose_table(thing)
    return "skin_fitting" if isinstance(thing, SkinFitting) else table


def holds(rule: Rule, value: Any) -> bool:
    """Return whether a value is what the rule asks for."""
    assert rule.test is not None
    word, wanted = rule.test
    if word == "good":
        return value in wanted if isinstance(wanted, list) else bool(value == wanted)
    if word == "bad":
        return value not in wanted
    unit = _unit(rule)
    bound = float(wanted) if unit is None else read_quantity(wanted, unit)
    return bool(value >= bound) if word == "least" else bool(value <= bound)


def _unit(rule: Rule) -> str | None:
    """Return the unit of the values that a rule is judged by, None where they are none."""
    name = declared_key(SEEN[rule.table or ""], rule.key or "").quantity
    return None if name is None else glossary_entry(name).unit


def _mains(evidence: Evidence, thing: object) -> bool | None:
    return wiring.mains_aboard(evidence)


def _metal(evidence: Evidence, thing: Strainer) -> bool | None:
    metal: bool | None = seen_of(thing, "metal")
    return metal


def _sea_chest(evidence: Evidence, thing: Intake) -> bool:
    return thing.table == "sea_chest"


def _fused(evidence: Evidence, thing: Pump) -> bool | None:
    rated: float | None = seen_of(thing, "breaker")
    return None if rated is None else rated > 0.0


def _grilled(evidence: Evidence, thing: Intake) -> bool:
    _, row = evidence.case.catalogue.find("entries", thing.entry)
    return float(row["open_ratio"]) < 1.0


def _floods(evidence: Evidence, thing: Hose | SkinHose) -> bool | None:
    return evidence.floods(thing)


APPLIES: dict[str, Callable[[Evidence, Any], bool | None]] = {
    "floods": _floods,
    "mains": _mains,
    "metal_strainer": _metal,
    "grilled": _grilled,
    "fused": _fused,
    "sea_chest": _sea_chest,
}
