"""The sound of places on many boats, where rooms and what parts them are only typical."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, fact
from seaflow.boat.case import Case
from seaflow.boat.parts.part import PumpPart
from seaflow.studies.design.boats import n_boats
from seaflow.studies.design.certainty.by_path import drawn_case, drawn_paths, drawn_values
from seaflow.studies.design.certainty.draws import DEFAULT_SEED
from seaflow.studies.place.pump_sound import PumpSound, footing_of, sound_of
from seaflow.studies.place.rank import PlaceResult
from seaflow.studies.place.rooms import rooms_of
from seaflow.studies.place.routes import places_offered
from seaflow.studies.place.sound import levels_of

NINE_IN_TEN = 1.645  # standard deviations of a bell curve, either way
OF_SOUND = ("compartment", "partition", "pump_place")  # tables of a case


def on_drawn_boats(
    case: Case, pump: str, part: PumpPart, results: tuple[PlaceResult, ...]
) -> tuple[tuple[PlaceResult, ...], Array | None]:
    """Return places with the band of what is heard as wide as such boats make it, and the levels.

    Levels are those of the loudest berth: (boats, places); None where nothing is drawn or nobody
    sleeps aboard.
    """
    drawn = [path for path in drawn_paths(case) if path[0] in OF_SOUND]
    if not drawn or not results[0].sound:
        return results, None
    count = n_boats(case)
    every = drawn_values(case, count, DEFAULT_SEED)
    values = {path: every[path] for path in drawn}
    boats = [drawn_case(case, values, boat) for boat in range(count)]
    sounds = [sound_of(part, case.supply.frequency, item.speed_ratio) for item in results]
    told = list(zip(results, sounds, strict=True))
    levels = np.asarray([_levels(boat, pump, told) for boat in boats])
    wider = (_wider(item, levels[:, place]) for place, item in enumerate(results))
    return tuple(wider), levels.max(axis=2)


def _levels(boat: Case, pump: str, told: Sequence[tuple[PlaceResult, PumpSound]]) -> Array:
    """Return what is heard of places, each with its sound, on one boat [dB]: (places, berths)."""
    offered = {item.name: item.place for item in places_offered(boat, pump)}
    places = [(offered[result.name], sound) for result, sound in told]
    sources = [(place, sound, footing_of(place)) for place, sound in places]
    return levels_of(rooms_of(boat), sources)


def _wider(result: PlaceResult, levels: Array) -> PlaceResult:
    """Return a place with the half widths of its berths as wide as the boats drawn make them."""
    spread = NINE_IN_TEN * levels.std(axis=0)
    sound = tuple(
        replace(item, half_width=float(np.hypot(item.half_width, more)))
        for item, more in zip(result.sound, spread, strict=True)
    )
    return replace(result, sound=sound)


def stays_first(
    results: Sequence[PlaceResult], levels: Array | None, width: float
) -> tuple[Fact, ...]:
    """Return on how many boats no other place that holds is audibly quieter than the first."""
    holding = [place for place, item in enumerate(results) if item.holds]
    if levels is None or len(holding) < 2 or holding[0] != 0:
        return ()
    quieter = levels[:, holding[1:]].min(axis=1) < levels[:, 0] - width
    return (fact("place.on_drawn_boats", boats=int(np.sum(~quieter)), of=len(levels)),)
