"""Heating with the sea as the source, for every loop: from a case to an answer."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.defaults import Assumption, assumed, default
from seaflow.boat.network import Network
from seaflow.boat.parts.part import PumpPart
from seaflow.model.build import Built, with_pump
from seaflow.model.conditions import Conditions
from seaflow.model.heating import heating_defaults
from seaflow.model.point import (
    ENDINGS,
    NO_OPERATING_POINT,
    OFF,
    UNIT_STATES,
    OperatingPoint,
)
from seaflow.physics.water.seawater import freezing_temperature
from seaflow.studies.design.at_rest import heated_in_use, left_at_rest
from seaflow.studies.design.boats import held_by, on_boats
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.design.certainty.by_path import drawn_paths
from seaflow.studies.design.certainty.draws import DEFAULT_SEED
from seaflow.studies.design.certainty.find_out import FindOut, next_of
from seaflow.studies.design.choose import Boat
from seaflow.studies.design.duties import duties_of
from seaflow.studies.design.judge import (
    GRADES,
    NO,
    OF_THE_PUMP,
    TIGHT,
    YES,
    Judgement,
    Ruling,
    Trial,
    judge,
    worst_of,
)
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import unit_needs
from seaflow.studies.design.pump_at import pumps_at
from seaflow.studies.design.start import FirstStart, first_start, on_tacks, told
from seaflow.studies.design.takes import energy_of_day, machines_assumed
from seaflow.studies.design.validity import validity_notes
from seaflow.studies.design.which_pump import asked_of, full_supply
from seaflow.studies.design.worst_cases import WorstCase
from seaflow.studies.heating.cold import least_flow
from seaflow.studies.heating.in_the_cold import Cold, HeatingAt, Ran, run_in_the_cold


@dataclass(frozen=True, slots=True)
class LoopHeating:
    """The answer for one loop; `least_flows` by unit, None where no flow is enough.

    `heats` says whether it may heat, `down_to` how cold the sea may be, `rather` which pump `size`
    would recommend for cooling, `energy_per_day` what all heating takes for the hours and loads of
    the day's duties, `validity` where the answer leaves the range of a source. It is
    judged in the cold: by its start and suction, and by how far its water keeps from ice.
    """

    ALSO = ("grade",)

    name: str
    pump: str
    title: str
    chosen: Fact
    rather: Fact | None
    judgement: Judgement
    invented: bool
    heats: Fact
    down_to: tuple[Fact, ...]
    at: tuple[HeatingAt, ...]
    start: FirstStart
    starts: tuple[Fact, ...]
    least_flows: dict[str, float | None] = measured("m3/s")
    energy_per_day: float = measured("J", 0.0)
    validity: tuple[Fact, ...] = ()
    n_pumps: int = 1
    find_out: tuple[FindOut, ...] = ()

    @property
    def clean(self) -> HeatingAt:
        """Where it runs with everything clean."""
        return self.at[0]

    @property
    def grade(self) -> str:
        """Yes, tight or no."""
        return self.judgement.grade


@dataclass(frozen=True, slots=True)
class Heating:
    """The answer for the whole boat; `at_rest` tells the loops that it leaves out."""

    ALSO = ("grade",)

    boat: str
    hull: str
    sea_temperature: float = measured("degC")
    salinity: float = measured("g/kg")
    freezing_temperature: float = measured("degC")
    margin: float = measured("K")
    loops: tuple[LoopHeating, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    cautions: tuple[Caution, ...] = ()
    at_rest: tuple[Fact, ...] = ()

    @property
    def grade(self) -> str:
        """The worst grade of any loop that heats."""
        return worst_of(loop.grade for loop in self.loops)


def heating(case: Case, pump: str | None = None) -> Heating:
    """Return flow, temperatures and the coldest sea of every loop with a unit that heats.

    Raises
    ------
    SeaflowError
        If no unit heats or all are off, the pump is not known, or the supply cannot drive it.
    """
    heated = heated_in_use(case)
    if not heated:
        raise SeaflowError([_nothing_heats(case)])
    sea, notes = _sea(case)
    notes += [assumed("heating.freezing_margin", "limit")]
    notes += [assumed(name, unit.name) for unit in case.unit for name in heating_defaults(unit)]
    notes += [*duties_of(case)[1], *machines_assumed(case)]
    loops = tuple(_loop(case.on_supply_of(found.pumps[0]), found, pump, sea) for found in heated)
    return Heating(
        boat=case.boat.name,
        hull=case.boat.hull,
        sea_temperature=sea,
        salinity=case.sea.salinity,
        freezing_temperature=float(freezing_temperature(case.sea.salinity)),
        margin=default("heating.freezing_margin").value,
        loops=loops,
        assumptions=tuple(notes),
        cautions=cautions("heating", high_voltage=case.high_voltage),
        at_rest=left_at_rest(case),
    )


def _sea(case: Case) -> tuple[float, list[Assumption]]:
    if case.sea.heating_from is not None:
        return case.sea.heating_from, []
    return default("heating.sea").value, [assumed("heating.sea", "the sea")]


def _nothing_heats(case: Case) -> Problem:
    name = case.unit[0].name if case.unit else "unit"
    return Problem(
        "M02",
        "no unit of this case says that it heats",
        why="Heating takes its heat from the sea, and only the plate tells how much.",
        write=f'Add to the unit "{name}": heating = {{ capacity = "17000 BTU/h" }}. Without a '
        'file write --unit "16000 BTU/h, heats 17000 BTU/h", or "16000 BTU/h reverse cycle".',
        file=case.text.file,
    )


def _loop(case: Case, found: Network, pump: str | None, sea: float) -> LoopHeating:
    asked = asked_of(case, found, pump)
    built, part = asked.built, asked.result.part
    now = replace(full_supply(case, found, part), sea_temperature=sea, mode="heating")
    ran, duties = run_in_the_cold([(case, built, now)], part)[0], duties_of(case)[0]
    duties = tuple(replace(duty, sea=None) for duty in duties)  # all in the sea of `now`
    at = tuple(one for _, one, _ in ran)
    first = ran[0][2]
    start = first_start(case, built, part, now, first)
    return LoopHeating(
        name=found.name,
        pump=part.name,
        title=part.title,
        chosen=asked.why,
        rather=asked.rather,
        judgement=_on_drawn_boats(case, part, _judged(case, built, part, start, ran), found.name),
        invented=part.invented,
        n_pumps=built.loop.n_pumps,
        heats=_heats(at, sea),
        down_to=tuple(_down_to(at)),
        at=at,
        least_flows=_least_flows(built, now),
        start=start,
        starts=(*told(start), *on_tacks(start)),
        energy_per_day=float(energy_of_day(case, built, now, duties)[0]),
        find_out=next_of(asked.item.unseen),
        validity=validity_notes(built, *(point for _, _, point in ran)),
    )


def _least_flows(built: Built, now: Conditions) -> dict[str, float | None]:
    """Return for each unit that heats the least flow that keeps it clear of ice."""
    return {
        coil.unit: least_flow(coil, now)
        for coil in built.loop.coils
        if coil.heating is not None and coil.switched_on
    }


def _judged(case: Case, built: Built, part: PumpPart, start: FirstStart, ran: Ran) -> Judgement:
    """Return the judgement in the cold: that of the pump itself, and how far from ice it keeps."""
    needs = {need.name: need for need in unit_needs(case, built)}
    points = (pumps_at(built, point, needs, (worst,)) for worst, _, point in ran)
    at = tuple(one for found in points for one in found)
    trial = Trial(case, built, part, built.network.pumps[0], at, needs, start)
    icy = [_near_ice(built, worst, one, point) for worst, one, point in ran if not one.safe]
    found = judge(trial, OF_THE_PUMP)
    worst_ice = sorted(icy, key=lambda item: GRADES.index(item.grade))[-1:]
    return replace(found, rulings=(*found.rulings, *worst_ice))


def _on_drawn_boats(case: Case, part: PumpPart, judged: Judgement, loop: str) -> Judgement:
    """Return a judgement with what too many of the boats drawn from what is typical are held by."""
    if not drawn_paths(case):
        return judged

    def decide(boats: Sequence[Boat]) -> Iterator[Ruling | None]:
        cold = [_in_the_cold(boat, stand_in, part) for boat, stand_in, _ in boats]
        for (boat, built, now), ran in zip(cold, run_in_the_cold(cold, part), strict=True):
            start = first_start(boat, built, part, now, ran[0][2])
            here = _judged(boat, built, part, start, ran)
            yield None if here.grade == YES else here.deciding

    return held_by(judged, on_boats(case, loop, decide, DEFAULT_SEED))


def _in_the_cold(boat: Case, stand_in: Built, part: PumpPart) -> Cold:
    built = with_pump(boat, stand_in, part)
    now = full_supply(boat, built.network, part)
    return boat, built, replace(now, sea_temperature=_sea(boat)[0], mode="heating")


def _near_ice(built: Built, worst: WorstCase, at: HeatingAt, point: OperatingPoint) -> Ruling:
    """Return the unit that lacks most water against ice: tight if it lacks hardly any."""
    least = _least_flows(built, point.conditions)
    where = worst.where["what"]
    lacking = [
        (1.0 if wanted is None or unit.flow <= 0.0 else 1.0 - unit.flow / wanted, unit, wanted)
        for unit in at.units
        for wanted in (least.get(unit.name),)
        if unit.state != UNIT_STATES[OFF]
    ]
    short, unit, wanted = max(lacking, key=lambda one: (one[0], -built.loop.place_of(one[1].name)))
    if wanted is None or unit.flow <= 0.0:
        return Ruling(NO, fact("heating.ices", unit=unit.name, where=where))
    said = fact(
        "heating.ices_for_want_of_water",
        unit=unit.name,
        flow=amount("flow", unit.flow),
        asked=amount("flow", wanted),
        short=max(short, 0.0),
        where=where,
    )
    return Ruling(TIGHT if short <= limit("must_flow") else NO, said)


def _heats(found: tuple[HeatingAt, ...], sea: float) -> Fact:
    """Return whether every worst case keeps clear of ice, else what the first that fails asks."""
    at = next((one for one in found if not one.safe), None)
    if at is None:
        return fact("heating.yes", sea=amount("temperature", sea), count=len(found))
    if at.ending == ENDINGS[NO_OPERATING_POINT]:
        return fact("heating.pump_moves_nothing", where=at.where)
    set_by, coldest = at.coldest.set_by, at.coldest.temperature
    if coldest is None:
        return fact("heating.in_no_sea", where=at.where, why=set_by)
    return fact(
        "heating.only_warmer",
        sea=amount("temperature", sea),
        where=at.where,
        coldest=amount("temperature", coldest),
        why=set_by,
    )


def _down_to(found: tuple[HeatingAt, ...]) -> Iterator[Fact]:
    """Yield how cold the sea may be with all clean, and in the worst case."""
    clean, worst = found[0], max(found, key=_coldest)
    if clean.coldest.temperature is None:
        yield fact("heating.clean_in_no_sea", why=clean.coldest.set_by)
    else:
        sea = amount("temperature", clean.coldest.temperature)
        yield fact("heating.clean_down_to", sea=sea, why=clean.coldest.set_by)
    if worst is clean:
        return
    if worst.coldest.temperature is None:
        yield fact("heating.worst_in_no_sea", where=worst.where)
    else:
        sea = amount("temperature", worst.coldest.temperature)
        yield fact("heating.worst_down_to", sea=sea, where=worst.where)


def _coldest(at: HeatingAt) -> float:
    return math.inf if at.coldest.temperature is None else at.coldest.temperature
