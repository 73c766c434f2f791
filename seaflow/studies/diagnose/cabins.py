"""What cabin and fan make of the heat of each unit today, drawn where it explains the discharge.

The flow does not hang on it, and the rise of the water goes with it. So of each boat, once she is
run, it is drawn anew from how likely each part of its spread makes the discharge that was read, and
the boat is weighed for that exactly. Far more boats agree then, the more units the more.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.random import RandomState
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.model import point as words
from seaflow.model.operate import warmed
from seaflow.physics.heat.compressor import scaled
from seaflow.studies.diagnose.doubts import TODAY
from seaflow.studies.diagnose.read_number import error_of
from seaflow.studies.diagnose.readings import Number, Readings
from seaflow.studies.diagnose.simulate import Flotilla, Setup

STEPS = 24  # equal shares of the spread
EVEN = 0.02  # of the draws that are spread evenly all the same
LONG_TAIL = 3.0  # degrees of freedom: errors of Student are spread about as people read


def rows_of_cabins(setup: Setup) -> Iterator[tuple[int, str]]:
    """Yield the place of each unit's heat of the day among the figures, and the unit."""
    rows = [row for row, item in enumerate(setup.inputs) if item.spread.name in TODAY]
    for row, unit in zip(rows, setup.built.network.units_by_size, strict=True):
        yield row, unit.name


def with_cabins(flotilla: Flotilla, readings: Readings, stream: RandomState) -> Flotilla:
    """Return the boats with the heat of the day that explains what was read of each unit."""
    known = {item.place: item for item in readings.numbers if item.kind == "discharge"}
    if readings.mode != "cooling" or not known.keys() & flotilla.point.units.keys():
        return flotilla
    loop, shares = flotilla.boats.loop, np.array(flotilla.shares)
    oftener, inputs = np.zeros(flotilla.hypotheses.size), flotilla.setup.inputs
    for row, name in rows_of_cabins(flotilla.setup):
        if name not in known:
            continue
        spread = inputs[row].spread
        before = spread.at(shares[row])
        factors = spread.at((np.arange(STEPS) + 0.5) / STEPS)
        chances = _chances(flotilla, known[name], factors[:, np.newaxis] / before)
        step, shares[row] = _drawn(chances, stream.random_sample(oftener.size))
        oftener += np.log(STEPS * chances[step, np.arange(step.size)])
        coil = next(item for item in loop.coils if item.unit == name)
        machine = scaled(coil.machine, spread.at(shares[row]) / before)
        loop = loop.changed(coil, machine=machine)
    hypotheses = replace(flotilla.hypotheses, log_prior=flotilla.hypotheses.log_prior - oftener)
    return replace(
        flotilla,
        hypotheses=hypotheses,
        boats=replace(flotilla.boats, loop=loop),
        point=warmed(flotilla.point, loop),
        shares=shares,
    )


def _chances(flotilla: Flotilla, number: Number, times: Array) -> Array:
    """Return how often each step is drawn on each boat: (steps, boats).

    `times` is the heat of each step over that of the boat. Where a unit does not run it is even.
    """
    unit = flotilla.point.units[number.place]
    foot = unit.inlet_temperature + flotilla.boats.reads_high
    seen = foot + (unit.outlet_temperature - unit.inlet_temperature) * times
    off = (number.value - seen) / error_of(flotilla, "discharge", seen[STEPS // 2])
    likely = 1.0 / (1.0 + off**2 / LONG_TAIL) ** 2
    likely = np.where(unit.state == words.COOLING, likely, 1.0)
    return np.asarray((1.0 - EVEN) * likely / likely.sum(axis=0) + EVEN / STEPS)


def _drawn(chances: Array, at: Array) -> tuple[NDArray[np.intp], Array]:
    """Return the step that is drawn on each boat, and the share of the spread within it."""
    upto = np.array(chances)
    for row in range(1, STEPS):  # many times faster here than to cumulate along the first axis
        upto[row] += upto[row - 1]
    step = np.minimum((upto < at).sum(axis=0, dtype=np.int8), STEPS - 1).astype(np.intp)
    boats = np.arange(at.size)
    here = chances[step, boats]
    inside = np.clip((at - (upto[step, boats] - here)) / here, 0.0, 1.0 - 1e-9)
    return step, (step + inside) / STEPS
