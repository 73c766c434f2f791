"""Energy of every loop of a boat: from a case to an answer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption
from seaflow.boat.network import Network
from seaflow.boat.tables.use import Duty
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.studies.design.at_rest import left_at_rest, loops_in_use
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.design.certainty.find_out import FindOut, next_of
from seaflow.studies.design.duties import HouseBank, bank_of, duties_of
from seaflow.studies.design.judge import NO, YES, Judgement, worst_of
from seaflow.studies.design.limits import limits_used
from seaflow.studies.design.start import FirstStart, on_tacks, told
from seaflow.studies.design.takes import Asked, each_course, machines_assumed
from seaflow.studies.design.validity import validity_notes
from seaflow.studies.design.which_pump import AskedPump, asked_of, full_supply
from seaflow.studies.energy.day import AlwaysOn, Day, day_of
from seaflow.studies.energy.drawn import Fleet, as_it_is, drawn_fleet
from seaflow.studies.energy.inverter import start_of_unit
from seaflow.studies.energy.night import ENDS, Night, night_assumed, night_of
from seaflow.studies.energy.optimum import (
    LIKE_SPEED,
    Best,
    best_settings,
    gain_of,
    grid,
    speeds_from,
    throttles,
)
from seaflow.studies.energy.plan import LoopAtNight
from seaflow.studies.energy.starting import Starting, starting_of

SMALL = 0.005  # of a day's energy; less is next to nothing


@dataclass(frozen=True, slots=True)
class LoopEnergy:
    """The answer for one loop.

    `settings` are the best speeds over the season for a pump whose speed can be set, else the best
    throttles. `like_saved` is what a like pump would save in a day if its speed could be set.
    Facts tell what the day takes, what the best speed or throttle gains, what another pump would,
    and what a pump left on wastes; `rather` which pump `size` would recommend; `band` what the day
    takes nine times in ten; `validity` where the answer leaves the range of a source.
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
    gains: tuple[Fact, ...]
    other_pump: Fact | None
    left_on: Fact
    least_setting: float | None = measured("-", None)
    like_saved: float | None = measured("J", None)
    band: tuple[float, float] = measured("J", (0.0, 0.0))
    validity: tuple[Fact, ...] = ()
    find_out: tuple[FindOut, ...] = ()

    @property
    def grade(self) -> str:
        """That of the pump; no if no water gets over the top, or a unit stops in some duty."""
        runs = self.day.cools and self.starting.starts
        return worst_of((self.judgement.grade, YES if runs else NO))


@dataclass(frozen=True, slots=True)
class Energy:
    """The answer for the whole boat; `night` is None where nothing runs on a battery.

    `inverter` says what the start of a unit asks of one, `at_rest` which loops are left out.
    """

    ALSO = ("grade",)

    boat: str
    hull: str
    sea_temperature: float = measured("degC")
    day_given: bool = False
    loops: tuple[LoopEnergy, ...] = ()
    night: Night | None = None
    inverter: Fact | None = None
    total: float = measured("J", 0.0)
    assumptions: tuple[Assumption, ...] = ()
    cautions: tuple[Caution, ...] = ()
    at_rest: tuple[Fact, ...] = ()

    @property
    def grade(self) -> str:
        """The worst grade of any loop, and of the night."""
        return worst_of((self.night_grade, *(loop.grade for loop in self.loops)))

    @property
    def night_grade(self) -> str:
        """That of the night on the battery; yes where nothing runs on one."""
        return YES if self.night is None else self.night.grade


def energy(
    case: Case, pump: str | None = None, asked: Mapping[str, AskedPump] | None = None
) -> Energy:
    """Return energy over a day, best speeds and starting head of every loop.

    `pump` names another pump than the one fitted, or recommended where none is; `asked` has by loop
    pumps that are judged already, to be taken instead.

    Raises
    ------
    SeaflowError
        If the pump is not known, the supply cannot drive it, or every unit is switched off.
    """
    used = loops_in_use(case)
    duties, day_notes = duties_of(case)
    bank, bank_notes = bank_of(case)
    loops, nights, on_ac = [], [], 0.0
    names = {duty.name for duty in case.duty}
    said = [item for item in case.assumptions if item.subject in names]
    assumptions = [*said, *day_notes, *machines_assumed(case), *bank_notes]
    for found in used:
        here = case.on_supply_of(found.pumps[0])
        mine, notes = bank_of(here)
        assumptions += [note for note in notes if note not in assumptions]
        item = (asked or {}).get(found.name) or asked_of(here, found, pump)
        answer, at_night = _loop(here, found, item, (duties, mine))
        loops.append(answer)
        nights.append(at_night)
        on_ac += answer.day.always_on.power if here.supply.current == "ac" else 0.0
        if bank is not None and mine is not None and mine.idle > bank.idle:
            bank = mine  # a pump on AC of its own needs the inverter too
    assumptions.extend(limits_used("starting_factor", "silt_velocity"))
    night = night_of(case, duties, bank, [one for one in nights if one is not None])
    if night is not None:
        assumptions.extend(night_assumed(case, duties))
    return Energy(
        boat=case.boat.name,
        hull=case.boat.hull,
        sea_temperature=case.sea.warmest,
        day_given=bool(case.duty),
        loops=tuple(loops),
        night=night,
        inverter=None if night is None else start_of_unit(case, duties, night.bank, on_ac),
        total=sum(loop.day.total for loop in loops),
        assumptions=tuple(assumptions),
        cautions=cautions("energy", (), case.high_voltage, battery=bank is not None),
        at_rest=left_at_rest(case),
    )


def _loop(
    case: Case, found: Network, asked: AskedPump, plan: tuple[Sequence[Duty], HouseBank | None]
) -> tuple[LoopEnergy, LoopAtNight | None]:
    built, part, start = asked.built, asked.result.part, asked.result.start
    now, duties = full_supply(case, found, part), plan[0]
    adjustable = part.least_speed is not None
    speeds = speeds_from(part.least_speed or LIKE_SPEED)
    day = day_of(case, built, now, duties, speeds)
    tried = speeds if adjustable else throttles()
    settings = best_settings(case, built, grid(case, now), tried, throttled=not adjustable)
    like_saved = None if adjustable or not _any_best(day) else day.saved
    day = day if adjustable else _at_full_speed(day)
    drawn = drawn_fleet(case, built, now, duties)
    answer = LoopEnergy(
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
        gains=(gain_of(settings, not adjustable), *_on_this_day(day)),
        other_pump=None if like_saved is None else _other_pump(like_saved, day),
        left_on=_left_on(day.always_on),
        least_setting=part.least_speed,
        like_saved=like_saved,
        band=_band(drawn, duties),
        find_out=next_of(asked.item.unseen),
        validity=_validity(built, now, day, settings if adjustable else ()),
    )
    return answer, _at_night(found, plan[1], day, (as_it_is(case, built, now, duties), drawn))


def _at_night(
    found: Network, bank: HouseBank | None, day: Day, fleets: tuple[Fleet, Fleet]
) -> LoopAtNight | None:
    if bank is None:
        return None
    best = {duty.name: duty.best.setting for duty in day.duties if duty.best is not None}
    speeds = {name: speed for name, speed in best.items() if speed is not None}
    units = tuple(unit.name for unit in found.units if unit.switched_on is not False)
    return LoopAtNight(units, bank, *fleets, speeds)


def _band(drawn: Fleet, duties: Sequence[Duty]) -> tuple[float, float]:
    """Return what a day takes on boats drawn of this one, nine times in ten [J]."""
    asked = [
        Asked(duty, np.minimum(duty.load * load, 1.0))
        for duty, load in zip(duties, drawn.loads, strict=True)
    ]
    every = each_course(drawn.built, drawn.now, drawn.machines, asked)
    total = sum(
        (found.total * duty.hours for found, duty in zip(every, duties, strict=True)), np.zeros(1)
    )
    low, high = np.quantile(total, ENDS)
    return float(low), float(high)


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


def _on_this_day(day: Day) -> Iterator[Fact]:
    """Yield what the best speeds save on this day."""
    speeds = [duty.best.setting for duty in day.duties if duty.best and duty.best.setting]
    if not speeds or day.saved <= 0.0:
        return
    saved, share = amount("energy", day.saved), day.saved / day.total
    low, high = min(speeds), max(speeds)
    if f"{low:.0%}" == f"{high:.0%}":
        yield fact("energy.saves_at", speed=low, saved=saved, share=share)
    else:
        yield fact("energy.saves_between", low=low, high=high, saved=saved, share=share)


def _other_pump(saved: float, day: Day) -> Fact:
    """Return what a pump like it would save if its speed could be set."""
    if saved <= SMALL * day.total:  # of a loop whose units are all off both are nothing
        return fact("energy.other_saves_nothing")
    return fact("energy.other_saves", saved=amount("energy", saved), share=saved / day.total)


def _left_on(always: AlwaysOn) -> Fact:
    return fact(
        "energy.left_on",
        power=amount("power", always.power),
        energy=amount("energy", always.energy),
        wasted=amount("energy", always.wasted),
    )
