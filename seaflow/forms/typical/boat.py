"""The boat that a few words tell of: a whole case as the ordinary reader has it, without a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case, Sea
from seaflow.boat.defaults import Assumption
from seaflow.boat.keys import keys_of
from seaflow.boat.load import Loaded, load_case, load_written
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.reader.text import NO_FILE, parsed
from seaflow.forms.typical.asked_pump import asked_sheet
from seaflow.forms.typical.build import pump_name, raw_case, said_battery, said_sea, said_supply
from seaflow.forms.typical.doubts import contradictions, unused_battery, which_mains, which_water
from seaflow.forms.typical.facts import Facts, SupplyFacts
from seaflow.forms.typical.said import said
from seaflow.forms.typical.text import case_of


@dataclass(frozen=True, slots=True)
class Spoken:
    """A boat from a few words: the facts, the text of its case, and the case itself."""

    facts: Facts
    text: str
    loaded: Loaded


def spoken_boat(
    texts: Mapping[str, str | Sequence[str] | None],
    catalogue: Catalogue | None = None,
    gaps: bool = False,
) -> Spoken:
    """Return the typical boat of what was said, by option, from "boat" to "battery".

    With `gaps` what is typical is open, as a survey wants it.

    Raises
    ------
    SeaflowError
        With everything that was not understood, and the forms that are.
    """
    told = said(texts, catalogue or Catalogue())
    return whole_boat(told.facts, raw_case(told.facts), told.catalogue, gaps)


def whole_boat(
    facts: Facts, raw: dict[str, Any], catalogue: Catalogue, gaps: bool = False
) -> Spoken:
    """Return the boat of some facts, whose case is `raw` as TOML data.

    Raises
    ------
    SeaflowError
        With every problem of the case.
    """
    questions = contradictions(facts)
    if facts.pump is not None and facts.pump.fitted is None:
        sheet, doubts = asked_sheet(facts)
        catalogue, questions = Catalogue((sheet, *catalogue.own)), (*questions, *doubts)
    text = case_of(facts, raw)
    loaded = load_written(*parsed(NO_FILE, text), catalogue, gaps=gaps)
    return Spoken(facts, text, replace(loaded, warnings=(*questions, *loaded.warnings)))


def said_of_a_file(
    file: str,
    texts: Mapping[str, str | Sequence[str] | None],
    catalogue: Catalogue | None = None,
    gaps: bool = False,
) -> Loaded:
    """Return the case in a file with another supply, sea or pump, as it was said beside it.

    With `gaps` a half-known boat is taken as well.

    Raises
    ------
    SeaflowError
        With what was not understood, or with every problem of the file.
    """
    known, hers = catalogue or Catalogue(), None
    if texts.get("pump") and not texts.get("supply"):
        hers = _own_supply(file, known, gaps)
    told = said(texts, known, hers)
    facts, known = told.facts, told.catalogue
    if not any(texts.values()):
        return load_case(file, known, gaps=gaps)
    change: dict[str, Any] = {}
    doubts: tuple[Problem, ...] = ()
    if facts.supply is not None and hers is None:  # else it is that of the pump, not of the boat
        rest = dict.fromkeys(("frequency", "lowest_voltage", "highest_voltage", "other_frequency"))
        change["supply"] = rest | said_supply(facts.supply)
    if facts.battery is not None:
        change["battery"] = {"voltage": None, **said_battery(facts.battery)}
    if facts.sea is not None:
        rest = dict.fromkeys(key for _, key, _ in keys_of(Sea)) if facts.sea.place else {}
        change["sea"] = rest | said_sea(facts.sea)
    if facts.pump is not None:
        before = load_case(file, known, change, gaps).case
        if facts.pump.fitted is None:
            supply = supply_of(before)
            if facts.supply is not None and hers is not None:
                hertz = supply.frequency if facts.supply.current == "ac" else None
                supply = replace(facts.supply, frequency=facts.supply.frequency or hertz)
            sheet, doubts = asked_sheet(replace(facts, supply=supply))
            known = Catalogue((sheet, *known.own))
        fitted = {"fitted": pump_name(facts)}
        change["pump"] = {place.name: fitted for place in before.pump}
    loaded = load_case(file, known, change, gaps)
    kept = _duties_with_a_sea(loaded.case) if "sea" in change else ()
    assumptions = (*_beside(change), *kept, *loaded.case.assumptions)
    doubts = (*doubts, *unused_battery(facts, loaded.case.duty))
    warnings = (*which_water(facts), *which_mains(facts), *doubts, *loaded.warnings)
    return replace(loaded, case=replace(loaded.case, assumptions=assumptions), warnings=warnings)


def _own_supply(file: str, known: Catalogue, gaps: bool) -> SupplyFacts | None:
    """Return the supply of a case; None of one that does not read without the pump it is told."""
    try:
        return supply_of(load_case(file, known, gaps=gaps).case)
    except SeaflowError:
        return None


def _beside(change: Mapping[str, Mapping[str, Any]]) -> Iterator[Assumption]:
    """Yield what was said beside a file, so that the answer tells of it."""
    why = "said beside the file, in place of what stands there"
    for table, keys in change.items():
        if table == "pump":
            for name, pump in keys.items():
                yield Assumption(name, "fitted", pump["fitted"], why)
        else:
            for key, value in keys.items():
                if value is not None:
                    yield Assumption(f"the {table}", key.replace("_", " "), value, why)


def _duties_with_a_sea(case: Case) -> Iterator[Assumption]:
    """Yield the duties that name a sea of their own, which the warmest one does not touch."""
    why = "a duty keeps the sea that it names; what was said is the warmest sea"
    for duty in case.duty:
        if duty.sea is not None:
            yield Assumption(duty.name, "sea", "as in the file", why)


def supply_of(case: Case) -> SupplyFacts:
    """Return the supply of a case as it would have been said."""
    return SupplyFacts(case.supply.current, case.supply.voltage, case.supply.frequency)
