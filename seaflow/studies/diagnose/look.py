"""Where to look: the places of the likely causes, in order, each with its cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.studies.design.cautions import Caution, named_cautions
from seaflow.studies.diagnose.faults import Fault
from seaflow.studies.diagnose.impossible import water_comes
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.readings import Readings, signs
from seaflow.studies.diagnose.simulate import LOADS, SUPPLY
from seaflow.studies.diagnose.usual import WET, low_volts, no_more_load
from seaflow.studies.diagnose.verdict import NORMAL, WATCH, Verdict

SHOWN = 3
TOLD = 2  # places told with what to do there
FAR_LIKELIER = 2.0  # than the last of these, from which on the likeliest place is told in its stead
READ_AGAIN = 2.0  # times as likely as the first place, from which on a reading is taken again first
LOAD = "load"  # the reading
# Looked for only where the load is known.
AFTER_LOAD = ("low_refrigerant", "not_pumping", "overcharge")
EXPLAINS = 1.25  # times as likely as with nothing wrong must the readings be; our assumption
BRANCHES = ("branch_kinked", "branch_shut", "branch_air")  # faults that strike one of many
STOPPED = ("not_commanded", "pump_jammed", "thermal_cut_out", "motor_shorted", "set_point")
STANDS = {("stream", "none"), ("pump", "silent"), ("pump", "humming")}  # signs of such a pump
SILENT = 0.5  # how likely a pump is silent of a fault that leaves it so
LIKELY_UNIT = 0.6  # how likely it must be that one, to be named; our assumption
LEAST = 0.05  # how likely something must be wrong at a place for it to be named; our assumption
LIKELY_ENOUGH = 0.25  # of the likeliest place, where that is so unlikely that this is less
ODDS = (
    (0.95, fact("diagnose.almost_certain")),
    (0.8, fact("diagnose.very_likely")),
    (0.6, fact("diagnose.likely")),
    (0.4, fact("diagnose.about_even")),
    (0.2, fact("diagnose.possible")),
    (0.07, fact("diagnose.unlikely")),
    (0.0, fact("diagnose.very_unlikely")),
)


@dataclass(frozen=True, slots=True)
class Look:
    """A place to look at, what to do there, and how likely something is wrong there.

    The first of the `cautions` belongs just before what is to be done; `leads` is the likeliest
    fault of the place, and `unit` the one that it most likely struck, where it strikes one of many.
    It is `quick` if it comes first though another is likelier, where a look takes longer.
    """

    place: str
    act: str
    odds: Fact
    chance: float = measured("-")
    cautions: tuple[Caution, ...] = ()
    leads: str = ""
    unit: str = ""
    quick: bool = False


def looks(
    posterior: Posterior, pump: str, readings: Readings, stopped: bool = False
) -> tuple[Look, ...]:
    """Return the places to look at, in order; `pump` is the kind of the pump.

    The order is that in which a search takes least: by odds over effort, of which each fault says
    what a look takes. They are three, and the likeliest place where it is none of these; a place
    that is far likelier than the last of those told takes the place of that. Where all
    is `stopped`, nothing is told of what takes a pump or unit that runs. The load comes before the
    machine that it looks like, as long as nobody has told it, and is never named where more of it
    would do harm. A supply whose volts were read low comes before all: it is at fault whatever else
    is, and a glance tells. Where somebody looked and found nothing is behind all the others, and so
    is what shows only at a time that nobody told.
    """
    faults, hypotheses = posterior.flotilla.setup.faults, posterior.flotilla.hypotheses
    able, weak = _able(posterior, readings), _weak_supply(posterior, readings)
    places: dict[str, list[int]] = {}
    for number in sorted({*able, *weak}, key=lambda number: -posterior.present[number]):
        places.setdefault(faults[number].look, []).append(number)
    last = {one for one, of in places.items() if _comes_last(faults[of[0]], readings)}
    found, effort = [], {}
    for place, numbers in places.items():
        any_of_them = np.any([hypotheses.present(number) for number in numbers], axis=0)
        chance, first = float(posterior.weight[any_of_them].sum()), faults[numbers[0]]
        if stopped and first.running:
            continue
        said, unit = named_cautions(first.cautions, [pump]), _unit(posterior, numbers[0])
        found.append(Look(place, first.act, in_words(chance), chance, said, first.name, unit))
        effort[place] = first.effort
    found.sort(key=lambda one: -one.chance)
    least = min(LEAST, LIKELY_ENOUGH * max((one.chance for one in found), default=0.0))
    likely = [one for one in found if one.chance >= least or (weak and one.leads == SUPPLY)]
    ordered = sorted(likely, key=lambda one: -one.chance / effort[one.place])
    ordered = _load_first(ordered) if not load_is_told(readings) else ordered
    ordered = sorted(ordered, key=lambda one: one.place in last)
    ordered = sorted(ordered, key=lambda one: not weak or one.leads != SUPPLY)
    shown = _with_likeliest(ordered, last, load_is_told(readings))[:SHOWN]
    found = [*shown, *(one for one in likely[:1] if one not in shown)]
    for one in found[:1]:
        slower = [other for other in found if effort[other.place] > effort[one.place]]
        quick = any(round(other.chance, 2) > round(one.chance, 2) for other in slower)
        found[0] = replace(one, quick=quick)
    return tuple(found)


def _able(posterior: Posterior, readings: Readings) -> list[int]:
    """Return the faults that can explain the readings: these are likelier with them than without.

    Where water comes they are none that stops the pump.
    Where salt water is in the bilge they are those that let it in, and where a unit is hot or has
    tripped none that is looked for under more load. A hot unit is never left without a place: where
    nothing explains it, all are open that leave water running and the machine alone.
    """
    faults, support = posterior.flotilla.setup.faults, posterior.mean_support()
    every = range(len(faults))
    hot = no_more_load(posterior, readings)
    barred = LOADS if hot else ()
    wet = [number for number in every if lets_water_in(faults[number])]
    of = wet if WET in readings.signs else every
    comes = water_comes_now(readings)
    open_ = [
        n for n in of if faults[n].name not in barred and not (comes and stops_pump(faults[n]))
    ]
    least = support[-1] + np.log(EXPLAINS)
    able = [n for n in open_ if support[n] >= least or readings.is_empty]
    return able or [n for n in open_ if hot and may_be_hot(faults[n])]


def _weak_supply(posterior: Posterior, readings: Readings) -> list[int]:
    """Return the fault of a supply whose volts were read low, as a list of one or none.

    Salt water in the bilge comes before it.
    """
    if WET in readings.signs or low_volts(posterior, readings) is None:
        return []
    return [posterior.flotilla.setup.index(SUPPLY)]


def _comes_last(fault: Fault, readings: Readings) -> bool:
    """Tell whether a place was looked at in vain, or there is nothing to see at this time."""
    now = not fault.only_when or any(("when", word) in readings.signs for word in fault.only_when)
    return is_answered(fault, readings) or not now


def is_answered(fault: Fault, readings: Readings) -> bool:
    """Tell whether somebody looked where this fault is looked for, and found nothing there."""
    return bool({*fault.answered} & {*readings.signs} or {*fault.tried} & {*readings.tried})


def lets_water_in(fault: Fault) -> bool:
    """Tell whether a fault is known by salt water in the bilge."""
    of = (fault.signs or {}).get(WET[0], {})
    return of.get(WET[1], 0.0) > signs()[WET[0]].healthy[WET[1]]


def stops_pump(fault: Fault) -> bool:
    """Tell whether the pump stands with a fault, so that no water comes."""
    return fault.name in STOPPED


def water_comes_now(readings: Readings) -> bool:
    """Tell whether water comes, and nothing was told of a pump that stands."""
    streams = [("stream", word) for _, word in readings.streams]
    return water_comes(readings) and not STANDS & {*readings.signs, *streams}


def may_be_hot(fault: Fault) -> bool:
    """Tell whether a fault leaves water running, and the machine that warms it alone."""
    return not fault.machine and (fault.signs or {}).get("pump", {}).get("silent", 0.0) < SILENT


def may_be_misread(verdict: Verdict, nothing: float, places: Sequence[Look]) -> bool:
    """Tell whether nothing wrong is likelier than a fault at any place, though a reading is odd."""
    likeliest = max((one.chance for one in places), default=0.0)
    return verdict.word == WATCH and nothing > READ_AGAIN * likeliest


def told_places(verdict: Verdict, nothing: float, places: tuple[Look, ...]) -> tuple[Look, ...]:
    """Return the places that are told with what to do there."""
    if verdict.word == NORMAL:
        return ()
    return places[: 1 if may_be_misread(verdict, nothing, places) else TOLD]


def seen_at(posterior: Posterior, verdict: Verdict, places: tuple[Look, ...]) -> set[str]:
    """Return the signs that are seen at the places which are told: they are not asked for too.

    The load is no such sign: until it is told, all that is read besides may mean another thing.
    """
    leads = {one.leads for one in told_places(verdict, posterior.nothing, places)}
    faults = posterior.flotilla.setup.faults
    return {kind for one in faults if one.name in leads for kind, _ in one.answered} - {LOAD}


def _unit(posterior: Posterior, number: int) -> str:
    """Return the unit that a fault of one branch struck, if it is likely one of them."""
    setup, hypotheses = posterior.flotilla.setup, posterior.flotilla.hypotheses
    units = [unit.name for unit in setup.built.network.units_by_size]
    if setup.faults[number].name not in BRANCHES:
        return ""
    struck = hypotheses.units(len(units))
    shares = np.zeros(len(units))
    for row, which in enumerate((hypotheses.first, hypotheses.second)):
        here = which == number
        shares += np.bincount(struck[row][here], posterior.weight[here], len(units))
    likely = int(np.argmax(shares))
    return units[likely] if shares[likely] > LIKELY_UNIT * shares.sum() else ""


def wants_load(places: Sequence[Look], readings: Readings) -> bool:
    """Tell whether the load is to be asked for: nobody told it, and it looks like what is named."""
    named = any(one.leads in (*LOADS, *AFTER_LOAD) for one in places)
    return named and not load_is_told(readings)


def load_is_told(readings: Readings) -> bool:
    """Tell whether somebody said how hard the units work."""
    return readings.load_read or any(kind == LOAD for kind, _ in readings.signs)


def _load_first(found: list[Look]) -> list[Look]:
    """Put the place of the load before the first one of a machine that moves too little heat."""
    loads = [place for place, one in enumerate(found) if one.leads in LOADS]
    machines = [place for place, one in enumerate(found) if one.leads in AFTER_LOAD]
    if not loads or not machines or loads[0] < machines[0]:
        return found
    load = found.pop(loads[0])
    return [*found[: machines[0]], load, *found[machines[0] :]]


def _with_likeliest(found: list[Look], last: set[str], knows_load: bool) -> list[Look]:
    """Put the likeliest place last of those told, where a quick one that is unlikely would be.

    But not where somebody looked in vain, nor a machine before its load is known.
    """
    open_ = [one for one in found if one.place not in last]
    likeliest = max(open_, key=lambda one: one.chance, default=None)
    told = found[:TOLD]
    if likeliest is None or likeliest in told:
        return found
    if likeliest.chance < FAR_LIKELIER * told[-1].chance:
        return found
    if likeliest.leads in AFTER_LOAD and not knows_load:
        return found
    rest = [one for one in found[TOLD - 1 :] if one is not likeliest]
    return [*found[: TOLD - 1], likeliest, *rest]


def in_words(chance: float) -> Fact:
    """Return odds as people say them, by the per cent that stands beside the word."""
    return next(said for least, said in ODDS if round(chance, 2) >= least)
