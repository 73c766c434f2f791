"""Which bores the flow asks for, against what the case has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from seaflow.base.bores import SAME_SIZE, is_wider
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.elements import Basket, Cock, Element, Entry, HoseRun, Pumping
from seaflow.model.loop import SEA
from seaflow.physics.flow.fittings import velocity
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import UnitNeed
from seaflow.studies.size.heads import HeadList, needed_flows

COSTLY = 0.15  # share of the loop's friction at which one item is called costly


@dataclass(frozen=True, slots=True)
class BoreAdvice:
    """One bore: what the case has, what velocity and loss ask for, and what follows."""

    kind: str
    thing: str
    side: str
    verdict: Fact
    flow: float = measured("m3/s")
    has: float = measured("m")
    suggested: float = measured("m")
    velocity: float = measured("m/s")
    velocity_limit: float = measured("m/s")
    head: float = measured("m")


def bore_advice(
    case: Case, built: Built, needs: Mapping[str, UnitNeed], heads: HeadList, port: float
) -> tuple[BoreAdvice, ...]:
    """Return advice for through-hull, seacocks, strainer and hoses; `port` is the pump's inlet."""
    flow = needed_flows(built.loop, needs)
    found: list[BoreAdvice] = []
    before = _before_pump(built)
    beside = (heads, port, case.catalogue.common_bores())
    for number, link in enumerate(built.loop.links):
        for element in link.elements:
            kind = _kind(element)
            if kind is not None and flow[number] > 0:
                suction = (number, element.name) in before
                found.append(_advice(kind, element, float(flow[number]), suction, beside))
    return tuple(found)


def _before_pump(built: Built) -> set[tuple[int, str]]:
    """Return the elements whose water has not passed a pump yet."""
    found: set[tuple[int, str]] = set()
    reached = {SEA}
    for _ in built.loop.links:
        for number, link in enumerate(built.loop.links):
            if link.start in reached:
                names = list(_until_pump(link.elements))
                found |= {(number, name) for name in names}
                if len(names) == len(link.elements):
                    reached.add(link.end)
    return found


def _until_pump(elements: tuple[Element, ...]) -> Iterator[str]:
    for element in elements:
        if isinstance(element, Pumping):
            return
        yield element.name


def _kind(element: Element) -> str | None:
    for kind, word in (
        (Entry, "through-hull"),
        (Cock, "seacock"),
        (Basket, "strainer"),
        (HoseRun, "hose"),
    ):
        if isinstance(element, kind):
            return word
    return None


def _advice(
    kind: str,
    element: Element,
    flow: float,
    suction: bool,
    beside: tuple[HeadList, float, tuple[float, ...]],
) -> BoreAdvice:
    heads, port, bores = beside
    has = float(np.asarray(element.bore))
    speed = float(velocity(flow, has))
    aim = limit("suction_velocity" if suction else "delivery_velocity")
    most = limit("suction_velocity_most" if suction else "delivery_velocity_most")
    suggested = _standard(flow, aim, port if suction else 0.0, bores)
    head = sum(item.head for item in heads.items if item.thing == element.name)
    return BoreAdvice(
        kind=kind,
        thing=element.name,
        side="suction" if suction else "delivery",
        flow=flow,
        has=has,
        suggested=suggested,
        velocity=speed,
        velocity_limit=aim,
        head=head,
        verdict=_verdict(
            (has, port if suction else 0.0),
            (speed, aim, most),
            head / max(heads.friction, 1e-9),
            kind,
        ),
    )


def _standard(flow: float, velocity: float, least: float, bores: tuple[float, ...]) -> float:
    wanted = max(np.sqrt(4.0 * flow / (np.pi * velocity)), least)
    return next((bore for bore in bores if not is_wider(wanted, bore)), bores[-1])


def _verdict(
    bores: tuple[float, float], speeds: tuple[float, float, float], share: float, kind: str
) -> Fact:
    """Return what follows for a bore: what is against it, with the limit that it passes.

    `bores` are its own and the port it should not be narrower than, `speeds` that in it, the usual
    and the most.
    """
    (has, port), (velocity, aim, most) = bores, speeds
    is_costly = share > COSTLY and kind == "hose"
    verdict = fact("size.bore_enough")
    if velocity > most:
        told = {"velocity": amount("velocity", velocity), "most": amount("velocity", most)}
        verdict = fact("size.bore_too_fast", **told)
    elif velocity > aim * (1.0 + SAME_SIZE) ** 2:
        told = {"velocity": amount("velocity", velocity), "aim": amount("velocity", aim)}
        verdict = fact("size.bore_narrow", **told)
    elif is_wider(port, has):
        verdict = fact("size.bore_below_port")
    elif is_costly:
        return fact("size.bore_wide_but_costly", share=share)
    return fact("size.bore_costly", verdict=verdict, share=share) if is_costly else verdict
