"""What a surveyor sees of fittings, strainers and hoses, beside what the sizing needs.

Every key may be left out: it then counts as not recorded, and the survey asks for it.
"""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.boat.keys import key

HULL_METALS = (
    "bronze",
    "dezincification-resistant brass",
    "plain brass",
    "stainless steel",
    "aluminium",
    "reinforced plastic",
    "plain plastic",
)
HOSE_LABELS = ("wet exhaust", "seawater suction", "other marine", "no label")
HOSE_CONDITIONS = (
    "sound",
    "soft",
    "blistered",
    "wire rusting",
    "chafed",
    "kinked",
    "collapsed",
    "cracked",
)
CLAMP_MATERIALS = ("all stainless, solid band", "all stainless, cut band", "part stainless")
CLAMP_CONDITIONS = (
    "sound",
    "rusty",
    "overlapping",
    "half off the barb",
    "cutting the hose",
    "broken",
)
BOWLS = ("sound", "crazed", "cracked", "opaque")
DISCHARGES = ("over the side", "cockpit drain", "sink drain", "bilge pump line")


@dataclass(frozen=True, kw_only=True, eq=False)
class IntakeSeen:
    """What was seen of an intake."""

    material: str | None = key("What it is made of.", choices=HULL_METALS, example='"bronze"')
    pink_patches: bool | None = key(
        "True if the metal shows pink patches.", kind="flag", example="false"
    )
    firm: bool | None = key("True if it does not move when leaned on.", kind="flag", example="true")
    sound_core: bool | None = key(
        "True if the hull round it sounds dry and solid.", kind="flag", example="true"
    )
    clear_outside: bool | None = key(
        "True if grille and hole are free of growth and paint.", kind="flag", example="true"
    )
    openable_grille: bool | None = key(
        "True if its grille can be opened for cleaning.", kind="flag", example="true"
    )
    clear_of_air: bool | None = key(
        "True if it is not behind a strake, thruster, propeller or bow wave that feeds it air.",
        kind="flag",
        example="true",
    )
    discharge_distance: float | None = key(
        "Distance to the nearest discharge of toilet, galley, grey or bilge water, where those are "
        "not listed as skin fittings.",
        quantity="length",
        example='"0.8 m"',
    )
    can_be_rodded: bool | None = key(
        "True if its hose can be lifted above the waterline, so that it is rodded from inside.",
        kind="flag",
        example="true",
    )
    riser_above_water: bool | None = key(
        "Of a sea chest: true if it ends above the waterline under a lid that can be opened.",
        kind="flag",
        example="true",
    )
    vented: bool | None = key(
        "Of a sea chest: true if air leaves it by a vent.", kind="flag", example="true"
    )
    valve_for_each: bool | None = key(
        "Of a sea chest: true if each of its users has a valve of its own.",
        kind="flag",
        example="true",
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class SeacockSeen:
    """What was seen of a seacock."""

    on_the_fitting: bool | None = key(
        "True if it sits directly on the hull fitting, with no hose between.",
        kind="flag",
        example="true",
    )
    in_reach: bool | None = key(
        "True if its handle is reached at once and without tools.", kind="flag", example="true"
    )
    full_turn: bool | None = key(
        "True if its handle swings from open to shut without hindrance.",
        kind="flag",
        example="true",
    )
    moves_freely: bool | None = key(
        "True if it opens and shuts by hand.", kind="flag", example="true"
    )
    weeps: bool | None = key("True if it weeps, open or shut.", kind="flag", example="false")
    labelled: bool | None = key("True if a label says what it serves.", kind="flag", example="true")
    threads_match: bool | None = key(
        "True if its thread and that of the fitting are both parallel or both tapered.",
        kind="flag",
        example="true",
    )
    threads_engaged: int | None = key(
        "Turns of thread engaged.", kind="number", example="6", least=0, most=30
    )
    bolted: bool | None = key(
        "True if its flange is bolted to the hull, or it is tested to carry its load without.",
        kind="flag",
        example="true",
    )
    backing_block: bool | None = key(
        "True if it stands on a sealed backing block without cracks.", kind="flag", example="true"
    )
    material: str | None = key("What it is made of.", choices=HULL_METALS, example='"bronze"')
    tail_material: str | None = key(
        "What the tail is made of that its hose is pushed onto.",
        choices=HULL_METALS,
        example='"bronze"',
    )
    pink_patches: bool | None = key(
        "True if the metal shows pink patches.", kind="flag", example="false"
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class StrainerSeen:
    """What was seen of a strainer."""

    lid_seals: bool | None = key(
        "True if the lid seals: gasket supple, nuts hand tight, no weep.",
        kind="flag",
        example="true",
    )
    bowl: str | None = key("State of its bowl.", choices=BOWLS, example='"sound"')
    in_reach: bool | None = key(
        "True if the basket can be lifted out where it stands.", kind="flag", example="true"
    )
    drain: bool | None = key("True if it has a drain plug.", kind="flag", example="true")
    metal: bool | None = key("True if its body is metal.", kind="flag", example="false")
    anode: bool | None = key(
        "True if an anode is in it that is not used up.", kind="flag", example="true"
    )
    made_for_seawater: bool | None = key(
        "False if it is a strainer of a freshwater system.", kind="flag", example="true"
    )
    hole: float | None = key("Width of a hole of its basket.", quantity="hole", example='"2.4 mm"')
    blocked_now: float | None = key(
        'How much of its basket is blocked as it is found; "clean" if nothing is in it.',
        quantity="blockage",
        example='"20 %"',
        nothing="clean",
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class OutletSeen:
    """What was seen of an outlet."""

    visible: bool | None = key(
        "True if its stream can be seen from deck or dock.", kind="flag", example="true"
    )
    goes: str | None = key("Where the water goes.", choices=DISCHARGES, example='"over the side"')
    material: str | None = key("What it is made of.", choices=HULL_METALS, example='"bronze"')
    pink_patches: bool | None = key(
        "True if the metal shows pink patches.", kind="flag", example="false"
    )
    cracked: bool | None = key(
        "True if it is cracked, or chalky from the sun.", kind="flag", example="false"
    )
    strong_line: bool | None = key(
        "True if its line is as strong as a seacock would have to be, up to above the heeled "
        "waterline.",
        kind="flag",
        example="true",
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class HoseSeen:
    """What was seen of a hose."""

    label: str | None = key("What is printed on it.", choices=HOSE_LABELS, example='"wet exhaust"')
    age: float | None = key("How old it is.", quantity="age", example='"4 year"')
    condition: str | None = key("Its state.", choices=HOSE_CONDITIONS, example='"sound"')
    clamps_at_each_end: int | None = key(
        "Clamps at each end.", kind="number", example="2", least=0, most=4
    )
    clamp_material: str | None = key(
        "What its clamps are made of.",
        choices=CLAMP_MATERIALS,
        example='"all stainless, solid band"',
    )
    clamp_condition: str | None = key(
        "State of its clamps.", choices=CLAMP_CONDITIONS, example='"sound"'
    )
    short_barb: bool | None = key(
        "True if a barb is too short for two clamps.", kind="flag", example="false"
    )
    barb_material: str | None = key(
        "What the barbs at its ends are made of; the worst of them.",
        choices=HULL_METALS,
        example='"bronze"',
    )
    supported: bool | None = key(
        "True if it is held so that it neither sags nor pulls.", kind="flag", example="true"
    )
    household_fittings: bool | None = key(
        "True if plastic elbows, tees or joints of household or plain kind are on it.",
        kind="flag",
        example="false",
    )
    near_heat: bool | None = key(
        "True if it touches an exhaust, an engine or a heater, or lies within 10 cm of one.",
        kind="flag",
        example="false",
    )
    drain_teed_in: bool | None = key(
        "True if a drain is teed into it, such as that of cockpit, sink, shower or condensate.",
        kind="flag",
        example="false",
    )
