"""A pump of which one point alone is known, and how it does in a loop on simulated days."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Array
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart, pump_part_of
from seaflow.forms.typical.asked_pump import asked_sheet
from seaflow.forms.typical.facts import Facts, PumpFacts, SupplyFacts
from seaflow.model.build import Built, with_pump
from seaflow.model.point import COOLING, OFF, OperatingPoint
from seaflow.studies.design.certainty.sample import Sample, permitted_rise, sample
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.design.which_pump import full_supply


@dataclass(frozen=True, slots=True, eq=False)
class ByPoint:
    """A loop whose pumps are each told by a point: `share` of its flow, and its head.

    Of the loop any pump is built in; the head is parted over the pumps in a row.
    """

    case: Case
    built: Built
    share: float
    sampling: Sampling

    def part(self, flow: float, head: float) -> PumpPart:
        """Return the pump of which is known that the loop gets a flow [m3/s] at a head [m].

        It is what a command makes of a pump that is told so beside a boat.
        """
        supply, rows = self.case.supply, self.built.loop.pumps_in_a_row
        facts = Facts(
            pump=PumpFacts(points=((flow * self.share, max(head / rows, LEAST_HEAD)),)),
            supply=SupplyFacts(supply.current, supply.voltage, supply.frequency),
        )
        return pump_part_of(asked_sheet(facts)[0])

    def days(self, flow: float, head: float) -> Sample:
        """Return the simulated days of the loop with such a pump."""
        part = self.part(flow, head)
        built = with_pump(self.case, self.built, part)
        now = full_supply(self.case, built.network, part)
        return sample(self.case, built, now, self.sampling.n_samples, self.sampling.seed)

    def kept(self, flow: float, head: float, enough: float) -> float:
        """Return how far a share of the days, `enough` of them, keep what each must.

        That is the permitted rise over the rise of the unit that has least, or its flow over its
        maker's least; 1 where just so many days keep it, 0 where a unit does not cool.
        """
        drawn = self.days(flow, head)
        found = np.sort(_kept(self.case, drawn.built, drawn.point))
        return float(found[int((1.0 - enough) * found.size + SLACK)])


LEAST_HEAD = 1e-3  # m; a pump has some head, however little its loop asks
SLACK = 1e-9  # keeps a whole number of days from falling short by rounding


def _kept(case: Case, built: Built, point: OperatingPoint) -> Array:
    """Return by day how far the unit that is worst off keeps what it must."""
    found = np.full(point.size, np.inf)
    for coil in built.loop.coils:
        unit = point.units[coil.unit]
        cools = unit.state == COOLING
        rise = np.where(cools, unit.temperature_rise, np.inf)
        mine = permitted_rise(case, coil.unit) / rise
        if coil.flow_limits[0]:
            mine = np.minimum(mine, np.where(cools, unit.volume_flow / coil.flow_limits[0], 0.0))
        found = np.minimum(found, np.where(unit.state == OFF, np.inf, mine))
    return found
