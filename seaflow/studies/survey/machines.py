"""Rules on strainers, and the flow that units get and their coils stand."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.base.bores import is_wider
from seaflow.base.constants import DAY
from seaflow.base.facts import amount, fact
from seaflow.boat.parts.sheets import StrainerSheet
from seaflow.boat.tables.things import Strainer
from seaflow.model.elements import Basket, Coil
from seaflow.studies.design.kinds import FORCED, OF_RISE, SHORT_OF_WATER
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.evidence import THE_BOAT, Evidence, SurveyedLoop, boat_lacks
from seaflow.studies.survey.rules import Breach, Kept, Unknown, Verdict, with_ruling
from seaflow.studies.survey.running import MET, UnitLimit, limits, pressure_at
from seaflow.studies.survey.severity import LATER, NEXT, NOW, near_by_size

LEAST_AREA = 3.0  # open area of the basket over that of the hose: common practice
FINEST, COARSEST = 1.5e-3, 3.0e-3  # m: common practice for magnetic and plain centrifugal pumps
RATED_OVER_RUNNING = 2.0
SAME_AREA = 0.999  # of an area or a time: what is nearer is the same


def sheet_of(evidence: Evidence, strainer: Strainer) -> StrainerSheet | None:
    """Return the sheet of a strainer whose model the case names."""
    return evidence.case.catalogue.strainer(strainer.model) if strainer.model else None


def basket_of(loop: SurveyedLoop, name: str) -> Basket:
    """Return a strainer as the model sees it."""
    return next(item for item in loop.loop.strainers if item.name == name)


def hose_before(loop: SurveyedLoop, name: str) -> float:
    """Return the bore of the widest hose that leads to a thing [m]."""
    return max(item.bore for item in loop.network.arriving(name))


def strainer_missing(evidence: Evidence) -> Iterator[Verdict]:
    """A strainer is before the pump."""
    for loop in evidence.loops:
        there = any(loop.before_pump(item.name) for item in loop.strainers)
        yield Kept(loop.name) if there else Breach(loop.name, fact("survey.no_strainer"))


def strainer_above_water(evidence: Evidence) -> Iterator[Verdict]:
    """A strainer lies below the waterline."""
    for strainer in evidence.case.strainer:
        if strainer.level is None:
            yield Unknown("strainer", strainer.name, "height")
        elif strainer.level < 0.0:
            yield Kept(strainer.name)
        else:
            runs = (one.run for one in evidence.loops if strainer.name in one.network.things)
            above = fact("survey.strainer_above_water", height=amount("height", strainer.level))
            yield Breach(strainer.name, above, pressure_at(next(runs, None), strainer.name))


def strainer_area(evidence: Evidence) -> Iterator[Verdict]:
    """The open area of the basket is a multiple of that of the hose."""
    for loop in evidence.loops:
        for strainer in loop.strainers:
            basket = basket_of(loop, strainer.name)
            if basket.basket_area is None or basket.open_share is None:
                yield Unknown("strainer", strainer.name, "basket_area")
                continue
            open_area = float(np.asarray(basket.basket_area) * np.asarray(basket.open_share))
            ratio = open_area / (np.pi * hose_before(loop, strainer.name) ** 2 / 4.0)
            breach = Breach(strainer.name, fact("survey.small_basket", ratio=ratio))
            yield Kept(strainer.name) if ratio >= LEAST_AREA else breach


def strainer_mesh(evidence: Evidence) -> Iterator[Verdict]:
    """The holes of the basket are neither too fine nor too wide."""
    for strainer in evidence.case.strainer:
        sheet = sheet_of(evidence, strainer)
        hole = strainer.seen.hole if strainer.seen is not None else None
        hole = hole if hole is not None else (sheet.hole if sheet else None)
        if hole is None:
            yield Unknown("strainer", strainer.name, "hole")
        elif FINEST * SAME_AREA <= hole <= COARSEST / SAME_AREA:
            yield Kept(strainer.name)
        else:
            yield Breach(strainer.name, fact("survey.holes", hole=amount("thickness", hole)))


def strainer_ports(evidence: Evidence) -> Iterator[Verdict]:
    """The ports of the strainer are as wide as the hose."""
    for loop in evidence.loops:
        for strainer in loop.strainers:
            port = float(np.asarray(basket_of(loop, strainer.name).bore))
            hose = hose_before(loop, strainer.name)
            bores = {"port": amount("bore", port), "hose": amount("bore", hose)}
            breach = Breach(strainer.name, fact("survey.narrow_ports", **bores))
            yield breach if is_wider(hose, port) else Kept(strainer.name)


def strainer_rating(evidence: Evidence) -> Iterator[Verdict]:
    """The strainer is rated for twice what runs through it."""
    for loop in evidence.loops:
        for strainer in loop.strainers:
            sheet = sheet_of(evidence, strainer)
            if loop.run is None:
                yield loop.no_pump
            elif sheet is None or sheet.rated_flow is None:
                yield Unknown("strainer", strainer.name, "model")
            else:
                flow, rated = float(loop.run.point.total_flow()[0]), sheet.rated_flow
                told = {"rated": amount("flow", rated), "flow": amount("flow", flow)}
                breach = Breach(strainer.name, fact("survey.rated_too_low", **told))
                yield Kept(strainer.name) if rated >= RATED_OVER_RUNNING * flow else breach


def strainer_blockage(evidence: Evidence) -> Iterator[Verdict]:
    """Each unit keeps its least flow until the basket is as blocked as the design says."""
    allowed = evidence.case.design.blocked_share
    for loop in evidence.loops:
        if loop.run is None:
            yield loop.no_pump
            continue
        for item in limits(loop.run):
            known = [share for share in (item.even, item.matted) if share is not None]
            starved = min(known, default=1.0)
            if starved >= allowed or item.even == 0.0:
                yield Kept(item.unit)  # too little with a clean basket has a rule of its own
                continue
            told = {"least": amount("flow", item.least), "share": starved}
            found = fact("survey.starved_by_dirt", **told)
            yield Breach(item.unit, found, item.of_least[1:])


def flow_below_need(evidence: Evidence) -> Iterator[Verdict]:
    """Each unit gets what it needs while the basket is clean."""
    for loop in evidence.loops:
        if loop.run is None:
            yield loop.no_pump
        else:
            found = [*map(_short, limits(loop.run))]
            held = loop.held(SHORT_OF_WATER)
            of_rise = held is not None and held.said.kind in OF_RISE
            if of_rise and not _rise_is_given(evidence, loop):
                held = None
                yield Unknown("boat", THE_BOAT, "permitted_rise", near=LATER)
            yield from with_ruling(found, held, loop.pump, NEXT)


def _rise_is_given(evidence: Evidence, loop: SurveyedLoop) -> bool:
    """Return whether the case, and not our assumption, says how far the water may warm up."""
    own = all(unit.permitted_rise is not None for unit in loop.network.units)
    return own or ("design", "permitted_rise") in evidence.case.text.where


def _short(item: UnitLimit) -> Verdict:
    share = 1.0 - item.clean / item.need
    if item.clean >= MET * item.need:
        return Kept(item.unit)
    found = fact(
        "survey.below_need",
        clean=amount("flow", item.clean),
        share=share,
        need=amount("flow", item.need),
    )
    least = amount("flow", item.least)
    trips = item.clean < item.least
    floor = fact("survey.may_trip", least=least) if trips else fact("survey.has_least", least=least)
    told = (fact("survey.need_set_by", set_by=item.set_by), floor)
    near = NOW if trips else near_by_size("flow_short", share)
    return Breach(item.unit, found, told, near)


def strainer_cleaning(evidence: Evidence) -> Iterator[Verdict]:
    """The strainer is cleaned as often as the water asks for."""
    interval = evidence.case.design.cleaning_interval
    warm = evidence.case.sea.warmest >= limit("warm_water")
    most = limit("cleaned_warm" if warm else "cleaned_cool")
    for strainer in evidence.case.strainer:
        if interval is None:
            yield boat_lacks("cleaning_interval")
        elif interval <= most * (2.0 - SAME_AREA):
            yield Kept(strainer.name)
        else:
            told = {
                "days": interval / DAY,
                "usual": most / DAY,
                "water": "warm" if warm else "cool",
            }
            yield Breach(strainer.name, fact("survey.seldom_cleaned", **told))


def coil_velocity(evidence: Evidence) -> Iterator[Verdict]:
    """The water in a coil stays below the speed that its alloy stands, and its maker's flow."""
    for loop in evidence.loops:
        found = [_in_coil(evidence, loop, coil) for coil in loop.loop.coils]
        held = loop.held(FORCED)
        unknown = None if held is None else _loss_unknown(loop, str(held.said["unit"]))
        if unknown is not None:
            held = None
            yield unknown
        yield from with_ruling(found, held, loop.pump, NOW)


def _loss_unknown(loop: SurveyedLoop, name: str) -> Unknown | None:
    """Return that the loss of a coil is not recorded, on which hangs what is forced through it."""
    unit = next(item for item in loop.network.units if item.name == name)
    return None if unit.water_loss else Unknown("unit", name, "water_loss")


def _in_coil(evidence: Evidence, loop: SurveyedLoop, coil: Coil) -> Verdict:
    unit = next(item for item in loop.network.units if item.name == coil.unit)
    if coil.velocity_bore is None:
        return Unknown("unit", unit.name, "tube")
    if unit.alloy is None:
        return Unknown("unit", unit.name, "alloy")
    if loop.run is None:
        return loop.no_pump
    flow = float(loop.run.point.units[coil.unit].volume_flow[0])
    return _speed(evidence, coil, unit.alloy, flow)


def _speed(evidence: Evidence, coil: Coil, alloy: str, flow: float) -> Verdict:
    name, fastest = evidence.case.catalogue.fastest_water(alloy)
    velocity = coil.velocity(flow)
    if velocity is None or fastest is None or velocity <= fastest:
        return Kept(coil.unit)
    found = fact(
        "survey.fast_in_coil",
        velocity=amount("velocity", float(velocity)),
        alloy=name,
        most=amount("velocity", fastest),
    )
    return Breach(coil.unit, found)


OF_A_LOOP = (
    strainer_missing,
    strainer_area,
    strainer_ports,
    strainer_rating,
    strainer_blockage,
    flow_below_need,
    coil_velocity,
)
RULES = (
    *OF_A_LOOP,
    strainer_above_water,
    strainer_mesh,
    strainer_cleaning,
)
