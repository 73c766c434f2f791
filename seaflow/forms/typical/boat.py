"""The boat that a few words tell of: a whole case as the ordinary reader has it, without a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from seaflow.base.problems import Problem
from seaflow.base.units import factor_and_offset
from seaflow.boat.case import Case, Sea
from seaflow.boat.defaults import Assumption
from seaflow.boat.keys import keys_of
from seaflow.boat.load import Loaded, load_case, load_written
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.reader.text import parsed
from seaflow.forms.typical.asked_pump import asked_sheet
from seaflow.forms.typical.build import pump_name, said_sea, said_supply, usual_cooling
from seaflow.forms.typical.facts import Facts, SupplyFacts
from seaflow.forms.typical.hull import hull_of
from seaflow.forms.typical.said import said
from seaflow.forms.typical.text import case_of

NO_FILE = "the typical boat"  # in place of the name of a file
FAR = 3.0  # times the usual cooling, or a part of it, where a plate and a boat are hard to believe
WIDE = 0.4  # of the usual beam, either way; our assumption, for such boats spread 12 %


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
    """Return the typical boat of what was said, by option: "boat", "unit", "supply", "sea", "pump".

    With `gaps` what is typical is open, as a survey wants it.

    Raises
    ------
    SeaflowError
        With everything that was not understood, and the forms that are.
    """
    told = said(texts, catalogue or Catalogue())
    known = told.catalogue
    if told.facts.pump is not None and told.facts.pump.fitted is None:
        known = Catalogue((asked_sheet(told.facts), *known.own))
    text = case_of(told.facts)
    loaded = load_written(*parsed(NO_FILE, text), known, gaps=gaps)
    questions = tuple(_questions(told.facts))
    return Spoken(told.facts, text, replace(loaded, warnings=(*questions, *loaded.warnings)))


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
    told = said(texts, catalogue or Catalogue())
    facts, known = told.facts, told.catalogue
    if not any(texts.values()):
        return load_case(file, known, gaps=gaps)
    change: dict[str, Any] = {}
    if facts.supply is not None:
        rest = dict.fromkeys(("frequency", "lowest_voltage", "highest_voltage", "other_frequency"))
        change["supply"] = rest | said_supply(facts.supply)
    if facts.sea is not None:
        rest = dict.fromkeys(key for _, key, _ in keys_of(Sea)) if facts.sea.place else {}
        change["sea"] = rest | said_sea(facts.sea)
    if facts.pump is not None:
        before = load_case(file, known, change, gaps).case
        if facts.pump.fitted is None:
            sheet = asked_sheet(replace(facts, supply=supply_of(before)))
            known = Catalogue((sheet, *known.own))
        fitted = {"fitted": pump_name(facts)}
        change["pump"] = {place.name: fitted for place in before.pump}
    loaded = load_case(file, known, change, gaps)
    assumptions = (*_beside(change), *loaded.case.assumptions)
    return replace(loaded, case=replace(loaded.case, assumptions=assumptions))


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


def supply_of(case: Case) -> SupplyFacts:
    """Return the supply of a case as it would have been said."""
    return SupplyFacts(case.supply.current, case.supply.voltage, case.supply.frequency)


def _questions(facts: Facts) -> Iterator[Problem]:
    """Yield what is hard to believe together; it is used as it was said."""
    if facts.boat is None:
        return
    usual = hull_of(replace(facts, boat=replace(facts.boat, beam=None)))
    of_boat = f"for a {usual.kind} of {usual.length.value:.3g} m: such boats"
    cold, some = sum(unit.cooling for unit in facts.units), usual_cooling(usual)
    if cold and not some / FAR <= cold <= some * FAR:
        factor, _ = factor_and_offset("W", "BTU/h")
        much = "much" if cold > some else "little"
        yield _question(
            f"{factor * cold:,.0f} BTU/h is {much} {of_boat} are cooled with about "
            f"{round(factor * some, -3):,.0f} BTU/h",
            "Look at the plates of the units, and whether all were named.",
        )
    beam = facts.boat.beam
    if beam is not None and abs(beam / usual.beam.value - 1.0) > WIDE:
        yield _question(
            f"a beam of {beam:.3g} m is unusual {of_boat} have about {usual.beam.value:.2g} m",
            "Look at the length, the beam and their units.",
        )


def _question(what: str, write: str) -> Problem:
    why = "What was said is used as it stands; one of the two may be a slip."
    return Problem("Q03", what, why=why, write=write, warning=True)
