"""What a pump must do before water runs: lift it over the highest point with no flow yet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.model.conditions import Conditions
from seaflow.model.drive import running_pump
from seaflow.model.heights import height_of
from seaflow.model.loop import Loop

NOTHING = 1e-3  # m: a run not higher than this lifts nothing
AS_RATED = Conditions(sea_temperature=20.0)  # heads at no flow hang on no sea


@dataclass(frozen=True, slots=True)
class Climb:
    """The way up from the water outside to the highest point whose height is recorded [m].

    The label is empty and the height nought where nothing stands above the water.
    """

    label: str
    height: float
    shut_off_head: float

    @property
    def times(self) -> float | None:
        """How often the shut-off head of the pump goes into the climb; None without one."""
        return self.shut_off_head / self.height if self.height > NOTHING else None


def climb_of(loop: Loop, now: Conditions = AS_RATED) -> Climb:
    """Return the climb of a loop, and the shut-off head its first pump has under `now`.

    Raises
    ------
    SeaflowError
        If the boat heels or trims and a point's place is not known.
    """
    found = [(0.0, "")]
    for link in loop.links:
        for _, _, point in loop.points(link):
            height = height_of(point, now, loop)
            if height is not None:
                found.append((float(np.asarray(height)), point.label))
    height, label = max(found, key=lambda item: loop.height_first(*item))
    pump = running_pump(loop.pumps[0], now)
    shut_off = np.asarray(pump.curve.shut_off_head) * np.asarray(pump.speed) ** 2
    return Climb(label, height, float(np.max(shut_off)))
