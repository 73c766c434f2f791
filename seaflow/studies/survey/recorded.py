"""What a case records of each thing, fact by fact, and how each of them is known."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

from seaflow.base.facts import Amount, amount
from seaflow.base.glossary import glossary_entry
from seaflow.boat.case import FITTING_TABLES, Case
from seaflow.boat.keys import Key, keys_of
from seaflow.boat.known import how_known, place
from seaflow.boat.reader.known import NOT_ACCESSIBLE, TOLD, HowKnown
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.recorded_machines import SIDES
from seaflow.studies.survey.evidence import NO_COCK, OF_THE_BOAT, THE_BOAT, Evidence

Value: TypeAlias = Amount | str | bool | int | None
CABLE_OF, LOOP_OF = "cable of ", "loop of "
HULLS = tuple(f"the {side} hull" for side in SIDES)
_TABLES = (
    *("through_hull", "sea_chest", "seacock", "strainer", *FITTING_TABLES, "pump", "unit"),
    *("outlet", "hose", "skin_fitting", "skin_hose"),
)
_INSIDE = ("at", "seen", "cable")  # tables whose keys are facts about their thing
_NO_FACTS = ("name", "from", "to", "on", "loop")
OF_CABLE = (
    *("breaker", "breaker_kind", "stranded", "earthed", "crimped", "residual_current_device"),
    *("wires_sound",),
)
# The kind of amount by the name of a quantity, or else by its unit inside.
_BY_NAME = {
    "bore": "bore",
    "length": "length",
    "growth": "thickness",
    "hole": "thickness",
    "roughness": "thickness",
    **dict.fromkeys(("input_power", "power", "rated_power", "device_power"), "power"),
}
_KINDS = {
    "m": "height",
    "m3/s": "flow",
    "W": "heat",
    "Pa": "pressure",
    "V": "voltage",
    "A": "current",
    "s": "duration",
    "m2": "area",
    "K": "rise",
    "m3": "volume",
    "rad": "angle",
    "dB": "sound_level",
    "degC": "temperature",
    "Hz": "frequency",
}


@dataclass(frozen=True, slots=True)
class LedgerFact:
    """One fact about a thing, and how it is known: by whom, on which day, with which photo.

    What was not accessible has no value, and says why.
    """

    key: str
    value: Value
    how: str
    date: str
    by: str
    photo: str
    why: str


def things_aboard(evidence: Evidence) -> Iterator[tuple[str, str, Any]]:
    """Yield table, name and record of everything that is a row of the ledger."""
    case = evidence.case
    for table in _TABLES:
        for thing in getattr(case, table):
            if table != "seacock" or thing.type not in NO_COCK:
                yield (*place(table, thing), thing)
    yield from (("cable", f"{CABLE_OF}{pump.name}", pump) for pump in case.pump)
    yield from (("bilge_pump", pump.name, pump) for pump in evidence.boat.bilge_pump)
    yield from (("loop", f"{LOOP_OF}{loop.name}", None) for loop in evidence.loops)
    if "multihull" in case.boat.hull:
        yield from (("hull", name, None) for name in HULLS)
    yield "boat", THE_BOAT, None


def facts_of(case: Case, table: str, name: str, thing: Any) -> Iterator[LedgerFact]:
    """Yield what is recorded of a thing, and what nobody could look at."""
    asked = ("pump", name.removeprefix(CABLE_OF)) if table == "cable" else (table, name)
    told = set()
    for key, declared, value in _recorded(case, table, thing):
        told.add(key)
        known = how_known(case, (*asked, key), declared.quantity is not None)
        how = TOLD if known.how == NOT_ACCESSIBLE else known.how
        yield _fact(key, _value(declared, value), replace(known, how=how))
    for (of, whose, key), known in case.known.items():
        is_shut = known.how == NOT_ACCESSIBLE and key not in told and _is_own(table, key)
        if is_shut and (of, whose) == asked:
            yield _fact(key, None, known)


def _fact(key: str, value: Value, known: HowKnown) -> LedgerFact:
    return LedgerFact(key, value, known.how, known.date, known.by, known.photo, known.why)


def _recorded(case: Case, table: str, thing: Any) -> Iterator[tuple[str, Key, Any]]:
    """Yield key, declaration and value of what is recorded of a thing itself."""
    if table == "boat":
        for inner in (*OF_THE_BOAT, "design", "seen"):
            yield from _given(case, (inner,), getattr(case, inner))
    elif table == "bilge_pump":
        yield from _given(case, (), thing)
    elif thing is not None:
        path = (thing.table, thing.row)
        found = {key: (declared, value) for key, declared, value in _given(case, path, thing)}
        for inner in _INSIDE:
            prefix = "cable." if inner == "cable" else ""
            for key, declared, value in _given(case, path, getattr(thing, inner, None), inner):
                found[prefix + key] = (declared, value)
        yield from ((key, *one) for key, one in found.items() if _is_own(table, key))


def _is_own(table: str, key: str) -> bool:
    """Return whether a key of a pump is one of the pump or of its cable, as its row asks."""
    of_cable = key in OF_CABLE or key.startswith("cable")
    return of_cable == (table == "cable") or table not in ("cable", "pump")


def _given(case: Case, path: Path, record: Any, inner: str = "") -> Iterator[tuple[str, Key, Any]]:
    """Yield the keys of a record that somebody gave: no default, no gap, nothing typical.

    `path` leads to its thing, and `inner` is the table of the thing that it is.
    """
    if record is None:
        return
    open_ = {key for gap in case.gaps if gap.path == path for key in gap.keys}
    for name, spelled, declared in keys_of(type(record)):
        value, here = getattr(record, name), (*path, *([inner] if inner else []), spelled)
        if value is None or declared.many or declared.of is not None or spelled in _NO_FACTS:
            continue
        is_default = declared.default is not None and here not in case.text.where
        if not (is_default or spelled in open_ or here in case.typical):
            yield spelled, declared, value


def _value(declared: Key, value: Any) -> Value:
    if declared.quantity is None or not isinstance(value, float):
        found: Value = value
        return found
    unit = glossary_entry(declared.quantity).unit
    kind = _BY_NAME.get(declared.quantity) or _KINDS.get(unit)
    if kind is not None:
        return amount(kind, value)
    return f"{100.0 * value:.3g} %" if unit == "-" else f"{value:.4g} {unit}"
