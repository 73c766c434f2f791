"""What is wrong with a loop: the verdict, readings together, what to read next, what it rests on.

Faults, readings and their instructions are told in data/faults.toml and data/instruments.toml.
"""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    # The verdict.
    "normal": "Normal for this sea",
    "watch": "Watch",
    "act_soon": "Act soon",
    "stop_now": "Stop now, pump and compressor off",
    "unread": "Not read yet",
    # Why.
    "nothing_read": (
        "No readings given, so these are only general odds. Start with --sea, --discharge and "
        "--bucket."
    ),
    "nothing_measured": ("Nothing yet tells of flow or heat: read these first."),
    "sea_unread": "Read the sea too: it tells whether this is warm.",
    "no_boat_reads_so": "No boat of this plan reads so; repeat this reading first: {reading}.",
    "as_healthy": "Every reading is what a healthy boat shows.",
    "pump_will_not_do": "This pump will not do (seaflow size): healthy is what this boat does with "
    "it, and not enough.",
    "pump_is_tight": "This pump is tight (seaflow size): healthy is what this boat does with it, "
    "and leaves little to spare.",
    "as_at_part_load": "At part load water warms this little; full load shows more.",
    "unlike_healthy": "{readings:run}",
    "odd_number": ("{title:capital}{place:at}: {value}; healthy is {low:number} to {high}."),
    "odd_discharge": '{value} leaves "{place}"; healthy is {low:number} to {high}.',
    "odd_bucket": (
        "{bucket} takes {seconds:.0f} s{place:at}; healthy is {low:.0f} to {high:.0f} s."
    ),
    "odd_heat": "Flow and rise carry {found}, where the plates say {plate}.",
    "odd_sign": "{title:capital}{place:at}: {word}, rare on a healthy boat.",
    "most_are_dry": "On most boats reading so a unit runs dry or trips.",
    "no_heat": "The water leaves no warmer than it came: the unit gives it no heat.",
    "flat_bank": (
        "Low volts at the pump: {volts}; healthy is {low:number} to {high}. They slow the pump and "
        "harm bank and motor."
    ),
    "low_mains": (
        "Low volts at the pump: {volts}; healthy is {low:number} to {high}. Pump and fan weaken, "
        "cables run hot, and a compressor may trip."
    ),
    "leak": "Water may be leaking into the boat ({chance:.0%}).",
    "bucket_or_leak": "Little water, yet cool: take the bucket again, look in the bilge.",
    "little_water": "A third of the usual water or less may be coming ({chance:.0%}).",
    "water_cannot_tell": (
        "Water cannot show scale: a coil {room} from cut-out reads alike. What can: {by:or}."
    ),
    "water_looks_well": (
        "The water looks well, and cannot show scale, too much refrigerant or a weak switch. What "
        "can: {by:or}."
    ),
    "by_condensing": "a fitted display",
    "by_high_side": "a fitted gauge",
    "by_watts": "the unit's watts",
    "near_cut_out": "Most likely less than {margin} is left to the cut-out, at most {most}.",
    "near_cut_out_read": (
        '{value} leaves "{place}" (healthy {low:number} to {high}); cut-out likely under '
        "{margin} away, {most} at most."
    ),
    "cold_discharge": (
        "Water leaves at {discharge}: ice in the coil is near, and splits it. Little water makes "
        "it colder."
    ),
    "near_ice": "The coil is as near to ice as it may come, or nearer.",
    "no_water": "No water comes: pump and unit are harmed within minutes.",
    "no_water_at": "No water comes from {places:quoted}: the unit on it is harmed within minutes.",
    "tripped": "The unit tripped: find out why before it is reset again.",
    "tripped_heating": (
        "The unit tripped. In heating the high pressure is in the cabin, so look at the air "
        "filter first, not at the water."
    ),
    "salt_water": (
        "Water comes into the boat: shut the seacock first. If it still rises, it comes from "
        "elsewhere."
    ),
    "breaker_trips": (
        "A breaker that trips stays off until motor, capacitor and wire are looked at."
    ),
    "pump_hums": "A pump that hums and moves no water burns out.",
    "pump_wears": (
        "A pump that sounds of gravel runs on air or on water that boils, and wears fast."
    ),
    "all_stands": (
        "Pump and unit most likely stand together: nothing runs dry, and nothing cools."
    ),
    "pump_stands": "The pump stands still: a unit that runs without water trips.",
    # The card.
    "card_title": "{boat}, loop of {loop}",
    "card_loops": 'The boat also has {loops}: --loop "{one}".',
    "card_room": "The cut-out is {band:range} away.",
    "card_room_to_ice": "Ice is {band:range} away.",
    "card_room_at_most": "The cut-out is at most {high} away.",
    "card_room_to_ice_at_most": "Ice is at most {high} away.",
    "card_read_again": "Read again before opening anything; nothing may be wrong.",
    "card_no_room": "No room is left to the cut-out.",
    "card_place": "{place}: {odds} ({chance:.0%}).",
    "card_place_quick": "{place}, quick to look at: {odds} ({chance:.0%}).",
    "card_look": "{where}{unit:at}. {act}",
    "card_look_careful": "{where}{unit:at}. {caution} {act}",
    "card_full_load": "Set point far down, fan high; read again in fifteen minutes.",
    "card_nothing_to_do": "Nothing; store these readings with seaflow baseline BOAT --store DATE.",
    "card_often": "{place} ({chance:.0%})",
    "card_general": "Before any reading, on boats in general: {places}.",
    "card_no_place": "Before any reading no place stands out.",
    "card_first": "{title:capital} (--{option}): {how}",
    "card_reading": "{title:capital}{place:at} ({minutes:.0f} min, --{option}). {caution}{how}",
    "card_question": "{caution}{title} ({minutes:.0f} min, --{option}{words})",
    "card_sure": (
        "Odds, and bands for nine boats in ten, come from {count} simulated boats of this plan "
        "with {pump} ({why}); before any reading the odds are common practice, no source."
    ),
    "card_sure_any_pump": (
        "Odds, and bands for nine boats in ten, come from {count} simulated boats of this kind, "
        "with pumps weaker and stronger than {pump} ({why}); before any reading the odds are "
        "common practice, no source."
    ),
    "other_outlets": (
        "Nothing was told of {outlets:quoted}: a good stream there points at the branch, a weak "
        "one at what all share."
    ),
    "stop_if": "{signs:or}.",
    "if_no_water": "the stream stops",
    "if_trips": "anything trips",
    "if_pump_hums": "the pump hums",
    "if_salt_water": "salt water comes in",
    # Odds in words.
    "almost_certain": "almost certain",
    "very_likely": "very likely",
    "likely": "likely",
    "about_even": "about even",
    "possible": "possible",
    "unlikely": "unlikely",
    "very_unlikely": "very unlikely",
    # Readings together.
    "number_read": "{title}{place:at} {value}",
    "flow_read": "{title}{place:at} {value}, {bucket} in {seconds:.0f} s",
    "sign_read": "{title}{place:at}: {word}",
    "apart": "{value} apart",
    "volts_doubted": (
        "At {volts} this pump would stand still, and yet water comes: read the volts again at its "
        "terminals while it runs."
    ),
    "scale_assumed": '"{typed}" was taken as {taken}; write C or F behind it if that is wrong.',
    "two_disagree": '"{one}" does not go with "{other}": look again.',
    "one_disagrees": '"{one}" does not go with all the other readings: look again.',
    "warm_sea": (
        "The sea is {above} warmer than the design sea of {design}: there is less to spare."
    ),
    "heat_agrees": "Flow and rise carry {found}, the plates say {plate}: they agree.",
    "heat_at_part_load": "Flow and rise carry {found} of {plate} on the plates: part load.",
    "heat_short": (
        "Flow and rise carry {found}, the plates say {plate}: more than {allowed:.0%} apart. Read "
        "the {title}{place:at} again. If it stands, the unit moves less heat than its plate says: "
        "part load, low refrigerant, a blocked filter."
    ),
    "heat_over": (
        "Flow and rise carry {found}, the plates say {plate}: more than {allowed:.0%} apart. Read "
        "the {title}{place:at} again. If it stands, the plate is not that of this unit."
    ),
    # What to read next, and what it may say.
    "no_reading_helps": (
        "No listed test helps: none tells these causes apart any further. Look at what stands "
        "below, in that order."
    ),
    "word": "{word}",
    "no_reading": "no reading",
    "below": "below {edge}",
    "between": "{low} to {high}",
    "above": "above {edge}",
    # What the answer rests on.
    "simulated": (
        "{count} simulated boats of this plan, with one fault, two or none; their odds before any "
        "reading are common practice, no source, and are set in data/faults.toml. The odds of "
        "causes add up to more than one, because two may be there at once."
    ),
    "stored": "The boat's own figures are corrected by {count} stored {count:reading|readings}.",
    "no_heating_plate": (
        "The case does not say what a unit of this loop gives when it heats, so temperatures and "
        "ice are left out. heating = {{ capacity = ... }} of the unit adds it."
    ),
    "coarser": (
        "Few simulated boats read like this one: instruments were taken as {factor:.1f} times as "
        "coarse. Take the readings again if that is hard to believe."
    ),
    "rough": "Few simulated boats read so: odds may be ten points off.",
    # What the answer loses where the boat was not described.
    "wider": (
        "The range of a healthy {title} is {times:.1f} times as wide as with this boat described."
    ),
    "no_wider": "Describing this boat would hardly narrow the range of a healthy {title}.",
    "narrows_by_height": (
        "{what:capital}: {how}. {cause:capital} is "
        "{if_low:.0%} likely if it is low, {if_high:.0%} if high."
    ),
    "narrows_by_length": (
        "{what:capital}: {how}. {cause:capital} is "
        "{if_low:.0%} likely if short, {if_high:.0%} if long."
    ),
    "narrows_by_bore": (
        "{what:capital}: {how}. {cause:capital} is "
        "{if_low:.0%} likely if narrow, {if_high:.0%} if wide."
    ),
    "narrows_by_pump": (
        "{what:capital}: {how}. {cause:capital} is "
        "{if_low:.0%} likely with a weak one, {if_high:.0%} with a strong one."
    ),
    "narrows_by_size": (
        "{what:capital}: {how}. {cause:capital} is "
        "{if_low:.0%} likely if small, {if_high:.0%} if large."
    ),
    "narrows_band": (
        "{what:capital}: {how}. It alone decides {explains:.0%} of how far healthy boats "
        "read apart."
    ),
    # How she starts, by her plan.
    "start_fails": "By its plan this boat's pump does not start by itself: {reason}.",
    "start_needs_bleeding": "By its plan air stays in this boat's run: {reason}.",
    "start_not_known": (
        "Whether the pump starts by itself is not known: the height of {things:quoted} is not "
        "recorded."
    ),
    "start_on_a_tack": "On a tack the pump can lose its water: {reason}.",
}
