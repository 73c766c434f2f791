"""One yardstick for all commands: yes, tight or no, what decides it, and what would cure it.

A pump breaks a *must* if it does not start or keep units running, passes a maker's limit of flow or
starves its suction. It misses an *aim* if the rise or a velocity is passed. No: a must fails by
more than its tolerance, or the rise is kept on fewer than one simulated day in a hundred. Yes: all
musts hold in all worst cases, and the aims on nine days in ten. Else tight. What each is held to
stands in `seaflow/data/limits.toml`, in the case, or on a maker's sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from seaflow.base.constants import GRAVITY
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.network import upstream
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Pump
from seaflow.model.build import Built
from seaflow.model.first_start import NOT_KNOWN
from seaflow.model.point import AT_REST, ENDINGS, NO_OPERATING_POINT
from seaflow.studies.design.certainty.sample import PumpCertainty
from seaflow.studies.design.kinds import DRAWN, START_NOT_KNOWN, STARVED, TYPICAL_WATTS, told_first
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.pump_at import PumpAt, UnitAt
from seaflow.studies.design.start import HELPED, REFUSED, FirstStart, cure, cures_of, up

YES, TIGHT, NO = "yes", "tight", "no"
GRADES = (YES, TIGHT, NO)
SLACK = 1e-6  # of a flow; keeps a need met exactly from failing by rounding
SEA_DENSITY = 1025.0  # kg/m3, to turn a pressure that is missing into a depth
JUDGED_BY = (  # limits
    *("must_flow", "must_suction", "must_level", "likely_enough", "hardly_ever", "likely_running"),
    *("free_flow_least", "free_flow_most", "npsh_margin", "suction_vacuum"),
    *("suction_vacuum_wired", "pump_below_water"),
)


def worst_of(grades: Iterable[str]) -> str:
    """Return the worst of some grades; yes for none."""
    return max(grades, key=GRADES.index, default=YES)


@dataclass(frozen=True, slots=True)
class Ruling:
    """A must or aim that is not kept: how badly, what is so, and the least change to cure it."""

    grade: str
    said: Fact
    cure: Fact | None = None


@dataclass(frozen=True, slots=True)
class Judgement:
    """What is held against a pump, and what is worth a remark.

    `shortfall` is a share of the least flow in the worst case that fails most, 0 if none does;
    `keeps_rise` and `keeps_running` are shares of simulated days, None where none were drawn;
    `drawn_boats` is on how many boats it was tried that were drawn from what is typical.
    """

    ALSO = ("grade", "reasons", "doubts")

    rulings: tuple[Ruling, ...]
    remarks: tuple[Fact, ...]
    shortfall: float = measured("-", 0.0)
    keeps_rise: float | None = measured("-", None)
    keeps_running: float | None = measured("-", None)
    drawn_boats: int = 0

    @property
    def grade(self) -> str:
        """Yes, tight or no."""
        return worst_of(item.grade for item in self.rulings)

    @property
    def recommended(self) -> bool:
        """True if it breaks no must by more than its tolerance."""
        return self.grade != NO

    @property
    def reasons(self) -> tuple[Fact, ...]:
        """Why it will not do."""
        return tuple(item.said for item in self.rulings if item.grade == NO)

    @property
    def doubts(self) -> tuple[Fact, ...]:
        """Why it is tight."""
        return tuple(item.said for item in self.rulings if item.grade == TIGHT)

    @property
    def starved(self) -> bool:
        """True if its suction fails."""
        return any(item.said.kind in STARVED for item in self.rulings)

    def of(self, kinds: tuple[str, ...]) -> Ruling | None:
        """Return the first of the worst rulings of these kinds, if any."""
        found = (item for item in self.rulings if item.said.kind in kinds)
        return max(found, key=lambda item: GRADES.index(item.grade), default=None)

    @property
    def deciding(self) -> Ruling | None:
        """What decides the grade: the first of the worst."""
        return next((item for item in self.rulings if item.grade == self.grade), None)

    @property
    def decides(self) -> Fact | None:
        """What is told of it."""
        return told_first(item.said for item in self.rulings if item.grade == self.grade)

    @property
    def keeps_with(self) -> Fact | None:
        """The changes after which one that will not do would be a yes, if they are all it takes."""
        curable = all(item.cure is not None and item.grade == NO for item in self.rulings)
        return self.cure if curable else None

    @property
    def cure(self) -> Fact | None:
        """All changes that what decides asks for; None where its first has no cure."""
        cures = cures_of(item.cure for item in self.rulings if item.grade == self.grade)
        if self.deciding is None or self.deciding.cure is None:
            return None
        return cures[0] if len(cures) == 1 else fact("design.cures", cures=cures)


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """A pump as it is tried in a loop: its part and place, how it starts, and where it runs."""

    case: Case
    built: Built
    part: PumpPart
    place: Pump
    at: tuple[PumpAt, ...]
    needs: Mapping[str, UnitNeed]
    start: FirstStart


Ask = Callable[[Trial], Iterator[Ruling]]
Remark = Callable[[Trial], Iterator[Fact]]


def judge(trial: Trial, asks: tuple[Ask, ...] | None = None) -> Judgement:
    """Return what is held against a pump, from its start and the worst cases alone.

    `asks` are the musts and aims it is held to, all of them if left out.
    """
    return Judgement(
        rulings=tuple(said for ask in asks or (*MUSTS, *AIMS) for said in ask(trial)),
        remarks=tuple(said for remark in REMARKS for said in remark(trial)),
        shortfall=max((_short_of(trial, at, unit) for at, unit in _asked(trial)), default=0.0),
    )


def judge_season(found: Judgement, drawn: PumpCertainty) -> Judgement:
    """Return a judgement in which the aims are held to simulated days instead of the worst case."""
    held = judge_days(found, drawn.keeps_running, drawn.keeps_rise)
    enough = limit("likely_enough")
    fast = tuple(
        Ruling(TIGHT, fact("design.often_too_fast", unit=unit.name, share=1.0 - slow))
        for unit in drawn.units
        if (slow := unit.keeps_below_velocity) is not None and slow < enough
    )
    return replace(held, rulings=(*held.rulings, *fast))


def judge_days(found: Judgement, keeps_running: float, keeps_rise: float) -> Judgement:
    """Return a judgement held to the shares of simulated days on which all units run and cool."""
    rulings = [item for item in found.rulings if item.said.kind not in DRAWN]
    enough = limit("likely_enough")
    if keeps_running < limit("likely_running"):
        grade = TIGHT if keeps_running >= enough else NO
        rulings.append(Ruling(grade, fact("design.seldom_runs", share=keeps_running)))
    if keeps_rise < enough:
        grade = TIGHT if keeps_rise >= limit("hardly_ever") else NO
        rulings.append(Ruling(grade, fact("design.seldom_keeps_rise", share=keeps_rise)))
    return replace(
        found, rulings=tuple(rulings), keeps_rise=keeps_rise, keeps_running=keeps_running
    )


def _starts(trial: Trial) -> Iterator[Ruling]:
    """Yield what keeps the pump from getting the water moving, with what to move."""
    if trial.at[0].ending == ENDINGS[AT_REST]:
        return  # it does not turn, which is said for itself
    yield from judge_start(trial.start)


def judge_start(start: FirstStart) -> Iterator[Ruling]:
    """Yield what is held against a first start, upright and on both tacks, with what cures it."""
    if start.outcome == NOT_KNOWN:
        yield Ruling(TIGHT, fact(START_NOT_KNOWN, things=start.missing))
        return
    for said, move in start.hindrances:
        if said.kind not in HELPED:
            yield Ruling(NO if said.kind in REFUSED else TIGHT, said, cure(move, said))
    for said, move in start.on_a_tack:
        grade = TIGHT if move.distance <= limit("must_level") else NO
        yield Ruling(grade, said, cure(move, said))


def _can_be_cooled(trial: Trial) -> Iterator[Ruling]:
    """Yield each unit that no pump can help."""
    for unit in trial.at[0].units:
        if unit.state != "off" and not trial.needs[unit.name].can_run:
            yield Ruling(NO, fact("design.no_flow_cools", unit=unit.name))


def _asked(trial: Trial) -> Iterator[tuple[PumpAt, UnitAt]]:
    """Yield every unit that is on in every worst case in which water may be short."""
    for at in trial.at:
        for unit in at.units if at.asks != "most" else ():
            if unit.state != "off":
                yield at, unit


def _short_of(trial: Trial, at: PumpAt, unit: UnitAt) -> float:
    """Return by which share of its least flow a unit is short; all of it if it does not run."""
    if unit.state == "no water":
        return 1.0
    least = trial.needs[unit.name].least
    return max(1.0 - unit.flow / least, 0.0) if least > 0.0 else 0.0


def _keeps_running(trial: Trial) -> Iterator[Ruling]:
    """Yield the worst unit of the worst case that fails most, design point first."""
    coils = trial.built.loop.coils
    if all(coil.branch_shut for coil in coils):
        yield Ruling(NO, fact("design.all_shut"))
    elif not any(coil.switched_on for coil in coils):
        yield Ruling(NO, fact("design.all_off"))
    else:
        broken = [
            (ruling, at.worst_case, _short_of(trial, at, unit))
            for at, unit in _asked(trial)
            if (ruling := _running(trial, at, unit)) is not None
        ]
        if broken:
            grade = worst_of(ruling.grade for ruling, _, _ in broken)
            worst = [item for item in broken if item[0].grade == grade]
            # the first worst case, and in it the unit that lacks most, in whatever order they come
            here = [item for item in worst if item[1] == worst[0][1]]
            yield max(here, key=lambda item: item[2])[0]


def _running(trial: Trial, at: PumpAt, unit: UnitAt) -> Ruling | None:
    short = _short_of(trial, at, unit)
    if at.ending == ENDINGS[NO_OPERATING_POINT]:
        return Ruling(NO, fact("design.cannot_lift", where=at.where))
    if at.ending == ENDINGS[AT_REST]:
        least = trial.part.minimum_voltage
        cure = None if least is None else fact("design.volts", least=amount("voltage", least))
        volts = amount("voltage", at.voltage)
        return Ruling(NO, fact("design.does_not_turn", volts=volts, where=at.where), cure)
    if unit.state == "no water":
        return Ruling(NO, fact("design.unit_dry", unit=unit.name, where=at.where))
    if short <= SLACK and unit.state != "trips":
        return None
    flow = amount("flow", unit.flow)
    if unit.state == "trips":
        return Ruling(NO, fact("design.unit_trips", unit=unit.name, flow=flow, where=at.where))
    least_flow = amount("flow", trial.needs[unit.name].least)
    values = {"unit": unit.name, "flow": flow, "asked": least_flow, "short": short}
    grade = TIGHT if short <= limit("must_flow") else NO
    return Ruling(grade, fact("design.too_little_water", **values, where=at.where))


def _not_too_much(trial: Trial) -> Iterator[Ruling]:
    for at in trial.at:
        for unit in at.units if at.asks == "most" else ():
            most = trial.needs[unit.name].most
            if most is None or unit.flow <= most * (1.0 + SLACK):
                continue
            grade = TIGHT if unit.flow <= most * (1.0 + limit("must_flow")) else NO
            values = {"flow": amount("flow", unit.flow), "most": amount("flow", most)}
            said = fact("design.too_much_water", unit=unit.name, **values, where=at.where)
            yield Ruling(grade, said, fact("design.throttle", unit=unit.name))


def _made_for_it(trial: Trial) -> Iterator[Ruling]:
    if not trial.part.continuous:
        yield Ruling(NO, fact("design.not_continuous"))


def _suction(trial: Trial) -> Iterator[Ruling]:
    """Yield how the suction starves the pump in the worst case that fails most, if any.

    By the required NPSH where the sheet gives one; else by what the hose before the pump stands
    and what air leaves the water.
    """
    found = [*_starved(trial)]
    if found:
        yield max(found, key=lambda item: GRADES.index(item.grade))


def _starved(trial: Trial) -> Iterator[Ruling]:
    required, wired = trial.part.required_npsh, _suction_hose(trial)
    lowest = limit("suction_vacuum_wired" if wired else "suction_vacuum")
    for at in trial.at:
        if at.npsh_available is not None and required is not None:
            margin, least = at.npsh_available - required, limit("npsh_margin")
            if margin < least:
                head, wanted = amount("head", margin), amount("head", least)
                said = fact("design.cavitates", margin=head, least=wanted, where=at.where)
                yield Ruling(TIGHT if margin > 0.0 else NO, said, _deeper(least - margin))
        elif at.inlet_gauge is not None and at.inlet_gauge < lowest:
            gauge, wanted = amount("pressure", at.inlet_gauge), amount("pressure", lowest)
            kind = "design.deep_suction" if wired else "design.narrow_suction"
            said = fact(kind, gauge=gauge, least=wanted, where=at.where)
            short = (lowest - at.inlet_gauge) / (SEA_DENSITY * GRAVITY)
            grade = TIGHT if at.inlet_gauge > lowest * (1.0 + limit("must_suction")) else NO
            yield Ruling(grade, said, _deeper(short))


def _deeper(depth: float) -> Fact:
    return fact("design.deeper", depth=amount("height", up(depth)))


def _suction_hose(trial: Trial) -> bool:
    """Return whether every hose before the pump is of a kind that stands suction."""
    before = {trial.place.name, *upstream(trial.built.network, trial.place.name)}
    kinds = [hose.kind for hose in trial.case.hose if hose.to in before]
    return all(trial.case.catalogue.hose_kind(kind).suction for kind in kinds)


def _keeps_rise(trial: Trial) -> Iterator[Ruling]:
    """Yield each unit that gets less than its need at the design point."""
    for unit in trial.at[0].units:
        need = trial.needs[unit.name].flow
        if unit.state == "cooling" and unit.flow < need * (1.0 - SLACK):
            values = {"flow": amount("flow", unit.flow), "need": amount("flow", need)}
            short = 1.0 - unit.flow / need
            said = fact("design.misses_rise", unit=unit.name, short=short, **values)
            yield Ruling(TIGHT, said)


def _slow_in_the_coil(trial: Trial) -> Iterator[Ruling]:
    alloys = {unit.name: unit.alloy for unit in trial.case.unit}
    for at in trial.at:
        for unit in at.units if at.asks == "most" else ():
            alloy = alloys.get(unit.name)
            if alloy is None or unit.coil_velocity is None:
                continue
            name, fastest = trial.case.catalogue.fastest_water(alloy)
            if fastest is not None and unit.coil_velocity > fastest * (1 + SLACK):
                said = fact(
                    "design.too_fast_for_the_coil",
                    unit=unit.name,
                    velocity=amount("velocity", unit.coil_velocity),
                    alloy=name,
                    most=amount("velocity", fastest),
                    where=at.where,
                )
                yield Ruling(TIGHT, said)


def _on_its_curve(trial: Trial) -> Iterator[Fact]:
    at = trial.at[0]
    share = at.share_of_free_flow
    if at.flow > 0 and share < limit("free_flow_least"):
        yield fact("design.left_on_its_curve", share=share)
    if share > limit("free_flow_most"):
        yield fact("design.right_on_its_curve", share=share)


def _protection(trial: Trial) -> Iterator[Fact]:
    part, supply = trial.part, trial.case.supply
    if not part.dry_run_protection:
        yield fact("design.no_dry_run_protection")
    if part.power_is_typical:
        yield fact(TYPICAL_WATTS)
    shallow = trial.start.shallowest
    if not part.self_priming and shallow is not None and 0.0 < shallow < limit("pump_below_water"):
        least = amount("height", limit("pump_below_water"))
        told = {"depth": amount("height", shallow), "heeled": trial.start.rises_heeled}
        yield fact("design.shallow_pump", least=least, **told)
    if supply.frequency and part.frequency and part.frequency != supply.frequency:
        yield fact(
            "design.frequency_scaled",
            rated=amount("frequency", part.frequency),
            supply=amount("frequency", supply.frequency),
        )


MUSTS: tuple[Ask, ...] = (
    _starts,
    _can_be_cooled,
    _keeps_running,
    _not_too_much,
    _made_for_it,
    _suction,
)
OF_THE_PUMP: tuple[Ask, ...] = (_starts, _made_for_it, _suction)  # whatever it is to do
AIMS: tuple[Ask, ...] = (_keeps_rise, _slow_in_the_coil)
REMARKS: tuple[Remark, ...] = (_on_its_curve, _protection)
