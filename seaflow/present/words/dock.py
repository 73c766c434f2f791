"""What the owner's questions on a page answer; the script of the page puts in what it weighs."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "title": "{boat}: what is normal, and what to do when it is not",
    "any_boat": "Air conditioning of {low:,.0f} to {high:,.0f} BTU/h",
    "any_title": (
        "One unit on its own pump and outlet: what is normal, and what to do when it is not"
    ),
    "any_made": "Made with seaflow from typical boats: one unit on its own pump and outlet.",
    "made": "Made with seaflow from the description of this boat.",
    "apart": (
        "With {units} units that is a page of its own, for the owner's phone. Whoever made this "
        "page writes it with"
    ),
    "size_of_unit": "{plate:,.0f} BTU/h ({kilowatts:.1f} kW)",
    "amps_of_one": "Amps of {pump} alone",
    "amps_together": "Amps of the {pumps} pumps at {pump} together",
    "stop_now": "Stop now: pump and compressor off",
    "no_water_at": "No water comes from one outlet: the unit on it is harmed within minutes.",
    "odd_rise": "{value} leaves{place}; healthy is {low} to {high}.",
    "near_cut_out_read": (
        "{value} leaves{place} (healthy {low} to {high}); cut-out likely under {margin} away, "
        "{most} at most."
    ),
    "odd_bucket": "{bucket} takes {seconds} s{place}; healthy is {low} to {high} s.",
    "odd_number": "{title}: {value}; healthy is {low} to {high}.",
    "odd_sign": "{title}: {word}, rare on a healthy boat.",
    "room": "The cut-out is {low} to {high} away.",
    "first": "First",
    "but": "But",
    "shows": "{by:or}",
    "of_loop": "{loop}: {units}",
    "colder_than_sea": (
        "{value} is colder than the sea at {sea}: no unit that cools does that. Thermometers or "
        "places were mixed up, or it heats."
    ),
    "look_here": "Look here",
    "then_here": "Then here",
    "last": "Last",
    "at_unit": "{unit:at}",
    "do": "Do",
    "store": "Nothing. Keep these readings: they tell what is normal for this boat.",
    "note": "Note",
    "stop_if": "Stop if",
    "stop_signs": "The stream stops, the pump hums, anything trips or leaks.",
    "read_next": "Read next",
    "unsure": "Unsure",
    "few_boats": "Few boats here read so: rough odds.",
    "no_boat_reads_so": ("No boat of this plan reads so: first take temperature and bucket again."),
    "sea_assumed": "The sea was not read; {sea} is taken.",
    "sea_outside": "This sea is outside what was worked out for this boat.",
    "sea_far": (
        "A sea of {sea} is far from what is usual here. If another unit was meant, write it "
        "behind the number, such as 24 C or 75 F."
    ),
    "strong_and_shut": (
        "A strong stream, and yet the handle stands shut: another valve was looked at, or the stem "
        "is broken and this seacock cannot shut the sea out. Look again; keep a bung at hand."
    ),
    "none_and_bucket": (
        "No stream, and yet a bucket fills: one of the two is wrong. Until you know which, pump "
        "and unit stay off."
    ),
    "normal_here": (
        "At a sea of {sea}, {low} to {high} leaves, and {bucket} takes {fast} to {slow} s."
    ),
    "normal_at": (
        "At a sea of {sea}, {low} to {high} leaves at {place}, and {bucket} takes {fast} to "
        "{slow} s."
    ),
    "normal_if_here": (
        "If the sea is {sea}, {low} to {high} leaves, and {bucket} takes {fast} to {slow} s."
    ),
    "normal_if_at": (
        "If the sea is {sea}, {low} to {high} leaves at {place}, and {bucket} takes {fast} to "
        "{slow} s."
    ),
    "left_out": "This answer leaves out what could not be read: {fields}.",
    "not_read": "{field}: “{typed}” is not read. Write such as {such}.",
    "cannot_be": (
        "{field}: “{typed}” cannot be; {low} to {high} can. If another unit was meant, write it "
        "behind the number."
    ),
    "kept": "{count} kept on this device",
    "kept_for": (
        "Saved beside boat.toml as boat.readings.toml, seaflow baseline and diagnose take those of "
        "a healthy boat."
    ),
    "draft": "Filled in earlier today, and kept on this device alone.",
    "if_several": (
        "Several units on one pump? This page is not of them: make the boat’s own, such as by "
        "seaflow page --boat “12 m sloop” --unit 16k --unit 9k --owner -o boat.html"
    ),
    "fill_in": "Fill in again",
    "delete": "Delete",
    "fill_over": "What is filled in now was not kept. Put the kept readings in its place?",
    "forget_one": "Delete the readings of {day}?",
    "nothing_to_keep": "Nothing is filled in here yet, or the sea alone.",
    "cannot_keep": "This device does not let the page keep anything: note the readings down.",
    "forget_all": "Forget all readings kept on this device?",
    "with_fitted_pump": (
        "Worked out for the pump fitted now: {pump}. With another pump this page no longer holds: "
        "make it anew."
    ),
    "pump_will_not_do": (
        "“The answer” says that this pump will not do. So normal here is what this boat does "
        "with it, and not enough."
    ),
    "pump_is_tight": (
        "“The answer” calls this pump tight. So normal here is what this boat does with it, and "
        "leaves little to spare."
    ),
    "with_pump": "Worked out for this pump: {pump}. With another pump make this page anew.",
    "normal_row": "{low:number} to {high}",
    "bucket_row": "{bucket} in {fast:.0f} to {slow:.0f} s",
}
