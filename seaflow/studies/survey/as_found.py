"""Rules on what is found on board and the model tells the worth of.

A dirty basket, a drain teed into a hose, a coil whose water runs the wrong way, a flow switch.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.tables.things import Hose, Strainer, Unit
from seaflow.model.elements import Coil
from seaflow.model.pressures import pressures
from seaflow.physics.flow.runs import flow_to_run_full
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.evidence import Evidence, SurveyedLoop
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict
from seaflow.studies.survey.running import BLOCKED, MET, LoopRun, UnitLimit, is_running, limits
from seaflow.studies.survey.severity import NEXT, NOW


def _at(run: LoopRun, unit: str, blocked: float) -> float:
    """Return the flow of a unit with so much of the basket blocked, by the worse kind of dirt."""
    flows = (point.units[unit].volume_flow for point in (run.point, run.matted))
    return float(min(np.interp(blocked, BLOCKED, np.nan_to_num(flow)) for flow in flows))


def basket_dirty(evidence: Evidence) -> Iterator[Verdict]:
    """With the basket as dirty as it is now, every unit gets its need."""
    for loop in evidence.loops:
        for strainer in loop.strainers:
            blocked = None if strainer.seen is None else strainer.seen.blocked_now
            if blocked is None:
                yield Unknown("strainer", strainer.name, "blocked_now")
            elif blocked == 0.0:
                yield Kept(strainer.name)
            elif loop.run is None:
                yield loop.no_pump
            else:
                yield _dirty(evidence, strainer, loop.run, blocked)


def _dirty(evidence: Evidence, strainer: Strainer, run: LoopRun, blocked: float) -> Verdict:
    """Judge by the unit that is worst off; what is short of water when clean has its own rule."""
    fed = [item for item in limits(run) if item.clean >= MET * item.need]
    below = [(_at(run, item.unit, blocked), item) for item in fed]
    starved = [(flow, item) for flow, item in below if flow < item.least]
    short = [(flow, item) for flow, item in below if flow < MET * item.need]
    found = fact("survey.blocked_now", share=blocked)
    if starved or short:
        flow, item = min(starved or short, key=lambda pair: pair[0] / pair[1].need)
        told = _gets(flow, item, bool(starved))
        return Breach(strainer.name, found, (told,), NOW if starved else None)
    due = evidence.case.design.blocked_share
    if blocked < due:
        return Kept(strainer.name)
    return Breach(strainer.name, found, (fact("survey.cleaning_due", share=due),))


def _gets(flow: float, item: UnitLimit, starved: bool) -> Fact:
    asks = amount("flow", item.least if starved else item.need)
    kind = "survey.gets_less_than_least" if starved else "survey.gets_less_than_need"
    return fact(kind, unit=item.unit, flow=amount("flow", flow), asks=asks)


def drain_teed_in(evidence: Evidence) -> Iterator[Verdict]:
    """No drain is teed into a hose."""
    for loop in evidence.loops:
        for hose in loop.network.hoses:
            teed = None if hose.seen is None else hose.seen.drain_teed_in
            if teed is None:
                yield Unknown("hose", hose.label, "drain_teed_in")
            elif not teed:
                yield Kept(hose.label)
            elif loop.is_suction(hose):
                yield _draws(evidence, loop, hose)
            else:
                yield Breach(hose.label, fact("survey.drain_behind_pump"))


def _draws(evidence: Evidence, loop: SurveyedLoop, hose: Hose) -> Breach:
    """Judge a drain on the suction side, and say whether the pump draws air down it."""
    found = fact("survey.drain_before_pump")
    gauge = _lowest_gauge(evidence, loop, hose)
    if gauge is None:
        return Breach(hose.label, found)
    kind = "survey.drain_lets_air_in" if gauge < 0.0 else "survey.drain_stays_full"
    return Breach(hose.label, found, (fact(kind, gauge=amount("pressure", gauge)),))


def _lowest_gauge(evidence: Evidence, loop: SurveyedLoop, hose: Hose) -> float | None:
    """Return the least pressure at the ends of a hose, clean or as dirty as the design allows."""
    if loop.run is None or not is_running(loop.run):
        return None
    ends = {evidence.carrier(hose.from_), evidence.carrier(hose.to)}
    dirty = evidence.case.design.blocked_share >= BLOCKED
    found = [
        float(np.min(np.broadcast_to(point.gauge, BLOCKED.shape)[dirty]))
        for at in (loop.run.point, loop.run.matted)
        for point in pressures(at)
        if point.label in ends
    ]
    return min((gauge for gauge in found if np.isfinite(gauge)), default=None)


def coil_reversed(evidence: Evidence) -> Iterator[Verdict]:
    """The water runs through a coil the way its maker has it."""
    for loop in evidence.loops:
        for unit in loop.network.units:
            turned = None if unit.seen is None else unit.seen.water_reversed
            if turned is None:
                yield Unknown("unit", unit.name, "water_reversed")
            else:
                yield _turned(loop, unit) if turned else Kept(unit.name)


def _turned(loop: SurveyedLoop, unit: Unit) -> Breach:
    """Judge a coil that is fed from the wrong end, by what its liquid and its air make of it."""
    found = fact("survey.coil_reversed")
    run = loop.run
    if run is None or not is_running(run) or unit.name not in run.point.units:
        return Breach(unit.name, found)
    now = run.point.units[unit.name]
    flow, numbers = float(now.volume_flow[0]), list[Fact]()
    rise = float(now.temperature_rise[0])
    if np.isfinite(rise) and rise > 0.0:
        warmer = min(rise, limit("liquid_most"))
        told = {"rise": amount("rise", rise), "share": warmer * limit("liquid_worth")}
        numbers.append(fact("survey.liquid_warmer", **told))
    coil = next(item for item in loop.loop.coils if item.unit == unit.name)
    least = _clears_at(coil)
    if least is None:
        return Breach(unit.name, found, tuple(numbers))
    told = {"flow": amount("flow", flow), "least": amount("flow", least)}
    kind = "survey.coil_clears" if flow >= least else "survey.coil_holds_air"
    numbers.append(fact(kind, **told))
    return Breach(unit.name, found, tuple(numbers), None if flow >= least else NOW)


def _clears_at(coil: Coil) -> float | None:
    """Return the flow at which its water carries air down and out; None without its bore."""
    if coil.velocity_bore is None:
        return None
    return float(flow_to_run_full(coil.velocity_bore)) * coil.n_tubes


def low_flow_trip(evidence: Evidence) -> Iterator[Verdict]:
    """A flow switch stops a unit that lacks water, and no other."""
    for loop in evidence.loops:
        for unit in loop.network.units:
            trip = None if unit.seen is None else unit.seen.low_flow_trip
            if trip is None:
                yield Unknown("unit", unit.name, "low_flow_trip")
            elif trip == 0.0:
                yield Breach(unit.name, fact("survey.no_low_flow_trip"))
            elif loop.run is None:
                yield loop.no_pump
            else:
                yield _trips(evidence, loop.run, unit.name, trip)


def _trips(evidence: Evidence, run: LoopRun, unit: str, trip: float) -> Verdict:
    """Judge a switch by the flow that the unit has, clean and dirty, if that is enough for it."""
    dirty = evidence.case.design.blocked_share
    least = next((item.least for item in limits(run) if item.unit == unit), np.inf)
    for share, kind, near in (
        (0.0, "survey.trips_clean", NOW),
        (dirty, "survey.trips_dirty", NEXT),
    ):
        flow = _at(run, unit, share) if np.isfinite(least) else 0.0
        if least <= flow < trip:
            told = {"trip": amount("flow", trip), "flow": amount("flow", flow)}
            return Breach(unit, fact(kind, share=share, **told), near=near)
    return Kept(unit)


OF_A_LOOP = (
    basket_dirty,
    drain_teed_in,
    coil_reversed,
    low_flow_trip,
)
RULES = OF_A_LOOP
