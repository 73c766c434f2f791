"""The three shapes of loss that everything in a run is made of.

A fitting costs `quadratic` times flow squared; a pipe costs Darcy friction; a coil known by the
maker's points costs a power of the flow. All three rise with flow, and that is
what lets the solver always find the one answer.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from seaflow.base.arrays import Number, any_of
from seaflow.base.constants import GRAVITY


@dataclass(frozen=True, slots=True, eq=False)
class Pipe:
    """A length of full round bore with friction; `multiplier` is 1 for a straight one.

    Of `n_tubes` side by side each takes its share of the flow.
    """

    bore: Number
    length: Number
    roughness: Number
    multiplier: Number = 1.0
    n_tubes: int = 1


@dataclass(frozen=True, slots=True, eq=False)
class Power:
    """A head loss of `head` at `flow`, and in proportion to flow ** `exponent` elsewhere."""

    flow: Number
    head: Number
    exponent: Number


@dataclass(frozen=True, slots=True, eq=False)
class Losses:
    """What one element costs: a fitting part, pipes and powers.

    `constant` is the head that other users of a shared opening cost, whatever this loop draws [m].
    """

    quadratic: Number = 0.0
    pipes: tuple[Pipe, ...] = ()
    powers: tuple[Power, ...] = ()
    constant: Number = 0.0


def fitting(loss_coefficient: Number, bore: Number) -> Losses:
    """Loss of a fitting with a coefficient on the velocity head in `bore`."""
    return Losses(quadratic=loss_coefficient * _per_velocity_head(bore))


def shared_fitting(loss_coefficient: Number, bore: Number, other_flow: Number) -> Losses:
    """Loss of a fitting that also carries `other_flow` for other users [m3/s].

    (q + other)^2 is written out as q^2, a part that goes with q, and a constant.
    """
    if not any_of(other_flow):
        return fitting(loss_coefficient, bore)
    per_square = loss_coefficient * _per_velocity_head(bore)
    linear = Power(1.0, 2.0 * per_square * other_flow, 1.0)
    return Losses(per_square, (), (linear,), per_square * other_flow**2)


def _per_velocity_head(bore: Number) -> Number:
    """Velocity head over flow squared [s2/m5]."""
    return 8.0 / (math.pi**2 * GRAVITY * bore**4)
