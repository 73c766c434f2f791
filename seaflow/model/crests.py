"""Where a run has a crest after the pump, and what the leg after it gives back.

A leg that runs full works as a siphon and gives its height back; one with air in it, or with a
vent, does not, and then the crest is the height the pump must reach.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Number
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Element, HoseRun, Point, Pumping
from seaflow.model.heights import height_of
from seaflow.model.loop import Link, Loop
from seaflow.model.losses import Losses, Pipe
from seaflow.physics.runs import clearing_froude_number, froude_number

LEAST_CREST = 1e-6  # m above the end of the link; less is no crest


@dataclass(frozen=True, slots=True, eq=False)
class Crest:
    """The highest point of a link after its pump.

    `element` and `share` place it in the link; `height` is its own and `above` its height over
    the end of the link [m]; `bore` is the widest bore after it, and `vented` forbids a siphon.
    """

    label: str
    element: int
    share: float
    height: Number
    above: Number
    bore: Number
    vented: bool

    def runs_full(self, volume_flow: Number) -> NDArray[np.bool_]:
        """Return whether the leg after the crest runs full at these flows."""
        if self.vented:
            return np.zeros(np.shape(volume_flow), dtype=bool)
        velocity = 4.0 * np.asarray(volume_flow) / (np.pi * self.bore**2)
        return np.asarray(froude_number(velocity, self.bore) >= clearing_froude_number())


def find_crest(loop: Loop, link: Link, now: Conditions, after_pump: bool) -> Crest | None:
    """Return the crest of a link, or None where nothing stands above its end.

    `after_pump` tells that the water has passed a pump before it enters the link.
    """
    first = _first_after_pump(link, after_pump)
    if first is None:
        return None
    found: tuple[float, int, float, Point, Number] | None = None
    for index, share, point in link.points():
        height = height_of(point, now, loop) if index >= first else None
        if height is not None and (found is None or float(np.mean(height)) > found[0]):
            found = (float(np.mean(height)), index, share, point, height)
    end = _end_level(loop, link, now)
    if found is None or end is None:
        return None
    _, index, share, point, height = found
    above = np.maximum(np.asarray(height - end, dtype=float), 0.0)
    if not np.any(above > LEAST_CREST):
        return None
    after = link.elements[index:]
    return Crest(
        label=point.label,
        element=index,
        share=share,
        height=height,
        above=above,
        bore=_widest(after, link.elements[index].bore),
        vented=any(element.name in loop.vented for element in after),
    )


def _first_after_pump(link: Link, after_pump: bool) -> int | None:
    pumps = [index for index, item in enumerate(link.elements) if isinstance(item, Pumping)]
    if pumps:
        return pumps[-1]
    return 0 if after_pump else None


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
    link: Link, losses: list[Losses], crest: Crest | None
) -> tuple[tuple[Losses, ...], tuple[Losses, ...]]:
    """Return the losses before and after the crest; a hose with the crest in it is cut there."""
    if crest is None:
        return tuple(losses), ()
    rise, fall = losses[: crest.element], losses[crest.element + 1 :]
    here = losses[crest.element]
    if crest.share > 0.0:
        rise.append(_part(here, crest.share, with_fittings=True))
        fall.insert(0, _part(here, 1.0 - crest.share, with_fittings=False))
    else:
        rise.append(here)
    return tuple(rise), tuple(fall)


def _part(losses: Losses, share: float, with_fittings: bool) -> Losses:
    pipes: tuple[Pipe, ...] = tuple(
        replace(pipe, length=pipe.length * share) for pipe in losses.pipes
    )
    return Losses(losses.quadratic if with_fittings else 0.0, pipes, losses.powers)
