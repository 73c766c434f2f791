"""What is worth saying about a loop beside its numbers."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.sentence import quantity
from seaflow.boat.network import upstream
from seaflow.boat.tables.things import Intake, OtherUser, Pump, Unit
from seaflow.model.build import Built
from seaflow.studies.design.choose import PumpResult
from seaflow.studies.size.heads import HeadList


def loop_remarks(built: Built, heads: HeadList) -> tuple[str, ...]:
    """Return remarks on series units, submerged outlets, shared intakes, crests and valves."""
    return (
        *_series(built),
        *_outlets(heads),
        *_shared(built),
        *_crest(heads),
        *_suction_valves(built),
    )


def loop_notes(built: Built, best: PumpResult) -> tuple[str, ...]:
    """Return what an engineer wants to know of the basis: strainer, curve, coils, other users."""
    return (*_strainer(built), *_curve(best))


def _series(built: Built) -> Iterator[str]:
    for unit in built.network.units:
        before = [
            other
            for other in upstream(built.network, unit.name)
            if isinstance(built.network.things.get(other), Unit)
        ]
        if before:
            names = " and ".join(f'"{name}"' for name in sorted(before))
            yield (
                f'"{unit.name}" stands in series behind {names}: it gets preheated water. '
                "Pipe the units in parallel from a manifold."
            )


def _outlets(heads: HeadList) -> Iterator[str]:
    for name in heads.submerged_outlets:
        yield (
            f'outlet "{name}" is under water: it lifts nothing, but it needs a seacock, its stream '
            "cannot be seen, and water can come back through it."
        )


def _shared(built: Built) -> Iterator[str]:
    for thing in built.network.things.values():
        if isinstance(thing, Intake) and thing.also_feeds:
            users = ", ".join(_user(user) for user in thing.also_feeds)
            yield (
                f'"{thing.name}" also feeds {users}: a strong pump starves a weak one. Flows given '
                "are counted at its entry and seacock all the time; check area and depth too."
            )


def _user(user: OtherUser) -> str:
    flow = "flow not recorded" if user.flow is None else quantity("flow", user.flow)
    return f"{user.name} ({flow})"


LEAST_LOST = 0.02  # m of lift not given back that is worth a remark


def _crest(heads: HeadList) -> Iterator[str]:
    lost = heads.head - heads.friction - heads.static_running
    if heads.crest and not heads.leg_runs_full and lost > LEAST_LOST:
        fills = (
            "" if heads.fills_at is None else f" (it would from {quantity('flow', heads.fills_at)})"
        )
        yield (
            f"the leg after the highest point ({heads.crest}) does not run full at this flow"
            f"{fills}, so its height is not given back: the pump lifts "
            f"{quantity('height', heads.static_starting)} all the time."
        )


def _suction_valves(built: Built) -> Iterator[str]:
    for name, thing in built.network.things.items():
        feeds_pump = any(name in upstream(built.network, pump.name) for pump in built.network.pumps)
        if thing.table == "check_valve" and feeds_pump and not isinstance(thing, Pump):
            yield (
                f'check valve "{name}" stands on the suction side: it eats the little head there '
                "is, and it sticks. Common practice is to have none there."
            )


def _curve(best: PumpResult) -> Iterator[str]:
    if best.part.curve.note:
        yield f"curve of {best.part.title}: {best.part.curve.note}."


def _strainer(built: Built) -> Iterator[str]:
    for strainer in built.loop.strainers:
        if strainer.measured is not None:
            basis = (
                "its loss when dirty is taken from the measured suction, "
                "which overrules every table."
            )
        elif strainer.basket_area is None or strainer.open_share is None:
            basis = (
                "no basket data, so an invented table of blockage is used. A screen correlation "
                "gives more than ten times less at 80 % blocked; "
                "a measured suction vacuum overrules both."
            )
        else:
            basis = (
                "blockage is the share of the basket's open area lost, by a screen correlation. "
                "Rules of thumb give more than ten times the loss at 80 % blocked; "
                "a measured suction vacuum overrules both."
            )
        yield f'strainer "{strainer.name}": {basis}'
