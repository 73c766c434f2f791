"""What is heard at each berth with the pump at a place: by air, and by way of the structure."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.tables.rooms import Compartment, PumpPlace
from seaflow.physics.sound.levels import (
    a_weighted_level,
    level_sum,
    octave_frequencies,
    octave_weighting,
    power_from_level,
)
from seaflow.physics.sound.mounts import joint_loss
from seaflow.physics.sound.rooms import diffuse_level, level_near_source
from seaflow.physics.sound.sources import sound_row
from seaflow.studies.design.limits import limit
from seaflow.studies.place.pump_sound import Footing, PumpSound, board_power, footing_of
from seaflow.studies.place.rooms import Rooms

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


Source = tuple[PumpPlace, PumpSound, Footing]


def heard(
    rooms: Rooms, place: PumpPlace, sound: PumpSound, footing: Footing | None = None
) -> tuple[SoundAt, ...]:
    """Return what is heard at every berth, in order of the file."""
    source = (place, sound, footing or footing_of(place))
    return tuple(
        _sound_at(berth, airborne[0], structure[0])
        for berth, airborne, structure in _reaching(rooms, [source])
    )


def levels_of(rooms: Rooms, sources: Sequence[Source]) -> Array:
    """Return how loud each of several pumps is at every berth [dB]: (pumps, berths)."""
    found = [
        np.asarray(a_weighted_level(_together(airborne, structure)))
        for _, airborne, structure in _reaching(rooms, sources)
    ]
    return np.stack(found, axis=-1)


def _reaching(rooms: Rooms, sources: Sequence[Source]) -> Iterator[tuple[str, Array, Array]]:
    """Yield by berth what comes of each pump by air, and by the structure [dB]: (pumps, bands)."""
    air, shaking = (np.zeros((len(sources), *rooms.absorption.shape)) for _ in range(2))
    for row, (place, sound, footing) in enumerate(sources):
        air[row][:, rooms.number(place.compartment)] = power_from_level(sound.power_level)
        shaking[row] = shaken(rooms, place, board_power(sound, footing))
    by_air, by_structure = rooms.densities(air), rooms.densities(shaking)
    for berth in rooms.case.compartment:
        if berth.is_berth:
            room = rooms.number(berth.name)
            airborne = np.asarray(diffuse_level(by_air[..., room]))
            for row, (place, sound, _) in enumerate(sources):
                if place.compartment == berth.name and rooms.is_tight(room):
                    airborne[row] = level_near_source(
                        sound.power_level,
                        ON_A_BOARD,
                        max(math.dist(place.spot, berth.ear), limit("nearest_ear")),
                        by_air[row, :, room],
                        rooms.surface[room],
                    )
            yield berth.name, airborne, np.asarray(diffuse_level(by_structure[..., room]))


def _together(airborne: Array, structure: Array) -> Array:
    return np.asarray(level_sum(np.stack([airborne, structure], axis=-1)))


def shaken(rooms: Rooms, place: PumpPlace, power: Array) -> Array:
    """Return the sound power that shaken boards give to each room, bands by rooms [W].

    The board itself sounds into its room and into those it faces; what reaches the boards of a
    berth further off is less by what the joints on the way take off.
    """
    none = np.zeros(len(octave_frequencies()))
    drops = {place.compartment: none} | dict.fromkeys(place.faces, none)
    for joint in place.joined:
        drops.setdefault(joint.compartment, level_drop(joint.by))
    for room in rooms.case.compartment:
        if room.is_berth and room.name not in drops:
            usual = _are_next(rooms.case, place, room)
            joint_by = default("placing.neighbour" if usual else "placing.further").text
            drops[room.name] = level_drop(joint_by)
    powers = np.zeros(rooms.absorption.shape)
    for name, drop in drops.items():
        powers[:, rooms.number(name)] += power * 10.0 ** (-drop / 10.0)
    return powers


@cache
def level_drop(by: str) -> Array:
    """Return what the joints of a way through the structure take off, by band [dB]."""
    way = sound_row("paths", by)
    board = sound_row("panels", default("placing.joint_board").text)
    length, width = (default(f"placing.board_{side}").value for side in ("length", "width"))
    one = joint_loss(
        octave_frequencies(),
        board["dip_frequency"],
        length * width,
        width,
        default("placing.joint_loss_factor").value,
        way["joint_transmission"],
    )
    return np.asarray(way["joints"] * np.asarray(one))


def _are_next(case: Case, place: PumpPlace, room: Compartment) -> bool:
    pair = {place.compartment, room.name}
    return any(set(wall.between) == pair for wall in case.partition)


def _sound_at(berth: str, airborne: Array, structure: Array) -> SoundAt:
    bands = _together(airborne, structure)
    table = read_table("sound/uncertainty.toml")
    weighted = 10.0 ** ((bands + octave_weighting()) / 10.0)
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
