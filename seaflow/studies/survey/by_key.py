"""Rules that one recorded fact decides: the fact is looked up and compared with the rule's data."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from seaflow.base.glossary import glossary_entry
from seaflow.base.units import factor_and_offset, read_quantity
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.tables.recorded import (
    HoseSeen,
    IntakeSeen,
    OutletSeen,
    SeacockSeen,
    StrainerSeen,
)
from seaflow.boat.tables.recorded_hull import ManifoldSeen
from seaflow.boat.tables.recorded_machines import BoatSeen, PumpSeen, UnitSeen
from seaflow.boat.tables.things import Hose, Intake, Outlet, Seacock, Strainer
from seaflow.studies.survey.facts import Facts
from seaflow.studies.survey.rules import Fault, Fine, Rule, Unknown, Verdict

SEEN: dict[str, type] = {
    "intake": IntakeSeen,
    "seacock": SeacockSeen,
    "strainer": StrainerSeen,
    "pump": PumpSeen,
    "unit": UnitSeen,
    "outlet": OutletSeen,
    "hose": HoseSeen,
    "manifold": ManifoldSeen,
    "boat": BoatSeen,
}
SAID_AS = {"no label": "nothing"}
_SHOWN_IN = {"s": "year", "m": "m", "dB": "dB", "-": "-"}


def things_of(facts: Facts, table: str) -> Iterator[tuple[str, Any]]:
    """Yield name and record of all things of a table that a rule may be judged on."""
    case = facts.case
    if table == "boat":
        yield "the boat", case
        return
    if table == "hose":
        yield from ((hose.label, hose) for hose in case.hose)
        return
    things = case.intakes if table == "intake" else getattr(case, table)
    for thing in things:
        if not isinstance(thing, Seacock) or thing.type not in ("none", "no valve"):
            yield thing.name, thing


def declared(table: str, key: str) -> Key:
    """Return the declaration of a fact."""
    return next(item for _, spelled, item in keys_of(SEEN[table]) if spelled == key)


def fact(thing: Any, key: str) -> Any:
    """Return what was seen of a thing, or None."""
    return None if thing.seen is None else getattr(thing.seen, key)


def by_key(rule: Rule, facts: Facts) -> Iterator[Verdict]:
    """Judge a rule by its one fact on every thing that it applies to."""
    assert rule.table is not None
    assert rule.key is not None
    for name, thing in things_of(facts, rule.table):
        if rule.when is not None and APPLIES[rule.when](facts, thing) is False:
            continue
        value = fact(thing, rule.key)
        if value is None:
            yield Unknown(name, (rule.table, name, rule.key))
        elif holds(rule, value):
            yield Fine(name)
        else:
            yield Fault(name, rule.found.format(value=_words(rule, value)))


def holds(rule: Rule, value: Any) -> bool:
    """Return whether a value is what the rule asks for."""
    assert rule.test is not None
    word, wanted = rule.test
    if word == "good":
        return value in wanted if isinstance(wanted, list) else bool(value == wanted)
    if word == "bad":
        return value not in wanted
    bound = _bound(rule, wanted)
    return bool(value >= bound) if word == "least" else bool(value <= bound)


def _bound(rule: Rule, text: str) -> float:
    name = declared(rule.table or "", rule.key or "").quantity
    return float(text) if name is None else read_quantity(text, glossary_entry(name).unit)


def _words(rule: Rule, value: Any) -> str:
    name = declared(rule.table or "", rule.key or "").quantity
    if name is None:
        return SAID_AS.get(str(value), str(value))
    unit = glossary_entry(name).unit
    factor, offset = factor_and_offset(unit, _SHOWN_IN[unit])
    return f"{factor * value + offset:.3g}"


def _floods(facts: Facts, thing: Hose) -> bool | None:
    return facts.floods(thing)


def _mains(facts: Facts, thing: object) -> bool:
    return facts.case.supply.current == "ac"


def _metal(facts: Facts, thing: Strainer) -> bool | None:
    metal: bool | None = fact(thing, "metal")
    return metal


def _plastic(facts: Facts, thing: Outlet) -> bool | None:
    material = fact(thing, "material")
    return None if material is None else "plastic" in material


def _sea_chest(facts: Facts, thing: Intake) -> bool:
    return thing.table == "sea_chest"


def _grilled(facts: Facts, thing: Intake) -> bool:
    _, row = facts.case.catalogue.find("entries", thing.entry)
    return float(row["open_ratio"]) < 1.0


APPLIES: dict[str, Callable[[Facts, Any], bool | None]] = {
    "floods": _floods,
    "mains": _mains,
    "metal_strainer": _metal,
    "plastic_outlet": _plastic,
    "grilled": _grilled,
    "sea_chest": _sea_chest,
}
