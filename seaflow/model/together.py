"""Several settings side by side along the axis of conditions, so that one call runs them all.

A setting is a loop with its conditions. Those that differ in numbers alone, and in which pump turns
the water, are one loop with arrays.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, is_dataclass, replace
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from seaflow.model.conditions import Conditions, axis_length, names_of, take
from seaflow.model.elements import Basket, Pumping, PumpsInTurn
from seaflow.model.loop import Loop
from seaflow.model.operate import operate
from seaflow.model.point import OperatingPoint
from seaflow.physics.heat.refrigerant import Cycle
from seaflow.physics.pumping.pump import Drive
from seaflow.physics.pumping.pump_curve import Knots, KnotsInTurn, PumpCurve

Setting: TypeAlias = tuple[Loop, Conditions]


@dataclass(frozen=True, slots=True, eq=False)
class SideBySide:
    """Settings along one axis: `parts` are the places of each, in `rows` of what was given."""

    loop: Loop
    now: Conditions
    rows: tuple[int, ...]
    parts: tuple[slice, ...]

    def split(self, point: OperatingPoint) -> list[OperatingPoint]:
        """Return the point of each setting, of the point of all."""
        return [point] if len(self.parts) == 1 else [take(point, part) for part in self.parts]


def operate_all(
    settings: Sequence[Setting], widths: Sequence[int] | None = None
) -> list[OperatingPoint]:
    """Return where each setting runs, those that are alike in one call; `widths` as `together`.

    Raises
    ------
    RangeError, SeaflowError
        As `operate`.
    """
    found: dict[int, OperatingPoint] = {}
    for group in together(settings, widths):
        found |= zip(group.rows, group.split(_bare(operate(group.loop, group.now))), strict=True)
    return [
        replace(found[row], loop=loop, conditions=now) for row, (loop, now) in enumerate(settings)
    ]


def _bare(point: OperatingPoint) -> OperatingPoint:
    """Return a point without what it was run with, which need not be cut where that is known."""
    return replace(point, loop=None, conditions=None)  # type: ignore[arg-type]


def together(settings: Sequence[Setting], widths: Sequence[int] | None = None) -> list[SideBySide]:
    """Return settings side by side, as many as are alike in each.

    `widths` tells how long the axis of each is to be; as long as it has to be where they are None.
    """
    groups: dict[Any, list[int]] = {}
    known: dict[int, Any] = {}
    for row, setting in enumerate(settings):
        form = _form(setting, known) if len(settings) > 1 else None
        groups.setdefault(form, []).append(row)
    widths = widths or [axis_length(setting) for setting in settings]
    return [
        _side_by_side(rows, [settings[row] for row in rows], [widths[row] for row in rows])
        for rows in groups.values()
    ]


def as_one(records: Sequence[Any]) -> list[tuple[list[int], Any]]:
    """Return records that differ in numbers alone as one, each with the places of those in it."""
    groups: dict[Any, list[int]] = {}
    known: dict[int, Any] = {}
    for row, record in enumerate(records):
        groups.setdefault(_form(record, known), []).append(row)
    return [
        (rows, _Joining((1,) * len(rows)).joined([records[row] for row in rows]))
        for rows in groups.values()
    ]


def _side_by_side(rows: list[int], settings: list[Setting], widths: list[int]) -> SideBySide:
    ends = np.cumsum(widths).tolist()
    parts = tuple(slice(end - width, end) for end, width in zip(ends, widths, strict=True))
    loop, now = settings[0] if len(rows) == 1 else _Joining(tuple(widths)).joined(settings)
    return SideBySide(loop, now, tuple(rows), parts)


def _form(record: Any, known: dict[int, Any]) -> Any:
    """Return what must be the same in two records for their numbers to stand side by side.

    `known` has the forms of records that several share.
    """
    if id(record) not in known:
        known[id(record)] = _new_form(record, known)
    return known[id(record)]


def _new_form(record: Any, known: dict[int, Any]) -> Any:
    kind = type(record)
    if isinstance(record, (float, np.ndarray)):
        return float
    if kind is tuple:
        return tuple(_form(one, known) for one in record)
    if isinstance(record, Mapping):
        return tuple((name, _form(value, known)) for name, value in record.items())
    if kind is PumpCurve or isinstance(record, Drive):
        return None  # of whatever kind
    if kind in (Cycle, PumpsInTurn):
        return id(record)
    if not is_dataclass(kind):
        return record
    measured = record.measured if kind is Basket else None
    return (kind, measured, *(_form(getattr(record, name), known) for name in names_of(kind)))


@dataclass(frozen=True, slots=True, eq=False)
class _Joining:
    """Joins records of one form; what several share is joined once and stays shared."""

    widths: tuple[int, ...]
    known: dict[tuple[int, ...], Any] = field(default_factory=dict)

    def joined(self, records: Sequence[Any]) -> Any:
        """Return records as one with their numbers side by side."""
        key = tuple(map(id, records))
        if key not in self.known:
            self.known[key] = self._new(records)
        return self.known[key]

    def _new(self, records: Sequence[Any]) -> Any:
        first = records[0]
        if isinstance(first, (float, np.ndarray)) or any(
            type(one) is np.ndarray for one in records
        ):
            return self._numbers(records)
        if all(one is first for one in records) and axis_length(first) == 1:
            return first
        if type(first) is tuple:
            return tuple(map(self.joined, zip(*records, strict=True)))
        if isinstance(first, Mapping):
            return {name: self.joined([one[name] for one in records]) for name in first}
        if isinstance(first, Pumping):
            return self._pumps(records)
        if not is_dataclass(first) or isinstance(first, (Drive, Cycle)):
            return first
        kind: Any = type(first)
        return kind(**self._fields(records, names_of(kind)))

    def _numbers(self, numbers: Sequence[Any]) -> Any:
        if all(type(one) is float for one in numbers):
            if all(one == numbers[0] for one in numbers):
                return numbers[0]
            return np.repeat(numbers, self.widths)
        return self._rows(numbers)

    def _rows(self, numbers: Sequence[Any]) -> NDArray[Any]:
        pairs = zip(numbers, self.widths, strict=True)
        return np.concatenate([np.broadcast_to(one, (width,)) for one, width in pairs])

    def _fields(self, records: Sequence[Any], names: Sequence[str]) -> dict[str, Any]:
        return {name: self.joined([getattr(one, name) for one in records]) for name in names}

    def _pumps(self, pumps: Sequence[Pumping]) -> Pumping:
        kind: Any = type(pumps[0])
        names = [name for name in names_of(kind) if name not in ("curve", "drive")]
        same = self._fields(pumps, names)
        curve = self._curves([pump.curve for pump in pumps])
        drives = {id(pump.drive): pump.drive for pump in pumps}
        if len(drives) == 1:
            return kind(**same, curve=curve, drive=pumps[0].drive)  # type: ignore[no-any-return]
        which = self._rows([list(drives).index(id(pump.drive)) for pump in pumps])
        every = tuple(drives.values())
        return PumpsInTurn(**same, curve=curve, drive=every[0], drives=every, which=which)

    def _curves(self, curves: Sequence[PumpCurve]) -> PumpCurve:
        figures = self._fields(curves, ("shut_off_head", "free_flow", "exponent"))
        knots = list(
            {id(it.knots): it.knots for it in curves if isinstance(it.knots, Knots)}.values()
        )
        if all(curve.knots is curves[0].knots for curve in curves):
            return replace(curves[0], **figures)
        places = {id(one): place for place, one in enumerate(knots)}
        which = self._rows([places.get(id(curve.knots), -1) for curve in curves])
        return replace(curves[0], **figures, knots=KnotsInTurn(tuple(knots), which))
