"""A day on the battery as a plan: who draws what when, and ways to run it otherwise.

The duties stand in order on a day that begins, with the battery full, where the boat goes on to it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.constants import DAY
from seaflow.base.facts import Fact, fact
from seaflow.boat.case import Case
from seaflow.boat.clock import clock_text, starts_of
from seaflow.boat.defaults import default
from seaflow.boat.tables.use import Duty
from seaflow.studies.design.duties import BATTERY, HouseBank
from seaflow.studies.design.takes import Asked, Averages, each_course
from seaflow.studies.energy.charge import NO_DUTY, Charges, charge_through, steps_of, sun_of
from seaflow.studies.energy.drawn import Banks, Fleet, bank_as_it_is, drawn_banks

LESS = 0.8  # of the cooling, where less is asked for
NOBODY = ("",)  # names no unit


@dataclass(frozen=True, slots=True, eq=False)
class LoopAtNight:
    """One loop: the boat as it is and boats drawn of it, and what its pump and units could do.

    `bank` is the battery as this loop draws on it, `speeds` the best speeds of its pump by duty.
    """

    units: tuple[str, ...]
    bank: HouseBank
    known: Fleet
    drawn: Fleet
    speeds: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class NightWay:
    """A way to run what is on the battery: pumps at best speed, units off, less cooling."""

    slow: bool = False
    off: str = ""
    load: float = 1.0
    switched: bool = False

    @property
    def n_changes(self) -> int:
        """How many things it changes."""
        return sum((self.slow, bool(self.off), self.load < 1.0, self.switched))


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """All that a night is worked out from."""

    duties: tuple[Duty, ...]
    starts: tuple[float, ...]
    loops: tuple[LoopAtNight, ...]
    bank: HouseBank
    known: Banks
    drawn: Banks
    begins: float
    times: Array
    which: Array

    @property
    def dawn(self) -> float:
        """The first dawn after the start, in s from it."""
        return (default("battery.dawn").value - self.begins) % DAY

    def clock(self, time: float) -> str:
        """Return a time after the start as a clock shows it; nothing where it never comes."""
        return clock_text(self.begins + time) if np.isfinite(time) else ""


def plan_of(
    case: Case, duties: tuple[Duty, ...], bank: HouseBank, loops: tuple[LoopAtNight, ...]
) -> Plan:
    starts = starts_of(duties)
    begins = _begins(duties, starts)
    times, which = steps_of(duties, starts, begins)
    known, drawn = bank_as_it_is(bank), drawn_banks(case, bank)
    return Plan(duties, starts, loops, bank, known, drawn, begins, times, which)


def _begins(duties: Sequence[Duty], starts: Sequence[float]) -> float:
    """Return when the longest run of duties on the battery begins, in s after midnight.

    A run ends with shore power or a generator. Without these it begins with the first duty on the
    battery after sunset.
    """
    order = sorted(range(len(duties)), key=lambda i: starts[i])
    on = [duties[i].source == BATTERY for i in order]
    if all(on):
        return min(starts, key=lambda start: (start - 0.75 * DAY) % DAY)
    best, longest = 0.0, 0.0
    for place, i in enumerate(order):
        if not on[place] or on[place - 1]:
            continue
        run = 0.0
        for after in range(place, place + len(order)):
            if not on[after % len(order)]:
                break
            run += duties[order[after % len(order)]].hours
        if run > longest:
            best, longest = starts[i], run
    return best


def courses(plan: Plan, ways: Sequence[NightWay]) -> list[tuple[Charges, Charges]]:
    """Return for each way the course of the boat as it is, and of the boats drawn of it."""
    known = _courses(plan, ways, [loop.known for loop in plan.loops], plan.known)
    drawn = _courses(plan, ways, [loop.drawn for loop in plan.loops], plan.drawn)
    return list(zip(known, drawn, strict=True))


def _otherwise(plan: Plan, duty: Duty, way: NightWay) -> Duty:
    """Return a duty on the battery as it is in some way; another stays as it is."""
    if duty.source != BATTERY:
        return duty
    if way.off:
        every = duty.units or tuple(name for loop in plan.loops for name in loop.units)
        duty = replace(duty, units=tuple(name for name in every if name != way.off) or NOBODY)
    return replace(duty, pump=None) if way.switched else duty


def _courses(
    plan: Plan, ways: Sequence[NightWay], fleets: Sequence[Fleet], banks: Banks
) -> Iterator[Charges]:
    on = [number for number, duty in enumerate(plan.duties) if duty.source == BATTERY]
    drawn = [dict.fromkeys(on, banks.idle) for _ in ways]
    for loop, fleet in zip(plan.loops, fleets, strict=True):
        for mine, taken in zip(drawn, _taken(plan, ways, (loop, fleet), on), strict=True):
            to_units, to_pump = (
                one * (banks.inverter if one < 1.0 else 1.0)
                for one in (loop.bank.efficiency, loop.bank.to_the_pump)
            )
            for number, found in zip(on, taken, strict=True):
                mine[number] = mine[number] + found.units / to_units + found.pump / to_pump
    none = np.zeros_like(banks.energy)
    sun = banks.solar * sun_of(plan.times, plan.begins)[:, np.newaxis]
    into = np.stack([charged(plan, int(i), banks) for i in plan.which]) + sun
    by_way = [[mine.get(int(i), none) + banks.house for i in plan.which] for mine in drawn]
    out, n_boats = np.concatenate(by_way, axis=1), banks.energy.size
    into, most = np.tile(into, len(ways)), np.tile(banks.energy, len(ways))
    every = charge_through(plan.times, out, into, most, most)
    for start in range(0, most.size, n_boats):
        yield every.of(slice(start, start + n_boats))


def _taken(
    plan: Plan, ways: Sequence[NightWay], fleet: tuple[LoopAtNight, Fleet], on: Sequence[int]
) -> list[list[Averages]]:
    """Return for each way what each duty on the battery takes in one loop.

    What two ways ask alike of it is worked out once.
    """
    boats = fleet[1]
    asked: dict[tuple[object, ...], Asked] = {}
    keys = [[_of_loop(plan, way, fleet, number, asked) for number in on] for way in ways]
    found = each_course(boats.built, boats.now, boats.machines, list(asked.values()))
    taken = dict(zip(asked, found, strict=True))
    return [[taken[key] for key in row] for row in keys]


def _of_loop(
    plan: Plan,
    way: NightWay,
    fleet: tuple[LoopAtNight, Fleet],
    number: int,
    asked: dict[tuple[object, ...], Asked],
) -> tuple[object, ...]:
    """Put what a duty asks of a loop in some way where it is not asked yet; return its key."""
    loop, boats = fleet
    duty = _otherwise(plan, plan.duties[number], way)
    mine = tuple(name for name in loop.units if not duty.units or name in duty.units)
    duty = replace(duty, units=() if mine == loop.units else mine or NOBODY)
    speed = loop.speeds.get(duty.name, 1.0) if way.slow else 1.0
    key = (number, duty.units, duty.pump, speed, way.load)
    if key not in asked:
        asked[key] = Asked(duty, np.minimum(way.load * duty.load * boats.loads[number], 1.0), speed)
    return key


def charged(plan: Plan, number: int, banks: Banks) -> Array:
    """Return what goes into the battery in a duty, but from its own panels."""
    if number == NO_DUTY:
        return np.zeros_like(banks.charger)
    duty = plan.duties[number]
    back = duty.regeneration or 0.0
    return back + (banks.charger if duty.source != BATTERY else np.zeros_like(banks.charger))


def ways_of(plan: Plan) -> tuple[NightWay, ...]:
    """Return each way to do otherwise, alone and with the pumps at their best speed."""
    on = [duty for duty in plan.duties if duty.source == BATTERY]
    units = [name for loop in plan.loops for name in loop.units]
    alone = [NightWay(switched=True)] if any(duty.pump == "always" for duty in on) else []
    if len(units) > 1:
        calling = {name for duty in on for name in duty.units or units}
        alone += [NightWay(off=name) for name in units if name in calling]
    alone.append(NightWay(load=LESS))
    if not any(loop.speeds for loop in plan.loops):
        return tuple(alone)
    return (*alone, NightWay(slow=True), *(replace(way, slow=True) for way in alone))


def named(plan: Plan, way: NightWay) -> Iterator[Fact]:
    """Yield what a way does otherwise."""
    if way.slow:
        on = {duty.name for duty in plan.duties if duty.source == BATTERY}
        speeds = [one for loop in plan.loops for name, one in loop.speeds.items() if name in on]
        low, high = min(speeds), max(speeds)
        same = f"{low:.0%}" == f"{high:.0%}"
        yield (
            fact("energy.way_speed", speed=low)
            if same
            else fact("energy.way_speeds", low=low, high=high)
        )
    if way.switched:
        yield fact("energy.way_switched")
    if way.off:
        yield fact("energy.way_off", unit=way.off)
    if way.load < 1.0:
        yield fact("energy.way_less", less=1.0 - way.load)
