"""What is heard with all pumps of a boat running, each at its first place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from seaflow.base.measured import measured
from seaflow.physics.sound.levels import level_sum
from seaflow.studies.place.rank import Outcome


@dataclass(frozen=True, slots=True)
class Together:
    """A berth with every pump running: the level, its uncertainty, and the pump heard most."""

    berth: str
    loudest: str
    level: float = measured("dB")
    half_width: float = measured("dB")


def together(first: Iterable[tuple[str, Outcome]]) -> tuple[Together, ...]:
    """Return what is heard at each berth; `first` is each pump with its first place.

    Nothing where a single pump is placed, or a pump has no place that holds.
    """
    placed = tuple(first)
    if len(placed) < 2 or not all(outcome.holds for _, outcome in placed):
        return ()
    found = []
    for number, berth in enumerate(item.berth for item in placed[0][1].sound):
        heard = [(pump, outcome.sound[number]) for pump, outcome in placed]
        pump, most = max(heard, key=lambda pair: (pair[1].level, pair[0]))
        level = float(level_sum(np.asarray([item.level for _, item in heard])))
        found.append(Together(berth, pump, level, most.half_width))
    return tuple(found)
