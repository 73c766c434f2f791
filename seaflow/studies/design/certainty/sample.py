"""Sample a loop, and what the sample says: bands, likelihoods, and which inputs move it most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array, Truths
from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Coil
from seaflow.model.point import COOLING, OFF, OperatingPoint, UnitPoint
from seaflow.studies.design.certainty.by_path import shares_of
from seaflow.studies.design.certainty.draws import sobol_points
from seaflow.studies.design.certainty.inputs import Input, assumed_of, inputs_of
from seaflow.studies.design.certainty.put_in import run_with

LEVELS = (0.05, 0.5, 0.95)  # of every band: nine in ten lie between its ends
N_BINS = 16  # of the draws of one input
FIRST = 3  # inputs that are named
DIGITS = 9  # of a share explained; a difference beyond them is rounding


@dataclass(frozen=True, slots=True, eq=False)
class Sample:
    """The sampled operating points, with the share drawn of each input: (inputs, samples).

    `built` is the loop with everything drawn.
    """

    inputs: tuple[Input, ...]
    shares: Array
    point: OperatingPoint
    built: Built


def sample(case: Case, built: Built, now: Conditions, n_samples: int, seed: int) -> Sample:
    """Return the loop run under `n_samples` draws of all its uncertain inputs.

    `now` gives what is not drawn. The same seed gives the same draws for every pump in a loop, so
    that pumps are compared on the same boats.
    """
    return samples([(case, built, now)], n_samples, seed)[0]


def samples(
    settings: Sequence[tuple[Case, Built, Conditions]], n_samples: int, seed: int
) -> list[Sample]:
    """Return the sample of each of several loops, all run at once."""
    drawn = [drawn_of(case, built, n_samples, seed) for case, built, _ in settings]
    points = run_with(
        [(built.loop, now) for _, built, now in settings],
        [[(one, one.spread.at(row)) for one, row in zip(*every, strict=True)] for every in drawn],
        [case for case, _, _ in settings],
    )
    return [
        Sample(*every, point, replace(built, loop=point.loop))
        for (_, built, _), every, point in zip(settings, drawn, points, strict=True)
    ]


def drawn_of(
    case: Case, built: Built, n_samples: int, seed: int
) -> tuple[tuple[Input, ...], Array]:
    """Return the inputs of a loop, and the shares drawn of each: (inputs, samples)."""
    every, assumed = inputs_of(case, built), assumed_of(case, built)
    known = [item for item in every if item.path is None]
    one_by_one = [item for item in every if item.path is not None]
    # what is assumed or typical is drawn one by one, so that the draws of each hang on no other
    more = [
        sobol_points(1, n_samples, seed, first=len(known) + number)
        for number in range(len(assumed))
    ]
    more += [
        shares_of(case, item.path, n_samples, seed)[np.newaxis] for item in one_by_one if item.path
    ]
    shares = np.concatenate([sobol_points(len(known), n_samples, seed), *more])
    return (*known, *assumed, *one_by_one), shares


def quantiles(values: Array, levels: tuple[float, ...] = LEVELS) -> tuple[float, ...]:
    """Return quantiles of the finite values; nan if there are none."""
    known = values[np.isfinite(values)]
    if not known.size:
        return tuple(float("nan") for _ in levels)
    return tuple(float(item) for item in np.quantile(known, levels))


def weighted_quantiles(values: Array, weight: Array, levels: tuple[float, ...]) -> list[float]:
    """Return at which of these values the weight up to it reaches each level of all weight.

    What has no weight, or is not finite, counts for nothing.
    """
    kept = (weight > 0.0) & np.isfinite(values)
    order = np.argsort(values[kept])
    ordered, upto = values[kept][order], np.cumsum(weight[kept][order])
    places = np.searchsorted(upto, np.asarray(levels) * upto[-1])
    return [float(value) for value in ordered[np.minimum(places, upto.size - 1)]]


@dataclass(frozen=True, slots=True)
class Band:
    """A figure with nine chances in ten: its low and high end, and its middle."""

    name: str
    unit: str
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class UnitCertainty:
    """How sure one unit is of its water over the season."""

    name: str
    bands: tuple[Band, ...] = ()
    keeps_rise: float | None = measured("-", None)
    keeps_running: float | None = measured("-", None)
    keeps_below_velocity: float | None = measured("-", None)


@dataclass(frozen=True, slots=True)
class PumpCertainty:
    """How sure a pump is to be enough, for all units together; `error` is that of the sampling."""

    pump: str
    n_samples: int
    bands: tuple[Band, ...] = ()
    units: tuple[UnitCertainty, ...] = ()
    keeps_rise: float = measured("-", 0.0)
    keeps_running: float = measured("-", 0.0)
    error: float = measured("-", 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Verdicts:
    """For every sample: whether all units keep their rise, and whether all keep running."""

    keeps_rise: Truths
    keeps_running: Truths


def permitted_rise(case: Case, unit: str) -> float:
    """Return the permitted rise of a unit [K]."""
    found = next(item for item in case.unit if item.name == unit)
    return found.permitted_rise or case.design.permitted_rise


def verdicts(case: Case, built: Built, point: OperatingPoint) -> Verdicts:
    """Return which samples hold for all units that are on."""
    rise: Truths = np.ones(point.size, dtype=bool)
    running: Truths = np.ones(point.size, dtype=bool)
    for coil in built.loop.coils:
        unit = point.units[coil.unit]
        off = unit.state == OFF
        runs = _runs(coil, unit)
        running &= runs | off
        rise &= (runs & (unit.temperature_rise <= permitted_rise(case, coil.unit))) | off
    return Verdicts(rise, running)


def _runs(coil: Coil, unit: UnitPoint) -> Truths:
    least = 0.0 if coil.flow_limits[0] is None else coil.flow_limits[0]
    return np.asarray((unit.state == COOLING) & (unit.volume_flow >= least))


def certainty_of(case: Case, built: Built, point: OperatingPoint, pump: str) -> PumpCertainty:
    """Return bands and likelihoods of one pump from its sampled operating points."""
    found = verdicts(case, built, point)
    power = point.total_power()
    first = next(iter(point.pumps.values()))
    return PumpCertainty(
        pump=pump,
        n_samples=point.size,
        bands=bands(
            ("flow", "m3/s", point.total_flow()),
            ("head", "m", first.head * point.loop.pumps_in_a_row),
            ("free_flow_share", "-", first.share_of_free_flow),
            ("power", "W", np.asarray(power)),
        ),
        units=tuple(_unit(case, coil, point.units[coil.unit]) for coil in built.loop.coils),
        keeps_rise=float(found.keeps_rise.mean()),
        keeps_running=float(found.keeps_running.mean()),
        error=standard_error(found.keeps_rise),
    )


def bands(*rows: tuple[str, str, Array]) -> tuple[Band, ...]:
    """Return the band of each figure, given by name and unit, from its samples."""
    values = np.stack([row for _, _, row in rows])
    if np.isfinite(values).all():
        found = np.quantile(values, LEVELS, axis=1).T.tolist()
    else:
        found = [quantiles(row) for row in values]
    return tuple(
        Band(name, unit, *levels) for (name, unit, _), levels in zip(rows, found, strict=True)
    )


def standard_error(holds: Truths) -> float:
    """Return the standard error of a likelihood, as of plain random draws of that number.

    The points are more even than random ones, so the true error is smaller.
    """
    share = float(holds.mean())
    return float(np.sqrt(share * (1.0 - share) / holds.size))


def _unit(case: Case, coil: Coil, unit: UnitPoint) -> UnitCertainty:
    figures = bands(
        ("flow", "m3/s", unit.volume_flow),
        ("rise", "K", np.where(unit.state == COOLING, unit.temperature_rise, np.nan)),
        ("outlet_temperature", "degC", unit.outlet_temperature),
        ("condensing_temperature", "degC", unit.condensing_temperature),
        ("cut_out_margin", "K", unit.cut_out_margin),
        ("compressor_power", "W", np.where(unit.state == COOLING, unit.power, np.nan)),
    )
    on = unit.state != OFF
    if not on.any():
        return UnitCertainty(coil.unit, figures)
    runs = _runs(coil, unit)
    rise = runs & (unit.temperature_rise <= permitted_rise(case, coil.unit))
    slow = slow_enough(case, coil, unit)
    return UnitCertainty(
        name=coil.unit,
        bands=figures,
        keeps_rise=float(rise[on].mean()),
        keeps_running=float(runs[on].mean()),
        keeps_below_velocity=None if slow is None else float(slow.mean()),
    )


def slow_enough(case: Case, coil: Coil, unit: UnitPoint) -> Truths | None:
    """Return in which samples the coil's water stays below the velocity its alloy stands."""
    alloy = next(item.alloy for item in case.unit if item.name == coil.unit)
    velocity = coil.velocity(unit.volume_flow)
    fastest = None if alloy is None else case.catalogue.fastest_water(alloy)[1]
    if velocity is None or fastest is None:
        return None
    return np.asarray(velocity) <= fastest


@dataclass(frozen=True, slots=True)
class Dominant:
    """One input: the share of the answer's variance it explains alone, and how to measure it.

    `flow_low` and `flow_high` are the middle of the flow in its lowest and highest third;
    `enough_low` and `enough_high` how likely the pump is enough there.
    """

    label: str
    source: str | Fact
    measure: str
    explains: float = measured("-")
    flow_low: float = measured("m3/s", 0.0)
    flow_high: float = measured("m3/s", 0.0)
    enough_low: float = measured("-", 0.0)
    enough_high: float = measured("-", 0.0)

    @property
    def swing(self) -> float:
        """How far the likelihood of being enough moves with this input alone."""
        return abs(self.enough_high - self.enough_low)


def dominants(drawn: Sample, answer: Array, enough: Array) -> tuple[Dominant, ...]:
    """Return the inputs that explain most of `answer`, most first.

    The share explained is the first-order sensitivity index, estimated from the given sample by
    the variance of bin means (Plischke, Borgonovo and Smith 2013), less what bins explain by
    chance. Inputs of which so few draws leave a third empty tell nothing.
    """
    explain = explained_shares(drawn.shares, answer)
    found = [
        _one(drawn, number, share, enough)
        for number, share in enumerate(explain)
        if all(third.any() for third in _thirds(drawn.shares[number]))
    ]
    return tuple(sorted(found, key=lambda item: -round(item.explains, DIGITS)))


def _one(drawn: Sample, number: int, explains: float, enough: Array) -> Dominant:
    item, row = drawn.inputs[number], drawn.shares[number]
    flow = drawn.point.total_flow()
    low, high = _thirds(row)
    enough_low, enough_high = moved_by(row, enough)
    return Dominant(
        label=item.label,
        source=item.spread.source,
        measure=item.spread.measure,
        explains=explains,
        flow_low=float(np.median(flow[low])),
        flow_high=float(np.median(flow[high])),
        enough_low=enough_low,
        enough_high=enough_high,
    )


def moved_by(row: Array, answer: Array) -> tuple[float, float]:
    """Return the mean of an answer in the lowest and in the highest third of an input."""
    low, high = _thirds(row)
    return float(answer[low].mean()), float(answer[high].mean())


def _thirds(row: Array) -> tuple[Truths, Truths]:
    """Return where an input is in its lowest and where in its highest third."""
    return row < 1.0 / 3.0, row > 2.0 / 3.0


def explained_share(row: Array, answer: Array, n_bins: int = N_BINS) -> float:
    """Return the share of the variance of `answer` that the input explains alone, 0 to 1."""
    return explained_shares(row[np.newaxis], answer, n_bins)[0]


def explained_shares(rows: Array, answer: Array, n_bins: int = N_BINS) -> list[float]:
    """Return the same for each of several inputs, of the shape (inputs, samples)."""
    total, shape = float(np.var(answer)), (len(rows), n_bins)
    if total <= 0.0:
        return [0.0] * len(rows)
    first = n_bins * np.arange(len(rows))[:, np.newaxis]
    bins = (first + np.minimum((rows * n_bins).astype(int), n_bins - 1)).ravel()
    counts = np.bincount(bins, minlength=first.size * n_bins).reshape(shape)
    sums = np.bincount(bins, np.tile(answer, len(rows)), first.size * n_bins).reshape(shape)
    means = sums / np.maximum(counts, 1)
    between = np.sum(counts * (means - answer.mean()) ** 2, axis=1) / answer.size
    by_chance = (n_bins - 1) / answer.size
    found: list[float] = np.clip((between / total - by_chance) / (1.0 - by_chance), 0, 1).tolist()
    return found
