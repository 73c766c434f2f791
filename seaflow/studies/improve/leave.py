"""Whether a boat is better left as it is and measured than changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.model.point import COOLING, OFF
from seaflow.studies.design.certainty.sample import Sample, dominants, permitted_rise, verdicts
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed


@dataclass(frozen=True, slots=True)
class Leave:
    """What speaks for leaving a boat that misses only its permitted rise, and that by a little.

    On the share of simulated days that is likely enough every unit is at least `margin` from its
    cut-out and passes its permitted rise by no more than `over`. `first` is what to measure.
    """

    first: Fact
    margin: float = measured("K")
    over: float = measured("K")


def leave_it(case: Case, drawn: Sample, needs: Mapping[str, UnitNeed], pump: str) -> Leave | None:
    """Return why to leave a boat as it is, None where it should not be."""
    held, margins, overs, shares = verdicts(case, drawn.built, drawn.point), [], [], []
    for coil in drawn.built.loop.coils:
        unit = drawn.point.units[coil.unit]
        if np.all(unit.state == OFF):
            continue
        runs = unit.state == COOLING
        margins.append(np.where(runs, unit.cut_out_margin, -np.inf))
        passed = unit.temperature_rise - permitted_rise(case, coil.unit)
        overs.append(np.where(runs, passed, np.inf))
        shares.append(unit.volume_flow / (needs[coil.unit].flow or 1e-9))
    enough = limit("likely_enough")
    if not margins or float(held.keeps_rise.mean()) >= enough:
        return None
    margin = float(np.quantile(np.min(margins, axis=0), 1.0 - enough, method="lower"))
    over = float(np.quantile(np.max(overs, axis=0), enough, method="higher"))
    is_far = float(held.keeps_running.mean()) >= limit("likely_running")
    is_far = is_far and margin >= limit("far_from_cut_out")
    if not is_far or over > limit("rise_hardly_missed"):
        return None
    ordered = dominants(drawn, np.min(shares, axis=0), held.keeps_rise.astype(float))
    best = max(ordered, key=lambda item: item.swing)
    first = fact(
        "design.measure_first",
        input=best.label,
        pump=pump,
        low=best.enough_low,
        high=best.enough_high,
        measure=best.measure,
    )
    return Leave(first, margin, over)
