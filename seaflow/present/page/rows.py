"""The run of a loop as rows of a table that a pipe runs through, from the sea to the sea."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.base.facts import amount, fact
from seaflow.present.card import capital
from seaflow.present.page.both import NOTHING, Two, amount_of, said, told
from seaflow.studies.page.run import AIR, RunOfLoop, Stop, Stretch


@dataclass(frozen=True, slots=True)
class StopRow:
    """A thing in the table; `pipe` tells what water goes through its cell, from top to bottom."""

    sign: str
    pipe: str
    number: int
    name: str
    hose: Two
    cells: tuple[tuple[str, Two], ...]


@dataclass(frozen=True, slots=True)
class StretchRows:
    """A stretch of the run: where it leads from and to, where it is a branch, and its things."""

    title: Two
    is_branch: bool
    rows: tuple[StopRow, ...]


def run_rows(run: RunOfLoop) -> Iterator[StretchRows]:
    """Yield the stretches of a run, the joints of branches only where their water mixes."""
    several = len(run.stretches) > 1
    for stretch in run.stretches:
        warm_in = _is_warm(run, stretch.stops[0].temperature if stretch.stops else 0.0)
        rows = tuple(_row(stretch, place, warm_in) for place in range(len(stretch.stops)))
        yield StretchRows(_title(stretch) if several else NOTHING, bool(stretch.start), rows)


def _title(stretch: Stretch) -> Two:
    names = tuple(stop.name for stop in stretch.stops if stop.kind == "unit")
    joints = {"start": stretch.start, "end": stretch.end, "units": names}
    if not stretch.start:
        return said(fact("page.trunk", end=stretch.end))
    if not names:
        return said(fact("page.common_way_out", start=stretch.start))
    kind = "page.branch" if stretch.end else "page.branch_to_sea"
    return said(fact(kind, **joints))


def _is_warm(run: RunOfLoop, temperature: float) -> bool:
    return temperature > run.stretches[0].stops[0].temperature + 0.01


def _row(stretch: Stretch, place: int, warm_in: bool) -> StopRow:
    stop = stretch.stops[place]
    warm = warm_in or any(one.kind == "unit" for one in stretch.stops[:place])
    pipe = "turn" if stop.kind == "unit" and not warm else "warm" if warm else "cold"
    if place == 0 and not stretch.start:
        pipe += " first"
    if place == len(stretch.stops) - 1 and not stretch.end:
        pipe += " last"
    hose = NOTHING
    if stop.hose_length is not None and stop.hose_bore is not None:
        length, bore = amount("length", stop.hose_length), amount("bore", stop.hose_bore)
        hose = told(fact("page.hose_onward", length=length, bore=bore))
    return StopRow(stop.kind, pipe, stop.number, capital(stop.name), hose, tuple(_cells(stop)))


def _cells(stop: Stop) -> Iterator[tuple[str, Two]]:
    yield "Water", _pair("temperature", stop.temperature, stop.temperature_after)
    yield "Gauge, running", _pair("pressure", stop.gauge, stop.gauge_after)
    yield "Gauge, at rest", _at_rest(stop)
    yield "Flow", amount_of("flow", stop.flow)
    yield "Velocity", amount_of("velocity", stop.velocity)
    yield "Height", amount_of("height", stop.height)


def _pair(kind: str, before: float | None, after: float | None) -> Two:
    """Return an amount, and what it becomes at a thing that changes it."""
    if before is None or after is None or abs(after - before) < 1e-3 * max(abs(before), 1.0):
        return amount_of(kind, before)
    values = {"before": amount(kind, before), "after": amount(kind, after)}
    return told(fact("page.then", **values))


def _at_rest(stop: Stop) -> Two:
    if stop.gauge_at_rest is not None:
        return amount_of("pressure", stop.gauge_at_rest)
    if stop.stands == AIR:
        return told(fact("page.outside" if stop.kind == "outlet" else "page.rests_air"))
    return amount_of("pressure", None)
