"""Cheaper ways to quiet than another place, with the decibels that each buys there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.tables.rooms import PumpPlace
from seaflow.physics.sound.levels import octave_frequencies
from seaflow.physics.sound.panels import octave_panel_loss
from seaflow.physics.sound.partitions import enclosure_gain, loss_with_leak
from seaflow.physics.sound.sources import sound_row
from seaflow.studies.place.house import House, mean_absorption
from seaflow.studies.place.sound import SoundAt, footing_of, heard
from seaflow.studies.place.source import Footing, Source, quieter

SOFT = "soft mount"
CUSHIONED = "half a metre of hose, then a cushioned clip"
LOCKER_BOARD = "plywood 12 mm"


@dataclass(frozen=True, slots=True)
class Cure:
    """One cure: what it is, the level it leaves at the loudest berth, and what that gains."""

    kind: str
    name: str
    level: float | None = measured("dB", None)
    gain: float | None = measured("dB", None)
    note: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """All that a sound is worked out from at one place."""

    case: Case
    house: House
    place: PumpPlace
    source: Source

    def loudest(self, source: Source, footing: Footing) -> float:
        """Return the level at the loudest berth [dB]."""
        found: tuple[SoundAt, ...] = heard(self.case, self.house, self.place, source, footing)
        return max(item.level for item in found)


def cures(spot: Spot, slower: tuple[Source, str] | None) -> tuple[Cure, ...]:
    """Return the cures that can be had at a place; `slower` is the pump at its least speed."""
    footing, source = footing_of(spot.place), spot.source
    before = spot.loudest(source, footing)
    lined = quieter(source, locker_gain())
    tried: list[tuple[str, str, Source, Footing]] = []
    if _deflection(footing.mount) < _deflection(SOFT):
        name = f"{SOFT} in place of {footing.mount}"
        tried.append(("mount", name, source, replace(footing, mount=SOFT)))
    tried.append(("locker", "a lined locker round it", lined, footing))
    if footing.first_clip != CUSHIONED:
        tried.append(("hose", CUSHIONED, source, replace(footing, first_clip=CUSHIONED)))
    if slower is not None:
        tried.append(("speed", slower[1], slower[0], footing))
    tried.append(("all", "all of these together", *_together(spot, slower)))
    found = []
    for kind, name, changed, standing in tried:
        level = spot.loudest(changed, standing)
        found.append(Cure(kind, name, level, before - level))
    return (*found, *_not_to_be_had(slower))


def _not_to_be_had(slower: tuple[Source, str] | None) -> Iterator[Cure]:
    if slower is None:
        yield Cure(
            "speed", "slower speed", note="not with this pump, or not without starving a unit"
        )


def _together(spot: Spot, slower: tuple[Source, str] | None) -> tuple[Source, Footing]:
    footing = footing_of(spot.place)
    if _deflection(footing.mount) < _deflection(SOFT):
        footing = replace(footing, mount=SOFT)
    source = spot.source if slower is None else slower[0]
    return quieter(source, locker_gain()), replace(footing, first_clip=CUSHIONED)


def locker_gain() -> Array:
    """Return what a lined locker with a lid that closes well takes off, by band [dB]."""
    board = sound_row("panels", LOCKER_BOARD)
    panel = octave_panel_loss(
        octave_frequencies(), board["surface_mass"], board["dip_frequency"], board["loss_factor"]
    )
    closed = loss_with_leak(panel, default("placing.locker_leak").value)
    return np.asarray(enclosure_gain(closed, mean_absorption("lined")))


def _deflection(mount: str) -> float:
    return float(sound_row("mounts", mount)["static_deflection"])
