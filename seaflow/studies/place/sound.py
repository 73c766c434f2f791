"""What is heard at each berth with the pump at a place: by air, and by way of the structure."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.tables.rooms import Compartment, PumpPlace
from seaflow.boat.tables.things import Spot
from seaflow.physics.sound.levels import (
    a_weighted_level,
    a_weighting,
    level_sum,
    octave_frequencies,
    power_from_level,
)
from seaflow.physics.sound.rooms import diffuse_level, level_near_source
from seaflow.physics.sound.sources import sound_row
from seaflow.studies.design.limits import limit
from seaflow.studies.place.house import House
from seaflow.studies.place.source import Footing, Source, board_power

ON_A_BOARD = 2.0  # directivity of a pump on one surface
LOW_BANDS = 2  # 63 and 125 Hz, where a cabin is no diffuse field


@dataclass(frozen=True, slots=True)
class SoundAt:
    """What is heard at one berth, with its uncertainty, and the bands it is made of."""

    berth: str
    level: float = measured("dB")
    half_width: float = measured("dB")
    airborne: float = measured("dB")
    structure: float = measured("dB")
    bands: tuple[float, ...] = measured("dB", ())
    band_half_widths: tuple[float, ...] = measured("dB", ())

    @property
    def is_structure_borne(self) -> bool:
        """True if more comes by way of the structure than by air."""
        return self.structure > self.airborne

    def with_structure(self, louder: float) -> SoundAt:
        """Return the same with more or less by the structure [dB]; bands stay as they are."""
        structure = self.structure + louder
        level = float(level_sum(np.asarray([self.airborne, structure])))
        return replace(self, structure=structure, level=level)


def footing_of(place: PumpPlace) -> Footing:
    """Return how a pump stands at a place, with what is usual where the case leaves it open."""
    return Footing(
        board=place.surface,
        mount=place.mount or default("placing.mount").text,
        first_clip=place.first_clip or default("placing.first_clip").text,
        length=default("placing.board_length").value,
        width=default("placing.board_width").value,
    )


def heard(
    case: Case, house: House, place: PumpPlace, source: Source, footing: Footing
) -> tuple[SoundAt, ...]:
    """Return what is heard at every berth, in order of the file."""
    here = house.place(place.compartment)
    air = np.zeros(house.absorption.shape)
    air[:, here] = power_from_level(source.power_level)
    by_air = house.densities(air)
    by_structure = house.densities(shaken(case, house, place, board_power(source, footing)))
    found = []
    for berth in case.compartment:
        if berth.is_berth:
            room = house.place(berth.name)
            near = room == here and house.is_tight(room)
            airborne = np.asarray(diffuse_level(by_air[:, room]))
            if near:
                airborne = np.asarray(
                    level_near_source(
                        source.power_level,
                        ON_A_BOARD,
                        _distance(place.spot, berth.ear),
                        by_air[:, room],
                        house.surface[room],
                    )
                )
            structure = np.asarray(diffuse_level(by_structure[:, room]))
            found.append(_sound_at(berth.name, airborne, structure))
    return tuple(found)


def shaken(case: Case, house: House, place: PumpPlace, power: Array) -> Array:
    """Return the sound power that shaken boards give to each room, bands by rooms [W].

    The board itself sounds into its room and into those it faces; what reaches the boards of a
    berth further off is less by what the joints on the way take off.
    """
    drops = {place.compartment: 0.0} | dict.fromkeys(place.faces, 0.0)
    for joint in place.joined:
        drops.setdefault(joint.compartment, sound_row("paths", joint.by)["level_drop"])
    for room in case.compartment:
        if room.is_berth and room.name not in drops:
            usual = "placing.neighbour" if _are_next(case, place, room) else "placing.further"
            drops[room.name] = sound_row("paths", default(usual).text)["level_drop"]
    powers = np.zeros(house.absorption.shape)
    for name, drop in drops.items():
        powers[:, house.place(name)] += power * 10.0 ** (-drop / 10.0)
    return powers


def _are_next(case: Case, place: PumpPlace, room: Compartment) -> bool:
    pair = {place.compartment, room.name}
    return any(set(wall.between) == pair for wall in case.partition)


def _distance(one: Spot, other: Spot) -> float:
    return max(math.dist(one, other), limit("nearest_ear"))


def _sound_at(berth: str, airborne: Array, structure: Array) -> SoundAt:
    bands = np.asarray(level_sum(np.stack([airborne, structure], axis=-1)))
    table = read_table("sound/uncertainty.toml")
    weighted = 10.0 ** ((bands + np.asarray(a_weighting(octave_frequencies()))) / 10.0)
    low = float(weighted[:LOW_BANDS].sum()) > 0.5 * float(weighted.sum())
    width = table["a_weighted_low" if low else "a_weighted"]["half_width"]
    return SoundAt(
        berth=berth,
        level=float(a_weighted_level(bands)),
        half_width=float(width),
        airborne=float(a_weighted_level(airborne)),
        structure=float(a_weighted_level(structure)),
        bands=tuple(float(value) for value in bands),
        band_half_widths=tuple(float(value) for value in table["bands"]["half_width"]),
    )


def ranking_width() -> float:
    """Return the difference of two places below which they are not told apart [dB]."""
    return float(read_table("sound/uncertainty.toml")["ranking"]["half_width"])
