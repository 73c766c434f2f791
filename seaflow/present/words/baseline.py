"""The commissioning sheet: the names of its lines, and what it rests on.

Steps of the first fill and what else is noted are told in data/commissioning.toml.
"""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "row_aside": (
        '{file}: the readings of {date} are left aside, they show no healthy boat: "{verdict}". '
        "{why}"
    ),
    # The card.
    "card_title": (
        "{boat}, loop of {loop}: healthy and clean, {mode} at {load:.0%} load, sea at {sea}, "
        "{volts} at the pump"
    ),
    "card_will_not_do": "The pump will not do: {reason}. These are her readings with it.",
    "card_will_not_start": (
        "The pump will not start as it lies: see Start. These are her readings once it runs."
    ),
    "card_rise": "{place:capital}: {reading}, {beside} over the sea.",
    "card_fall": "{place:capital}: {reading}, {beside} below the sea.",
    "card_bucket": "{place:capital}: {reading}, {bucket} in {beside}.",
    "card_named": "{what}: {reading}.",
    "card_alone": "{reading}.",
    "card_of_pump": "{place}: {reading}.",
    "card_room": "{reading} away.",
    "card_order": (
        "In this order: seacock shut, fill the strainer's bowl, seacock open, look for weeping, "
        "bleed, pump alone for five minutes, then the units. No water after half a minute: stop "
        "and bleed again."
    ),
    "card_bleed": "Bleed first here: {things}.",
    "card_sure": ("In brackets: nine healthy boats in ten of this plan, with {pump} ({why})."),
    "card_none_stored": (
        "No readings of this boat are stored: keep today's with --store DATE, and the bands "
        "become hers."
    ),
    "card_stored": (
        "{count} stored {count:set of readings has|sets of readings have} narrowed it to this boat."
    ),
    # Lines of the sheet.
    "discharge": "discharge temperature",
    "rise": "rise over the sea",
    "fall": "fall below the sea",
    "flow": "flow",
    "bucket": "seconds for a bucket of {bucket}",
    "total_flow": "total flow",
    "volts": "volts at the pump",
    "amps": "amps of the pump",
    "amps_of_one": "amps of this pump alone",
    "amps_together": "amps of the {pumps} pumps on one cable, together",
    "amps_together_at": "amps of the {pumps} pumps at {pump} together",
    "at_strainer": "gauge at the strainer",
    "at_coil": "gauge at the coil",
    "suction": "gauge at the pump inlet",
    "delivery": "gauge after the pump",
    "watts": "watts of the unit",
    "condensing": "condensing temperature",
    "high_side": "high-side pressure, gauge",
    "to_cut_out": "distance to the cut-out",
    "to_ice": "distance to ice",
    "under_way": "lowest stream under way",
    "pillow": "pillow, pump alone where it is",
    # The first fill.
    "bleed": "Bleed point {place}: {thing}.",
    # What it rests on.
    "sound": (
        "Sound: worked out as by seaflow place, for the pump where it stands. Its band is how far "
        "that may be off, not nine in ten. The units are not in it: note them with all on."
    ),
    "nothing_stored": (
        "No readings are stored for this boat: bands hold every figure of the plan within its "
        "spread. Store today's with --store DATE and the bands become those of this boat."
    ),
    "stored": (
        "{count} stored {count:set of readings has|sets of readings have} corrected these figures "
        "of the boat:"
    ),
    "learnt": (
        "{label}: {middle:.2f}, {low:.2f} to {high:.2f} of the plan's (before: {before_low:.2f} to "
        "{before_high:.2f})"
    ),
    "not_narrowed": "These they could not narrow: {labels}.",
    "no_gauge": (
        "A thermometer and a bucket cannot tell a coil that takes more than its sheet from a weak "
        "pump: a gauge after the pump, read and stored with them, can."
    ),
    "nothing_learnt": "None by much: the readings tell no more than the plan.",
}
