"""Whether readings agree with the plan, with each other and with the heat of the plates."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.boat.network import upstream
from seaflow.model.elements import Coil
from seaflow.physics.water.seawater import seawater
from seaflow.studies.diagnose.impossible import question
from seaflow.studies.diagnose.infer import Posterior, log_likelihood
from seaflow.studies.diagnose.predict import log_of_sign, predicted
from seaflow.studies.diagnose.read_number import LEAST_LOG, log_of_number
from seaflow.studies.diagnose.readings import (
    Number,
    Readings,
    instruments,
    number_read,
    sign_read,
)
from seaflow.studies.diagnose.simulate import Setup
from seaflow.studies.diagnose.usual import at_part_load
from seaflow.studies.diagnose.values import plain

MET = ("sea", "volts")  # the boats are drawn to meet these two
UNLIKE = 0.3  # how likely readings are of another boat than the plan's, from which it is said
# How likely the reading that a boat misses most is on her, over how likely it can be, in the mean
# of boats by their odds; on how many of these another one is it, which is then named too: own
# choices.
RARE, OFTEN = 0.05, 0.1
LEAST_OVER = 0.3  # K over the design sea, below which nothing is said; own choice
ALLOWED = 0.25  # of the plate heat; common practice, no source


@dataclass(frozen=True, slots=True)
class HeatCheck:
    """The heat that the readings carry overboard, beside that of the plates."""

    agrees: bool
    says: Fact
    found: float = measured("W")
    plate: float = measured("W")


@dataclass(frozen=True, slots=True, eq=False)
class _Item:
    says: Fact
    log: Array


def refuse_unseen(posterior: Posterior, readings: Readings) -> Posterior:
    """Return the odds as they are, unless no boat shows one of the numbers, faulty or healthy.

    Raises
    ------
    SeaflowError
        With a question back about the first such reading.
    """
    flotilla = posterior.flotilla
    for item in readings.numbers:
        seen = None if item.kind in MET else predicted(flotilla, item.kind, item.place)
        if seen is None or float(log_of_number(flotilla, item).max()) > LEAST_LOG:
            continue
        instrument = instruments()[item.kind]
        of = (instrument.unit, item.kind)
        place = f' at "{item.place}"' if item.place else ""
        what = f"{instrument.title}{place} of {plain(item.value, *of)}"
        known = seen[np.isfinite(seen)]
        ends = [plain(float(end), *of) for end in (known.min(), known.max())] if known.size else []
        raise question(
            f"{what} cannot be explained",
            "Boats of this plan, healthy or with any fault listed, read " + " to ".join(ends) + "."
            if ends
            else "No boat of this plan gives such a reading while its units run.",
        )
    return posterior


def contradictions(posterior: Posterior, readings: Readings) -> tuple[Fact, ...]:
    """Return which readings do not go with another one, or with all others.

    They do not where hardly a boat of the likely causes bears all: each is held to how well a boat
    of the plan can show it at all. Where some miss the one and some the other, the two disagree.
    """
    flotilla = posterior.flotilla
    items = [
        _Item(number_read(number), log_of_number(flotilla, number, posterior.wider))
        for number in readings.numbers
        if number.kind not in MET and predicted(flotilla, number.kind, number.place) is not None
    ]
    items += [
        _Item(sign_read(kind, word), log_of_sign(flotilla, kind, word, readings.place_of(kind)))
        for kind, word in readings.signs
    ]
    items += [
        _Item(sign_read("stream", word, place), log_of_sign(flotilla, "stream", word, place))
        for place, word in readings.streams
    ]
    if len(items) < 2:
        return ()
    missed = np.stack([item.log - float(item.log.max()) for item in items])
    if float(posterior.weight @ np.exp(missed.min(axis=0))) > RARE:
        return ()
    worst = np.bincount(missed.argmin(axis=0), weights=posterior.weight, minlength=len(items))
    first, second = np.argsort(-worst, kind="stable")[:2]
    if len(items) == 2 or worst[second] >= OFTEN:
        both = {"one": items[first].says, "other": items[second].says}
        return (fact("diagnose.two_disagree", **both),)
    return (fact("diagnose.one_disagrees", one=items[first].says),)


def warm_sea(posterior: Posterior, readings: Readings) -> tuple[Fact, ...]:
    """Return that the sea is warmer than the design sea, where it was read."""
    sea, design = readings.of("sea"), posterior.flotilla.setup.case.sea.warmest
    if sea is None or sea <= design + LEAST_OVER or readings.mode != "cooling":
        return ()
    above = amount("rise", sea - design)
    return (fact("diagnose.warm_sea", above=above, design=amount("temperature", design)),)


def heat_check(posterior: Posterior, readings: Readings) -> HeatCheck | None:
    """Return whether flow times rise is the heat of the plates.

    None where flow, sea and discharge were not all read.
    """
    setup = posterior.flotilla.setup
    sea, loop = readings.of("sea"), setup.built.loop
    if sea is None or readings.mode != "cooling":
        return None
    water = seawater(sea, setup.case.sea.salinity)
    found = plate = 0.0
    for link in loop.links:
        if not link.to_sea:
            continue
        outlet = link.elements[-1].name
        units = _units_before(posterior, outlet)
        flow = readings.of("flow", outlet)
        warm = _discharge(readings, outlet, units)
        if flow is None or warm is None:
            return None
        found += float(water.density * water.heat_capacity) * flow * (warm - sea)
        coils = [coil for coil in loop.coils if coil.unit in units and coil.switched_on]
        plate += readings.load * sum(plate_heat(coil) for coil in coils)
    if plate <= 0.0:
        return None
    return _heats(posterior, readings, found, plate)


def plate_heat(coil: Coil) -> float:
    """Return the heat of a unit's plate: what it cools and what it takes [W]."""
    return float(coil.machine.rated_capacity + coil.machine.rated_power)


def _units_before(posterior: Posterior, outlet: str) -> tuple[str, ...]:
    network = posterior.flotilla.setup.built.network
    before = upstream(network, outlet)
    return tuple(unit.name for unit in network.units if unit.name in before)


def _discharge(readings: Readings, outlet: str, units: tuple[str, ...]) -> float | None:
    mixed = readings.of("discharge", outlet)
    if mixed is not None:
        return mixed
    return readings.of("discharge", units[0]) if len(units) == 1 else None


def _heats(posterior: Posterior, readings: Readings, found: float, plate: float) -> HeatCheck:
    heats = {"found": amount("heat", found), "plate": amount("heat", plate)}
    if abs(found / plate - 1.0) <= ALLOWED:
        return HeatCheck(True, fact("diagnose.heat_agrees", **heats), found, plate)
    if found < plate and at_part_load(posterior, readings):
        return HeatCheck(True, fact("diagnose.heat_at_part_load", **heats), found, plate)
    worst = _least_believed(posterior, readings)
    again = {"title": instruments()[worst.kind].title, "place": worst.place, "allowed": ALLOWED}
    says = (
        fact("diagnose.heat_short", **heats, **again)
        if found < plate
        else fact("diagnose.heat_over", **heats, **again)
    )
    return HeatCheck(False, says, found, plate)


def unlike_any(posterior: Posterior, readings: Readings) -> Fact | None:
    """Return that no boat of this plan reads so, with the reading to repeat first, or None."""
    chosen = tuple(
        item.kind
        for item in readings.numbers
        if item.kind not in MET and predicted(posterior.flotilla, item.kind, item.place) is not None
    )
    if posterior.astray < UNLIKE or not chosen:
        return None
    worst = _least_believed(posterior, readings, chosen)
    return fact("diagnose.no_boat_reads_so", reading=number_read(worst))


def _least_believed(
    posterior: Posterior, readings: Readings, kinds: tuple[str, ...] = ("flow", "discharge")
) -> Number:
    """Return the reading of these kinds without which the others agree best."""
    flotilla = posterior.flotilla
    chosen = [item for item in readings.numbers if item.kind in kinds]

    def without(item: Number) -> float:
        rest = tuple(other for other in readings.numbers if other is not item)
        logs = flotilla.log_prior + log_likelihood(flotilla, replace(readings, numbers=rest))
        most = float(logs.max())
        width = float(instruments()[item.kind].deviation(abs(item.value)))
        return most + math.log(float(np.exp(logs - most).sum())) - math.log(width)

    return max(chosen, key=without)


def untold_outlets(setup: Setup, readings: Readings) -> tuple[str, ...]:
    """Return the outlets of which nothing was told, where something was of another."""
    network, outlets = setup.built.network, setup.places.outlets
    told = {place for place, _ in readings.streams}
    told |= {one.place for one in readings.numbers if one.kind in ("discharge", "flow")}
    others = [one for one in outlets if not told & {one, *upstream(network, one)}]
    return tuple(others) if len(others) < len(outlets) else ()
