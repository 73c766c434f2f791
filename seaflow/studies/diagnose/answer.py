"""The whole answer of a diagnosis."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.model.first_start import BLEED, NO, NOT_KNOWN
from seaflow.studies.design import judge
from seaflow.studies.design.at_rest import others_in_use, require_in_use
from seaflow.studies.design.cautions import Caution, cautions, named_cautions
from seaflow.studies.design.certainty.draws import DEFAULT_SEED
from seaflow.studies.design.certainty.spreads import spread
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.design.start import first_start
from seaflow.studies.design.which_pump import AskedPump, full_supply, judged_with, picked_loop
from seaflow.studies.diagnose.agreement import (
    HeatCheck,
    contradictions,
    heat_check,
    refuse_unseen,
    unlike_any,
    untold_outlets,
    warm_sea,
)
from seaflow.studies.diagnose.description import HEALTHY, Undescribed, undescribed
from seaflow.studies.diagnose.doubts import pump_is_told
from seaflow.studies.diagnose.faults import NOTHING, nothing, odds, possible_faults
from seaflow.studies.diagnose.hypotheses import NONE, listed, prior_present
from seaflow.studies.diagnose.impossible import water_comes
from seaflow.studies.diagnose.infer import DEFAULT_DRAWS, Posterior, infer
from seaflow.studies.diagnose.look import LOAD, Look, in_words, looks, seen_at, wants_load
from seaflow.studies.diagnose.next_reading import NextReading, first_readings, open_readings
from seaflow.studies.diagnose.own_boat import OwnBoat, coils_apart
from seaflow.studies.diagnose.readings import Readings
from seaflow.studies.diagnose.simulate import Setup
from seaflow.studies.diagnose.trend import Trend
from seaflow.studies.diagnose.usual import TRIPPED, WET, low_volts
from seaflow.studies.diagnose.verdict import (
    BUCKET_OR_LEAK,
    NORMAL,
    SEA_UNREAD,
    STOP,
    WATCH,
    Verdict,
    stop_if,
    verdict_of,
)

USUAL = Sampling(DEFAULT_DRAWS, DEFAULT_SEED)
SHOWN = 6  # causes
# What a verdict may rest on that readings of no boat of the plan do not bear.
LESS_URGENT = ("diagnose.as_healthy", "diagnose.as_at_part_load", "diagnose.unlike_healthy")
ROUGH = fact("diagnose.rough")
DOUBTS = ("diagnose.coarser", ROUGH.kind)  # of the odds, for few boats read so
VOLTS_DOUBTED = "diagnose.volts_doubted"
FALLS_SHORT = {judge.TIGHT: "diagnose.pump_is_tight", judge.NO: "diagnose.pump_will_not_do"}
LEAST_SHOWN = 0.03
DONE = 2  # causes for which it is said what to do
OF_ANY_WORK = ("flooding", "dry_running", "shut_delivery", "rules")
ALIKE = 0.8  # of a factor in e by which readings must favour a cause to tell it from another


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause with its odds; nothing wrong is one of them. `do` is what to do about it."""

    name: str
    title: str
    odds: Fact
    chance: float = measured("-")
    before: float = measured("-", 0.0)
    do: str = ""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two faults together."""

    titles: tuple[str, str]
    chance: float = measured("-")


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What is wrong with one loop, as far as the readings tell.

    `looks` are the places to look at, in order; `read_first` what must be read before they count;
    `alike` the titles of one or two causes each that the readings favour as much as the first;
    `astray` how likely it is that no boat of this plan explains the numbers; `undescribed` what the
    answer loses where the boat was not described, and `pump_told` whether the pump is hers.
    """

    boat: str
    loop: str
    pump: str
    why_pump: Fact
    pump_told: bool
    n_readings: int
    verdict: Verdict
    looks: tuple[Look, ...]
    stop_if: Fact | None
    read_first: tuple[NextReading, ...]
    causes: tuple[Cause, ...]
    pairs: tuple[Pair, ...]
    alike: tuple[tuple[str, ...], ...]
    heat: HeatCheck | None
    next_reading: NextReading | None
    n_draws: int
    effective: float = measured("-")
    coarser: float = measured("-", 1.0)
    astray: float = measured("-", 0.0)
    undescribed: Undescribed | None = None
    from_baseline: int = 0
    trends: tuple[Trend, ...] = ()
    other_loops: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    mode: str = "cooling"
    notes: tuple[Fact, ...] = ()
    basis: tuple[Fact, ...] = ()


def setup_of(
    case: Case, network: Network, mode: str = "cooling", asked: AskedPump | None = None
) -> Setup:
    """Return a loop with the pump fitted, or else the one that size recommends.

    `asked` is a pump that is judged already, to be taken instead.

    Raises
    ------
    SeaflowError
        If no pump fits the supply, or every unit of the loop is switched off.
    """
    require_in_use(case, network)
    case = case.on_supply_of(network.pumps[0])
    built, part, why = picked_loop(case, network, None, asked)
    faults = possible_faults(case, built, mode)
    return Setup(case, built, network.pumps[0], part, faults, why)


def posterior_of(
    setup: Setup, readings: Readings, sampling: Sampling, own: OwnBoat | None = None
) -> Posterior:
    """Return the odds after the readings; `own` is what earlier readings told of the boat."""
    shares = None if own is None else own.drawn(sampling.n_samples, sampling.seed + 1)
    return infer(setup, readings, sampling.n_samples, sampling.seed, shares)


def diagnose(
    setup: Setup,
    readings: Readings,
    sampling: Sampling = USUAL,
    own: OwnBoat | None = None,
) -> Diagnosis:
    """Return verdict, causes, the next test and the cautions for these readings.

    Raises
    ------
    SeaflowError
        If no boat of this plan gives one of the readings.
    """
    readings = _believed(setup, readings)
    posterior = refuse_unseen(posterior_of(setup, readings, sampling, own), readings)
    found = causes(posterior, readings)
    verdict = _told(verdict_of(posterior, readings), unlike_any(posterior, readings), readings)
    places = looks(posterior, setup.part.kind, readings, verdict.word == STOP)
    wanted = _next_reading(posterior, readings, verdict, places)
    return Diagnosis(
        boat=setup.case.boat.name,
        loop=setup.built.network.name,
        pump=setup.part.name,
        why_pump=setup.why,
        pump_told=pump_is_told(setup.case, setup.built),
        n_readings=readings.count,
        verdict=verdict,
        looks=places,
        stop_if=stop_if(verdict, readings),
        read_first=_first_of_all(verdict, readings),
        causes=tuple(found[:SHOWN]),
        pairs=_pairs(posterior),
        alike=_alike(posterior, found) if not readings.is_empty else (),
        heat=heat_check(posterior, readings),
        next_reading=wanted,
        n_draws=posterior.flotilla.hypotheses.size,
        mode=readings.mode,
        effective=posterior.effective,
        coarser=posterior.wider,
        astray=posterior.astray,
        undescribed=_undescribed(posterior, readings, sampling, own),
        from_baseline=0 if own is None else own.n_readings,
        other_loops=others_in_use(setup.case, setup.built.network.name),
        cautions=_cautions_of(setup, found, (*places, *filter(None, [wanted]))),
        notes=tuple(_notes(setup, posterior, readings, verdict)),
        basis=tuple(_basis(own, verdict, posterior)),
    )


def _undescribed(
    posterior: Posterior, readings: Readings, sampling: Sampling, own: OwnBoat | None
) -> Undescribed | None:
    shares = None if own is None else own.drawn(HEALTHY, sampling.seed + 1)
    return None if readings.is_empty else undescribed(posterior, readings, shares, sampling.seed)


def _believed(setup: Setup, readings: Readings) -> Readings:
    """Return the readings without volts at which no such pump turns, where water comes: they are
    asked for again.
    """
    volts = readings.of("volts")
    if volts is None or not stands_still(setup, volts) or not water_comes(readings):
        return readings
    rest = tuple(item for item in readings.numbers if item.kind != "volts")
    doubted = fact(VOLTS_DOUBTED, volts=amount("voltage", volts))
    return replace(readings, numbers=rest, assumed=(*readings.assumed, doubted))


def stands_still(setup: Setup, volts: float) -> bool:
    """Tell whether no pump of this kind turns at these volts."""
    least = setup.part.minimum_voltage
    return least is not None and volts < spread("least_volts").low * least


def _told(verdict: Verdict, unlike: Fact | None, readings: Readings) -> Verdict:
    """Return the verdict with that no boat reads so, unless something more urgent is told.

    Volts that cannot have been are read again too, before the boat is called healthy.
    """
    doubted = next((one for one in readings.assumed if one.kind == VOLTS_DOUBTED), None)
    if verdict.word == NORMAL and doubted is not None:
        return replace(verdict, word=WATCH, why=doubted, unseen=None)
    if unlike is None or verdict.why.kind not in LESS_URGENT:
        return verdict
    return replace(verdict, word=WATCH if verdict.word == NORMAL else verdict.word, why=unlike)


def _next_reading(
    posterior: Posterior, readings: Readings, verdict: Verdict, places: tuple[Look, ...]
) -> NextReading | None:
    """Return the reading that tells most; where all is normal nothing happens at any time.

    It is none that is seen at a place which is told with it. Where water is missing by one bucket
    alone it is the bilge, which a minute settles. Else it is the load as long as that is not told
    and the place of a machine is among the first. Where all is stopped it is none that takes a
    pump or unit that runs.
    """
    passed = {"when"} if verdict.word == NORMAL else seen_at(posterior, verdict, places)
    found = [one for one in open_readings(posterior, readings) if one.kind not in passed]
    if verdict.word == STOP:
        found = [one for one in found if not one.running]
    elif verdict.why.kind == BUCKET_OR_LEAK:
        return next(one for one in found if one.kind == WET[0])
    elif wants_load(places, readings):
        return next(one for one in found if one.kind == LOAD)
    return next((one for one in found if one.helps), None)


def general_cautions(pump: str) -> tuple[Caution, ...]:
    """Return the cautions of any work on a loop with such a pump."""
    return named_cautions(OF_ANY_WORK, [pump])


def _cautions_of(
    setup: Setup, found: list[Cause], named: Iterable[Look | NextReading]
) -> tuple[Caution, ...]:
    """Return the cautions of any work, of the first causes, and of what else is named."""
    pump = setup.part.kind
    told = [*general_cautions(pump), *(item for one in named for item in one.cautions)]
    rows = {fault.name: fault.cautions for fault in setup.faults}
    for cause in found[:DONE]:
        told += named_cautions(rows.get(cause.name, ()), [pump])
    titles = {item.title for item in (*told, *named_cautions(["high_voltage"]))}
    every = cautions("diagnose", [pump], setup.case.high_voltage)
    return tuple(item for item in every if item.title in titles)


def _notes(
    setup: Setup, posterior: Posterior, readings: Readings, verdict: Verdict
) -> Iterator[Fact]:
    yield from (one for one in readings.assumed if one != verdict.why)
    low = low_volts(posterior, readings)
    if low is not None and low not in verdict.reasons:
        yield low
    others = untold_outlets(setup, readings)
    if others and verdict.word != NORMAL:
        yield fact("diagnose.other_outlets", outlets=others)
    if verdict.word == NORMAL and readings.mode == "cooling":
        yield from _falls_short(setup)
    yield from _start(setup)
    yield from warm_sea(posterior, readings)
    yield from contradictions(posterior, readings)


def _falls_short(setup: Setup) -> Iterator[Fact]:
    """Yield that the pump aboard is not enough, so that healthy readings are no good news."""
    names = {place.fitted for place in setup.built.network.pumps}
    if names == {setup.part.name}:
        judged = judged_with(setup.case, setup.built.network, setup.part)
        kind = FALLS_SHORT.get(judged.result.judgement.grade)
        yield from () if kind is None else (fact(kind),)


def _start(setup: Setup) -> Iterator[Fact]:
    """Yield why a boat of this plan does not get her water moving by herself, if she does not."""
    case, built = setup.case, setup.built
    start = first_start(case, built, setup.part, full_supply(case, built.network, setup.part))
    kind = {NO: "diagnose.start_fails", BLEED: "diagnose.start_needs_bleeding"}.get(start.outcome)
    if kind is not None:
        yield from (fact(kind, reason=said) for said in start.reasons)
    if start.outcome == NOT_KNOWN:
        yield fact("diagnose.start_not_known", things=start.missing)
    for said, _ in start.on_a_tack:
        yield fact("diagnose.start_on_a_tack", reason=said)


def _basis(own: OwnBoat | None, verdict: Verdict, posterior: Posterior) -> Iterator[Fact]:
    """Yield what the answer rests on."""
    yield fact("diagnose.simulated", count=posterior.flotilla.hypotheses.size)
    if own is not None:
        yield fact("diagnose.stored", count=own.n_readings)
        yield from coils_apart(own)
    if posterior.flotilla.boats.now.mode == "heating" and verdict.to_ice is None:
        yield fact("diagnose.no_heating_plate")
    if posterior.wider > 1.0:
        yield fact("diagnose.coarser", factor=posterior.wider)
    elif posterior.is_rough and verdict.word != STOP:
        yield ROUGH


def causes(posterior: Posterior, readings: Readings) -> list[Cause]:
    """Return the causes worth telling, the likeliest first; nothing wrong is one of them."""
    before = prior_present(posterior.flotilla.setup.faults)
    found = [
        Cause(
            fault.name,
            fault.title,
            in_words(chance),
            float(chance),
            float(before[number]),
            fault.do,
        )
        for number, (fault, chance) in enumerate(
            zip(posterior.flotilla.setup.faults, posterior.present, strict=True)
        )
    ]
    none, healthy = nothing(), posterior.nothing
    do = none.do_after_trip if TRIPPED in readings.signs else none.do
    found.append(Cause(NOTHING, none.title, in_words(healthy), healthy, odds().nothing, do))
    found.sort(key=lambda cause: (-cause.chance, cause.name))
    return [cause for cause in found if cause.chance >= LEAST_SHOWN] or found[:1]


def _pairs(posterior: Posterior) -> tuple[Pair, ...]:
    faults = posterior.flotilla.setup.faults
    ordered = sorted(posterior.pairs().items(), key=lambda item: -item[1])
    return tuple(
        Pair((faults[first].title, faults[second].title), chance)
        for (first, second), chance in ordered[:2]
        if chance >= LEAST_SHOWN
    )


def _alike(posterior: Posterior, found: list[Cause]) -> tuple[tuple[str, ...], ...]:
    """Return the titles of the likeliest cause and of those that the readings favour as much."""
    support = posterior.mean_support()
    names = [fault.name for fault in posterior.flotilla.setup.faults] + [NOTHING]
    first = support[names.index(found[0].name)]
    same: list[tuple[str, ...]] = [
        (cause.title,)
        for cause in found[:SHOWN]
        if abs(support[names.index(cause.name)] - first) < ALIKE
    ]
    same += _pairs_alike(posterior, float(first))
    return tuple(same) if len(same) > 1 else ()


def _pairs_alike(posterior: Posterior, first: float) -> list[tuple[str, str]]:
    """Return the likely pairs that the readings favour at least as much as the first cause."""
    faults = posterior.flotilla.setup.faults
    starts, others, chances = listed(faults)
    weights = posterior.by_hypothesis
    both = np.flatnonzero((others != NONE) & (weights >= LEAST_SHOWN))
    kept = [k for k in both if np.log(weights[k] / chances[k]) > first - ALIKE]
    kept = sorted(kept, key=lambda k: -weights[k])[:2]
    return [(faults[starts[k]].title, faults[others[k]].title) for k in kept]


def _first_of_all(verdict: Verdict, readings: Readings) -> tuple[NextReading, ...]:
    """Return what must be read before causes count: the sea alone where only that is missing."""
    if not verdict.tells_nothing:
        return ()
    return first_readings(readings)[: 1 if verdict.why == SEA_UNREAD else None]
