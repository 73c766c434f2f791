"""Energy of every loop of a boat: from a case to an answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.use import Duty
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.studies.design.boats import N_BOATS
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.design.certainty.by_path import drawn_case, drawn_values
from seaflow.studies.design.certainty.draws import DEFAULT_SEED
from seaflow.studies.design.certainty.find_out import FindOut, next_of
from seaflow.studies.design.changes import network_named
from seaflow.studies.design.duties import BATTERY, HouseBank, bank_of, duties_of
from seaflow.studies.design.judge import NO, YES, Judgement, worst_of
from seaflow.studies.design.limits import limits_used
from seaflow.studies.design.start import FirstStart, on_tacks, told
from seaflow.studies.design.takes import machines_assumed
from seaflow.studies.design.validity import validity_notes
from seaflow.studies.design.which_pump import asked_of, built_with, full_supply
from seaflow.studies.energy.day import AlwaysOn, Day, day_of
from seaflow.studies.energy.optimum import (
    LIKE_SPEED,
    Best,
    best_settings,
    gain_of,
    grid,
    speeds_from,
    throttles,
)
from seaflow.studies.energy.starting import Starting, starting_of

SMALL = 0.005  # of a day's energy; less is next to nothing

ENDS = (0.05, 0.95)  # nine boats in ten lie between


@dataclass(frozen=True, slots=True)
class LoopEnergy:
    """The answer for one loop.

    `settings` are the best speeds over the season for a pump whose speed can be set, else the best
    throttles. `like_saved` is what a like pump would save in a day if its speed could be set.
    Facts tell what the day takes, what that asks of the battery, what the best speed or throttle
    gains, what another pump would, and what a pump left on wastes; `rather` which pump `size` would
    recommend; `validity` where the answer leaves the range of a source.
    """

    ALSO = ("grade",)

    name: str
    pump: str
    title: str
    chosen: Fact
    rather: Fact | None
    judgement: Judgement
    adjustable: bool
    invented: bool
    day: Day
    starting: Starting
    start: FirstStart
    starts: tuple[Fact, ...]
    settings: tuple[Best, ...]
    takes: Fact
    battery: tuple[Fact, ...]
    gains: tuple[Fact, ...]
    other_pump: Fact | None
    left_on: Fact
    least_setting: float | None = measured("-", None)
    like_saved: float | None = measured("J", None)
    validity: tuple[Fact, ...] = ()
    on_boats: tuple[Fact, ...] = ()
    find_out: tuple[FindOut, ...] = ()

    @property
    def grade(self) -> str:
        """That of the pump; no if no water gets over the top, or a unit stops in some duty."""
        runs = self.day.cools and self.starting.starts
        return worst_of((self.judgement.grade, YES if runs else NO))


@dataclass(frozen=True, slots=True)
class Energy:
    """The answer for the whole boat."""

    ALSO = ("grade",)

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
    def grade(self) -> str:
        """The worst grade of any loop."""
        return worst_of(loop.grade for loop in self.loops)


def energy(case: Case, pump: str | None = None) -> Energy:
    """Return energy over a day, best speeds and starting head of every loop.

    `pump` names another pump than the one fitted, or recommended where none is.

    Raises
    ------
    SeaflowError
        If the pump is not known, or the supply cannot drive it.
    """
    duties, day_notes = duties_of(case)
    loops, assumptions = [], [*day_notes, *machines_assumed(case)]
    for found in network.loops(case):
        here = case.on_supply_of(found.pumps[0])
        bank, bank_notes = bank_of(here)
        assumptions += [note for note in bank_notes if note not in assumptions]
        answer = _loop(here, found, pump, (duties, bank))
        loops.append(answer)
    assumptions.extend(limits_used("starting_factor", "silt_velocity"))
    # All loops have the same duties, and what charges the battery meanwhile counts once.
    back = loops[0].day.regenerated if loops else 0.0
    return Energy(
        boat=case.boat.name,
        hull=case.boat.hull,
        sea_temperature=case.sea.warmest,
        day_given=bool(case.duty),
        loops=tuple(loops),
        total=sum(loop.day.total for loop in loops),
        net_charge=sum(loop.day.charge for loop in loops) - back,
        assumptions=tuple(assumptions),
        cautions=cautions("energy", high_voltage=case.high_voltage),
    )


def _loop(
    case: Case, found: Network, pump: str | None, plan: tuple[Sequence[Duty], HouseBank | None]
) -> LoopEnergy:
    asked = asked_of(case, found, pump)
    built, part, start = asked.built, asked.result.part, asked.result.start
    now = full_supply(case, found, part)
    adjustable = part.least_speed is not None
    speeds = speeds_from(part.least_speed or LIKE_SPEED)
    day = day_of(case, built, now, plan, speeds)
    tasks = grid(case, now)
    tried = speeds if adjustable else throttles()
    settings = best_settings(case, built, tasks, tried, throttled=not adjustable)
    like_saved = None if adjustable or not _any_best(day) else day.saved
    day = day if adjustable else _at_full_speed(day)
    return LoopEnergy(
        name=found.name,
        pump=part.name,
        title=part.title,
        chosen=asked.why,
        rather=asked.rather,
        judgement=asked.result.judgement,
        adjustable=adjustable,
        invented=part.invented,
        day=day,
        starting=starting_of(built, part, now),
        start=start,
        starts=(*told(start), *on_tacks(start)),
        settings=settings,
        takes=_takes(day),
        battery=tuple(_from_battery(day)),
        gains=(gain_of(settings, not adjustable), *_on_this_day(day)),
        other_pump=None if like_saved is None else _other_pump(like_saved, day),
        left_on=_left_on(day.always_on),
        least_setting=part.least_speed,
        like_saved=like_saved,
        on_boats=on_drawn_boats(case, found, part),
        find_out=next_of(asked.item.unseen),
        validity=_validity(built, now, day, settings if adjustable else ()),
    )


def on_drawn_boats(case: Case, found: Network, part: PumpPart) -> tuple[Fact, ...]:
    """Return what a day takes on boats drawn from what is typical, if anything is."""
    values = drawn_values(case, N_BOATS, DEFAULT_SEED)
    if not values:
        return ()
    days = [_day_on(drawn_case(case, values, boat), found.name, part) for boat in range(N_BOATS)]
    ends = (amount("energy", end) for end in np.quantile([day.total for day in days], ENDS))
    told = [fact("energy.on_drawn_boats", of=N_BOATS, energy=tuple(ends))]
    short = sum((day.share_of_capacity or 0.0) > 1.0 for day in days)
    if short:
        told.append(fact("energy.drawn_batteries", boats=short, of=N_BOATS))
    return tuple(told)


def _day_on(boat: Case, loop: str, part: PumpPart) -> Day:
    built = built_with(boat, network_named(boat, loop), part)
    plan = duties_of(boat)[0], bank_of(boat)[0]
    return day_of(boat, built, full_supply(boat, built.network, part), plan, None)


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
    return replace(day, duties=duties, saved=0.0)


def _takes(day: Day) -> Fact:
    """Return what the duties take."""
    return fact(
        "energy.at_full_speed" if day.saved else "energy.takes",
        energy=amount("energy", day.total),
        time=amount("duration", sum(duty.time for duty in day.duties)),
        pump=amount("energy", day.pump),
        share=day.pump_share,
    )


def _from_battery(day: Day) -> Iterator[Fact]:
    """Yield what that asks of the battery, if any duty runs on it."""
    if day.bank is None or all(duty.source != BATTERY for duty in day.duties):
        return
    charge, volts = amount("charge", day.charge), amount("voltage", day.bank.voltage)
    share = day.share_of_capacity
    if share is None:
        yield fact("energy.battery", charge=charge, volts=volts)
    else:
        yield fact("energy.share_of_battery", charge=charge, volts=volts, share=share)
    if day.regenerated:
        net = amount("charge", abs(day.net_charge))
        kind = "energy.regained" if day.net_charge >= 0 else "energy.gained"
        yield fact(kind, back=amount("charge", day.regenerated), net=net)
    if share is not None and share > 1.0:
        yield fact("energy.more_than_it_holds")


def _on_this_day(day: Day) -> Iterator[Fact]:
    """Yield what the best speeds save on this day."""
    speeds = [duty.best.setting for duty in day.duties if duty.best and duty.best.setting]
    if not speeds or day.saved <= 0:
        return
    saved, share = amount("energy", day.saved), day.saved / day.total
    low, high = min(speeds), max(speeds)
    if f"{low:.0%}" == f"{high:.0%}":
        yield fact("energy.saves_at", speed=low, saved=saved, share=share)
    else:
        yield fact("energy.saves_between", low=low, high=high, saved=saved, share=share)


def _other_pump(saved: float, day: Day) -> Fact:
    """Return what a pump like it would save if its speed could be set."""
    if saved < SMALL * day.total:
        return fact("energy.other_saves_nothing")
    return fact("energy.other_saves", saved=amount("energy", saved), share=saved / day.total)


def _left_on(always: AlwaysOn) -> Fact:
    return fact(
        "energy.left_on",
        power=amount("power", always.power),
        energy=amount("energy", always.energy),
        wasted=amount("energy", always.wasted),
    )
