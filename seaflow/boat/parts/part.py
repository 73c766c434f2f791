"""Parts ready for the model: what a sheet says, with the defaults for what it leaves open."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache, lru_cache

import numpy as np

from seaflow.base.measured import measured
from seaflow.base.near import same_letters
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.defaults import Assumption, assumed, default
from seaflow.boat.parts.sheets import HoseSheet, PumpSheet
from seaflow.boat.reader.heads import FRESH_DENSITY
from seaflow.physics.electric.motor import motor_data
from seaflow.physics.hull.openings import head_of_pressure
from seaflow.physics.pumping.pump import Drive, PumpCurve, curve_from_ends, curve_from_points, head
from seaflow.physics.pumping.pump_power import hydraulic_power

MOST_KEPT = 512  # parts made of their sheets: a question asks for the same again and again
NO_KIND = "pump"  # the type of a pump whose sheet gives none
CENTRIFUGAL = "centrifugal by its curve"
USUAL_FACTOR = "power factor, not given"


class NoSuchPart(KeyError):  # noqa: N818 - it says what happened
    """A name that a parts table does not have; `near` holds names like it."""

    def __init__(self, table: str, name: str, near: list[str]) -> None:
        super().__init__(name)
        self.table, self.name, self.near = table, name, near

    @property
    def texts(self) -> tuple[str, str, str]:
        """What is wrong, why it matters and what to write, for a problem."""
        listed = ", ".join(f'"{item}"' for item in self.near)
        near = f"Did you mean {listed}?" if listed else f"See: seaflow parts {self.table}."
        return (
            f'there is no "{self.name}" in the table of {self.table}',
            "Its figures come from that table or from a file of your own parts.",
            same_letters(self.name, self.near) or near,
        )


@dataclass(frozen=True, slots=True)
class HoseKind:
    """What the wall of a hose does to the water; SI."""

    name: str
    roughness: float
    pitch: float | None
    suction: bool | None
    source: str
    assumptions: tuple[Assumption, ...]


@lru_cache(MOST_KEPT)
def hose_kind_of(sheet: HoseSheet) -> HoseKind:
    """Return the kind of hose that a sheet describes."""
    return HoseKind(
        sheet.name, sheet.roughness, sheet.pitch, sheet.suction, sheet.source, sheet.assumptions
    )


@dataclass(frozen=True, slots=True)
class Price:
    """A price as typed, and its number where one can be read."""

    text: str
    amount: float | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpPart(Drive):
    """A pump as its sheet describes it; SI.

    `head_spread` and `flow_spread` are what the sheet gives as plus or minus, as shares. `kind` is
    its type; where the sheet gives none, what its curve tells. `curve_of` is the pump of which it
    is one curve, at one of several supplies.
    """

    ALSO = ("power_is_typical",)

    name: str
    title: str
    type: str
    kind: str
    current: str
    curve: PumpCurve
    continuous: bool
    dry_run_protection: bool
    self_priming: bool
    invented: bool
    source: str
    inlet: float = measured("m")
    curve_of: str = ""
    least_speed: float | None = measured("-", None)
    priming_lift: float = measured("m", 0.0)
    sound_at_1_m: float | None = measured("dB", None)
    head_spread: float | None = measured("-", None)
    flow_spread: float | None = measured("-", None)
    price: Price | None = None
    assumptions: tuple[Assumption, ...] = ()

    @property
    def power_is_typical(self) -> bool:
        """True if its sheet gives no watts: its power is by a usual efficiency or power factor."""
        usual = (default("pump.efficiency").meaning, USUAL_FACTOR)
        return any(note.meaning in usual for note in self.assumptions)

    def runs_on(self, current: str, voltage: float) -> bool:
        """Return whether a supply of this kind and nominal voltage [V] can drive it."""
        off = abs(self.voltage / voltage - 1.0)
        return self.current == current and off <= _limit("supply_tolerance")


@cache
def _limit(name: str) -> float:
    row = read_table("limits.toml")[name]
    return read_quantity(row["value"], row["unit"])


@dataclass
class _Filling:
    """Takes down every default that a sheet needs."""

    subject: str
    notes: list[Assumption] = field(default_factory=list)

    def text(self, given: str | None, name: str) -> str:
        if given is None:
            self.notes.append(assumed(name, self.subject))
        return default(name).text if given is None else given

    def number(self, given: float | None, name: str) -> float:
        if given is None:
            self.notes.append(assumed(name, self.subject))
        return default(name).value if given is None else given

    def flag(self, given: bool | None, name: str) -> bool:
        return given if given is not None else self.text(None, name) == "yes"

    def say(self, meaning: str, value: str, source: str) -> None:
        self.notes.append(Assumption(self.subject, meaning, value, source))


def _priming_lift(sheet: PumpSheet, filling: _Filling) -> float:
    primes = sheet.self_priming or default("pump.self_priming").text == "yes"
    return filling.number(sheet.priming_lift, "pump.priming_lift") if primes else 0.0


@lru_cache(MOST_KEPT)
def pump_part_of(sheet: PumpSheet) -> PumpPart:
    """Return the pump that a sheet describes; what the sheet leaves open becomes an assumption.

    Raises
    ------
    RangeError
        If its points are no pump curve.
    """
    filling = _Filling(sheet.words)
    filling.notes.extend(sheet.assumptions)
    curve = pump_curve(sheet)
    if len(given_points(sheet)) == 2 and sheet.exponent is None:
        filling.number(None, "pump.exponent")
    motor = filling.text(sheet.motor, f"pump.motor_{sheet.supply}")
    _say_supply(sheet, filling)
    power, power_factor = _electric(sheet, motor, curve, filling)
    return PumpPart(
        name=sheet.name,
        title=sheet.words,
        type=sheet.type or NO_KIND,
        kind=sheet.type or _kind_by_curve(sheet),
        motor=motor,
        current=sheet.supply,
        voltage=sheet.voltage,
        frequency=sheet.frequency,
        inlet=filling.number(sheet.inlet, "pump.inlet"),
        curve=curve,
        power=power,
        power_factor=power_factor,
        continuous=filling.text(sheet.duty, "pump.duty") == "continuous",
        dry_run_protection=filling.flag(sheet.dry_run_protection, "pump.dry_run_protection"),
        self_priming=filling.flag(sheet.self_priming, "pump.self_priming"),
        minimum_voltage=sheet.minimum_voltage,
        required_npsh=sheet.required_npsh,
        curve_of=sheet.curve_of or "",
        least_speed=sheet.least_speed,
        invented=bool(sheet.invented),
        source=sheet.source,
        priming_lift=_priming_lift(sheet, filling),
        sound_at_1_m=sheet.sound_at_1_m,
        head_spread=_least_sure(sheet, ("head", "pressure"), "shut_off_head"),
        flow_spread=_least_sure(sheet, ("flow",), "free_flow"),
        price=None if sheet.price is None else price_of(sheet.price),
        assumptions=tuple(filling.notes),
    )


def _say_supply(sheet: PumpSheet, filling: _Filling) -> None:
    """Take down what of the supply its curve holds on is not on the sheet."""
    if sheet.supply == "ac" and sheet.frequency is None:
        filling.say(
            "frequency at which its curve holds", "that of the boat's supply", "not on its sheet"
        )
    if sheet.supply_from is not None:
        filling.say("supply on which its curve holds", sheet.supply_from, "that of the case")


def given_points(sheet: PumpSheet) -> tuple[tuple[float, float], ...]:
    """Return the flow and head of each point that the sheet gives, by rising flow [m3/s, m]."""
    if not sheet.points:
        ends = ((0.0, sheet.shut_off_head), (sheet.free_flow, 0.0))
        return tuple((flow, top) for flow, top in ends if flow is not None and top is not None)
    points = []
    for point in sheet.points:
        if point.head is not None:
            points.append((point.flow, point.head))
        elif point.pressure is not None:
            points.append((point.flow, float(head_of_pressure(point.pressure, FRESH_DENSITY))))
    return tuple(sorted(points))


def _kind_by_curve(sheet: PumpSheet) -> str:
    """Return the kind of a pump that its curve leaves.

    A pump that displaces water pushes on at no flow until something gives. One whose sheet shows
    that it stops at a low head is none of those.
    """
    flow, top = given_points(sheet)[0]
    return CENTRIFUGAL if flow == 0.0 and top < _limit("displacement_shut_off") else NO_KIND


def pump_curve(sheet: PumpSheet) -> PumpCurve:
    """Return the curve through the points of a sheet, or from its two ends.

    Raises
    ------
    RangeError
        If the points are no pump curve.
    """
    exponent = default("pump.exponent").value if sheet.exponent is None else sheet.exponent
    if sheet.points:
        points = np.asarray(given_points(sheet), dtype=float).reshape(-1, 2)
        return curve_from_points(points[:, 0], points[:, 1], exponent)
    assert sheet.shut_off_head is not None
    assert sheet.free_flow is not None
    return curve_from_ends(sheet.shut_off_head, sheet.free_flow, exponent)


def _least_sure(sheet: PumpSheet, of_points: tuple[str, ...], end: str) -> float | None:
    """Return the largest half width on one axis of the curve, as a share of its value."""
    shares = []
    for path, half in sheet.spreads.items():
        on_axis = path[0] == "points" and path[-1] in of_points if sheet.points else path == (end,)
        value = sheet.value_at(path) if on_axis else None
        if value:
            shares.append(abs(half / value))
    return max(shares, default=None)


def price_of(text: str) -> Price:
    """Return a price with its number and currency, where the text has just one of each."""
    found = re.fullmatch(r"\s*([^\d\s]*)\s*(\d[\d ]*(?:\.\d+)?)\s*(\S*)\s*", text)
    if found is None or bool(found[1]) == bool(found[3]):
        return Price(text)
    return Price(text, float(found[2].replace(" ", "")), found[1] or found[3])


def _electric(
    sheet: PumpSheet, motor: str, curve: PumpCurve, filling: _Filling
) -> tuple[tuple[tuple[float, float], ...], float | None]:
    """Return electric power over flow, and the power factor."""
    factor = sheet.power_factor
    on_curve = [(point.flow, point.power) for point in sheet.points if point.power is not None]
    points = on_curve + [(point.flow, point.power) for point in sheet.power_points]
    amps = [(point.flow, point.current) for point in sheet.points if point.current is not None]
    if points:
        return tuple(sorted(points)), factor
    if amps and sheet.power is None:
        volts = _volts_of_amps(sheet, motor, "at each flow", filling)
        return tuple(sorted((flow, volts * current) for flow, current in amps)), factor
    if sheet.power is not None:
        if factor is None and sheet.current is not None and sheet.supply == "ac":
            factor = min(1.0, sheet.power / (sheet.voltage * sheet.current))
            source = "its sheet: power over volts times amperes"
            filling.say("power factor", f"{factor:.2f}", source)
        return ((0.0, sheet.power),), factor
    if sheet.current is not None:
        volts = _volts_of_amps(sheet, motor, f"at {sheet.current:g} A", filling)
        return ((0.0, volts * sheet.current),), factor
    return ((0.0, _from_efficiency(curve, filling)),), factor


def _volts_of_amps(sheet: PumpSheet, motor: str, where: str, filling: _Filling) -> float:
    """Return the watts that each ampere is: the volts, on AC times the power factor."""
    if sheet.supply == "dc" or sheet.power_factor is not None:
        source = "its sheet: volts times amperes"
        source += " times its power factor" if sheet.supply == "ac" else ""
        used = sheet.power_factor if sheet.supply == "ac" else 1.0
    else:
        source = "its sheet: volts times amperes times the usual power factor of such a motor"
        used = float(motor_data(motor)["power_factor"])
        filling.say(USUAL_FACTOR, f"{used:g}", "not on its sheet: usual of such a motor")
    volts = sheet.voltage * (used or 1.0)
    filling.say("electric power", f"{volts:.0f} W for each ampere, {where}", source)
    return volts


def _from_efficiency(curve: PumpCurve, filling: _Filling) -> float:
    """Return the electric power from the most power in the water and a usual efficiency."""
    flow = np.linspace(0.0, 1.0, 101) * curve.free_flow
    water = float(np.max(hydraulic_power(flow, head(curve, flow, 1.0), FRESH_DENSITY)))
    return water / filling.number(None, "pump.efficiency")
