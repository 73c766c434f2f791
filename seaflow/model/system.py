"""A loop under conditions, put into the arrays that the solver works on.

All pipes of all links are evaluated in one call, and so are all powers, which keeps a single
condition cheap and a block of thousands in the processor's cache. Conditions run along the last
axis.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array, Number, any_of
from seaflow.base.constants import GRAVITY
from seaflow.model.conditions import take
from seaflow.model.losses import Losses, Pipe, Power
from seaflow.physics.flow.friction import friction_factor_and_slope
from seaflow.physics.pumping.pump import PumpCurve, head_and_slope

_T = TypeVar("_T", bound=np.generic)

LEAST_FLOW = 1e-10  # m3/s; below it losses are straight lines, so that no slope is ever zero


@dataclass(frozen=True, slots=True, eq=False)
class RunningPump:
    """A pump as it runs now: its curve with wear and air, and its speed over rated speed."""

    curve: PumpCurve
    speed: Number

    def at(self, where: NDArray[np.intp]) -> RunningPump:
        """Return the pump under the conditions `where` alone."""
        return take(self, where)  # type: ignore[no-any-return]


@dataclass(frozen=True, slots=True, eq=False)
class LinkLosses:
    """What the elements of one link cost, before (`rise`) and after (`fall`) its crest.

    `lift` is the head it takes whatever the flow: the height of an outlet, less the head of a
    scoop. `unrecovered` is the height of the crest above the end of the link where the leg after
    the crest does not run full: then that leg costs at least as much. `held` is what holds a
    crest inside the loop at the pressure of the air.
    """

    rise: tuple[Losses, ...]
    fall: tuple[Losses, ...] = ()
    unrecovered: Number = 0.0
    lift: Number = 0.0
    held: Number = 0.0
    pumps: tuple[RunningPump, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Terms:
    """Pipes and powers of all links stacked, with the link and the side of the crest of each."""

    links: tuple[int, ...]
    falls: tuple[bool, ...]
    first: Array  # pipes: head over f and flow squared; powers: head over flow ** exponent
    second: Array  # pipes: Reynolds number over flow; powers: exponent
    third: Array  # pipes: relative roughness

    def at(self, where: NDArray[np.intp]) -> _Terms:
        columns = (_cut(column, where) for column in (self.first, self.second, self.third))
        return _Terms(self.links, self.falls, *columns)


@dataclass(frozen=True, slots=True, eq=False)
class Paths:
    """The ways through the loop.

    `membership` is a matrix of links by paths; `is_open`, of the shape (paths, conditions or 1),
    tells whether all valves on the path are open.
    """

    membership: Array
    is_open: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class System:
    """Everything the solver needs: losses by link, the paths, and what drives each path."""

    paths: Paths
    quadratic: tuple[Array, ...]  # rise, and fall if there is a crest: (links, conditions or 1)
    pipes: _Terms | None
    powers: _Terms | None
    unrecovered: Array
    lift: Array
    held: Array
    pumps: tuple[tuple[int, RunningPump], ...]
    size: int

    def heads(self, flow: Array) -> tuple[Array, Array]:
        """Return head lost and its slope over flow, by link, less what pumps add.

        `flow` has the shape (links, conditions) and is not negative.
        """
        head, slope, _ = self.heads_and_falls(flow)
        return head, slope

    def heads_and_falls(self, flow: Array) -> tuple[Array, Array, Array]:
        """Return the same, and the head lost after the crest of each link."""
        (head, slope), *after = self._losses(flow)
        fall = np.zeros(flow.shape)
        for fall, fall_slope in after:
            short = fall < self.unrecovered
            head += np.where(short, self.unrecovered, fall)
            slope += np.where(short, 0.0, fall_slope)
        head += self.lift
        head += self.held
        for link, pump in self.pumps:
            given, falling = head_and_slope(pump.curve, flow[link], pump.speed)
            head[link] -= given
            slope[link] -= falling
        return head, slope, fall

    def at(self, where: NDArray[np.intp]) -> System:
        """Return the system of the conditions `where` alone."""
        return replace(
            self,
            paths=replace(self.paths, is_open=_cut(self.paths.is_open, where)),
            quadratic=tuple(_cut(side, where) for side in self.quadratic),
            pipes=None if self.pipes is None else self.pipes.at(where),
            powers=None if self.powers is None else self.powers.at(where),
            unrecovered=_cut(self.unrecovered, where),
            lift=_cut(self.lift, where),
            held=_cut(self.held, where),
            pumps=tuple((number, pump.at(where)) for number, pump in self.pumps),
            size=where.size,
        )

    def _losses(self, flow: Array) -> list[tuple[Array, Array]]:
        """Return head and slope before the crest, and where any link has one, after it."""
        carried = np.maximum(flow, LEAST_FLOW)
        per_flows = [side * carried for side in self.quadratic]
        slopes = [2.0 * per_flow for per_flow in per_flows]
        if self.pipes is not None:
            terms = self.pipes
            through = carried[list(terms.links)]
            factor, bend = friction_factor_and_slope(terms.second * through, terms.third)
            per_flow = factor * through
            per_flow *= terms.first
            bend = bend + 2.0
            bend *= per_flow
            _add(per_flows, slopes, terms, per_flow, bend)
        if self.powers is not None:
            terms = self.powers
            # faster than ** by half; the flow carried is never zero
            per_flow = np.exp((terms.second - 1.0) * np.log(carried[list(terms.links)]))
            per_flow *= terms.first
            _add(per_flows, slopes, terms, per_flow, per_flow * terms.second)
        heads = [per_flow * flow for per_flow in per_flows]
        return list(zip(heads, slopes, strict=True))


def _cut(values: NDArray[_T], where: NDArray[np.intp]) -> NDArray[_T]:
    """Cut an array along its last axis, unless it is one wide and stands for all conditions."""
    return values if values.shape[-1] == 1 else values[..., where]


def _add(heads: list[Array], slopes: list[Array], terms: _Terms, head: Array, slope: Array) -> None:
    for row, (link, fall) in enumerate(zip(terms.links, terms.falls, strict=True)):
        heads[fall][link] += head[row]
        slopes[fall][link] += slope[row]


def assemble(links: Sequence[LinkLosses], paths: Paths, viscosity: Number, size: int) -> System:
    """Return the System of links with these losses, for `size` conditions."""
    sides = [(number, fall) for number in range(len(links)) for fall in (False, True)]
    parts = {(number, fall): _side(links[number], fall) for number, fall in sides}
    pipes = [(side, pipe) for side in sides for part in parts[side] for pipe in part.pipes]
    powers = [(side, power) for side in sides for part in parts[side] for power in part.powers]
    crested = any(link.fall or any_of(link.unrecovered) for link in links)
    quadratic = tuple(
        _rows([sum((part.quadratic for part in _side(link, fall)), 0.0) for link in links])
        for fall in ((False, True) if crested else (False,))
    )
    return System(
        paths=paths,
        quadratic=quadratic,
        pipes=_pipe_terms(pipes, viscosity) if pipes else None,
        powers=_power_terms(powers) if powers else None,
        unrecovered=_rows([link.unrecovered for link in links]),
        lift=_rows([link.lift for link in links]),
        held=_rows([link.held for link in links]),
        pumps=tuple((number, pump) for number, link in enumerate(links) for pump in link.pumps),
        size=size,
    )


def _side(link: LinkLosses, fall: bool) -> tuple[Losses, ...]:
    return link.fall if fall else link.rise


def _rows(values: Sequence[Number]) -> Array:
    """Stack numbers and arrays into one row each, as wide as the widest."""
    rows = np.empty((len(values), max(np.size(value) for value in values)))
    for row, value in zip(rows, values, strict=True):
        row[:] = value
    return rows


def _pipe_terms(pipes: list[tuple[tuple[int, bool], Pipe]], viscosity: Number) -> _Terms:
    """Darcy-Weisbach: head = f L/D v2/2g with v = 4q/(pi D2), each over its flow.

    Pipes in a row of one bore and roughness have one friction factor, and count as one.
    """
    found: list[tuple[tuple[int, bool], list[Number]]] = []
    for side, pipe in pipes:
        bore = pipe.bore
        per_tube = 8.0 / (math.pi**2 * GRAVITY * bore**5) / pipe.n_tubes**2
        first = pipe.length * pipe.multiplier * per_tube
        second = 4.0 / (math.pi * bore * viscosity * pipe.n_tubes)
        third = pipe.roughness / bore
        for other, terms in found:
            if other == side and _same(terms[1], second) and _same(terms[2], third):
                terms[0] = terms[0] + first
                break
        else:
            found.append((side, [first, second, third]))
    columns = zip(*(terms for _, terms in found), strict=True)
    return _terms([side for side, _ in found], *(list(column) for column in columns))


def _same(one: Number, other: Number) -> bool:
    return bool(np.array_equal(one, other))


def _power_terms(powers: list[tuple[tuple[int, bool], Power]]) -> _Terms:
    first = [power.head / power.flow**power.exponent for _, power in powers]
    second = [power.exponent for _, power in powers]
    return _terms([side for side, _ in powers], first, second, [0.0] * len(powers))


def _terms(
    sides: list[tuple[int, bool]], first: list[Number], second: list[Number], third: list[Number]
) -> _Terms:
    links = tuple(number for number, _ in sides)
    falls = tuple(fall for _, fall in sides)
    return _Terms(links, falls, _rows(first), _rows(second), _rows(third))
