"""What a loop meets: sea, supply, dirt, wear, heel and which units run."""

from __future__ import annotations

import dataclasses
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from functools import cache
from operator import is_
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Number
from seaflow.physics.flow.friction import GROWTH_ROUGHNESS
from seaflow.physics.heat.refrigerant import Cycle
from seaflow.physics.pumping.pump import Drive
from seaflow.physics.pumping.pump_curve import Knots

# Arrays of Knots run along the curve, not along the conditions; a plate or a cycle
# knows no conditions.
_WITHOUT_AXIS = (float, int, str, bool, Knots, Drive, Cycle)
_PLAIN = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Conditions of one loop; every field is a number or an array along one condition axis.

    Parameters
    ----------
    sea_temperature, salinity
        The water going in. [degC, g/kg]
    voltage, frequency
        At the pump; None means as rated. The frequency also drives the compressors. [V, Hz]
    strainer_blockage, matted, intake_blockage
        Share of the open area of basket and entry that is lost; 1 where the dirt in the basket is
        a mat, 0 where it lies evenly. [-]
    seacock_opening, outlet_opening
        Share of a full turn-on of every seacock on the intake and on the outlets. [-]
    growth, growth_roughness
        Thickness of growth inside the hoses, and its roughness over that. [m, -]
    pump_wear
        Share of shut-off head and free flow lost to wear. [-]
    air_fraction
        Air drawn in, as a share of the volume going through the pump. [-]
    coil_scale, coil_loss_factor
        Fouling resistance inside the coils, and what their head loss is multiplied by. [m2 K/W, -]
    heel, trim
        Heel is + starboard down, trim is + bow down. [rad]
    boat_speed
        Through the water, ahead. [m/s]
    clearing
        What the velocity is multiplied by at which a falling leg clears its air and runs full. [-]
    pump_running, pump_speed
        False where the pumps stand still; the speed commanded, as a share of full speed. [-]
    recirculated
        Share of the water at the intake that is discharge of the same loop. [-]
    mode
        "cooling", or "heating" with the sea as the source.
    running, load, branch_shut
        By unit name: whether its compressor runs, its load as a share of full, its branch shut.
    preheat
        By unit name: by how much its water comes warmer than the loop's plan says. [K]
    """

    sea_temperature: Number
    salinity: Number = 35.0
    voltage: Number | None = None
    frequency: Number | None = None
    strainer_blockage: Number = 0.0
    matted: Number = 0.0
    intake_blockage: Number = 0.0
    seacock_opening: Number = 1.0
    outlet_opening: Number = 1.0
    growth: Number = 0.0
    growth_roughness: Number = GROWTH_ROUGHNESS
    pump_wear: Number = 0.0
    air_fraction: Number = 0.0
    coil_scale: Number = 0.0
    coil_loss_factor: Number = 1.0
    heel: Number = 0.0
    trim: Number = 0.0
    boat_speed: Number = 0.0
    clearing: Number = 1.0
    pump_running: Any = True
    pump_speed: Number = 1.0
    recirculated: Number = 0.0
    mode: str = "cooling"
    running: Mapping[str, Any] = field(default_factory=dict)
    load: Mapping[str, Number] = field(default_factory=dict)
    branch_shut: Mapping[str, Any] = field(default_factory=dict)
    preheat: Mapping[str, Number] = field(default_factory=dict)

    @property
    def size(self) -> int:
        """The number of conditions; 1 where all fields are plain numbers."""
        return axis_length(self)

    def block(self, start: int, stop: int) -> Conditions:
        """Return the conditions from `start` to `stop` along the axis."""
        return take(self, slice(start, stop))  # type: ignore[no-any-return]


def take(record: Any, where: slice | NDArray[np.intp]) -> Any:
    """Return a frozen record with every array in it cut along the condition axis.

    Plain numbers, texts and arrays of length one stay as they are.
    """
    kind = _kind(record.__class__)
    if kind is _PLAIN:
        return record
    if kind is np.ndarray:
        return record[..., where] if record.ndim and record.shape[-1] > 1 else record
    if kind is dict:
        return {name: take(value, where) for name, value in record.items()}
    if kind is tuple:
        cut = tuple([take(item, where) for item in record])
        return record if all(map(is_, cut, record)) else cut
    values = [getattr(record, name) for name in kind]
    taken = [take(value, where) for value in values]
    if all(map(is_, taken, values)):
        return record
    return type(record)(**dict(zip(kind, taken, strict=True)))


def axis_length(record: Any) -> int:
    """Return the length of the longest condition axis inside a frozen record."""
    kind = _kind(record.__class__)
    if kind is _PLAIN:
        return 1
    if kind is np.ndarray:
        return int(record.shape[-1]) if record.ndim else 1
    if kind is dict:
        inside = record.values()
    else:
        inside = record if kind is tuple else [getattr(record, name) for name in kind]
    return max(map(axis_length, inside), default=1)


@cache
def _kind(kind: Hashable) -> Any:
    """Return what a type of values is to the axis: a record by the names of its fields."""
    assert isinstance(kind, type)
    if issubclass(kind, _WITHOUT_AXIS):
        return _PLAIN
    if issubclass(kind, np.ndarray):
        return np.ndarray
    if issubclass(kind, Mapping):
        return dict
    if issubclass(kind, tuple):
        return tuple
    return names_of(kind) if dataclasses.is_dataclass(kind) else _PLAIN


@cache
def names_of(record: type[Any]) -> tuple[str, ...]:
    """Return the names of the fields of a record."""
    return tuple(entry.name for entry in dataclasses.fields(record))
