"""Whether a pump lifts its water to the highest point, and how slowly it may turn."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.measured import measured
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.drive import running_pump
from seaflow.model.heights import height_of
from seaflow.model.operate import operate
from seaflow.model.point import FLOWING
from seaflow.studies.design.limits import limit

ROUNDS, STEPS = 3, 128  # together a two millionth of full speed
SHOWN = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3)
USUAL_SEA = 20.0  # degC; heads hang on the sea only through the friction of the water
NOTHING = 1e-3  # m: a run not higher than this lifts nothing


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
    loop, element = built.loop, built.loop.pumps[0]
    full = replace(now or Conditions(sea_temperature=USUAL_SEA), pump_speed=1.0)
    pump = running_pump(element, full)
    shut_off = float(np.max(np.asarray(pump.curve.shut_off_head) * np.asarray(pump.speed) ** 2))
    highest, label = _highest(built, full)
    outlet = _outlet(built, full)
    speeds = np.asarray([speed for speed in SHOWN if speed >= (part.least_speed or SHOWN[-1])])
    point = operate(loop, replace(full, pump_speed=speeds))
    flow = point.total_flow()
    reaches = point.ending == FLOWING
    rows = tuple(
        HeadAtSpeed(
            float(speed),
            shut_off * float(speed) ** 2,
            _over(shut_off * float(speed) ** 2, highest),
            float(flow[i]),
            bool(reaches[i]),
        )
        for i, speed in enumerate(speeds)
    )
    words, primes = _priming(built, part)
    return Starting(
        highest=label,
        priming=words,
        can_prime=primes,
        starting_head=highest,
        running_head=outlet,
        shut_off_head=shut_off,
        factor=_over(shut_off, highest),
        factor_wanted=limit("starting_factor"),
        least_by_affinity=_affinity(highest, shut_off),
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


def _over(shut_off: float, highest: float) -> float | None:
    return shut_off / highest if highest > NOTHING else None


def _affinity(height: float, shut_off: float) -> float | None:
    """Return the speed at which the shut-off head falls to a height; head goes as speed squared."""
    if height <= NOTHING:
        return 0.0
    return float(np.sqrt(height / shut_off)) if shut_off > height else None


def _highest(built: Built, now: Conditions) -> tuple[float, str]:
    found = [(0.0, "")]
    for link in built.loop.links:
        for _, _, point in link.points():
            height = height_of(point, now, built.loop)
            if height is not None:
                found.append((float(np.asarray(height)), point.label))
    return max(found, key=lambda item: item[0])


def _outlet(built: Built, now: Conditions) -> float:
    heights = [0.0]
    for link in built.loop.links:
        point = link.elements[-1].point if link.to_sea else None
        height = None if point is None else height_of(point, now, built.loop)
        if height is not None:
            heights.append(float(np.asarray(height)))
    return max(heights)


def _priming(built: Built, part: PumpPart) -> tuple[str, bool | None]:
    level = built.network.pumps[0].level
    if part.self_priming:
        return "it primes itself", True
    if level is None:
        return "the height of its place is not recorded, so nobody knows", None
    if level < 0.0:
        return "its place is under water, so it is flooded", True
    return "it cannot prime itself and its place is above the water", False
