"""Simulated faulted boats, what their owners read, and how often the diagnosis is right.

Truth, noise of the instruments and inference each have a random stream of their own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.random import RandomState

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.model import point as words
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.faults import nothing
from seaflow.studies.diagnose.hypotheses import (
    NONE,
    healthy_boats,
    listed,
    prior_present,
    with_severity,
)
from seaflow.studies.diagnose.infer import (
    DEFAULT_DRAWS,
    infer,
)
from seaflow.studies.diagnose.next_reading import open_readings
from seaflow.studies.diagnose.predict import chances_of, predicted, trips
from seaflow.studies.diagnose.read_number import TRIP_SPREAD
from seaflow.studies.diagnose.readings import Number, Readings, instruments
from seaflow.studies.diagnose.simulate import (
    CONDITIONS,
    Met,
    clean_shares,
    met_by,
    own_shares,
    run,
)
from seaflow.studies.diagnose.usual import UNUSUAL
from seaflow.studies.diagnose.verdict import ROOM

ROOT = Path(__file__).resolve().parents[2]
THERMOMETER, BUCKET, GAUGE = "thermometer only", "with a bucket", "with amps and a suction gauge"
SETS = (THERMOMETER, BUCKET, GAUGE)
EDGES = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0 + 1e-9)
CONFIDENCE = 0.01  # two-sided, over all bins together
WIDER = 1.5  # severities in the second proof
DRIPS = 0.04  # of the usual stream, which nobody calls one


@dataclass(frozen=True)
class Truth:
    """Boats of one loop with known faults."""

    setup: object
    flotilla: object

    def causes(self, boat: int) -> set[str]:
        """Names of what is wrong with one boat; every set reads the sea, so that is none of it."""
        hypotheses = self.flotilla.hypotheses
        found = {int(hypotheses.first[boat]), int(hypotheses.second[boat])} - {NONE}
        names = {self.setup.faults[number].name for number in found}
        return names - set(CONDITIONS) or {"nothing"}


def setups():
    """Every loop of every shipped case."""
    found = []
    for path in sorted((ROOT / "cases").glob("*.toml")):
        if path.name.endswith(".readings.toml"):
            continue
        case = load_case(str(path)).case
        found += [setup_of(case, loop) for loop in network.loops(case)]
    return found


def by_odds(faults, n_draws: int, stream: RandomState, wider: float = 1.0):
    """Draws by the odds themselves; severities may be `wider` than the table says."""
    starts, others, chances = listed(faults)
    drawn = np.searchsorted(np.cumsum(chances), stream.random_sample(n_draws))
    drawn = np.minimum(drawn, chances.size - 1)
    flat = np.full(n_draws, -np.log(n_draws))
    shares = stream.random_sample((4, n_draws))
    return with_severity(faults, (starts[drawn], others[drawn], flat), shares, wider)


def truths(setup, n_boats: int, seed: int, wider: float = 1.0) -> Truth:
    """Boats drawn by the odds, each with its own coil, strainer, heat, pump and sea."""
    stream = RandomState(seed)
    hypotheses = by_odds(setup.faults, n_boats, stream, wider)
    met = met_by(setup, hypotheses, Readings(), stream)
    return Truth(
        setup, run(setup, hypotheses, met, own_shares(setup, n_boats, seed + 1), Readings())
    )


def readings_at(truth: Truth, boat: int, which: str, stream: RandomState) -> Readings:
    """What an owner reads on one boat; without a stream no thermometer can be held in it."""
    flotilla, places = truth.flotilla, truth.setup.places
    stream_word = _drawn(chances_of(flotilla, "stream"), boat, stream)
    if float(flotilla.point.total_flow()[boat]) <= 0.0:
        stream_word = "none"
    numbers = [_read(flotilla, boat, "sea", "", stream)]
    if stream_word != "none":
        numbers += [_discharge(flotilla, boat, unit, stream) for unit in places.units]
        if which != THERMOMETER:
            numbers += [_read(flotilla, boat, "flow", outlet, stream) for outlet in places.outlets]
    if which == GAUGE:
        numbers += [_read(flotilla, boat, kind, "", stream) for kind in ("amps", "suction")]
    signs = (("stream", "none"),) if stream_word == "none" else ()
    return Readings(tuple(item for item in numbers if item is not None), signs)


def _drawn(chances, boat: int, stream: RandomState) -> str:
    names = list(chances)
    steps = np.cumsum([float(chances[name][boat]) for name in names])
    return names[
        min(int(np.searchsorted(steps / steps[-1], stream.random_sample())), len(names) - 1)
    ]


def _read(flotilla, boat: int, kind: str, place: str, stream: RandomState) -> Number | None:
    noise = stream.standard_normal()
    seen = predicted(flotilla, kind, place)
    if seen is None or not np.isfinite(seen[boat]):
        return None
    value = float(seen[boat])
    deviation = float(instruments()[kind].deviation(abs(value)))
    return Number(kind, place, value + deviation * noise)


def _discharge(flotilla, boat: int, unit: str, stream: RandomState) -> Number:
    """After a trip half of the owners read the water of before it."""
    at = flotilla.point.units[unit]
    tripped = int(at.state[boat]) == words.TRIPS
    early = tripped and stream.random_sample() < 0.5
    found = _read(flotilla, boat, "discharge", unit, stream)
    if not early:
        return found
    coil = next(item for item in flotilla.point.loop.coils if item.unit == unit)
    rate = flotilla.point.water.density * flotilla.point.water.heat_capacity * at.volume_flow
    rate = float(np.broadcast_to(rate, at.volume_flow.shape)[boat])
    heat = coil.machine.rated_capacity + coil.machine.rated_power
    heat = float(np.broadcast_to(heat, at.volume_flow.shape)[boat])
    return replace(
        found,
        value=found.value
        + min(heat / max(rate, 1.0), 40.0)
        + TRIP_SPREAD * stream.standard_normal(),
    )


@dataclass(frozen=True)
class Scored:
    """The answer for one boat: its causes in order with their odds, and what was true."""

    ranked: tuple[tuple[str, float], ...]
    true: frozenset[str]

    def hit(self, n_first: int) -> bool:
        """Tell whether something that is wrong is among the first causes."""
        return any(name in self.true for name, _ in self.ranked[:n_first])


def ranked(posterior) -> tuple[tuple[str, float], ...]:
    """Causes with their odds, likeliest first."""
    names = [fault.name for fault in posterior.flotilla.setup.faults]
    odds = dict(zip(names, posterior.present.tolist(), strict=True))
    odds["nothing"] = posterior.nothing
    return tuple(sorted(odds.items(), key=lambda item: (-item[1], item[0])))


def answers(
    truth: Truth, boat: int, seeds: tuple[int, int], n_draws: int = DEFAULT_DRAWS, which_sets=SETS
):
    """Readings and posterior for each of the three sets of readings."""
    found = {}
    for which in which_sets:
        readings = readings_at(truth, boat, which, RandomState(seeds[0] + boat))
        found[which] = (readings, infer(truth.setup, readings, n_draws, seeds[1]))
    return found


def bins(scored: list[Scored]) -> list[tuple[float, int, float, float, bool]]:
    """For each step of the claim made for the first cause: claims, their mean, hits, agreement."""
    found = []
    claims = np.asarray([item.ranked[0][1] for item in scored])
    hits = np.asarray([item.hit(1) for item in scored], dtype=float)
    used = [
        (low, (claims >= low) & (claims < high))
        for low, high in pairwise(EDGES)
        if ((claims >= low) & (claims < high)).any()
    ]
    for low, where in used:
        n, mean, share = int(where.sum()), float(claims[where].mean()), float(hits[where].mean())
        found.append((low, n, mean, share, agrees(n, int(hits[where].sum()), mean, len(used))))
    return found


def agrees(n: int, hits: int, chance: float, n_bins: int) -> bool:
    """Tell whether this many hits lie inside the binomial interval, corrected for the bins."""
    tail = CONFIDENCE / n_bins / 2.0
    chance = min(max(chance, 1e-9), 1.0 - 1e-9)
    logs = [
        math.lgamma(n + 1)
        - math.lgamma(k + 1)
        - math.lgamma(n - k + 1)
        + k * math.log(chance)
        + (n - k) * math.log(1.0 - chance)
        for k in range(n + 1)
    ]
    terms = [math.exp(value) for value in logs]
    return sum(terms[: hits + 1]) >= tail and sum(terms[hits:]) >= tail


def commonest(setup) -> tuple[str, ...]:
    """Causes by their odds before any reading: the answer of who never measures."""
    odds = dict(
        zip([fault.name for fault in setup.faults], prior_present(setup.faults), strict=True)
    )
    return ("nothing", *sorted(odds, key=lambda name: -odds[name]))


NO_FLOW, LITTLE, USUAL, PLENTY = range(4)  # what the flow is called
LOW_RISE, USUAL_RISE, WARM_RISE, HOT_RISE = range(4)
RISES = (3.5, 9.0, 12.0)  # K; ends of what a rise is called, from common practice
FLOWS = (0.02, 1.5, 4.0)  # US gallons a minute for each ton of the plates; common practice
STRONG_SUCTION = -8000.0  # Pa


def by_tree(setup, readings: Readings) -> tuple[str, ...]:
    """The order that a good technician follows, written by hand: three causes, likeliest first.

    The stream first; then rise and flow together, because little flow with a high rise is a
    restriction, the usual flow with a high rise a thermometer or a plate, and a low rise with the
    usual flow a machine that moves no heat; then amps and suction say where the restriction is.
    """
    rises = [
        item.value - (readings.of("sea") or 0.0)
        for item in readings.numbers
        if item.kind == "discharge"
    ]
    if not rises or ("stream", "none") in readings.signs:
        return _no_stream(setup, readings.of("amps"), readings.of("suction"))
    spread = max(rises) - min(rises)
    if spread > 2.5 and max(rises) > RISES[1]:  # one zone worse: its own branch
        return ("coil_blocked", "branch_kinked", "branch_air")
    if spread > 2.5:  # one zone cooler: its own machine
        return ("not_pumping", "low_refrigerant", "filter")
    return _by_rise_and_flow(setup, readings, max(rises))


def _no_stream(setup, amps: float | None, suction: float | None) -> tuple[str, ...]:
    if amps is None:
        return ("not_commanded", "air_lock", "pump_jammed")
    if amps < 0.05:
        return ("not_commanded", "thermal_cut_out", "set_point")
    if amps > 2.0 * setup.part.power[-1][1] / setup.part.voltage:
        return ("pump_jammed", "air_lock", "strainer")
    if suction is not None and suction < STRONG_SUCTION:
        return ("seacock_shut", "intake_blocked", "seacock_part_shut")
    return ("air_lock", "seacock_shut", "strainer")


def _by_rise_and_flow(setup, readings: Readings, rise: float) -> tuple[str, ...]:
    tons = sum(coil.machine.rated_capacity for coil in setup.built.loop.coils) / 3517.0
    flows = [item.value for item in readings.numbers if item.kind == "flow"]
    rated = int(np.searchsorted(RISES, rise))
    flow = int(np.searchsorted(FLOWS, sum(flows) / 6.309e-5 / tons)) if flows else None
    if rated == LOW_RISE:
        if flow == LITTLE:  # little water that is not even warm
            return ("not_pumping", "low_refrigerant", "leak")
        return ("not_pumping", "low_refrigerant", "filter")
    if rated == USUAL_RISE:
        if flow == LITTLE:  # water is lost before the outlet, or the machine does little too
            return ("leak", "low_refrigerant", "thermometer")
        return ("nothing", "coil_scaled", "strainer")
    if flow is not None and flow >= USUAL:
        if rated == WARM_RISE:  # between the bands: the flow may be a little low
            return ("strainer", "thermometer", "recirculated")
        return ("thermometer", "recirculated", "strainer")
    return _restricted(readings)


def _restricted(readings: Readings) -> tuple[str, ...]:
    """Little flow and a high rise: the gauge before the pump says which side of it."""
    suction = readings.of("suction")
    if suction is None:
        return ("strainer", "seacock_part_shut", "intake_blocked")
    if suction < STRONG_SUCTION:
        return ("strainer", "intake_blocked", "seacock_part_shut")
    return ("pump_worn", "coil_blocked", "delivery_kinked")


def told_by(truth: Truth, boat: int, test, readings: Readings, stream: RandomState) -> Readings:
    """The readings with the outcome that one test has on this boat."""
    if test.kind in instruments():
        found = _read(truth.flotilla, boat, test.kind, test.place, stream)
        more = () if found is None else (found,)
        return replace(readings, numbers=(*readings.numbers, *more))
    word = _drawn(chances_of(truth.flotilla, test.kind), boat, stream)
    return replace(readings, signs=(*readings.signs, (test.kind, word)))


def grown(
    truth: Truth, boat: int, seed: int, n_tests: int, n_draws: int = DEFAULT_DRAWS
) -> list[Scored]:
    """The answers with a thermometer only, and after each next test that is suggested."""
    stream = RandomState(seed)
    readings = readings_at(truth, boat, THERMOMETER, stream)
    true, found = frozenset(truth.causes(boat)), []
    asked: set[tuple[str, str]] = set()
    for _ in range(n_tests + 1):
        posterior = infer(truth.setup, readings, n_draws)
        found.append(Scored(ranked(posterior), true))
        left = [
            test
            for test in open_readings(posterior, readings)
            if (test.kind, test.place) not in asked
        ]
        asked.add((left[0].kind, left[0].place))
        readings = told_by(truth, boat, left[0], readings, stream)
    return found


def beside_healthy(setup, fault: str, severity: float, readings: Readings | None = None):
    """Two boats alike but for one fault of the second, in its smallest unit."""
    number, flat = setup.index(fault), np.zeros(2)
    hypotheses = replace(
        healthy_boats(len(setup.faults), 2),
        first=np.array([NONE, number]),
        severity=np.outer(np.arange(len(setup.faults)) == number, (0.0, severity)),
    )
    shares = clean_shares(setup, np.full((len(setup.inputs) + 1, 2), 0.5))
    met = Met(flat + 27.0, flat + setup.case.supply.voltage, flat)
    return run(setup, hypotheses, met, shares, readings or Readings())


class Ends(NamedTuple):
    """Of boats with one fault, the shares that end in each way; `wet` trip while water comes."""

    trips: float
    wet: float
    dry: float
    normal: float


def ends_of_faults(setup, n_boats: int, seed: int) -> dict[str, Ends]:
    """How boats end by the title of their one fault, healthy ones first, and bad as drawn."""
    kinds = np.repeat(np.arange(-1, len(setup.faults)), n_boats)
    stream = RandomState(seed)
    flat = np.full(kinds.size, -np.log(kinds.size))
    drawn = (kinds, np.full(kinds.size, NONE), flat)
    hypotheses = with_severity(setup.faults, drawn, stream.random_sample((4, kinds.size)))
    met = met_by(setup, hypotheses, Readings(), stream)
    own = own_shares(setup, kinds.size, seed + 1)
    flotilla = run(setup, hypotheses, met, own, Readings())
    rows = (*_ends(flotilla), _reads_normal(flotilla, stream))
    titles = [nothing().title, *(fault.title for fault in setup.faults)]
    return {
        title: Ends(*(float(row[kinds == number - 1].mean()) for row in rows))
        for number, title in enumerate(titles)
    }


def _ends(flotilla):
    """Which boats trip, trip though water comes, and give no stream at an outlet."""
    dry = np.zeros(flotilla.hypotheses.size, dtype=bool)
    for outlet in flotilla.setup.places.outlets:
        stream = predicted(flotilla, "flow", outlet)
        usual = np.median(stream[flotilla.hypotheses.healthy])
        dry = dry | (stream <= DRIPS * usual)
    tripped = trips(flotilla)
    return tripped, tripped & ~dry, dry


def _reads_normal(flotilla, stream: RandomState):
    """Which boats an owner calls normal: no reading is odd by the rule of the verdict."""
    places, healthy = flotilla.setup.places, flotilla.hypotheses.healthy
    tripped, _, dry = _ends(flotilla)
    found = ~tripped & ~dry
    wanted = [("discharge", unit) for unit in places.units]
    wanted += [("flow", outlet) for outlet in places.outlets]
    for kind, place in wanted:
        value = predicted(flotilla, kind, place)
        deviation = instruments()[kind].deviation(np.abs(value))
        seen = value - (flotilla.met.sea if kind == "discharge" else 0.0)
        low, high = np.nanquantile(seen[healthy], (UNUSUAL, 1.0 - UNUSUAL))
        read = seen + deviation * stream.standard_normal(value.size)
        found = found & (read >= low - ROOM * deviation) & (read <= high + ROOM * deviation)
    return found
