"""Cheaper ways to quiet than another place, with the decibels that each buys there."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.boat.defaults import default
from seaflow.boat.tables.rooms import PumpPlace
from seaflow.physics.sound.levels import octave_frequencies
from seaflow.physics.sound.panels import octave_panel_loss
from seaflow.physics.sound.partitions import enclosure_gain, loss_with_leak
from seaflow.physics.sound.sources import sound_row
from seaflow.studies.place.pump_sound import Footing, PumpSound, footing_of
from seaflow.studies.place.rooms import Rooms, mean_absorption
from seaflow.studies.place.sound import levels_of


@dataclass(frozen=True, slots=True)
class Cure:
    """One cure: what it is, the level it leaves at the loudest berth, and what that gains.

    Both are None where it cannot be had.
    """

    kind: str
    what: Fact
    level: float | None = measured("dB", None)
    gain: float | None = measured("dB", None)


def cures(
    rooms: Rooms, place: PumpPlace, sound: PumpSound, slower: tuple[PumpSound, float] | None
) -> tuple[Cure, ...]:
    """Return the cures that can be had at a place.

    `slower` is the pump at its least speed, and that speed over its full one.
    """
    footing = footing_of(place)
    soft, clip = default("placing.cure_mount").text, default("placing.cure_clip").text
    mounted, clipped = replace(footing, mount=soft), replace(footing, first_clip=clip)
    lined = sound.quieter(locker_gain())
    tried: list[tuple[str, Fact, PumpSound, Footing]] = []
    if _deflection(footing.mount) < _deflection(soft):
        change = fact("place.cure_mount", mount=soft, now=footing.mount)
        tried.append(("mount", change, sound, mounted))
    else:
        mounted = footing
    tried.append(("locker", fact("place.cure_locker"), lined, footing))
    if footing.first_clip != clip:
        tried.append(("hose", fact("place.cure_hose", clip=clip), sound, clipped))
    every = lined
    if slower is not None:
        tried.append(("speed", fact("place.cure_speed", share=slower[1]), slower[0], footing))
        every = slower[0].quieter(locker_gain())
    together = replace(mounted, first_clip=clip)
    tried.append(("all", fact("place.cure_all"), every, together))
    changed = [(sound, footing), *((by, standing) for _, _, by, standing in tried)]
    sources = [(place, by, standing) for by, standing in changed]
    before, *levels = levels_of(rooms, sources).max(axis=1).tolist()
    found = [
        Cure(kind, what, level, before - level)
        for (kind, what, _, _), level in zip(tried, levels, strict=True)
    ]
    if slower is None:
        found.append(Cure("speed", fact("place.no_slower_speed")))
    return tuple(found)


def locker_gain() -> Array:
    """Return what a lined locker with a lid that closes well takes off, by band [dB]."""
    board = sound_row("panels", default("placing.locker_board").text)
    panel = octave_panel_loss(
        octave_frequencies(), board["surface_mass"], board["dip_frequency"], board["loss_factor"]
    )
    closed = loss_with_leak(panel, default("placing.locker_leak").value)
    return np.asarray(enclosure_gain(closed, mean_absorption("lined")))


def _deflection(mount: str) -> float:
    return float(sound_row("mounts", mount)["static_deflection"])
