"""How each fault changes a loop and its conditions, for many boats at once.

Adding a fault is a row of the table of faults and a function here, named in EFFECTS. A severity
of nought is a boat without the fault, so two faults at once need nothing more.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.boat.defaults import default
from seaflow.boat.network import upstream
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Coil, HeatingCoil, HoseRun, Pumping
from seaflow.model.loop import Link, Loop

ICES = 0.5  # of the air lost, above which an evaporator may freeze over; own choice
# Of the capacity, and of the power, lost for each share of the air; own choices.
AIR_CAPACITY, ICED_CAPACITY, AIR_POWER = 0.5, 0.9, 0.25
CABIN = 20.0  # degC of the air that a heating unit draws in; own choice
MOST_POWER = 0.8  # of the heat given: the rest must come from the water
# W/m K of scale, 0.28 mm for 3.8e-4 m2 K/W in an evaporator (J. Chem. Eng. Process Technol. 6,
# second-hand), and m of bore where the tubes of a coil are not known, our assumption.
SCALE_CONDUCTIVITY, TUBE_BORE = 0.74, 0.015
BORE_EXPONENT = -4.75  # of the loss of a smooth tube at one flow (Blasius)


@dataclass(frozen=True, slots=True, eq=False)
class Boats:
    """Many boats: their loop and conditions, and what an observer meets that no loop knows.

    `leaking` is the share of the flow that never reaches an outlet, `air_side` the share of the
    air left, `reads_high` what the discharge thermometer adds [K], `locked` the amps of a jammed
    pump over its rated amps, `shut_in` the share of its head that a pump behind a shut seacock
    still makes, `pulses` whether the stream comes in gulps, `airless` whether a unit that heats
    has tripped for want of air.
    """

    loop: Loop
    now: Conditions
    leaking: Array
    air_side: Array
    reads_high: Array
    locked: Array
    shut_in: Array
    pulses: NDArray[np.bool_]
    airless: NDArray[np.bool_]

    @classmethod
    def sound(cls, loop: Loop, now: Conditions, many: int) -> Boats:
        """Return as many boats that no fault has struck."""
        none = np.zeros(many)
        return cls(
            loop=loop,
            now=now,
            leaking=none,
            air_side=none + 1.0,
            reads_high=none,
            locked=none,
            shut_in=none,
            pulses=none > 0,
            airless=none > 0,
        )


@dataclass(frozen=True, slots=True, eq=False)
class Struck:
    """A fault as it strikes: its severity by boat, and by unit name where it picks one.

    `heads` says which of two ways it goes, where it has two.
    """

    severity: Array
    by_unit: Mapping[str, Array]
    heads: NDArray[np.bool_]
    built: Built

    @property
    def on(self) -> NDArray[np.bool_]:
        """Where the boat has the fault."""
        return self.severity > 0


Effect = Callable[[Boats, Struck], Boats]


def _condition(name: str) -> Effect:
    """Let the severity stand in a field of the conditions, if it is worse than what is there."""

    def effect(boats: Boats, struck: Struck) -> Boats:
        worse = np.maximum(getattr(boats.now, name), struck.severity)
        return replace(boats, now=replace(boats.now, **{name: worse}))

    return effect


def _seacock(boats: Boats, struck: Struck) -> Boats:
    opening = np.asarray(boats.now.seacock_opening) * (1.0 - struck.severity)
    return replace(boats, now=replace(boats.now, seacock_opening=opening))


def _shut(boats: Boats, struck: Struck) -> Boats:
    opening = np.where(struck.on, 0.0, np.asarray(boats.now.seacock_opening))
    now = replace(boats.now, seacock_opening=opening)
    return replace(boats, now=now, shut_in=np.maximum(boats.shut_in, struck.severity))


def _drawn(boats: Boats, struck: Struck) -> Boats:
    """Volts and sea are drawn with the boat, since they may have been read."""
    return boats


def _frequency(boats: Boats, struck: Struck) -> Boats:
    rated = struck.built.loop.rated_frequency
    assert rated is not None  # such a fault is possible only on alternating current
    other = 110.0 - rated  # 50 for 60 and 60 for 50
    return replace(boats, now=replace(boats.now, frequency=np.where(struck.on, other, rated)))


def _stopped(boats: Boats, struck: Struck) -> Boats:
    running = np.asarray(boats.now.pump_running, dtype=bool) & ~struck.on
    return replace(boats, now=replace(boats.now, pump_running=running))


def _jammed(boats: Boats, struck: Struck) -> Boats:
    return replace(_stopped(boats, struck), locked=np.maximum(boats.locked, struck.severity))


def _set_point(boats: Boats, struck: Struck) -> Boats:
    stopped = _stopped(boats, struck)
    running = dict(stopped.now.running)
    for coil in stopped.loop.coils:
        running[coil.unit] = np.asarray(running.get(coil.unit, coil.switched_on)) & ~struck.on
    return replace(stopped, now=replace(stopped.now, running=running))


def _part_load(boats: Boats, struck: Struck) -> Boats:
    """On half of the boats the night is that of all units, on the others one is at part load."""
    loads = dict(boats.now.load)
    for unit, here in struck.by_unit.items():
        missing = np.where(struck.heads, struck.severity, here)
        loads[unit] = np.asarray(loads.get(unit, 1.0)) * (1.0 - missing)
    return replace(boats, now=replace(boats.now, load=loads))


def _kinked(before_pump: bool) -> Effect:
    """Add a loss coefficient to one hose, on the chosen side of the pump."""

    def effect(boats: Boats, struck: Struck) -> Boats:
        hose = _hose_beside_pump(boats.loop, before_pump)
        if hose is None:
            return boats
        more = hose.fittings_coefficient + struck.severity
        return replace(boats, loop=boats.loop.changed(hose, fittings_coefficient=more))

    return effect


def _hose_beside_pump(loop: Loop, before: bool) -> HoseRun | None:
    for link in loop.links:
        if any(isinstance(element, Pumping) for element in link.elements):
            return _hose_in(link, before)
    return None


def _hose_in(link: Link, before: bool) -> HoseRun | None:
    place = next(i for i, element in enumerate(link.elements) if isinstance(element, Pumping))
    side = link.elements[:place][::-1] if before else link.elements[place + 1 :]
    return next((element for element in side if isinstance(element, HoseRun)), None)


def _coils(change: Callable[[Coil, Array], dict[str, Any]]) -> Effect:
    """Change the coil of the unit that is struck."""

    def effect(boats: Boats, struck: Struck) -> Boats:
        loop = boats.loop
        for coil in boats.loop.coils:
            loop = loop.changed(coil, **change(coil, struck.by_unit[coil.unit]))
        return replace(boats, loop=loop)

    return effect


def _machine(capacity: Array | float, power: float) -> Callable[[Coil, Array], dict[str, Any]]:
    """Return a change that takes these shares of the severity off capacity and power."""

    def change(coil: Coil, severity: Array) -> dict[str, Any]:
        machine = replace(
            coil.machine,
            rated_capacity=coil.machine.rated_capacity * (1.0 - capacity * severity),
            rated_power=coil.machine.rated_power * (1.0 - power * severity),
        )
        heats = coil.heating
        if heats is not None:
            heats = _weakened(heats, 1.0 - capacity * severity, 1.0 - power * severity)
        return {"machine": machine, "heating": heats}

    return change


def _weakened(heats: HeatingCoil, heat_left: Array, power_left: Array) -> HeatingCoil:
    """Return a heating coil whose machine has only these shares of its heat and power left."""
    heat = heats.heater.rated_heating * heat_left
    power = np.minimum(heats.heater.rated_power * power_left, MOST_POWER * heat)
    return replace(heats, heater=replace(heats.heater, rated_heating=heat, rated_power=power))


def _blocked_coil(coil: Coil, severity: Array) -> dict[str, Any]:
    factor = np.maximum(severity, 1.0)
    if coil.loss is not None:
        return {"loss": replace(coil.loss, head=coil.loss.head * factor)}
    assert coil.pipe is not None  # a coil has one or the other
    return {"pipe": replace(coil.pipe, multiplier=coil.pipe.multiplier * factor)}


def _overcharged(coil: Coil, severity: Array) -> dict[str, Any]:
    changes = _machine(0.0, -0.2)(coil, severity)
    return {**changes, "conductance": coil.conductance * (1.0 - severity)}


def _switch(coil: Coil, severity: Array) -> dict[str, Any]:
    return {"cut_out_temperature": coil.cut_out_temperature - severity}


def _scaled(boats: Boats, struck: Struck) -> Boats:
    """Scale takes heat and, a little, room in the bore, as thick as what it holds back says.

    On half of the boats all coils have it, on the others one: of what age a coil is differs.
    """
    everywhere = np.where(struck.heads, struck.severity, 0.0)
    boats = _condition("coil_scale")(boats, replace(struck, severity=everywhere))
    loop = boats.loop
    for coil in boats.loop.coils:
        here = np.where(struck.heads, 0.0, struck.by_unit[coil.unit])
        narrow = _blocked_coil(coil, _narrowed(coil, np.where(struck.heads, everywhere, here)))
        loop = loop.changed(coil, scale=coil.scale + here, **narrow)
    return replace(boats, loop=loop)


def _narrowed(coil: Coil, scale: Array) -> Array:
    """Return how many times the loss of a coil is that of the clean one with this scale in it."""
    bore = TUBE_BORE if coil.velocity_bore is None else coil.velocity_bore
    left = 1.0 - 2.0 * SCALE_CONDUCTIVITY * scale / bore
    return np.asarray(np.maximum(left, 0.2) ** BORE_EXPONENT)


def _filter(boats: Boats, struck: Struck) -> Boats:
    """Take the air; half of the bad ones that cool are then a slab of ice.

    What air is left passes the ice instead of the fins, so the split falls with the cooling.
    """
    iced = (struck.severity > ICES) & struck.heads
    left = np.where(iced, 1.0, 1.0 - struck.severity)
    boats = replace(boats, air_side=boats.air_side * left)
    if boats.now.mode != "heating":
        capacity = np.where(iced, ICED_CAPACITY, AIR_CAPACITY)
        return _coils(_machine(capacity, AIR_POWER))(boats, struck)
    loop, running, airless = boats.loop, dict(boats.now.running), boats.airless
    for coil in boats.loop.coils:
        heats, trips = _airless_heat(coil, struck.by_unit[coil.unit])
        loop = loop.changed(coil, heating=heats)
        on = np.asarray(running.get(coil.unit, coil.switched_on))
        running[coil.unit] = on & ~trips
        airless = airless | (on & trips)
    return replace(boats, loop=loop, now=replace(boats.now, running=running), airless=airless)


def _airless_heat(coil: Coil, severity: Array) -> tuple[HeatingCoil | None, NDArray[np.bool_]]:
    """Return a heating coil with this share of its air lost, and where it trips for that.

    The refrigerant then condenses in the cabin as much farther above the air as there is less air
    to take its heat, up to the cut-out; power goes with the lift. A unit whose heating plate is not
    known trips as others do.
    """
    heats, usual = coil.heating, default("heating.condensing").value
    rated = usual if heats is None else heats.heater.condensing_temperature
    above = (rated - CABIN) / np.maximum(1.0 - severity, 0.01)
    trips = np.asarray((CABIN + above > coil.cut_out_temperature) & (severity > 0))
    if heats is None:
        return None, trips
    heater, condensing = heats.heater, np.minimum(CABIN + above, coil.cut_out_temperature)
    lift = (condensing - heater.rated_evaporating_temperature) / heater.rated_lift
    power = np.minimum(heater.rated_power * lift, MOST_POWER * heater.rated_heating)
    hot = replace(heater, condensing_temperature=condensing, rated_power=power)
    return replace(heats, heater=hot), trips


def _series(boats: Boats, struck: Struck) -> Boats:
    return replace(boats, now=replace(boats.now, preheat=dict(struck.by_unit)))


def _lost_head(boats: Boats, struck: Struck) -> Boats:
    loop = boats.loop
    for entry in boats.loop.entries:
        loop = loop.changed(entry, lost_head=entry.lost_head + struck.severity)
    return replace(boats, loop=loop)


def _first_hose(field: str) -> Effect:
    """Add the severity to a field of the first hose on the branch of the unit that is struck."""

    def effect(boats: Boats, struck: Struck) -> Boats:
        loop = boats.loop
        for coil in boats.loop.coils:
            link = loop.links[loop.link_of(coil)]
            hose = next((item for item in link.elements if isinstance(item, HoseRun)), None)
            if hose is not None:
                more = getattr(hose, field) + struck.by_unit[coil.unit]
                loop = loop.changed(hose, **{field: more})
        return replace(boats, loop=loop)

    return effect


def _branch_shut(boats: Boats, struck: Struck) -> Boats:
    """Shut the branch of a unit, or on half of the boats what leads to its outlet."""
    own = {unit: np.where(struck.heads, 0.0, bad) for unit, bad in struck.by_unit.items()}
    boats = _first_hose("fittings_coefficient")(boats, replace(struck, by_unit=own))
    loop = boats.loop
    for link in struck.built.loop.links:
        hose = next((item for item in link.elements if isinstance(item, HoseRun)), None)
        if not link.to_sea or hose is None:
            continue
        before = upstream(struck.built.network, link.elements[-1].name)
        bad = sum(struck.by_unit[unit] for unit in struck.by_unit if unit in before)
        now = next(item for item in loop.elements(HoseRun) if item.name == hose.name)
        more = now.fittings_coefficient + np.where(struck.heads, bad, 0.0)
        loop = loop.changed(now, fittings_coefficient=more)
    return replace(boats, loop=loop)


def _leak(boats: Boats, struck: Struck) -> Boats:
    return replace(boats, leaking=np.maximum(boats.leaking, struck.severity))


def _thermometer(boats: Boats, struck: Struck) -> Boats:
    """Half of them read high and half low."""
    sign = np.where(struck.heads, 1.0, -1.0)
    return replace(boats, reads_high=boats.reads_high + sign * struck.severity)


EFFECTS: Mapping[str, Effect] = {
    "intake_blocked": _condition("intake_blockage"),
    "seacock_part_shut": _seacock,
    "seacock_shut": _shut,
    "strainer": _condition("strainer_blockage"),
    "air_lock": _condition("air_fraction"),
    "air_drawn_in": _condition("air_fraction"),
    "pump_worn": _condition("pump_wear"),
    "pump_reversed": _condition("pump_wear"),
    "low_volts": _drawn,
    "other_frequency": _frequency,
    "not_commanded": _stopped,
    "pump_jammed": _jammed,
    "thermal_cut_out": _stopped,
    "motor_shorted": _stopped,
    "suction_kinked": _kinked(before_pump=True),
    "delivery_kinked": _kinked(before_pump=False),
    "branch_kinked": _first_hose("fittings_coefficient"),
    "branch_shut": _branch_shut,
    "growth": _condition("growth"),
    "coil_scaled": _scaled,
    "coil_blocked": _coils(_blocked_coil),
    "units_in_series": _series,
    "recirculated": _condition("recirculated"),
    "warm_sea": _drawn,
    "low_refrigerant": _coils(_machine(1.0, 0.7)),
    "not_pumping": _coils(_machine(0.97, 0.85)),
    "part_load": _part_load,
    "overcharge": _coils(_overcharged),
    "filter": _filter,
    "pressure_switch": _coils(_switch),
    "set_point": _set_point,
    "aeration": _condition("air_fraction"),
    "scoop_reversed": _lost_head,
    "shared_intake": _lost_head,
    "branch_air": _first_hose("trapped_head"),
    "leak": _leak,
    "thermometer": _thermometer,
}
