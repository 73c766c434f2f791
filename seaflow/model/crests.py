"""Where a run has a crest after the pump, and what the leg after it gives back.

A leg that runs full works as a siphon and gives its height back; one with air in it, or with a
vent, does not, and then the crest is the height the pump must reach.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Number, any_of, ratio
from seaflow.base.constants import HAIR
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Element, HoseRun, Pumping
from seaflow.model.heights import height_of
from seaflow.model.loop import Link, Loop
from seaflow.model.losses import Losses
from seaflow.physics.flow.runs import clearing_froude_number, flow_to_run_full, froude_number


@dataclass(frozen=True, slots=True, eq=False)
class Crest:
    """The highest point of a link after its pump, or the junction that it starts at.

    `element` and `share` place it in the link, -1 before its first; `height` is its own and
    `above` its height over the end of the link [m]; `bore` is the widest bore after it, and
    `vented` forbids a siphon; `clearing` multiplies the velocity at which the leg runs full.
    All but the label may be arrays: as the boat heels, another point may become the highest.
    """

    label: str
    element: int | NDArray[np.int_]
    share: Number
    height: Number
    above: Number
    bore: Number
    vented: bool | NDArray[np.bool_]
    clearing: Number

    def runs_full(self, volume_flow: Number) -> NDArray[np.bool_]:
        """Return whether the leg after the crest runs full at these flows, or there is no crest.

        A leg may have a crest on one tack only.
        """
        velocity = 4.0 * np.asarray(volume_flow) / (np.pi * self.bore**2)
        least = np.asarray(self.clearing) * clearing_froude_number()
        clears = np.asarray(froude_number(velocity, self.bore) >= least)
        return np.asarray((clears & ~np.asarray(self.vented)) | (self.above <= HAIR))

    def fills_at(self) -> float | None:
        """Return the least flow at which the leg after the crest runs full [m3/s]; None if never.

        Of an array of conditions, the worst counts.
        """
        if np.any(self.vented):
            return None
        return float(flow_to_run_full(float(np.max(self.bore))))

    def sits_at(self, element: int, share: float) -> NDArray[np.bool_]:
        """Return whether this point of the link is the crest."""
        return np.asarray((np.asarray(self.element) == element) & (np.asarray(self.share) == share))


def find_crest(loop: Loop, link: Link, now: Conditions, after_pump: bool) -> Crest | None:
    """Return the crest of a link, or None where nothing stands above its end.

    `after_pump` tells that the water has passed a pump before it enters the link. Of points of one
    height the last is the crest: the water must be pushed as far.
    """
    first = _first_after_pump(link, after_pump)
    end = _end_level(loop, link, now)
    if first is None or end is None:
        return None
    places, heights = [], []
    for index, share, point in loop.points(link):
        height = height_of(point, now, loop) if index >= first else None
        if height is not None:
            places.append((index, share, point.label))
            heights.append(np.asarray(height, dtype=float))
    if not heights:
        return None
    places.reverse()
    levels = np.stack(np.broadcast_arrays(*heights[::-1]))
    top = levels.max(axis=0)
    above = np.maximum(top - end, 0.0)
    if not any_of(above > HAIR):
        return None
    best = (levels >= top - HAIR).argmax(axis=0)
    after = [link.elements[max(index, 0) :] for index, _, _ in places]
    bores = [_widest(rest, rest[0].bore) for rest in after]
    vents = [any(element.name in loop.vented for element in rest) for rest in after]
    return Crest(
        label=places[int(np.ravel(best)[0])][2],
        element=_picked([index for index, _, _ in places], best),
        share=_picked([share for _, share, _ in places], best),
        height=top,
        above=above,
        bore=_picked(bores, best),
        vented=_picked(vents, best),
        clearing=now.clearing,
    )


def _picked(values: Sequence[Any], best: NDArray[np.intp]) -> Any:
    """Return the value of the best place, one by one where that changes."""
    first = int(np.ravel(best)[0])
    if np.all(best == first):
        return values[first]
    width = max((np.shape(value)[-1] for value in values if np.ndim(value)), default=1)
    rows = np.stack([np.broadcast_to(value, (width,)) for value in values])
    return rows[best, np.arange(best.size) if width > 1 else 0]


def _first_after_pump(link: Link, after_pump: bool) -> int | None:
    pumps = [index for index, item in enumerate(link.elements) if isinstance(item, Pumping)]
    if pumps:
        return pumps[-1]
    return -1 if after_pump else None


def _end_level(loop: Loop, link: Link, now: Conditions) -> Number | None:
    """Return the level to which the link falls: the outlet, or the water outside if higher."""
    if link.to_sea:
        point = link.elements[-1].point
        height = None if point is None else height_of(point, now, loop)
        return None if height is None else np.maximum(height, 0.0)
    node = loop.node_point(link.end)
    return None if node is None else height_of(node, now, loop)


def _widest(after: tuple[Element, ...], otherwise: Number) -> Number:
    bores = [item.bore for item in after if isinstance(item, HoseRun)] or [otherwise]
    widest = bores[0]
    for bore in bores[1:]:
        widest = np.maximum(widest, bore)
    return widest


def split_losses(
    link: Link, losses: Sequence[Losses], crest: Crest | None
) -> tuple[tuple[Losses, ...], tuple[Losses, ...]]:
    """Return the losses before and after the crest; a hose with the crest in it is cut there."""
    if crest is None:
        return tuple(losses), ()
    rise: list[Losses] = []
    fall: list[Losses] = []
    element, share = np.asarray(crest.element), np.asarray(crest.share)
    stays = not (element.ndim or share.ndim)  # the same point in all conditions
    for index, (item, here) in enumerate(zip(link.elements, losses, strict=True)):
        if stays and (index != element or share <= 0.0):
            (rise if index <= element else fall).append(here)
            continue
        before = (index <= element).astype(float)
        cut = (index == element) & (share > 0.0)
        pipe = np.where(cut, share, before)
        other = np.where(cut, 1.0 - _at_end(item, here), before) if any_of(cut) else before
        if any_of(before > 0.0):
            rise.append(_part(here, pipe, other))
        if any_of(pipe < 1.0):
            fall.append(_part(here, 1.0 - pipe, 1.0 - other))
    return tuple(rise), tuple(fall)


def _at_end(item: Element, losses: Losses) -> Number:
    """Return the share of the fittings that lies at the far end of a hose: its second barb.

    The bends of a hose that is cut count before the crest, where they cost most.
    """
    if not isinstance(item, HoseRun) or len(item.barb_bores) < 2:
        return 0.0
    return ratio(item.barb(-1), losses.quadratic, 0.0)


def _part(losses: Losses, pipe_share: Array, other_share: Array) -> Losses:
    """Return a part of the losses, of pipes and of all else."""
    if np.all(pipe_share == 1.0):
        return losses
    return Losses(
        losses.quadratic * other_share,
        tuple(replace(pipe, length=pipe.length * pipe_share) for pipe in losses.pipes),
        tuple(replace(power, head=power.head * other_share) for power in losses.powers),
    )
