"""The places offered for the intake in order: by the best place that a pump has with each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.base.measured import measured
from seaflow.studies.place.rank import Outcome


@dataclass(frozen=True, slots=True)
class IntakeRank:
    """A place for the intake: how many pump places hold with it, and the best of them.

    `depth_at_heel` is that of the shallowest intake on its worse tack. `reason` is what speaks
    against it where no pump place holds with it.
    """

    name: str
    holding: int
    offered: int
    best: str = ""
    level: float | None = measured("dB", None)
    flow: float | None = measured("m3/s", None)
    depth_at_heel: float | None = measured("m", None)
    reason: str = ""


def intakes_in_order(outcomes: tuple[Outcome, ...]) -> tuple[IntakeRank, ...]:
    """Return the places for the intake, best first; none where the case offers none.

    `outcomes` are in order, so the first that an intake has is its best.
    """
    names = dict.fromkeys(item.intake_place for item in outcomes if item.intake_place)
    found = tuple(_rank(name, outcomes) for name in names)
    return tuple(sorted(found, key=lambda item: not item.holding))


def _rank(name: str, outcomes: tuple[Outcome, ...]) -> IntakeRank:
    having = [item for item in outcomes if item.intake_place == name]
    first = having[0]
    return IntakeRank(
        name=name,
        holding=sum(item.holds for item in having),
        offered=len(having),
        best=first.pump_place if first.holds else "",
        level=first.level if first.holds else None,
        flow=first.water.flow if first.holds and first.water else None,
        depth_at_heel=first.standing.intake_at_heel,
        reason="" if first.holds else next(_shared(having), first.reasons[0]),
    )


def _shared(having: list[Outcome]) -> Iterator[str]:
    """Yield the reasons that every pump place has with this intake."""
    for reason in having[0].reasons:
        if all(reason in item.reasons for item in having):
            yield reason
