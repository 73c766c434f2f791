"""How loud a level is at a berth: yardsticks, single events, ways it came, and how sure it is."""

from __future__ import annotations

from seaflow.physics.sound.sources import sound_row
from seaflow.studies.place.names import listed
from seaflow.studies.place.sensitivity import Sensitivity
from seaflow.studies.place.sound import SoundAt

LEAST_HEARD = -20.0  # dB; less is nothing


def loudness(heard: SoundAt, tone: str = "") -> str:
    """Return what a steady level means in a berth, by which way it came, and its tone if any."""
    bedroom = _level("bedroom, steady sound")
    least = _level("quiet anchorage below deck, least")
    most = _level("quiet anchorage below deck, most")
    cabin = _level("ship's cabin, from 10 000 GT")
    if heard.level < least:
        words = "likely lost in the background of a quiet anchorage"
    elif heard.level <= most:
        words = "about as loud as the background of a quiet anchorage, so a hum is noticed"
    else:
        words = "heard above the background of a quiet anchorage"
    over = heard.level - bedroom
    guide = "below" if over <= 0 else "above"
    sure = "" if abs(over) > heard.half_width else ", which is within the uncertainty"
    return (
        f"{heard.level:.0f} dB(A) is {words} ({least:.0f} to {most:.0f} dB(A)) and "
        f"{abs(over):.0f} dB {guide} the {bedroom:.0f} dB(A) of the WHO 1999 guideline for bedrooms"
        f"{sure}. Rules for ships' cabins allow {cabin:.0f} dB(A) and do not apply to this boat. "
        f"{_ways(heard)}{tone}"
    )


def tone_words(hum: float | None, shaft: float) -> str:
    """Return the tone that is in the sound, or what shakes lowest where there is none."""
    if hum is not None:
        return (
            f" A hum of {hum:.0f} Hz, twice the frequency of the current, is in both; what part of "
            "the force it has is an own choice. A tone is noticed before a noise as loud."
        )
    return (
        f" The table gives this pump no hum; it shakes lowest at its shaft, {shaft:.0f} Hz, and "
        "that or its blades may be heard as a tone, which is not reckoned."
    )


def _ways(heard: SoundAt) -> str:
    air, structure = (
        "nothing" if level < LEAST_HEARD else f"{level:.0f} dB(A)"
        for level in (heard.airborne, heard.structure)
    )
    most = "the structure" if heard.is_structure_borne else "the air"
    return (
        f"By air alone it would be {air}, by way of the structure alone {structure}: most comes by "
        f"{most}. The structure's part rests on invented force levels."
    )


def events(heard: SoundAt) -> str:
    """Return what a start means at night, for which no level is known."""
    limit = _level("bedroom, single events")
    room = limit - heard.level
    guide = (
        f"Each start is an event of its own, for which the WHO 1999 guideline at night is "
        f"{limit:.0f} dB(A) at the loudest moment"
    )
    sure = "" if abs(room) > heard.half_width else ", which is within the uncertainty"
    if room <= 0.0:
        return f"{guide}: the pump is {-room:.0f} dB over that while it merely runs{sure}."
    return (
        f"{guide}. No figure was found for how much louder the knock and hum of a start are than "
        f"the run; it may be {room:.0f} dB here{sure}. A pump that runs on between cycles of the "
        "compressor starts less often."
    )


def steadiness(sure: Sensitivity, first: str) -> str:
    """Return whether the ranking stands with the structure paths quieter and louder."""
    shift, (low, high) = f"{sure.shift:.0f} dB", sure.levels
    span = f"{first} would then give {low:.0f} or {high:.0f} dB(A)"
    if sure.same_order:
        words = f"With all paths by the structure {shift} down or up the order stays; {span}."
    elif sure.same_first:
        words = (
            f"With all paths by the structure {shift} down or up {first} stays first and places "
            f"behind it change; {span}."
        )
    else:
        others = sorted({order[0] for order in (sure.quieter, sure.louder)} - {first})
        words = (
            f"THE FIRST PLACE HANGS ON IT: with all paths by the structure {shift} down or up "
            f"{listed(others, 'or')} comes first; {span}."
        )
    if len(sure.louder) < 2:
        return words
    alone = "it would stay first" if sure.alone == first else f"{sure.alone} would come first"
    return f"{words} If its own path alone were {shift} louder than reckoned, {alone}."


def _level(name: str) -> float:
    return float(sound_row("yardsticks", name)["a_level"])
