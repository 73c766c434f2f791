"""The units that somebody says of a boat: cooling, power, gas, loss, room and number of each."""

from __future__ import annotations

import re
from dataclasses import replace

from seaflow.base.spellings import OF_A_MOTOR
from seaflow.base.tables import read_table
from seaflow.boat.reader.words import REFUSALS
from seaflow.forms.typical.facts import UnitFacts
from seaflow.forms.typical.measures import Scanned
from seaflow.forms.typical.said_loss import losses_said
from seaflow.forms.typical.told import Text, is_near, words_of
from seaflow.physics.heat.refrigerant import find

_REFRIGERANT = re.compile(r"\b(?:[Rr][- ]?\d{2,3}[A-Za-z]{0,2}|410[Aa]|407[Cc]|134[Aa]|454[Bb])\b")
_TIMES = re.compile(r"[*×]|(?<![^\W\d_])x(?=\d)|(?<=\d)x(?![^\W\d_])", re.I)  # 2x16k, 16k*2
_MOST_COUNTED = 12  # units of one text, as two pumps take; 16 may be thousands of BTU/h
_FOR_A_ROOM = re.compile(r"\b(?:called|for|in)\s+(?:the\s+)?([^\d,;]+)")
_OF_A_MOTOR = re.compile(rf"[\d.,/ ]*\d\s*{OF_A_MOTOR}\b", re.I)
_ALONE = ("BTU/h", 2000.0)  # a number alone as large as this can only be these


def read_units(told: Text) -> list[UnitFacts]:
    """Return the units that one text tells of; none, with a note, where it tells no cooling."""
    motor = _OF_A_MOTOR.search(told.text)
    if motor is not None:
        what = f"{motor[0].strip(' ,')} is no cooling"
        write = 'Write the cooling on the plate alone, such as "12000 BTU/h" or "3.5 kW".'
        told.wrong(what, REFUSALS["motor"].why, write)
        return []
    gas = _REFRIGERANT.search(told.text)
    losses, text = losses_said(told, _REFRIGERANT.sub(" ", told.text))
    room = _FOR_A_ROOM.search(text)
    text = _TIMES.sub(" x ", _FOR_A_ROOM.sub(" ", text))
    found = told.scan(text, ("W", "A"), _ALONE)
    cooling, power, heating = _plate(told, found)
    table = read_table("said.toml")
    passed = {*table["passed_over"]["words"], *table["passed_over"]["unit"], *table["number"]}
    rooms = [word for word in words_of(found.words) if word in table["rooms"]["words"]]
    counted = [table["number"][word] for word in words_of(found.words) if word in table["number"]]
    many = int([*counted, *filter(_is_count, found.bare), 1][0])
    told.unknown(one for one in words_of(found.words) if one not in passed and one not in rooms)
    refrigerant = _refrigerant(told, gas[0]) if gas else None
    if cooling is None:
        return []
    told.within("cooling", cooling, "W")
    name = room[1].strip() if room else " ".join(rooms) or None
    named = [name] if many == 1 else [f"{name} {row + 1}" if name else None for row in range(many)]
    heats = heating is None and "reverse" in " ".join(words_of(found.words))
    unit = UnitFacts(cooling, power, refrigerant, None, heating, heats, losses)
    return [replace(unit, name=one) for one in named]


def _plate(told: Text, found: Scanned) -> tuple[float | None, float | None, float | None]:
    """Return cooling, power and heating as the plate of a unit tells them [W]."""
    if found.of("A"):
        told.wrong("amps are not taken here", "Amps are watts only with a power factor.")
    heat = [one for one in found.of("W") if is_near(one, "heats?|heating")]
    rest = tuple(one for one in found.of("W") if one not in heat)
    cooling, power = _cooling(told, replace(found, measures=rest))
    return cooling, power, heat[0].value if heat else None


def _cooling(told: Text, found: Scanned) -> tuple[float | None, float | None]:
    """Return the cooling and the power that the plate of a unit tells [W]."""
    powers = list(found.measures)
    cold = [one for one in powers if re.search(r"btu|ton|^[\d.]+$", one.text, re.I)]
    if not cold:
        cold = sorted(powers, key=lambda one: -one.value)[:1]
    rest = [one for one in powers if one not in cold]
    odd = [one for one in found.bare if not (cold and _is_count(one))]
    if len(cold) > 1 or len(rest) > 1:
        told.wrong("it gives more than one unit", write="Give --unit once for each.")
    for number in odd:
        told.wrong(f"{number} has no unit", "BTU/h and watts look alike.")
    power = rest[0].value if rest else None
    if cold:
        return cold[0].value, power
    if not odd:
        told.wrong("no cooling is given")
    return None, power


def _is_count(number: str) -> bool:
    return number.isdigit() and 1 <= int(number) <= _MOST_COUNTED


def _refrigerant(told: Text, text: str) -> str | None:
    try:
        return find(text if text[0] in "Rr" else f"R-{text}")
    except KeyError:
        known = ", ".join(read_table("refrigerants.toml")["refrigerant"])
        told.wrong(f"{text} is no refrigerant that is known", write=f"Known are {known}.")
        return None
