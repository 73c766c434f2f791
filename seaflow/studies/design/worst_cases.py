"""The worst cases in which a design must hold: warm, dirty, low supply, heeled, cold and clean.

The first is the design point: the warmest sea with all clean.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.model.conditions import Conditions
from seaflow.studies.design.start import attitude, attitudes
from seaflow.studies.design.supply import panel_volts


@dataclass(frozen=True, slots=True)
class WorstCase:
    """One worst case: a short name, what it is like, and what it asks of the flow.

    `asks` is "need" (all that is needed), "least" (no trip, maker's least) or "most" (no more than
    the maker and the coil's alloy allow).
    """

    name: str
    where: Fact
    asks: str
    conditions: Conditions


MOST_KEPT = 40  # boats: a question asks for those of each boat drawn of a case again and again
# What worst cases differ in, beside the volts.
VARIED = (
    *("sea_temperature", "frequency", "strainer_blockage", "matted", "growth"),
    *("heel", "trim"),
)


@lru_cache(MOST_KEPT)
def worst_cases(case: Case) -> tuple[WorstCase, ...]:
    """Return the worst cases of a boat, the design point first; voltages are at the panel."""
    supply, design, sea = case.supply, case.design, case.sea
    low, _, high = panel_volts(case)
    warm = Conditions(
        sea_temperature=sea.warmest,
        salinity=sea.salinity,
        voltage=supply.voltage,
        frequency=supply.frequency,
    )

    def least(name: str, what: Fact, **changes: Any) -> WorstCase:
        where = fact("design.warmest_sea", what=what)
        return WorstCase(name, where, "least", replace(warm, **changes))

    clean = fact("design.all_clean")
    share, growth, other = design.blocked_share, design.growth, supply.other_frequency
    blocked = fact("design.blocked", share=share)
    found = [
        WorstCase("design", fact("design.warmest_sea", what=clean), "need", warm),
        # of what the same dirt costs evenly spread and as a mat, the worse
        least("strainer blocked", blocked, strainer_blockage=share, matted=1.0),
        least("low voltage", fact("design.low_voltage", volts=amount("voltage", low)), voltage=low),
    ]
    if other is not None:
        plugged = fact("design.other_frequency", hertz=amount("frequency", other))
        found.append(least("other frequency", plugged, frequency=other))
    grown = fact("design.growth", growth=amount("thickness", growth))
    found.append(least("growth", grown, growth=growth))
    where = fact(
        "design.coldest_sea", sea=amount("temperature", sea.coldest), volts=amount("voltage", high)
    )
    cold = replace(warm, sea_temperature=sea.coldest, voltage=high)
    return (*found, *_tacks(case, warm), WorstCase("cold", where, "most", cold))


def _tacks(case: Case, warm: Conditions) -> Iterator[WorstCase]:
    """Yield the working attitudes: an outlet rises on one tack, an intake or a pump on the other.

    Only where every place is known: what is missing is asked for by the first start.
    """
    places = [thing.at for thing in case.things if thing.level is not None]
    places += [at for hose in case.hose for at in hose.via]
    if any(at is None or at.starboard is None or at.aft is None for at in places):
        return
    for heel, trim in attitudes(case):
        where = fact("design.warmest_sea", what=attitude(heel, trim))
        down = [side for side, turn in (("starboard", heel > 0.0), ("port", heel < 0.0)) if turn]
        down += [end for end, turn in (("bow", trim > 0.0), ("stern", trim < 0.0)) if turn]
        name = f"{' and '.join(down)} down"
        yield WorstCase(name, where, "least", replace(warm, heel=heel, trim=trim))


def stacked(found: Sequence[WorstCase], voltages: Sequence[float]) -> Conditions:
    """Return the conditions of several worst cases along one axis, with these volts at the pump."""
    changes = {"voltage": np.asarray(voltages, dtype=float)}
    for name in VARIED:
        values = [getattr(worst.conditions, name) for worst in found]
        if values[0] is not None:
            changes[name] = np.asarray(values, dtype=float)
    return replace(found[0].conditions, **changes)  # type: ignore[arg-type]
