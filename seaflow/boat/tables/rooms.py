"""The compartments of a boat, what stands between them, and the places a pump could go to."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.boat.keys import key
from seaflow.boat.tables.things import Place, Spot
from seaflow.physics.sound.sources import sound_names

USES = ("berth", "head", "saloon", "galley", "engine space", "locker", "bilge")
FURNISHINGS = ("soft", "hard")
ACCESS = ("good", "poor", "none")
PANELS = sound_names("panels")
OPENINGS = sound_names("openings")
MOUNTS = sound_names("mounts")
CLIPS = (
    "hose touching a board",
    "first clip near the pump",
    "half a metre of hose, then a cushioned clip",
)
NEAR = 0.15  # m by which two boxes that share a bulkhead may miss each other
JOINTS = ("same board", "board bonded to it", "two joints away", "separate structure")


@dataclass(frozen=True, kw_only=True, eq=False)
class Compartment:
    """A room of the boat, taken as a box; a bilge is what lies under a sole."""

    row: int = -1
    table: str = ""
    name: str = key("Its name.", example='"aft cabin"', required=True)
    use: str = key("What it is used for.", choices=USES, example='"berth"', required=True)
    aft: tuple[float, ...] = key(
        "Where it begins and ends, aft of the stem.",
        quantity="aft",
        many=True,
        example='["8.0 m", "10.0 m"]',
        required=True,
    )
    starboard: tuple[float, ...] = key(
        "Its port and its starboard side; port of the centreline is negative.",
        quantity="starboard",
        many=True,
        example='["-1.5 m", "1.5 m"]',
        required=True,
    )
    height: tuple[float, ...] = key(
        "Its lowest and its highest height above the waterline.",
        quantity="height",
        many=True,
        example='["-0.2 m", "1.5 m"]',
        required=True,
    )
    furnishing: str | None = key(
        "Soft with mattresses and cushions, or hard; soft for a berth and a saloon if left out.",
        choices=FURNISHINGS,
        example='"soft"',
    )
    sleeps: bool | None = key(
        "True if anyone sleeps there; if left out, so it is in a berth.",
        kind="flag",
        example="true",
    )
    pillow: Place | None = key(
        "Where the sleeper's head lies; the middle of the room if left out.",
        of=Place,
        example='{ aft = "9.6 m", starboard = "0.6 m", height = "0.4 m" }',
    )
    petrol: bool | None = key(
        "True if petrol is kept, led or burnt there.", kind="flag", example="false"
    )

    @property
    def is_berth(self) -> bool:
        """True if anyone sleeps there."""
        return self.use == "berth" if self.sleeps is None else self.sleeps

    @property
    def is_soft(self) -> bool:
        """True if it is furnished softly."""
        if self.furnishing is None:
            return self.use in ("berth", "saloon")
        return self.furnishing == "soft"

    @property
    def box(self) -> tuple[tuple[float, ...], ...]:
        """Its extent aft, to starboard and in height [m]."""
        return (self.aft, self.starboard, self.height)

    @property
    def surface(self) -> float:
        """Area of all its surfaces [m2]."""
        long, wide, high = (ends[1] - ends[0] for ends in self.box)
        return 2.0 * (long * wide + wide * high + high * long)

    @property
    def ear(self) -> Spot:
        """Where the sleeper's head lies; the middle of the room where that is not recorded."""
        aft, starboard, height = (sum(ends) / 2.0 for ends in self.box)
        head = self.pillow or Place()
        return (
            aft if head.aft is None else head.aft,
            starboard if head.starboard is None else head.starboard,
            height if head.height is None else head.height,
        )


def shared_area(one: Compartment, other: Compartment) -> float:
    """Return the area where two boxes meet [m2]: zero if they do not."""
    overlaps = [min(a[1], b[1]) - max(a[0], b[0]) for a, b in zip(one.box, other.box, strict=True)]
    if min(overlaps) < -NEAR:
        return 0.0
    across = overlaps.index(min(overlaps))
    first, second = (length for axis, length in enumerate(overlaps) if axis != across)
    return max(first, 0.0) * max(second, 0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Partition:
    """What stands between two compartments: bulkhead, sole board, lid, or nothing."""

    row: int = -1
    table: str = ""
    between: tuple[str, ...] = key(
        "The two compartments.", many=True, example='["saloon", "aft cabin"]', required=True
    )
    material: str = key(
        "What it is made of.", choices=PANELS, example='"plywood 12 mm"', required=True
    )
    thickness: float | None = key(
        "Its thickness, if other than the material's name says.",
        quantity="thickness",
        example='"15 mm"',
        least=0.0005,
        most=0.2,
    )
    mass: float | None = key(
        "Mass of a square metre, if other than usual: lagging adds mass at the same stiffness.",
        quantity="surface_mass",
        example='"12 kg/m2"',
        least=0.5,
        most=300.0,
    )
    area: float | None = key(
        "Its area; worked out from the two compartments if left out.",
        quantity="partition_area",
        example='"2.4 m2"',
        least=0.01,
        most=60.0,
    )
    door_area: float | None = key(
        "Area of the door or lid in it.",
        quantity="partition_area",
        example='"0.9 m2"',
        least=0.01,
        most=20.0,
    )
    door: str | None = key(
        "What the door or lid is made of; as the partition if left out.",
        choices=PANELS,
        example='"plywood 6 mm"',
    )
    opening: str | None = key(
        "How well it closes; sealed if left out.", choices=OPENINGS, example='"louvred door"'
    )
    opening_area: float | None = key(
        "Open area of gaps, holes or louvres, if measured.",
        quantity="partition_area",
        example='"0.02 m2"',
        least=0.0,
        most=20.0,
    )
    lining: str | None = key(
        "A second leaf in front of it.", choices=PANELS, example='"thin lining 4 mm"'
    )
    lining_gap: float | None = key(
        "Air between the two leaves.", quantity="gap", example='"50 mm"', least=0.001, most=1.0
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Joint:
    """How the board under a pump is joined to the boards of a compartment."""

    compartment: str = key("The compartment.", example='"aft cabin"', required=True)
    by: str = key(
        "How they are joined.", choices=JOINTS, example='"two joints away"', required=True
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class PumpPlace:
    """A place where a pump could go."""

    row: int = -1
    table: str = ""
    name: str = key("Its name.", example='"engine space, port side"', required=True)
    at: Place = key(
        "The middle of the suction port if the pump stood there.",
        of=Place,
        example='{ aft = "7.0 m", starboard = "-0.4 m", height = "-0.4 m" }',
        required=True,
    )
    compartment: str = key("The compartment it is in.", example='"engine space"', required=True)
    pump: str | None = key(
        "The pump that could go there; the first of the file if left out.", example='"pump"'
    )
    surface: str = key(
        "The board it would stand on.", choices=PANELS, example='"plywood 18 mm"', required=True
    )
    faces: tuple[str, ...] = key(
        "Compartments on the other side of that board.", many=True, example='["aft cabin"]'
    )
    joined: tuple[Joint, ...] = key(
        "How that board is joined to berths further off.",
        of=Joint,
        many=True,
        example='[{ compartment = "aft cabin", by = "two joints away" }]',
    )
    mount: str | None = key("The mount of the pump.", choices=MOUNTS, example='"rubber feet"')
    first_clip: str | None = key(
        "How its hoses are held first.", choices=CLIPS, example='"first clip near the pump"'
    )
    access: str = key(
        "Whether it can be reached for service.", choices=ACCESS, example='"good"', required=True
    )
    dry: bool | None = key("True if it stays dry there.", kind="flag", example="true")
    ventilated: bool | None = key("True if air moves there.", kind="flag", example="true")
    petrol: bool | None = key(
        "True if petrol or its vapour can get there.", kind="flag", example="false"
    )
    above_electrics: bool | None = key(
        "True if a leak would drip on electrical gear.", kind="flag", example="false"
    )
    strainer: Place | None = key(
        "Where the strainer would go with it; it stays if left out.",
        of=Place,
        example='{ aft = "6.6 m", starboard = "-0.4 m", height = "-0.5 m" }',
    )
    strainer_access: str | None = key(
        "Whether strainer and seacock could then be reached together.",
        choices=ACCESS,
        example='"good"',
    )
    suction_length: float | None = key(
        "Length of the hose to the pump, if measured.", quantity="length", example='"1.4 m"'
    )
    delivery_length: float | None = key(
        "Length of the hose from the pump, if measured.", quantity="length", example='"3.2 m"'
    )
    cable_length: float | None = key(
        "One-way length of the supply cable to it, if measured.",
        quantity="length",
        example='"7.5 m"',
    )
    suction_via: tuple[Place, ...] = key(
        "Points that the hose to the pump would pass.",
        of=Place,
        many=True,
        example='[{ height = "-0.3 m" }]',
    )
    delivery_via: tuple[Place, ...] = key(
        "Points that the hose from the pump would pass.",
        of=Place,
        many=True,
        example='[{ height = "0.6 m" }]',
    )

    @property
    def spot(self) -> Spot:
        """Where the pump would stand; a case that does not say it all three ways is refused."""
        assert self.at.point is not None
        return self.at.point


@dataclass(frozen=True, kw_only=True, eq=False)
class IntakePlace:
    """A place where the intake could go."""

    row: int = -1
    table: str = ""
    name: str = key("Its name.", example='"intake further aft"', required=True)
    at: Place = key(
        "Where the through-hull would be.",
        of=Place,
        example='{ aft = "6.8 m", starboard = "-0.2 m", height = "-0.6 m" }',
        required=True,
    )
    intake: str | None = key(
        "The intake that could go there; the first of the file if left out.",
        example='"cooling intake"',
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Placing:
    """What holds for all places."""

    slack: float | None = key(
        "Length of a hose over the way along, across and up that it must go.",
        quantity="slack_factor",
        example='"1.2"',
        least=1.0,
        most=3.0,
    )
    panel: Place | None = key(
        "Where the panel or breaker is from which the cable to the pump starts.",
        of=Place,
        example='{ aft = "6.4 m", starboard = "-1.2 m", height = "0.9 m" }',
    )
    cable_slack: float | None = key(
        "Length of the cable over the way along, across and up from the panel.",
        quantity="slack_factor",
        example='"1.3"',
        least=1.0,
        most=3.0,
    )
    ignition_protected: bool | None = key(
        "True if the pump to be fitted is ignition-protected.", kind="flag", example="true"
    )
