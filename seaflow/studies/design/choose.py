"""Which pumps come into question, where each would run in the worst cases, and which to take."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.things import Pump
from seaflow.model.build import Built, with_pump
from seaflow.model.conditions import Conditions, axis_length, take
from seaflow.model.point import OperatingPoint
from seaflow.model.together import operate_all
from seaflow.studies.design.certainty.find_out import FindOut
from seaflow.studies.design.duties import duties_of
from seaflow.studies.design.judge import GRADES, NO, YES, Judgement, Trial, judge
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.design.pump_at import PumpAt, pumps_at
from seaflow.studies.design.speed import SpeedSetting, speeds_for_need
from seaflow.studies.design.start import FirstStart, first_start
from seaflow.studies.design.supply import cable_drop, fits
from seaflow.studies.design.takes import least_of_days
from seaflow.studies.design.worst_cases import WorstCase, stacked, worst_cases

# Tables of a case that tell what a day asks of its units, and what these take.
_OF_A_DAY = ("duty", "unit", "boat", "battery", "supply", "unit_supply")


@dataclass(frozen=True, slots=True)
class PumpResult:
    """One pump in one loop, or all `n_pumps` alike: where they run, whether they will do, and why.

    One `asked_for` beside the file stands where one is fitted, and nobody says that it is aboard.
    `energy_per_day` is all that cooling takes with it for the duties of a day, None for a pump that
    will not do: a unit that stops takes nothing.
    """

    part: PumpPart
    place: str
    fitted: bool
    at: tuple[PumpAt, ...]
    judgement: Judgement
    start: FirstStart
    setting: SpeedSetting | None
    energy_per_day: float | None = measured("J", None)
    asked_for: bool = False
    n_pumps: int = 1

    @property
    def design(self) -> PumpAt:
        """Where it runs at the design point."""
        return self.at[0]

    def power_share(self, place: Pump) -> float:
        """Return which share of the power of all pumps those at one place take [-]."""
        return (place.in_parallel or 1) / self.n_pumps

    @property
    def running_power(self) -> float:
        """Its power at the design point [W]; where speed can be set, at the least that does."""
        return self.setting.power if self.setting is not None else self.design.power


def candidates(case: Case, place: Pump) -> tuple[PumpPart, ...]:
    """Return the pumps to consider for a place, as far as they fit the supply.

    Those the case names; else a person's own pumps, and beside them the invented ones to compare
    with. Of a pump whose sheet has a curve for each supply only that of the boat's is one.
    """
    found = _fitting(case, place)
    others = {part.name for _, others in _other_curves(case, place, found) for part in others}
    return tuple(part for part in found if part.name not in others)


def _fitting(case: Case, place: Pump) -> list[PumpPart]:
    named = _named(case, place)
    found = named if case.design.pumps else [*case.catalogue.pumps(), *named]
    return list({part.name: part for part in found if fits(case, part)}.values())


def _other_curves(
    case: Case, place: Pump, found: Iterable[PumpPart]
) -> Iterator[tuple[PumpPart, list[PumpPart]]]:
    """Yield the curve of a pump that is nearest to the supply, and its others but one fitted."""
    pumps: dict[str, list[PumpPart]] = {}
    for part in found:
        if part.curve_of:
            pumps.setdefault(part.curve_of, []).append(part)
    for parts in pumps.values():
        nearest = min(parts, key=lambda part: _off_supply(case, part))
        kept = (nearest.name, place.fitted)
        if others := [part for part in parts if part.name not in kept]:
            yield nearest, others


def _off_supply(case: Case, part: PumpPart) -> tuple[float, float]:
    """Return how far the hertz and volts of a curve are from those of the supply."""
    supply = case.supply
    hertz = abs((part.frequency or 0.0) - (supply.frequency or 0.0))
    return hertz, abs(part.voltage / supply.voltage - 1.0)


def left_out(case: Case, place: Pump) -> tuple[Fact, ...]:
    """Return each pump that the case names and its supply cannot drive, and curves for another."""
    others = tuple(
        fact("design.other_curves", pump=kept.name, others=tuple(part.name for part in parts))
        for kept, parts in _other_curves(case, place, _fitting(case, place))
    )
    return others + tuple(
        fact(
            "design.left_out",
            pump=part.name,
            volts=amount("voltage", part.voltage),
            current=part.current.upper(),
            supply_volts=amount("voltage", case.supply.voltage),
            supply_current=case.supply.current.upper(),
        )
        for part in _named(case, place)
        if not fits(case, part)
    )


def _named(case: Case, place: Pump) -> list[PumpPart]:
    """Return the pumps that the case asks to consider, and the one fitted."""
    names = [*case.design.pumps, *([place.fitted] if place.fitted else [])]
    return [case.catalogue.pump(name) for name in names]


@dataclass(frozen=True, slots=True, eq=False)
class Ranked:
    """A candidate with the loop it was run in and its operating points in the worst cases.

    `unseen` is what nobody looked at on a boat in part typical, by what narrows the answer most.
    """

    result: PumpResult
    built: Built
    point: OperatingPoint
    unseen: tuple[FindOut, ...] = ()

    @property
    def design(self) -> Conditions:
        """The design point, with the volts that reach this pump."""
        return _design(self.point)


Boat = tuple[Case, Built, Mapping[str, UnitNeed]]  # with a loop that has any pump


def rank_pumps(case: Case, stand_in: Built, needs: Mapping[str, UnitNeed]) -> tuple[Ranked, ...]:
    """Return every candidate with where it runs, best first.

    `stand_in` is the loop with any pump. Several pump places in one loop all get the same pump.
    """
    return rank_each([(case, stand_in, needs)])[0]


def rank_each(boats: Sequence[Boat]) -> list[tuple[Ranked, ...]]:
    """Return the candidates of each of several boats; all run at once."""
    parts = [candidates(case, built.network.pumps[0]) for case, built, _ in boats]
    pairs = zip(boats, parts, strict=True)
    items = tried([(boat, part) for boat, mine in pairs for part in mine])
    cases = [boat[0] for boat, mine in zip(boats, parts, strict=True) for _ in mine]
    found = iter(_with_days(cases, items))
    return [in_order([next(found) for _ in mine]) for mine in parts]


def _with_days(cases: Sequence[Case], items: Sequence[Ranked]) -> Iterator[Ranked]:
    """Yield each pump in its boat with what a day takes, if it will do."""
    will_do = [row for row, item in enumerate(items) if item.result.judgement.grade != NO]
    days = days_with([cases[row] for row in will_do], [items[row] for row in will_do])
    known = dict(zip(will_do, days, strict=True))
    for row, item in enumerate(items):
        yield replace(item, result=replace(item.result, energy_per_day=known.get(row)))


def days_with(cases: Sequence[Case], items: Sequence[Ranked]) -> list[float]:
    """Return all that cooling takes for the duties of a day with each pump in its boat [J].

    Where its speed can be set, that is at the least speed that does, if less.
    """
    found: dict[int, float] = {}
    for rows in _used_alike(cases):
        fleets = [(it.built, it.design, _speed_of(it)) for it in (items[row] for row in rows)]
        case = cases[rows[0]]
        days = least_of_days(case, fleets, duties_of(case)[0])
        found |= {row: float(day[0]) for row, day in zip(rows, days, strict=True)}
    return [found[row] for row in range(len(items))]


def _used_alike(cases: Sequence[Case]) -> Iterable[list[int]]:
    """Return the places of cases with the same duties and the same units."""
    groups: dict[tuple[int, ...], list[int]] = {}
    for row, case in enumerate(cases):
        same = tuple(id(getattr(case, name)) for name in _OF_A_DAY)
        groups.setdefault(same, []).append(row)
    return groups.values()


def _speed_of(item: Ranked) -> float | None:
    return None if item.result.setting is None else item.result.setting.speed


def tried(pumps: Sequence[tuple[Boat, PumpPart]], with_speeds: bool = True) -> list[Ranked]:
    """Return each pump with how it starts and where it runs in the loop of its boat.

    The least speed that does, which no judgement asks for, may be left out.
    """
    every, settings, nows = [], [], []
    worst = [worst_cases(case) for (case, _, _), _ in pumps]
    for ((case, stand_in, _), part), found in zip(pumps, worst, strict=True):
        place = stand_in.network.pumps[0]
        volts = [cable_drop(case, place, part, it.conditions) for it in found]
        built = with_pump(case, stand_in, part)
        every.append(built)
        settings.append((built.loop, stacked(found, volts)))
        nows.append((built, part, replace(found[0].conditions, voltage=volts[0])))
    points = operate_all(settings, [axis_length(now) for _, now in settings])
    speeds: Sequence[SpeedSetting | None] = [None] * len(nows)
    if with_speeds:
        speeds = speeds_for_need(nows, [needs for (_, _, needs), _ in pumps])
    runs = zip(every, points, worst, strict=True)
    return [
        Ranked(_result(boat, part, run, speed), *run[:2])
        for (boat, part), run, speed in zip(pumps, runs, speeds, strict=True)
    ]


def _result(
    boat: Boat,
    part: PumpPart,
    run: tuple[Built, OperatingPoint, Sequence[WorstCase]],
    setting: SpeedSetting | None,
) -> PumpResult:
    """Return what comes of a pump that was run in the worst cases."""
    (case, _, needs), (built, point, found) = boat, run
    place, at = built.network.pumps[0], pumps_at(built, point, needs, found)
    start = first_start(case, built, part, _design(point), point)
    return PumpResult(
        part=part,
        place=place.name,
        fitted=place.fitted is not None
        and case.catalogue.find("pumps", place.fitted)[0] == part.name,
        at=at,
        judgement=judge(Trial(case, built, part, place, at, needs, start)),
        start=start,
        setting=setting,
        asked_for=case.asked_pump == part.name,
        n_pumps=built.loop.n_pumps,
    )


def _design(point: OperatingPoint) -> Conditions:
    return take(point.conditions, slice(0, 1))  # type: ignore[no-any-return]


def in_order(results: Iterable[Ranked]) -> tuple[Ranked, ...]:
    """Return candidates best first: yes before tight before no.

    Of one grade a person's own pumps come first, then the one fitted: where none of them is a yes,
    an invented one that is shows what to ask for. A yes comes by remarks and then by what a day
    takes, a tight one by how often it keeps the rise, a no by how far it falls short and then
    likewise.
    """
    tried = tuple(results)
    own = any(not item.result.part.invented for item in tried)
    return tuple(sorted(tried, key=lambda item: _order(item.result, own)))


def best_of(results: Iterable[Ranked]) -> Ranked:
    """Return the first of candidates in order."""
    return in_order(results)[0]


def _order(result: PumpResult, own: bool) -> tuple[object, ...]:
    judgement = result.judgement
    within: tuple[float, ...] = (len(judgement.remarks),)
    if judgement.grade == NO:
        within = (judgement.shortfall, -round(_nearness(result), 2))
    elif judgement.grade != YES:
        within = (-round(_nearness(result), 2),)
    takes = result.design.power if result.energy_per_day is None else result.energy_per_day
    grade = GRADES.index(judgement.grade)
    return grade, _buyable(result) if own else 0, within, takes, result.part.name


def _buyable(result: PumpResult) -> int:
    """Return the place of a pump among those of its grade, once a person has own pumps."""
    return 0 if not result.part.invented else 1 if result.fitted else 2


def _nearness(result: PumpResult) -> float:
    """Return how often a pump keeps the rise; undrawn, the least flow over its need."""
    if result.judgement.keeps_rise is not None:
        return result.judgement.keeps_rise
    margins = (unit.margin for unit in result.design.units if unit.margin is not None)
    return min(margins, default=-1.0)
