"""What a surveyor sees of pumps and units and of the boat as a whole.

Every key may be left out: it then counts as not recorded, and the survey asks for it.
"""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.boat.keys import key

CONDENSATE = ("over the side", "sump with pump", "bilge", "engine space")
AIR_FROM = ("cabin", "engine space", "bilge")
FUELS = ("petrol", "diesel", "none")
SIDES = ("port", "starboard")
FOR_THIS_CURRENT = "for this current"
BREAKER_KINDS = (FOR_THIS_CURRENT, "for the other current", "resets itself", "household or car")
PLAIN, PRIMES, DISPLACES, KIND_UNKNOWN = (
    "plain centrifugal",
    "self-priming",
    "impeller or displacement",
    "not known",
)
PUMP_KINDS = (PLAIN, PRIMES, DISPLACES, KIND_UNKNOWN)
HULL_MATERIALS = ("reinforced plastic", "wood", "steel", "aluminium")


@dataclass(frozen=True, kw_only=True, eq=False)
class PumpSeen:
    """What was seen of a pump and its wiring."""

    kind: str | None = key(
        "What kind of pump it is, where its sheet is not at hand: a plain centrifugal one (magnet "
        "drive or shaft seal), one that primes itself, or one with an impeller of rubber, vanes or "
        "a membrane.",
        choices=PUMP_KINDS,
        example='"plain centrifugal"',
    )
    leaks: bool | None = key(
        "True if it drips, or salt stands on it.", kind="flag", example="false"
    )
    drips_on_live_parts: bool | None = key(
        "True if water from it would fall on a battery, terminal or plug.",
        kind="flag",
        example="false",
    )
    supported: bool | None = key(
        "True if it stands on feet of its own and does not hang on its hoses.",
        kind="flag",
        example="true",
    )
    outlet_up: bool | None = key(
        "True if its outlet points up or along the rise of the hose.", kind="flag", example="true"
    )
    burnt_before: bool | None = key(
        "True if a pump here has burnt out before.", kind="flag", example="false"
    )
    breaker: float | None = key(
        'Rating of its fuse or breaker; "none" if no fuse or breaker is on its circuit.',
        quantity="running_current",
        example='"5 A"',
        nothing="none",
    )
    breaker_kind: str | None = key(
        "What its fuse or breaker is made for: AC or DC as the pump runs on, set again by hand, "
        "and for boats.",
        choices=BREAKER_KINDS,
        example='"for this current"',
    )
    stranded: bool | None = key(
        "True if its wires are of many strands, not of solid copper.", kind="flag", example="true"
    )
    earthed: bool | None = key(
        "True if a protective conductor is on it.", kind="flag", example="true"
    )
    crimped: bool | None = key(
        "True if its wires are joined by crimps or terminals, not by twist-on caps or tape.",
        kind="flag",
        example="true",
    )
    residual_current_device: bool | None = key(
        "True if its circuit has a residual-current device.", kind="flag", example="true"
    )
    wires_sound: bool | None = key(
        "True if its wires are clipped, not chafed, and hang in a drip loop.",
        kind="flag",
        example="true",
    )
    in_petrol_space: bool | None = key(
        "True if it stands in a space with a petrol engine, tank, can or fuel joint, be it that of "
        "an outboard, tender or generator, or one that is open to such a space.",
        kind="flag",
        example="false",
    )
    ignition_protected: bool | None = key(
        "True if it is marked as ignition-protected.", kind="flag", example="true"
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class UnitSeen:
    """What was seen of an air conditioner."""

    refrigerant_label: bool | None = key(
        "True if a label tells refrigerant and charge.", kind="flag", example="true"
    )
    coil_sound: bool | None = key(
        "True if coil and water joints show no green weep and no salt.",
        kind="flag",
        example="true",
    )
    water_reversed: bool | None = key(
        "True if its water goes in where the arrow on it, or its manual, has the water come out.",
        kind="flag",
        example="false",
    )
    low_flow_trip: float | None = key(
        'Water flow below which a flow switch stops it; "none" if it has no flow switch.',
        quantity="volume_flow",
        example='"6 L/min"',
        nothing="none",
    )
    condensate_to: str | None = key(
        "Where its condensate goes.", choices=CONDENSATE, example='"sump with pump"'
    )
    condensate_near_exhaust: bool | None = key(
        "True if the condensate leaves the hull within 0.9 m of an exhaust, without a trap.",
        kind="flag",
        example="false",
    )
    condensate_runs: bool | None = key(
        "True if water poured into its pan runs away.", kind="flag", example="true"
    )
    return_air_from: str | None = key(
        "Where it draws its return air.", choices=AIR_FROM, example='"cabin"'
    )
    in_petrol_space: bool | None = key(
        "True if it or its control box is in a space with a petrol engine, tank, can or fuel "
        "joint, be it that of an outboard, tender or generator, or one that is open to such a "
        "space.",
        kind="flag",
        example="false",
    )
    ignition_protected: bool | None = key(
        "True if all of it is marked as ignition-protected.", kind="flag", example="true"
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class BilgePump:
    """A bilge pump that serves the compartment of the loop."""

    name: str = key("Its name.", example='"automatic bilge pump"', required=True)
    capacity: float | None = key(
        "What it really delivers at its height of lift, not what is printed on it; "
        '"none" if there is no bilge pump.',
        quantity="volume_flow",
        example='"30 L/min"',
        nothing="none",
    )
    automatic: bool | None = key(
        "True if it starts by itself with nobody aboard.", kind="flag", example="true"
    )
    hull: str | None = key(
        "Of a multihull: the hull that it empties.", choices=SIDES, example='"port"'
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class BoatSeen:
    """What was seen of the whole boat."""

    hull_material: str | None = key(
        "What the hull is made of.", choices=HULL_MATERIALS, example='"reinforced plastic"'
    )
    fuel: str | None = key("Fuel aboard.", choices=FUELS, example='"diesel"')
    carbon_monoxide_alarm: bool | None = key(
        "True if a working alarm is where people sleep.", kind="flag", example="true"
    )
    only_engine_shares: bool | None = key(
        "True if the only engine draws from the intake of the cooling.",
        kind="flag",
        example="false",
    )
    bilge_pump: tuple[BilgePump, ...] = key(
        "The bilge pumps of the compartment of the loop.",
        of=BilgePump,
        many=True,
        example='[{ name = "automatic bilge pump", capacity = "30 L/min", automatic = true }]',
    )
    drains_reach_pump: bool | None = key(
        "True if water from the loop runs to a bilge pump by itself.", kind="flag", example="true"
    )
    bilge_alarm: bool | None = key(
        "True if a high-water alarm is in that compartment.", kind="flag", example="true"
    )
    floodable_volume: float | None = key(
        "Volume that may flood before the boat or her batteries are in danger.",
        quantity="floodable_volume",
        example='"1.2 m3"',
    )
    bonding_sound: bool | None = key(
        "True if bonding wires and anodes are sound and measured.", kind="flag", example="true"
    )
    mains_aboard: bool | None = key(
        "True if there is mains on board from shore, generator or inverter; only needed where "
        "neither the supply of the pump nor a duty tells.",
        kind="flag",
        example="true",
    )
    mains_earthed: bool | None = key(
        "True if a protective conductor is on all that runs on mains.", kind="flag", example="true"
    )
    mains_residual_current_device: bool | None = key(
        "True if a residual-current device protects all mains circuits.",
        kind="flag",
        example="true",
    )
    shore_isolated: bool | None = key(
        "True if the shore power has a galvanic isolator or an isolating transformer.",
        kind="flag",
        example="true",
    )
    all_openings_listed: bool | None = key(
        "True if every other opening of the hull is listed as a skin fitting.",
        kind="flag",
        example="true",
    )
    plugs_at_hand: bool | None = key(
        "True if a softwood plug that fits is tied to every opening below the waterline.",
        kind="flag",
        example="true",
    )
    can_be_flushed: bool | None = key(
        "True if the loop can be flushed and drained for the winter.", kind="flag", example="true"
    )
    runs_unattended: bool | None = key(
        "True if the cooling runs with nobody aboard.", kind="flag", example="false"
    )
    flow_tested: bool | None = key(
        "True if flow and rise of every outlet were measured afloat with all units on.",
        kind="flag",
        example="true",
    )
    sea_trial: bool | None = key(
        "True if the stream held under way, on both tacks or in turns, and going astern.",
        kind="flag",
        example="true",
    )
    sound_at_berth: float | None = key(
        "Sound level at the pillow with the pump running.",
        quantity="sound_at_berth",
        example='"34 dB"',
        least=0.0,
        most=140.0,
    )
    papers: bool | None = key(
        "True if diagram, seacock plan and manuals are aboard.", kind="flag", example="true"
    )
