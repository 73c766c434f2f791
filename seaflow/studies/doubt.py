"""How far the flow may be off, one doubtful input at a time, and which of them matters most."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.elements import HoseRun
from seaflow.model.loop import Loop
from seaflow.model.losses import fitting
from seaflow.model.operate import operate

Change = Callable[[Loop, Conditions, Array], tuple[Loop, Conditions]]


@dataclass(frozen=True, slots=True)
class DoubtItem:
    """One doubtful input, with the flow at its two ends."""

    name: str
    source: str
    flow_low: float = measured("m3/s")
    flow_high: float = measured("m3/s")


@dataclass(frozen=True, slots=True)
class Doubt:
    """The flow with its band: the items' shortfalls and gains, each summed as squares."""

    flow: float = measured("m3/s")
    flow_low: float = measured("m3/s")
    flow_high: float = measured("m3/s")
    items: tuple[DoubtItem, ...] = ()

    @property
    def decides(self) -> str:
        """The input that moves the flow most."""
        return self.items[0].name if self.items else ""


def doubt_of(case: Case, built: Built, now: Conditions) -> Doubt:
    """Return the band of the total flow under the conditions `now`."""
    flow = float(operate(built.loop, now).total_flow()[0])
    items = sorted(_items(case, built, now), key=lambda item: item.flow_low - item.flow_high)
    low = math.hypot(*(max(flow - item.flow_low, 0.0) for item in items))
    high = math.hypot(*(max(item.flow_high - flow, 0.0) for item in items))
    return Doubt(flow, max(flow - low, 0.0), flow + high, tuple(items))


def _items(case: Case, built: Built, now: Conditions) -> Iterator[DoubtItem]:
    rows = read_table("spreads.toml")
    generic = any(not unit.water_loss for unit in built.network.units)
    changes: tuple[tuple[str, Change], ...] = (
        ("coil_generic" if generic else "coil_given", _coil),
        ("pump_curve", _pump_curve),
        ("fittings", _fittings),
        ("strainer", _strainer),
        ("outlet_height", _outlet_height),
    )
    for name, change in changes:
        row = rows[name]
        loop, conditions = change(built.loop, now, np.asarray([row["low"], row["high"]]))
        flows = operate(loop, conditions).total_flow()
        low, high = float(np.min(flows)), float(np.max(flows))
        yield DoubtItem(row["meaning"], row["source"], low, high)


def _coil(loop: Loop, now: Conditions, factor: Array) -> tuple[Loop, Conditions]:
    return loop, replace(now, coil_loss_factor=factor)


def _pump_curve(loop: Loop, now: Conditions, factor: Array) -> tuple[Loop, Conditions]:
    for pump in loop.pumps:
        curve = replace(
            pump.curve,
            shut_off_head=pump.curve.shut_off_head * factor,
            free_flow=pump.curve.free_flow * factor,
        )
        loop = loop.changed(pump.name, curve=curve)
    return loop, now


def _fittings(loop: Loop, now: Conditions, factor: Array) -> tuple[Loop, Conditions]:
    for hose in loop.elements(HoseRun):
        barbs = hose.barbs() / fitting(1.0, hose.bore).quadratic
        more = (factor - 1.0) * (hose.fittings_coefficient + barbs)
        loop = loop.changed(hose.name, fittings_coefficient=hose.fittings_coefficient + more)
    return loop, now


def _strainer(loop: Loop, now: Conditions, factor: Array) -> tuple[Loop, Conditions]:
    for basket in loop.strainers:
        loop = loop.changed(basket.name, housing_coefficient=basket.housing_coefficient * factor)
    return (loop, now) if loop.strainers else (loop, replace(now, coil_loss_factor=np.ones(2)))


def _outlet_height(loop: Loop, now: Conditions, more: Array) -> tuple[Loop, Conditions]:
    for link in loop.links:
        last = link.elements[-1]
        if link.to_sea and last.point is not None and last.point.height is not None:
            point = replace(last.point, height=last.point.height + more)
            loop = loop.changed(last.name, point=point)
    return loop, now
