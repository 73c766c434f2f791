"""What a plan may have wrong and what a day brings: uncertain beside what `size` draws.

A diagnosis meets boats that somebody drew from memory. So what is written of them has longer tails
here than in the answer of `size`, and the hard switches of the model are no switches.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.loop import Loop
from seaflow.physics.heat.compressor import scaled
from seaflow.studies.design.certainty.inputs import Input, Setting, inputs_of
from seaflow.studies.design.certainty.spreads import Spread, spread, triangular

MET = ("season", "voltage")  # inputs that are not the boat's own: they are met, or read
MET_TABLES = ("sea", "supply")  # of the case, likewise
DIRT = ("blockage", "growth", "coil_scale")  # what a cleaning takes away
TODAY = ("cabin_heat",)  # what another day has otherwise
OF_A_PUMP = ("pump_head", "pump_flow")
OF_ANY_PUMP = ("pump_head_untold", "pump_flow_untold")  # in their place where nobody named a pump
STEPS = np.linspace(0.0, 1.0, 2001)  # at which a mixture of two spreads is turned around


@dataclass(frozen=True, slots=True)
class LongTailed(Spread):
    """A spread of which a part of the boats lies anywhere between far ends: their plan is wrong."""

    far_low: float = 1.0
    far_high: float = 1.0
    wrong: float = 0.0

    def at(self, share: Array) -> Array:
        """Return the values at these shares of the mixture."""
        near = self.low, self.high
        far = min(self.low, self.far_low), max(self.high, self.far_high)
        values = np.linspace(np.log(far[0]), np.log(far[1]), STEPS.size)
        upto = (1.0 - self.wrong) * _upto(values, *np.log(near)) + self.wrong * _upto(
            values, *np.log(far)
        )
        return np.asarray(np.exp(np.interp(share, upto, values)))


def _upto(values: Array, low: float, high: float) -> Array:
    """Return the share of a triangle about nought that lies below each value."""
    return np.interp(values, triangular(STEPS, low, 0.0, high), STEPS)


def doubts_of(case: Case, built: Built) -> tuple[Input, ...]:
    """Return every uncertain figure of a boat that is diagnosed, but for what she meets."""
    own = (item for item in inputs_of(case, built) if not _is_met(item))
    told = pump_is_told(case, built)
    longer = (_longer(item) if told else _of_any_pump(item) for item in own)
    return (*longer, *_switches(), *_cabins(case, built))


def pump_is_told(case: Case, built: Built) -> bool:
    """Return whether the pump is that of the boat; on one described in part nobody need know it."""
    return not case.typical or all(
        place.fitted == built.pumps[place.name].name for place in built.network.pumps
    )


def _of_any_pump(item: Input) -> Input:
    """Return an input of a boat described in part, of which nobody told the pump either."""
    if item.spread.name not in OF_A_PUMP:
        return _longer(item)
    found = spread(OF_ANY_PUMP[OF_A_PUMP.index(item.spread.name)])
    return replace(item, label=found.meaning, spread=found)


def _is_met(item: Input) -> bool:
    return item.spread.name in MET or (item.path is not None and item.path[0] in MET_TABLES)


def _longer(item: Input) -> Input:
    row = read_table("doubts.toml")["tail"].get(item.spread.name)
    if row is None or item.spread.shape != "factor":
        return item
    found = item.spread
    own = LongTailed(
        *(found.name, found.shape, found.low, found.high, found.meaning),
        *(found.source, found.measure, found.unit),
        far_low=row["low"],
        far_high=row["high"],
        wrong=row["wrong"],
    )
    return replace(item, spread=own)


def _switches() -> Iterator[Input]:
    """Yield what the model switches at, and no boat does."""

    def clearing(loop: Loop, now: Conditions, values: Array) -> Setting:
        return loop, replace(now, clearing=values)

    def stall(loop: Loop, now: Conditions, values: Array) -> Setting:
        running = np.asarray(now.pump_running, dtype=bool)
        for pump in loop.pumps:
            least = pump.drive.minimum_voltage
            if least is None or now.voltage is None:
                continue
            running = running & (np.asarray(now.voltage) >= values * least)
            drive = replace(pump.drive, minimum_voltage=found.low * least)
            loop = loop.changed(pump, drive=drive)
        return loop, replace(now, pump_running=running)

    leg, found = spread("falling_leg"), spread("least_volts")
    yield Input(leg.meaning, leg, clearing)
    yield Input(found.meaning, found, stall)


def _cabins(case: Case, built: Built) -> Iterator[Input]:
    """Yield what cabin and fan make of the heat of each unit, another every day."""
    found = spread("cabin_heat")
    for unit in built.network.units_by_size:

        def apply(loop: Loop, now: Conditions, values: Array, name: str = unit.name) -> Setting:
            coil = next(item for item in loop.coils if item.unit == name)
            return loop.changed(coil, machine=scaled(coil.machine, values)), now

        tail = f" of {unit.name}" if len(built.network.units) > 1 else ""
        yield Input(found.meaning + tail, found, apply)
