"""Values of uncertain inputs put into several settings at once, so that all run in one call."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from seaflow.base.arrays import Array
from seaflow.model.point import OperatingPoint
from seaflow.model.together import Setting, SideBySide, operate_all, together
from seaflow.studies.design.certainty.inputs import Input

Draw = tuple[Input, Array]


def run_with(
    settings: Sequence[Setting],
    draws: Sequence[Sequence[Draw]],
    boats: Sequence[object] | None = None,
) -> list[OperatingPoint]:
    """Return where each setting runs with the values drawn of it, as many of each as of any.

    `boats` are those of the settings where they are of more than one: inputs of one boat are none
    of another.
    """
    by_boat: dict[int, list[int]] = {}
    for row in range(len(settings)):
        by_boat.setdefault(0 if boats is None else id(boats[row]), []).append(row)
    groups = [
        (rows, group)
        for rows in by_boat.values()
        for group in _drawn([settings[row] for row in rows], [draws[row] for row in rows])
    ]
    found: dict[int, OperatingPoint] = {}
    points = operate_all([(group.loop, group.now) for _, group in groups])
    for (rows, group), point in zip(groups, points, strict=True):
        found |= zip((rows[row] for row in group.rows), group.split(point), strict=True)
    return [found[row] for row in range(len(settings))]


def _drawn(settings: Sequence[Setting], draws: Sequence[Sequence[Draw]]) -> Iterator[SideBySide]:
    widths = [max((values.size for _, values in every), default=1) for every in draws]
    for group in together(settings, widths):
        yield _put_in(group, draws)


def _put_in(group: SideBySide, draws: Sequence[Sequence[Draw]]) -> SideBySide:
    """Return settings side by side with values put in, each input once for all of them."""
    loop, now, size = group.loop, group.now, group.parts[-1].stop
    found: dict[object, Draw] = {}
    for row, part in zip(group.rows, group.parts, strict=True):
        for one, values in draws[row]:
            # one value of the case may move each pump in another way: the volts behind its cable
            key = one.label, one.path and one.apply
            found.setdefault(key, (one, one.neutral(size)))[1][part] = values
    for one, values in found.values():
        loop, now = one.apply(loop, now, values)
    return replace(group, loop=loop, now=now)
