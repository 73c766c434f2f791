"""Whether a pump lifts its water to the highest point, and how slowly it may turn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.drive import lift_of
from seaflow.model.operate import operate
from seaflow.model.point import FLOWING
from seaflow.model.starting import NOTHING, Climb, climb_of
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
    starting head, below `least_speed` the loop as a whole brings some unit no water. `says` tells
    whether it starts, `slowest` how slowly it may turn.
    """

    highest: str
    says: tuple[Fact, ...]
    slowest: tuple[Fact, ...]
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
    slowest = least_speed(built, full)
    speeds_ = (slowest, _affinity(climb.height, shut_off), _affinity(outlet, shut_off))
    return Starting(
        highest=climb.label,
        says=tuple(_lift(climb, outlet)),
        slowest=tuple(_slowest(speeds_, part.least_speed)),
        starting_head=climb.height,
        running_head=outlet,
        shut_off_head=shut_off,
        factor=climb.times,
        factor_wanted=limit("starting_factor"),
        least_by_affinity=speeds_[1],
        least_once_full=speeds_[2],
        least_speed=slowest,
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


def _lift(climb: Climb, outlet: float) -> Iterator[Fact]:
    """Yield whether the pump reaches the highest point, and what is left to lift after that."""
    shut_off = amount("head", climb.shut_off_head)
    if climb.times is None:
        yield fact("energy.nothing_to_lift", shut_off=shut_off)
        return
    kind, wanted = "energy.lifts", limit("starting_factor")
    if climb.times < 1.0:
        kind = "energy.cannot_lift"
    elif climb.times < wanted:
        kind = "energy.lifts_barely"
    height = amount("height", climb.height)
    at = {"shut_off": shut_off, "height": height, "highest": climb.label, "times": climb.times}
    yield fact(kind, **at, wanted=wanted)
    if outlet > 0.0:
        yield fact("energy.once_full", left=amount("height", outlet))
    else:
        yield fact("energy.once_full_nothing")


def _slowest(
    speeds: tuple[float | None, float | None, float | None], settable: float | None
) -> Iterator[Fact]:
    """Yield how slowly the pump may turn: from rest, and with a leg that runs full already.

    `speeds` are the least from rest, that by affinity alone, and the least once full; `settable`
    is the least to which the pump can be set.
    """
    least, by_affinity, once_full = speeds
    if least is None:
        yield fact("energy.no_speed_delivers")
    elif not by_affinity:
        yield fact("energy.any_speed")
    else:
        yield fact("energy.slowest", speed=least, by_affinity=by_affinity)
        if once_full:
            yield fact("energy.holds_on", speed=once_full)
        if settable is not None:
            kind = "energy.can_be_set" if settable > least else "energy.can_be_set_too_low"
            yield fact(kind, speed=settable)
