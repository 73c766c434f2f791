"""Whether the ranking hangs on the invented forces: with all structure paths louder or quieter."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.measured import measured
from seaflow.studies.place.rank import SHIFT, Outcome, in_order, shifted

__all__ = ["SHIFT", "Sensitivity", "sensitivity"]


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """The places that hold in order, with the structure paths of all places quieter and louder.

    `alone` is the first place if only the path of the place that is first now were louder.
    """

    shift: float = measured("dB")
    quieter: tuple[str, ...] = ()
    louder: tuple[str, ...] = ()
    alone: str = ""
    levels: tuple[float, ...] = measured("dB", ())
    same_order: bool = True
    same_first: bool = True


def sensitivity(outcomes: tuple[Outcome, ...], width: float) -> Sensitivity | None:
    """Return what the ranking does with the structure paths shifted, or None if nobody sleeps."""
    holding = [item for item in outcomes if item.holds]
    if not holding or holding[0].level is None:
        return None
    now = tuple(item.name for item in holding)
    quieter, louder = (
        in_order([shifted(item, shift) for item in holding], width) for shift in (-SHIFT, SHIFT)
    )
    alone = in_order([shifted(holding[0], SHIFT), *holding[1:]], width)
    orders = tuple(tuple(item.name for item in order) for order in (quieter, louder))
    levels = [shifted(holding[0], shift).level or 0.0 for shift in (-SHIFT, SHIFT)]
    return Sensitivity(
        shift=SHIFT,
        quieter=orders[0],
        louder=orders[1],
        alone=alone[0].name,
        levels=tuple(levels),
        same_order=all(order == now for order in orders),
        same_first=all(order[0] == now[0] for order in orders),
    )
