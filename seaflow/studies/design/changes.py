"""Changes to a boat on paper: the same case with other hoses, another strainer or hole."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from seaflow.base.bores import is_wider
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.network import PLAIN_TEES, Network, carrier, runs_of
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.parts.sheets import PumpSheet
from seaflow.boat.tables.balancing import Adapter, BalancingValve, ValvePoint
from seaflow.boat.tables.supply import Cable
from seaflow.boat.tables.things import Fitting, Hose, Intake, Outlet, Pump, Seacock, Strainer, Thing
from seaflow.studies.design.supply import supply_of

MOST_STEPS = 2  # sizes up
IN_THE_RUN = ("check_valve", "vented_loop", "flush_tee")  # with ports of their own bore


def network_named(case: Case, name: str) -> Network:
    """Return the loop of a case by its name."""
    return next(found for found in network.loops(case) if found.name == name)


def wider_bores(case: Case, bore: float) -> list[float]:
    """Return the common bores above one, rising [m]."""
    return [found for found in case.catalogue.common_bores() if is_wider(found, bore)]


def next_bores(case: Case, bore: float) -> list[float]:
    """Return the common bores among the next two usual ones above one, or the next common one [m].

    A hose far wider than what it meets at its ends brings little and costs much.
    """
    usual = [found for found in case.catalogue.standard_bores() if is_wider(found, bore)]
    common = wider_bores(case, bore)
    return [found for found in common if found in usual[:MOST_STEPS]] or common[:1]


def with_hose_bore(case: Case, rows: Collection[int], bore: float) -> Case:
    """Return the case with these hoses at least this wide, and what that takes at their ends.

    A tail screwed into a pump, a strainer, an intake or an outlet is bought anew, no narrower than
    the one that goes; the port behind it stays. A reducer is bought to fit, and so is a tee that
    only joins two of these hoses. Every other thing keeps the tail it has, with an adapter to it,
    unless its ports are wide enough.
    """
    changed = [hose for hose in case.hose if hose.row in rows and is_wider(bore, hose.bore)]
    plain = _plain_tees(case, changed)
    hoses = {hose.row: _widened(case, hose, bore, plain) for hose in changed}

    def wide(tees: tuple[Fitting, ...]) -> tuple[Fitting, ...]:
        return tuple(replace(tee, bore=bore) if tee.name in plain else tee for tee in tees)

    return replace(
        case,
        tee=wide(case.tee),
        flush_tee=wide(case.flush_tee),
        hose=tuple(hoses.get(hose.row, hose) for hose in case.hose),
        reducer=tuple(_fitted_between(joint, changed, bore) for joint in case.reducer),
    )


def _plain_tees(case: Case, hoses: Collection[Hose]) -> frozenset[str]:
    """Return the tees that do no more than join two of these hoses."""
    tees = [tee for table in PLAIN_TEES for tee in getattr(case, table) if tee.loss == 0.0]
    found = [runs_of(loop, loop.hoses) for loop in network.loops(case)] if tees else []
    within = {run[place].from_ for runs in found for run in runs for place in range(1, len(run))}
    within &= {hose.from_ for hose in hoses} & {hose.to for hose in hoses}
    return frozenset(tee.name for tee in tees if tee.name in within)


def _widened(case: Case, hose: Hose, bore: float, plain: Collection[str]) -> Hose:
    usual = case.catalogue.usual_barb_bore
    barbs: list[float | None] = []
    adapters: list[Adapter | None] = []
    for name, arrives in ((hose.from_, False), (hose.to, True)):
        thing = next(thing for thing in case.things if thing.name == carrier(name, case.seacock))
        port, barb = port_of(case, thing, arrives), hose.barb_at(arrives)
        fits = thing.name in plain  # is bought anew with the hose
        port = None if fits else port
        keeps = not fits and keeps_its_tail(thing) and (port is None or is_wider(bore, port))
        kept = hose.adapter_at(arrives) or Adapter(bore=hose.bore, barb_bore=barb)
        adapters.append(kept if keeps else None)
        clear = usual(bore) if keeps or port is None else max(port, barb or usual(hose.bore))
        barbs.append(clear if clear < usual(bore) else None)
    return replace(
        hose,
        bore=bore,
        barb_bore=None,
        barb_bore_from=barbs[0],
        barb_bore_to=barbs[1],
        adapter_from=adapters[0],
        adapter_to=adapters[1],
        seen=None,
    )


def _fitted_between(joint: Fitting, hoses: Collection[Hose], bore: float) -> Fitting:
    """Return a reducer with the bore on each side that the hose there has now."""
    sides = [joint.bore, joint.second_bore or joint.bore]
    for hose in hoses:
        if hose.to == joint.name:
            sides[0] = bore
        if hose.from_ == joint.name:
            sides[1] = bore
    if sides == [joint.bore, joint.second_bore or joint.bore]:
        return joint
    return replace(joint, bore=sides[0], second_bore=sides[1])


def keeps_its_tail(thing: Thing) -> bool:
    """Return whether the tail that carries a hose is part of a thing, as those of a coil are."""
    return not (isinstance(thing, (Intake, Outlet, Pump, Strainer)) or thing.table == "reducer")


def port_of(case: Case, thing: Thing, arriving: bool) -> float | None:
    """Return the bore at which a thing meets a hose [m], None where it is not known or any will do.

    Of a manifold or tee that is the bore of a leg, which no case gives; a reducer is made to fit.
    """
    if isinstance(thing, (Intake, Outlet)):
        cock = next((cock for cock in case.seacock if cock.on == thing.name), None)
        return thing.bore if cock is None else cock.bore
    if isinstance(thing, Pump):
        sheet = None if thing.fitted is None else case.catalogue.sheet("pumps", thing.fitted)
        own = thing.port if arriving else None
        if own is None and isinstance(sheet, PumpSheet):
            return sheet.inlet if arriving else sheet.outlet
        return own
    if isinstance(thing, Strainer):
        return thing.port or (case.catalogue.strainer(thing.model).port if thing.model else None)
    return thing.bore if isinstance(thing, Fitting) and thing.table in IN_THE_RUN else None


def with_pump(case: Case, network: Network, part: PumpPart) -> Case:
    """Return the case with another pump at the places of a loop.

    It brings its own ports, and is fitted with a cable as thick as is due.
    """
    names = {place.name for place in network.pumps}
    places = tuple(
        replace(place, fitted=part.name, port=None, cable=_cable_for(case, place, part))
        if place.name in names
        else place
        for place in case.pump
    )
    return replace(case, pump=places)


def _cable_for(case: Case, place: Pump, part: PumpPart) -> Cable | None:
    cable = place.cable
    if cable is None or cable.conductor is None:
        return cable
    supply = supply_of(case, place, part, 0.0)
    if supply.conductor_is_enough is not False or not supply.conductor_metric:
        return cable
    return replace(cable, conductor=supply.conductor_metric.area)


def with_conductor(case: Case, name: str, area: float) -> Case:
    """Return the case with a thicker cable to a pump."""
    places = tuple(
        replace(place, cable=replace(place.cable, conductor=area))
        if place.name == name and place.cable is not None
        else place
        for place in case.pump
    )
    return replace(case, pump=places)


def with_outlet_bore(case: Case, name: str, bore: float) -> Case:
    """Return the case with an outlet and the seacock on it this wide."""
    outlets = tuple(replace(one, bore=bore) if one.name == name else one for one in case.outlet)
    return replace(case, outlet=outlets, seacock=_cocks(case, name, bore))


def with_seacock(case: Case, name: str, bore: float, type_: str) -> Case:
    """Return the case with another seacock on a thing that stays as it is."""
    cocks = tuple(
        replace(cock, bore=bore, type=type_, seen=None) if cock.on == name else cock
        for cock in case.seacock
    )
    return replace(case, seacock=cocks)


def with_throttles(case: Case, losses: Mapping[int, float]) -> Case:
    """Return the case with valves set to these loss coefficients, by row of hose, on its bore."""
    hoses = tuple(
        replace(hose, balancing_valve=_set_to(losses[hose.row], hose.bore))
        if hose.row in losses
        else hose
        for hose in case.hose
    )
    return replace(case, hose=hoses)


def _set_to(loss: float, bore: float) -> BalancingValve:
    return BalancingValve(bore=bore, points=(ValvePoint(turns=1.0, loss=loss),))


def with_strainer(case: Case, name: str, model: str) -> Case:
    """Return the case with another strainer; what was known of the old one is forgotten.

    A suction reading tells of the old strainer, so it is left out too.
    """
    strainers = tuple(
        replace(item, model=model, port=None, basket_area=None, open_share=None, clean_loss=None)
        if item.name == name
        else item
        for item in case.strainer
    )
    pumps = tuple(replace(place, measured_suction=None) for place in case.pump)
    return replace(case, strainer=strainers, pump=pumps)


def with_intake_bore(case: Case, name: str, bore: float) -> Case:
    """Return the case with a through-hull and the seacock on it this wide."""
    holes = tuple(
        replace(hole, bore=bore) if hole.name == name else hole for hole in case.through_hull
    )
    return replace(case, through_hull=holes, seacock=_cocks(case, name, bore))


def _cocks(case: Case, name: str, bore: float) -> tuple[Seacock, ...]:
    return tuple(
        replace(cock, bore=max(bore, cock.bore)) if cock.on == name else cock
        for cock in case.seacock
    )
