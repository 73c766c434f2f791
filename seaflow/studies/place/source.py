"""What a pump gives off: sound into the air of its room, and a force into what it stands on."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.boat.defaults import Assumption
from seaflow.boat.parts.part import PumpPart
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

LIKE = "magnet-drive centrifugal"  # stands in for a type that the table of sources does not have
NO_TONE = 100.0  # Hz, of a hum without a share in the sound


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """Sound power level and force in each octave band; what shakes it lowest; its mass.

    `tone` is the frequency of the hum that is in both, or None where the table gives it none.
    """

    power_level: Array
    force: Array
    shaft_frequency: float
    mass: float
    a_level: float
    assumptions: tuple[Assumption, ...] = ()
    tone: float | None = None
    air_adds: tuple[float, float] = (0.0, 0.0)  # dB, least and most, if it draws air or cavitates


def source_of(part: PumpPart, line_frequency: float | None, speed_ratio: float) -> Source:
    """Return what a pump gives off at a speed."""
    kind = part.type if part.type in sound_names("sources") else LIKE
    row = sound_row("sources", kind)
    current = part.current if part.current in ("ac", "dc") else "ac"
    hums = bool(line_frequency) and current == "ac"
    tone = float(hum_frequency(line_frequency or 0.0)) if hums else NO_TONE
    share = float(row[f"hum_share_{current}"])
    notes = [_shape(part, kind, (share, tone))]
    level = part.sound_at_1_m
    if level is None:
        level = float(np.mean(row["a_level_at_1_m"]))
        words = f"{level:.0f} dB(A) at 1 m"
        notes.append(Assumption(part.title, "loudness of its type", words, row["source"]))
    bands = band_levels(level, row["band_shape"], share, tone)
    change = speed_change(speed_ratio, row["speed_exponent"]) if speed_ratio > 0.0 else 0.0
    # The hum has the share of the forces that it has of the sound: their A-weighted sum stays.
    shape = row["force_over_sound"]
    forces = np.asarray(band_levels(float(a_weighted_level(shape)), shape, share, tone))
    forces = forces + level + change
    return Source(
        power_level=np.asarray(source_power_level(np.asarray(bands), 1.0)) + change,
        force=np.asarray(force_from_level(forces)),
        shaft_frequency=row["shaft_frequency"] * (speed_ratio if speed_ratio > 0.0 else 1.0),
        mass=row["mass"],
        a_level=float(level + change),
        assumptions=tuple(notes),
        tone=tone if share else None,
        air_adds=(row["air_in_suction_adds"][0], row["air_in_suction_adds"][1]),
    )


def _shape(part: PumpPart, kind: str, hum: tuple[float, float]) -> Assumption:
    """Return what is taken of its type; `hum` is the share of the hum, and its frequency."""
    share, tone = hum
    source = str(sound_row("sources", kind)["source"])
    words = f"{kind}; no hum"
    if share:
        words = (
            f"{kind}; {share:.0%} of each is a hum at {tone:.0f} Hz, of the forces by own choice"
        )
    return Assumption(part.title, "shape of its sound and its forces", words, source)


def quieter(source: Source, decibels: Array) -> Source:
    """Return the source in a locker that takes these decibels off its airborne sound."""
    return replace(source, power_level=source.power_level - decibels)


@dataclass(frozen=True, slots=True)
class Footing:
    """How the pump stands: board, mount and the first clip of its hoses, by their rows."""

    board: str
    mount: str
    first_clip: str
    length: float
    width: float


def board_power(source: Source, footing: Footing) -> Array:
    """Return the sound power that the shaken board gives off to one side, by band [W]."""
    board = sound_row("panels", footing.board)
    mass, dip = board["surface_mass"], board["dip_frequency"]
    bands = octave_frequencies()
    force = source.force * force_ratio(source, footing)
    factor = radiation_factor(bands, dip, footing.length, footing.width)
    return np.asarray(radiated_power(force, bands, mass, dip, board["loss_factor"], factor))


def force_ratio(source: Source, footing: Footing) -> Array:
    """Return the force on the board over the force in the pump: mount and hoses, by band."""
    board = sound_row("panels", footing.board)
    mount = sound_row("mounts", footing.mount)
    mass, dip = board["surface_mass"], board["dip_frequency"]
    mobility = plate_mobility(mass, stiffness_of(mass, dip))
    forcing = octave_frequencies().copy()
    forcing[0] = source.shaft_frequency  # the shaft shakes lowest, whatever the band is called
    rigid = np.asarray(rigid_force_ratio(forcing, source.mass, mobility))
    hoses = sound_row("paths", footing.first_clip)["force_ratio"] * rigid
    if mount["static_deflection"] <= 0.0:
        return np.asarray(joined_force_ratio(np.stack([rigid, hoses], axis=-1)))
    mounted = mounted_force_ratio(
        forcing,
        natural_frequency(mount["static_deflection"]),
        mount["damping_ratio"],
        source.mass,
        mobility,
    )
    paths = [np.asarray(mounted), mount["bypass"] * rigid, hoses]
    return np.asarray(joined_force_ratio(np.stack(paths, axis=-1)))


def resonance(source: Source, mount: str) -> str | None:
    """Return a warning where a mount does not isolate from the lowest shaking."""
    deflection = sound_row("mounts", mount)["static_deflection"]
    if deflection <= 0.0:
        return None
    natural = float(natural_frequency(deflection))
    if source.shaft_frequency >= ISOLATES_ABOVE * natural:
        return None
    return (
        f"the pump turns at {source.shaft_frequency:.0f} Hz and bounces on its {mount} at "
        f"{natural:.0f} Hz: below 1.41 times that a mount makes it worse, so take a softer one"
    )
