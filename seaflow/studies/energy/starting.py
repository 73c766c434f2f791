"""Whether a pump lifts its water to the highest point, and how slowly it may turn."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.measured import measured
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.drive import lift_of
from seaflow.model.operate import operate
from seaflow.model.point import FLOWING
from seaflow.model.starting import NOTHING, climb_of
from seaflow.studies.design.limits import limit

ROUNDS, STEPS = 3, 128  # together a two millionth of full speed
SHOWN = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3)
USUAL_SEA = 20.0  # degC; heads hang on the sea only through the friction of the water


@dataclass(frozen=True, slots=True)
class HeadAtSpeed:
    """One speed: the shut-off head left, over the starting head, and what flows."""

    speed: float = measured("-")
    shut_off_head: float = measured("m")
    over_starting: float | None = measured("-")
    flow: float = measured("m3/s")
    delivers: bool = True


@dataclass(frozen=True, slots=True)
class Starting:
    """Starting and running head of a loop with one pump.

    `starting_head` is the highest point of the run above the water, which the pump must reach at
    rest; `running_head` what is left of it once every leg runs full: the height of the outlet.
    Speeds are shares of full speed: below `least_by_affinity` the shut-off head is less than the
    starting head, below `least_speed` the loop as a whole brings some unit no water.
    """

    highest: str
    priming: str
    can_prime: bool | None
    starting_head: float = measured("m")
    running_head: float = measured("m")
    shut_off_head: float = measured("m")
    factor: float | None = measured("-")
    factor_wanted: float = measured("-", 1.5)
    least_by_affinity: float | None = measured("-", None)
    least_once_full: float | None = measured("-", None)
    least_speed: float | None = measured("-", None)
    speeds: tuple[HeadAtSpeed, ...] = ()

    @property
    def starts(self) -> bool:
        """True if the water gets over the highest point at full speed."""
        return self.least_speed is not None


def starting_of(built: Built, part: PumpPart, now: Conditions | None = None) -> Starting:
    """Return starting and running head with a pump under the conditions `now`.

    The pump is taken at the supply that `now` gives it, as rated if left out; `now.pump_speed` is
    not looked at.
    """
    loop = built.loop
    full = replace(now or Conditions(sea_temperature=USUAL_SEA), pump_speed=1.0)
    climb = climb_of(loop, full)
    shut_off = climb.shut_off_head
    lifts = (lift_of(loop, link, full) for link in loop.links if link.to_sea)
    outlet = max(float(np.asarray(lift)) for lift in lifts)
    speeds = np.asarray([speed for speed in SHOWN if speed >= (part.least_speed or SHOWN[-1])])
    point = operate(loop, replace(full, pump_speed=speeds))
    flow = point.total_flow()
    reaches = point.ending == FLOWING
    rows = tuple(
        HeadAtSpeed(
            float(speed),
            shut_off * float(speed) ** 2,
            None if climb.times is None else climb.times * float(speed) ** 2,
            float(flow[i]),
            bool(reaches[i]),
        )
        for i, speed in enumerate(speeds)
    )
    words, primes = _priming(built, part)
    return Starting(
        highest=climb.label,
        priming=words,
        can_prime=primes,
        starting_head=climb.height,
        running_head=outlet,
        shut_off_head=shut_off,
        factor=climb.times,
        factor_wanted=limit("starting_factor"),
        least_by_affinity=_affinity(climb.height, shut_off),
        least_once_full=_affinity(outlet, shut_off),
        least_speed=least_speed(built, full),
        speeds=rows,
    )


def least_speed(built: Built, now: Conditions) -> float | None:
    """Return the least share of full speed at which every open branch gets water.

    None where even full speed does not do. Each round looks at many speeds in one call.
    """
    low, high = 0.0, 1.0
    for _ in range(ROUNDS):
        tried = np.linspace(low, high, STEPS + 1)[1:]
        stops = operate(built.loop, replace(now, pump_speed=tried)).ending != FLOWING
        first = int(np.max(np.nonzero(stops)[0])) + 1 if stops.any() else 0
        if first >= STEPS:
            return None
        low, high = (float(tried[first - 1]) if first else low), float(tried[first])
    return high


def _affinity(height: float, shut_off: float) -> float | None:
    """Return the speed at which the shut-off head falls to a height; head goes as speed squared."""
    if height <= NOTHING:
        return 0.0
    return float(np.sqrt(height / shut_off)) if shut_off > height else None


def _priming(built: Built, part: PumpPart) -> tuple[str, bool | None]:
    primes = part.primes_at(built.network.pumps[0].level)
    if part.self_priming:
        return "it primes itself", True
    if primes is None:
        return "the height of its place is not recorded, so nobody knows", None
    if primes:
        return "its place is under water, so it is flooded", True
    return "it cannot prime itself and its place is above the water", False
