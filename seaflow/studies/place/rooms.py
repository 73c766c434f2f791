"""The compartments of a boat as rooms that trade sound: one balance of energy for each band."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from seaflow.base.arrays import Array
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.tables.rooms import Compartment, Partition, shared_area
from seaflow.physics.sound.levels import octave_frequencies
from seaflow.physics.sound.panels import coincidence_frequency, octave_panel_loss, stiffness_of
from seaflow.physics.sound.partitions import (
    composite_loss,
    coupling_area,
    double_leaf_loss,
    gap_area,
    loss_with_leak,
)
from seaflow.physics.sound.rooms import absorption_area, coupling_matrix, energy_densities
from seaflow.physics.sound.sources import sound_row

ORDINARY_DOOR = 0.96  # m2, 0.6 by 1.6 m, where the size of a loose one is not recorded
TOUCHING = 0.01  # m2; rooms that share no more than this count as apart


@dataclass(frozen=True, slots=True, eq=False)
class Rooms:
    """Rooms by name; bands on the first axis of absorption and coupling [m2]."""

    case: Case
    names: tuple[str, ...]
    surface: Array
    absorption: Array
    coupling: Array

    def number(self, name: str) -> int:
        """Return the number of a room."""
        return self.names.index(name)

    def densities(self, powers: Array) -> Array:
        """Return the density of sound energy, bands by rooms, for powers of the same shape."""
        return np.asarray(energy_densities(self.absorption, self.coupling, powers))

    def is_tight(self, room: int) -> bool:
        """Return whether a room lets go of no more sound than its surfaces can."""
        leaving = self.absorption[:, room] + self.coupling[:, room].sum(axis=-1)
        return bool(np.all(leaving <= self.surface[room]))


def rooms_of(case: Case) -> Rooms:
    """Return the rooms of a case."""
    numbers = {room.name: number for number, room in enumerate(case.compartment)}
    by_name = {room.name: room for room in case.compartment}
    surface = np.asarray([room.surface for room in case.compartment])
    absorption = np.stack(
        [mean_absorption(furnishing_of(room)) * room.surface for room in case.compartment],
        axis=-1,
    )
    bands, count = absorption.shape
    coupling = np.zeros((bands, count, count))
    if case.partition:
        areas = [_coupling(wall, by_name) for wall in case.partition]
        pairs = [[numbers[name] for name in wall.between] for wall in case.partition]
        coupling = np.asarray(
            coupling_matrix(np.stack(areas, axis=-1), np.asarray(pairs, dtype=float), count)
        )
    return Rooms(case, tuple(numbers), surface, absorption, coupling)


def without_partition(case: Case) -> tuple[tuple[str, str], ...]:
    """Return the pairs of rooms that touch or overlap with no partition recorded between them."""
    parted = {frozenset(wall.between) for wall in case.partition}
    return tuple(
        (one.name, other.name)
        for one, other in combinations(case.compartment, 2)
        if frozenset((one.name, other.name)) not in parted and shared_area(one, other) > TOUCHING
    )


def with_usual_partitions(case: Case) -> Case:
    """Return the case with a usual partition wherever rooms touch and none is recorded.

    It is the usual one that lets most through: no place is quieter because something was left out.
    """
    rooms = {room.name: room for room in case.compartment}
    assumed = tuple(
        Partition(
            between=pair,
            material=default("placing.partition").text,
            opening=default("placing.partition_opening").text,
            door_area=min(
                default("placing.partition_door").value, shared_area(*(rooms[x] for x in pair))
            ),
        )
        for pair in without_partition(case)
    )
    return replace(case, partition=(*case.partition, *assumed))


def furnishing_of(room: Compartment) -> str:
    """Return the row of furnishings that a room has."""
    if room.use in ("engine space", "bilge") and room.furnishing is None:
        return room.use
    return "soft" if room.is_soft else "hard"


def mean_absorption(furnishing: str) -> Array:
    """Return the share of sound that a room's surfaces swallow, by band."""
    shares: dict[str, float] = sound_row("furnishings", furnishing)["shares"]
    rows = [sound_row("surfaces", name)["absorption_shares"] for name in shares]
    whole = np.asarray(
        absorption_area(np.asarray(list(shares.values())), np.asarray(rows, dtype=float).T)
    )
    return whole / sum(shares.values())


def area_of(wall: Partition, rooms: dict[str, Compartment]) -> float:
    """Return the area of a partition [m2]: its own, or that in which its two rooms meet."""
    first, second = (rooms[name] for name in wall.between)
    return shared_area(first, second) if wall.area is None else wall.area


def open_share(wall: Partition, area: float) -> float:
    """Return the open share of a partition."""
    opening = sound_row("openings", wall.opening or "sealed")
    if "gap" in opening:
        usual = float(gap_area(wall.door_area or min(ORDINARY_DOOR, area), opening["gap"]))
    else:
        usual = opening["leak_share"] * (wall.door_area or area)
    given = usual if wall.opening_area is None else wall.opening_area
    return min(1.0, given / area)


def loss_of(wall: Partition, area: float) -> Array:
    """Return the transmission loss of a partition by band, doors and leaks counted in [dB]."""
    closed = _leaf_loss(wall.material, wall.thickness, wall.mass)
    if wall.lining is not None:
        closed = _with_lining(wall, closed)
    if wall.door_area is not None and wall.door is not None:
        share = min(1.0, wall.door_area / area)
        parts = np.stack([closed, _leaf_loss(wall.door, None, None)], axis=-1)
        closed = np.asarray(composite_loss(parts, np.asarray([1.0 - share, share])))
    opening = sound_row("openings", wall.opening or "sealed")
    return np.asarray(loss_with_leak(closed, open_share(wall, area), opening["loss"]))


def _coupling(wall: Partition, rooms: dict[str, Compartment]) -> Array:
    area = area_of(wall, rooms)
    return np.asarray(coupling_area(loss_of(wall, area), area))


def _leaf(material: str, thickness: float | None, mass: float | None) -> tuple[float, float, float]:
    """Return mass, coincidence frequency and loss factor of a leaf.

    A thicker one of the same stuff is heavier and stiffer; more mass alone keeps the stiffness.
    """
    row = sound_row("panels", material)
    weight, dip = row["surface_mass"], row["dip_frequency"]
    if thickness is not None:
        weight = weight * thickness / row["thickness"]
        dip = dip * row["thickness"] / thickness
    if mass is not None:
        dip = float(coincidence_frequency(mass, stiffness_of(weight, dip)))
        weight = mass
    return float(weight), float(dip), float(row["loss_factor"])


def _leaf_loss(material: str, thickness: float | None, mass: float | None) -> Array:
    leaf = _leaf(material, thickness, mass)
    return np.asarray(octave_panel_loss(octave_frequencies(), *leaf))


def _with_lining(wall: Partition, closed: Array) -> Array:
    assert wall.lining is not None
    gap = default("placing.lining_gap").value if wall.lining_gap is None else wall.lining_gap
    first, second = _leaf(wall.material, wall.thickness, wall.mass), _leaf(wall.lining, None, None)
    lining = _leaf_loss(wall.lining, None, None)
    both = double_leaf_loss(octave_frequencies(), first[0], second[0], closed, lining, gap)
    return np.asarray(np.maximum(np.asarray(both), closed))
