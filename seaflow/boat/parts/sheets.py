"""What a sheet of a part may say, declared once for the packaged tables and for own parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from seaflow.boat.defaults import Assumption
from seaflow.boat.keys import key, same
from seaflow.boat.reader.text import CaseText, Path
from seaflow.boat.tables.plates import LossPoint
from seaflow.boat.tables.things import Hose, Strainer, Unit

MOTORS = ("unregulated dc", "regulated dc", "synchronous ac", "induction ac")


@dataclass(frozen=True, kw_only=True, eq=False)
class Sheet:
    """What every part has: a name, the source of its figures, and the text as it was typed.

    `spreads` holds the half widths behind its values, by path from the sheet on.
    """

    row: int = -1
    table: str = ""
    file: str = ""
    text: CaseText | None = None
    written: Mapping[str, Any] = field(default_factory=dict)
    assumptions: tuple[Assumption, ...] = ()
    spreads: Mapping[Path, float] = field(default_factory=dict)
    name: str = key("The name by which a case calls it.", example='"my-pump"', required=True)
    title: str | None = key("What it is, in words.", example='"magnet-drive pump, 230 V"')
    source: str = key(
        "Title of the sheet that the figures are from.",
        example='"Data sheet of the pump, edition of May 2024"',
        required=True,
    )
    seen: str | None = key(
        "How the source was seen.",
        choices=("read", "second-hand", "memory", "computed"),
        example='"read"',
    )
    aliases: tuple[str, ...] = key("Other names for it.", many=True, example='["spare pump"]')
    note: str | None = key("Anything worth knowing.", example='"must be filled once"')
    invented: bool | None = key("True if no such part exists.", kind="flag", example="true")

    @property
    def words(self) -> str:
        """Its title, or its name."""
        return self.title or self.name

    def value_at(self, path: Path) -> float | None:
        """Return the number that stands at a path of the sheet, or None."""
        value: Any = self
        for step in path:
            value = value[step] if isinstance(step, int) else getattr(value, step, None)
        return None if value is None else float(value)


@dataclass(frozen=True, kw_only=True, eq=False)
class CurvePoint:
    """One point of a pump's curve: a flow with the head or pressure, the power, or both."""

    flow: float = key(
        "The flow.", quantity="volume_flow", example='"10 L/min"', required=True, least=0.0
    )
    head: float | None = key("The head there.", quantity="head_loss", example='"3.1 m"', least=0.0)
    pressure: float | None = key(
        "The pressure there, if the sheet gives that in place of the head.",
        quantity="pressure",
        example='"0.3 bar"',
        least=0.0,
    )
    power: float | None = key("The electric power there.", quantity="power", example='"55 W"')
    current: float | None = key(
        "The running current there, if the sheet gives that in place of the power.",
        quantity="running_current",
        example='"0.4 A"',
        least=1e-6,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class PowerPoint:
    """The electric power of a pump at one flow."""

    flow: float = key(
        "The flow.", quantity="volume_flow", example='"10 L/min"', required=True, least=0.0
    )
    power: float = key(
        "The electric power there.", quantity="power", example='"55 W"', required=True
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class PumpSheet(Sheet):
    """A pump: its curve, its motor and what it draws."""

    type: str | None = key("Kind of pump.", example='"magnet-drive centrifugal"')
    motor: str | None = key("Kind of motor.", choices=MOTORS, example='"induction ac"')
    supply: str = key(
        "Kind of current it runs on.", choices=("ac", "dc"), example='"ac"', required=True
    )
    voltage: float = key(
        "Voltage at which the curve holds.", quantity="voltage", example='"230 V"', required=True
    )
    frequency: float | None = key(
        "Frequency at which the curve holds.", quantity="frequency", example='"50 Hz"'
    )
    supply_from: str | None = key(
        "What of its supply is taken from the boat's, since its sheet tells none.",
        example='"230 V 50 Hz"',
    )
    curve_of: str | None = key(
        "The pump of which this is one curve, where its sheet has one for each supply.",
        example='"my-pump"',
    )
    minimum_voltage: float | None = key(
        "Least voltage at which it runs.", quantity="voltage", example='"195 V"'
    )
    points: tuple[CurvePoint, ...] = key(
        "Points of the curve, two or more.",
        of=CurvePoint,
        many=True,
        example='[{ flow = "0 L/min", head = "4.2 m" }, { flow = "30 L/min", head = "0 m" }]',
    )
    shut_off_head: float | None = key(
        "Head at no flow, if no points are known.",
        quantity="shut_off_head",
        example='"4.2 m"',
        least=1e-6,
    )
    free_flow: float | None = key(
        "Flow at no head, if no points are known.",
        quantity="free_flow",
        example='"30 L/min"',
        least=1e-9,
    )
    exponent: float | None = key(
        "Exponent of a curve known by its two ends or by two points, 1 (straight) to 6.",
        quantity="exponent",
        example='"1.8"',
        least=1.0,
        most=6.0,
    )
    power: float | None = key(
        "Electric power, if it is one figure.", quantity="power", example='"60 W"'
    )
    power_points: tuple[PowerPoint, ...] = key(
        "Electric power at several flows.",
        of=PowerPoint,
        many=True,
        example='[{ flow = "0 L/min", power = "41 W" }]',
    )
    current: float | None = key(
        "Running current.", quantity="running_current", example='"0.4 A"', least=1e-6
    )
    power_factor: float | None = key(
        "Power over volts times amperes.",
        quantity="power_factor",
        example='"0.7"',
        least=0.05,
        most=1.0,
    )
    duty: str | None = key(
        "Duty it is rated for.", choices=("continuous", "intermittent"), example='"continuous"'
    )
    least_speed: float | None = key(
        "Least speed as a share of full speed, if the speed can be set.",
        quantity="share",
        example='"40 %"',
    )
    required_npsh: float | None = key(
        "Required NPSH.", quantity="head_loss", example='"1.5 m"', least=0.0
    )
    dry_run_protection: bool | None = key(
        "True if it stops by itself when it runs dry.", kind="flag", example="false"
    )
    self_priming: bool | None = key(
        "True if it can draw water up to itself.", kind="flag", example="false"
    )
    priming_lift: float | None = key(
        "Height from which it draws water up dry, if it primes itself.",
        quantity="most_lift",
        example='"2 m"',
        least=0.0,
        most=9.0,
    )
    inlet: float | None = key("Bore of its inlet.", quantity="bore", example='"19 mm"')
    outlet: float | None = key("Bore of its outlet.", quantity="bore", example='"19 mm"')
    sound_at_1_m: float | None = key(
        "Sound level at 1 m.", quantity="sound_at_1_m", example='"50 dB"', least=0.0, most=140.0
    )
    price: str | None = key("Price with its currency, kept as typed.", example='"180 EUR"')


@dataclass(frozen=True, kw_only=True, eq=False)
class StrainerSheet(Sheet):
    """A sea strainer: its ports, its basket and its loss when clean."""

    port: float = same(Strainer, "port", required=True)
    basket_area: float | None = same(Strainer, "basket_area")
    open_share: float | None = same(Strainer, "open_share")
    clean_loss: float | None = same(Strainer, "clean_loss")
    clean_drop: LossPoint | None = key(
        "Its loss when clean at one flow, if no loss coefficient is known.",
        of=LossPoint,
        example='{ at = "30 L/min", pressure = "1.5 kPa" }',
    )
    hole: float | None = key("Width of a hole of the basket.", quantity="hole", example='"2.4 mm"')
    rated_flow: float | None = key(
        "Most flow the maker allows.", quantity="volume_flow", example='"45 L/min"'
    )
    clear_bowl: bool | None = key(
        "True if the basket can be seen from outside.", kind="flag", example="true"
    )
    price: str | None = key("Price with its currency, kept as typed.", example='"90 EUR"')


@dataclass(frozen=True, kw_only=True, eq=False)
class HoseSheet(Sheet):
    """A kind of hose: its inner wall, and whether it stands suction."""

    roughness: float = same(Hose, "roughness", default="hose.roughness")
    pitch: float | None = key(
        "Distance from one corrugation to the next, if its bore is corrugated.",
        quantity="corrugation_pitch",
        example='"4 mm"',
        least=1e-6,
    )
    suction: bool | None = key("True if it stands suction.", kind="flag", example="true")
    price: str | None = key("Price with its currency, kept as typed.", example='"8 EUR/m"')


@dataclass(frozen=True, kw_only=True, eq=False)
class UnitSheet(Sheet):
    """An air conditioner: what its plate and its sheet say, to stand in for what a case omits."""

    cooling: float | None = same(Unit, "cooling", required=False)
    input_power: float | None = same(Unit, "input_power")
    refrigerant: str | None = same(Unit, "refrigerant")
    water_flow: Any = same(Unit, "water_flow")
    water_loss: Any = same(Unit, "water_loss")
    tube: Any = same(Unit, "tube")
    alloy: str | None = same(Unit, "alloy")
    condensing: Any = same(Unit, "condensing")
    cut_out: Any = same(Unit, "cut_out")
    least_load: float | None = same(Unit, "least_load")
    heating: Any = same(Unit, "heating")


@dataclass(frozen=True, kw_only=True, eq=False)
class CoilSheet(Sheet):
    """The water side of a condenser coil, to stand in for what a case omits."""

    water_loss: Any = same(Unit, "water_loss")
    tube: Any = same(Unit, "tube")
    alloy: str | None = same(Unit, "alloy")


@dataclass(frozen=True, kw_only=True, eq=False)
class PartsFile:
    """Everything a file of own parts may hold."""

    schema: int | None = key(
        "Version of this file format.", kind="number", example="1", least=1, most=1
    )
    pump: tuple[PumpSheet, ...] = key("Pumps.", of=PumpSheet, many=True)
    strainer: tuple[StrainerSheet, ...] = key("Strainers.", of=StrainerSheet, many=True)
    hose: tuple[HoseSheet, ...] = key("Kinds of hose.", of=HoseSheet, many=True)
    unit: tuple[UnitSheet, ...] = key("Air conditioners.", of=UnitSheet, many=True)
    coil: tuple[CoilSheet, ...] = key("Coils.", of=CoilSheet, many=True)


KINDS: dict[str, type[Sheet]] = {
    "pump": PumpSheet,
    "strainer": StrainerSheet,
    "hose": HoseSheet,
    "unit": UnitSheet,
    "coil": CoilSheet,
}
