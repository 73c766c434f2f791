"""Energy of every loop of a boat: from a case to an answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption
from seaflow.boat.network import Network
from seaflow.boat.tables.use import Duty
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.design.limits import limits_used
from seaflow.studies.design.validity import validity_notes
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.energy.day import Day, day_of
from seaflow.studies.energy.duties import Bank, bank_of, duties_of
from seaflow.studies.energy.optimum import (
    LIKE_SPEED,
    Best,
    best_settings,
    grid,
    sentence,
    speeds_from,
    throttles,
)
from seaflow.studies.energy.starting import Starting, starting_of


@dataclass(frozen=True, slots=True)
class LoopEnergy:
    """The answer for one loop.

    `settings` are the best speeds over the season for a pump whose speed can be set, else the best
    throttles. `like_saved` is what a like pump would save in a day if its speed could be set.
    `validity` says where the answer leaves the range of a source.
    """

    name: str
    pump: str
    title: str
    chosen: Fact
    adjustable: bool
    invented: bool
    day: Day
    starting: Starting
    settings: tuple[Best, ...]
    says: str
    least_setting: float | None = measured("-", None)
    like_saved: float | None = measured("J", None)
    validity: tuple[Fact, ...] = ()

    @property
    def is_met(self) -> bool:
        """True if the water gets over the highest point and every unit runs in every duty."""
        return self.day.cools and self.starting.starts


@dataclass(frozen=True, slots=True)
class Energy:
    """The answer for the whole boat."""

    boat: str
    hull: str
    sea_temperature: float = measured("degC")
    day_given: bool = False
    loops: tuple[LoopEnergy, ...] = ()
    total: float = measured("J", 0.0)
    net_charge: float = measured("A s", 0.0)
    assumptions: tuple[Assumption, ...] = ()
    cautions: tuple[Caution, ...] = ()

    @property
    def is_met(self) -> bool:
        """True if every loop does."""
        return all(loop.is_met for loop in self.loops)


def energy(case: Case, pump: str | None = None) -> Energy:
    """Return energy over a day, best speeds and starting head of every loop.

    `pump` names another pump than the one fitted, or recommended where none is.

    Raises
    ------
    SeaflowError
        If the pump is not known, or the supply cannot drive it.
    """
    duties, day_notes = duties_of(case)
    bank, bank_notes = bank_of(case)
    loops, assumptions = [], [*day_notes, *bank_notes, *_on_and_off(case)]
    for found in network.loops(case):
        answer = _loop(case, found, pump, (duties, bank))
        loops.append(answer)
    assumptions.extend(limits_used("starting_factor", "silt_velocity"))
    # The bank counts once, so regeneration does, however many loops share it.
    charged = max((loop.day.regenerated for loop in loops), default=0.0)
    return Energy(
        boat=case.boat.name,
        hull=case.boat.hull,
        sea_temperature=case.sea.warmest,
        day_given=bool(case.duty),
        loops=tuple(loops),
        total=sum(loop.day.total for loop in loops),
        net_charge=sum(loop.day.charge for loop in loops) - charged,
        assumptions=tuple(assumptions),
        cautions=cautions("energy"),
    )


def _loop(
    case: Case, found: Network, pump: str | None, plan: tuple[Sequence[Duty], Bank]
) -> LoopEnergy:
    built, part, chosen = picked_loop(case, found, pump)
    now = full_supply(case, found, part)
    adjustable = part.least_speed is not None
    speeds = speeds_from(part.least_speed or LIKE_SPEED)
    day = day_of(case, built, now, plan, speeds)
    tasks = grid(case, now)
    if adjustable:
        settings = best_settings(case, built, tasks, speeds)
        says = sentence(settings, "speed")
    else:
        settings = best_settings(case, built, tasks, throttles(), throttled=True)
        says = sentence(settings, "throttle")
    return LoopEnergy(
        name=found.name,
        pump=part.name,
        title=part.title,
        chosen=chosen,
        adjustable=adjustable,
        invented=part.invented,
        day=day if adjustable else _at_full_speed(day),
        starting=starting_of(built, part, now),
        settings=settings,
        says=says,
        least_setting=part.least_speed,
        like_saved=None if adjustable or not _any_best(day) else day.saved,
        validity=_validity(built, now, day, settings if adjustable else ()),
    )


def _validity(
    built: Built, now: Conditions, day: Day, settings: Sequence[Best]
) -> tuple[Fact, ...]:
    """Return where the duties at full speed, and the best speeds, leave the range of a source."""
    ran = [(duty.sea_temperature, 1.0) for duty in day.duties]
    ran += [(best.sea_temperature, best.setting) for best in settings if best.setting is not None]
    seas, speeds = np.asarray(ran).T
    point = operate(built.loop, replace(now, sea_temperature=seas, pump_speed=speeds))
    return validity_notes(built, point)


def _any_best(day: Day) -> bool:
    return any(duty.best is not None and duty.best.setting is not None for duty in day.duties)


def _at_full_speed(day: Day) -> Day:
    """Return the day without the speeds that a pump of fixed speed cannot be set to."""
    duties = tuple(replace(duty, best=None, saved=0.0) for duty in day.duties)
    return replace(day, duties=duties, saved=0.0, saved_charge=0.0)


def _on_and_off(case: Case) -> list[Assumption]:
    return [
        Assumption(
            unit.name,
            "compressor of fixed speed",
            "switched on and off",
            "not recorded otherwise: write least_load if its speed varies",
        )
        for unit in case.unit
        if unit.least_load is None
    ]
