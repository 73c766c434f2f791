"""What is worth saying about a loop beside its numbers."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.network import upstream
from seaflow.boat.tables.things import Intake, OtherUser
from seaflow.model.build import Built
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.size.heads import LEAST_LOST, HeadList


def loop_remarks(built: Built, heads: HeadList) -> tuple[Fact, ...]:
    """Return remarks on series units, submerged outlets, shared intakes, crests and valves."""
    return (
        *_series(built),
        *(fact("size.outlet_under_water", outlet=name) for name in heads.submerged_outlets),
        *_shared(built),
        *_airy_leg(heads),
        *_suction_valves(built),
    )


def loop_notes(built: Built, heads: HeadList, best: PumpResult) -> tuple[Fact, ...]:
    """Return what an engineer wants to know of the basis: falling legs, strainers and the curve."""
    return (*_siphon(heads), *_strainers(built), *_curve(best), *_several(best))


def _series(built: Built) -> Iterator[Fact]:
    for unit in built.network.units:
        ahead = upstream(built.network, unit.name)
        before = tuple(other.name for other in built.network.units if other.name in ahead)
        if before:
            yield fact("size.in_series", unit=unit.name, before=before)


def _shared(built: Built) -> Iterator[Fact]:
    for thing in built.network.things.values():
        if isinstance(thing, Intake) and thing.also_feeds:
            users = tuple(map(_user, thing.also_feeds))
            yield fact("size.shared_intake", intake=thing.name, users=users)


def _user(user: OtherUser) -> Fact:
    if user.flow is None:
        return fact("size.other_user_unknown", user=user.name)
    return fact("size.other_user", user=user.name, flow=amount("flow", user.flow))


def _airy_leg(heads: HeadList) -> Iterator[Fact]:
    if heads.crest and heads.not_given_back > LEAST_LOST:
        told = {"crest": heads.crest, "height": amount("height", heads.static_starting)}
        if heads.fills_at is None:
            yield fact("size.vented_leg", **told)
        else:
            yield fact("size.airy_leg", fills_at=amount("flow", heads.fills_at), **told)


def _suction_valves(built: Built) -> Iterator[Fact]:
    pumps = built.network.pumps
    for name, thing in built.network.things.items():
        feeds_pump = any(name in upstream(built.network, pump.name) for pump in pumps)
        if thing.table == "check_valve" and feeds_pump:
            yield fact("size.valve_in_suction", valve=name)


def _siphon(heads: HeadList) -> Iterator[Fact]:
    if heads.crest:
        yield fact("size.siphon_basis", crest=heads.crest)


def _curve(best: PumpResult) -> Iterator[Fact]:
    if best.part.curve.note:
        yield fact("size.curve_note", pump=best.part.title, note=best.part.curve.note)


def _several(best: PumpResult) -> Iterator[Fact]:
    if best.n_pumps > 1:
        yield fact("size.several_pumps", pumps=best.n_pumps)


def _strainers(built: Built) -> Iterator[Fact]:
    for strainer in built.loop.strainers:
        if strainer.measured is not None:
            yield fact("size.strainer_by_reading", strainer=strainer.name)
        elif strainer.basket_area is None or strainer.open_share is None:
            yield fact("size.strainer_by_table", strainer=strainer.name)
        else:
            yield fact("size.strainer_by_screen", strainer=strainer.name)
