"""What a pump gives off: sound into the air of its room, and a force into what it stands on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.defaults import Assumption, default
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.rooms import PumpPlace
from seaflow.physics.sound.levels import a_weighted_level, octave_frequencies
from seaflow.physics.sound.mounts import (
    ISOLATES_ABOVE,
    joined_force_ratio,
    mounted_force_ratio,
    natural_frequency,
    plate_mobility,
    rigid_force_ratio,
)
from seaflow.physics.sound.panels import stiffness_of
from seaflow.physics.sound.radiation import force_from_level, radiated_power, radiation_factor
from seaflow.physics.sound.rooms import source_power_level
from seaflow.physics.sound.sources import (
    band_levels,
    hum_frequency,
    sound_names,
    sound_row,
    speed_change,
)

MOST_KEPT = 256  # boards as they are shaken: boats drawn of a case share them
NO_TONE = 100.0  # Hz, of a hum without a share in the sound


@dataclass(frozen=True, slots=True, eq=False)
class PumpSound:
    """Sound power level and force in each octave band; what shakes it lowest; its mass.

    `tone` is the frequency of the hum that is in both, or None where the table gives it none.
    """

    power_level: Array
    force: Array
    shaft_frequency: float
    mass: float
    a_level: float
    assumptions: tuple[Assumption, ...]
    tone: float | None
    air_adds: tuple[float, float]  # dB, least and most, if it draws air or cavitates

    def quieter(self, decibels: Array) -> PumpSound:
        """Return the same in a locker that takes these decibels off its airborne sound."""
        return replace(self, power_level=self.power_level - decibels)


def sound_of(part: PumpPart, line_frequency: float | None, speed_ratio: float) -> PumpSound:
    """Return what a pump gives off at a speed."""
    kind = part.type
    if kind not in sound_names("sources"):
        kind = default("placing.sounds_like").text
    row = sound_row("sources", kind)
    current = part.current if part.current in ("ac", "dc") else "ac"
    hums = bool(line_frequency) and current == "ac"
    tone = float(hum_frequency(line_frequency or 0.0)) if hums else NO_TONE
    share = float(row[f"hum_share_{current}"])
    hum = f"hum {share:.0%} at {tone:.0f} Hz" if share else "no hum"
    notes = [_taken(part, "placing.sounds_like", f"{kind}; {hum}", row["source"])]
    level = part.sound_at_1_m
    if level is None:
        level = float(np.mean(row["a_level_at_1_m"]))
        notes.append(_taken(part, "placing.loudness", f"{level:.0f} dB(A)", row["source"]))
    bands = band_levels(level, row["band_shape"], share, tone)
    change = speed_change(speed_ratio, row["speed_exponent"]) if speed_ratio > 0.0 else 0.0
    # The hum has the share of the forces that it has of the sound: their A-weighted sum stays.
    shape = row["force_over_sound"]
    forces = np.asarray(band_levels(float(a_weighted_level(shape)), shape, share, tone))
    forces = forces + level + change
    return PumpSound(
        power_level=np.asarray(source_power_level(np.asarray(bands), 1.0)) + change,
        force=np.asarray(force_from_level(forces)),
        shaft_frequency=row["shaft_frequency"] * (speed_ratio if speed_ratio > 0.0 else 1.0),
        mass=row["mass"],
        a_level=float(level + change),
        assumptions=tuple(notes),
        tone=tone if share else None,
        air_adds=(row["air_in_suction_adds"][0], row["air_in_suction_adds"][1]),
    )


def _taken(part: PumpPart, name: str, value: str, source: str) -> Assumption:
    return Assumption(part.title, default(name).meaning, value, source)


@dataclass(frozen=True, slots=True)
class Footing:
    """How the pump stands: board, mount and the first clip of its hoses, by their rows."""

    board: str
    mount: str
    first_clip: str
    length: float
    width: float


def footing_of(place: PumpPlace) -> Footing:
    """Return how a pump stands at a place, with what is usual where the case leaves it open."""
    return Footing(
        board=place.surface,
        mount=place.mount or default("placing.mount").text,
        first_clip=place.first_clip or default("placing.first_clip").text,
        length=default("placing.board_length").value,
        width=default("placing.board_width").value,
    )


@lru_cache(MOST_KEPT)
def board_power(sound: PumpSound, footing: Footing) -> Array:
    """Return the sound power that the shaken board gives off to one side, by band [W]."""
    board = sound_row("panels", footing.board)
    mass, dip = board["surface_mass"], board["dip_frequency"]
    bands = octave_frequencies()
    force = sound.force * force_ratio(sound, footing)
    factor = radiation_factor(bands, dip, footing.length, footing.width)
    return np.asarray(radiated_power(force, bands, mass, dip, board["loss_factor"], factor))


def force_ratio(sound: PumpSound, footing: Footing) -> Array:
    """Return the force on the board over the force in the pump: mount and hoses, by band."""
    board = sound_row("panels", footing.board)
    mount = sound_row("mounts", footing.mount)
    mass, dip = board["surface_mass"], board["dip_frequency"]
    mobility = plate_mobility(mass, stiffness_of(mass, dip))
    forcing = octave_frequencies().copy()
    forcing[0] = sound.shaft_frequency  # the shaft shakes lowest, whatever the band is called
    rigid = np.asarray(rigid_force_ratio(forcing, sound.mass, mobility))
    hoses = sound_row("paths", footing.first_clip)["force_ratio"] * rigid
    if mount["static_deflection"] <= 0.0:
        return np.asarray(joined_force_ratio(np.stack([rigid, hoses], axis=-1)))
    mounted = mounted_force_ratio(
        forcing,
        natural_frequency(mount["static_deflection"]),
        mount["damping_ratio"],
        sound.mass,
        mobility,
    )
    paths = [np.asarray(mounted), mount["bypass"] * rigid, hoses]
    return np.asarray(joined_force_ratio(np.stack(paths, axis=-1)))


def resonance(sound: PumpSound, mount: str) -> Fact | None:
    """Return how a mount bounces that does not isolate from the lowest shaking, or None."""
    deflection = sound_row("mounts", mount)["static_deflection"]
    if deflection <= 0.0:
        return None
    natural = float(natural_frequency(deflection))
    if sound.shaft_frequency >= ISOLATES_ABOVE * natural:
        return None
    shaft, bounces = amount("frequency", sound.shaft_frequency), amount("frequency", natural)
    return fact("place.mount_too_stiff", shaft=shaft, mount=mount, bounces=bounces)
