"""Whether two curves are one pump's, printed twice: in two systems of units, or in two files."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seaflow.boat.parts.part import given_points, pump_curve
from seaflow.boat.parts.sheets import PumpSheet
from seaflow.physics.pumping.pump import head

ROUNDED = 0.02  # of an axis: what printing in another unit may move a point
_PLATE = ("supply", "frequency", "type", "motor", "duty", "least_speed", "self_priming", "price")

Points = Sequence[tuple[float, float]]


def same_points(one: Points, other: Points) -> bool:
    """Return whether these points of flow and head are the same ones but for rounding."""
    if len(one) != len(other) or not one:
        return False
    first, second = np.asarray(sorted(one)), np.asarray(sorted(other))
    return bool(np.all(np.abs(first - second) <= ROUNDED * first.max(axis=0)))


def same_pump(one: PumpSheet, other: PumpSheet) -> bool:
    """Return whether two sheets are of one pump: one plate, one curve but for rounding.

    What only one of them tells does not part them.
    """
    for key in _PLATE:
        told = (getattr(one, key), getattr(other, key))
        if None not in told and told[0] != told[1]:
            return False
    amounts = [(one.voltage, other.voltage), (one.power, other.power)]
    amounts.append((one.current, other.current))
    if any(a and b and abs(a / b - 1.0) > ROUNDED for a, b in amounts):
        return False
    points = given_points(one), given_points(other)
    return same_points(*points) or (_lies_on(one, points[1]) and _lies_on(other, points[0]))


def _lies_on(sheet: PumpSheet, points: Points) -> bool:
    """Return whether points lie on the curve of a sheet, and reach as far as it does."""
    curve = pump_curve(sheet)
    flow, tops = np.asarray(points).T
    nudge = ROUNDED * curve.free_flow
    least = head(curve, np.minimum(flow + nudge, curve.free_flow), 1.0)
    most = head(curve, np.maximum(flow - nudge, 0.0), 1.0)
    off = ROUNDED * curve.shut_off_head
    mine = np.asarray(given_points(sheet))
    reach = abs(flow.max() - mine[:, 0].max()) <= nudge and len(mine) > 2 and len(points) > 2
    return bool(reach and np.all((tops >= least - off) & (tops <= most + off)))
