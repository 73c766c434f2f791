"""Where each unit stands in a typical boat: in the room it is named after, or in its turn."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Any

from seaflow.base.tables import read_table
from seaflow.forms.typical.facts import UnitFacts
from seaflow.forms.typical.hull import Hull

Zone = Mapping[str, Any]
SIDES = frozenset(("port", "starboard"))
STEP = 0.02  # of the length, between two units in one room
NEAR = (0.015, 0.05)  # of length and beam: closer than this two units stand in one spot
OVER_THE_SOLE = "0.15 m"
BY_THE_SIDE = 0.88  # of a room's half breadth
OUT = "0.2 m"  # an outlet over the water


@dataclass(frozen=True, slots=True)
class Berthed:
    """A unit and the zone it stands in; `known` is false where no room bears its name."""

    unit: UnitFacts
    zone: Zone
    known: bool = True


def standings(hull: Hull, units: Sequence[UnitFacts]) -> tuple[Berthed, ...]:
    """Return where the units stand, in their order; a name that is said twice is numbered.

    Units that are named after a room come first; the others take what is left, in the order of
    the layout. A spot that is taken lies a little further on for the next.
    """
    found: dict[int, Zone] = {}
    for index, unit in enumerate(units):
        rooms = rooms_called(hull, unit.name) if unit.name else ()
        if rooms:
            found[index] = _free(rooms, list(found.values()), -STEP)
    named = frozenset(found)
    for index in range(len(units)):
        if index not in found:
            found[index] = _free(hull.row["zones"], list(found.values()), STEP)
    return tuple(
        Berthed(unit, found[index], index in named or unit.name is None)
        for index, unit in enumerate(_numbered(units))
    )


def _numbered(units: Sequence[UnitFacts]) -> Iterator[UnitFacts]:
    told: list[str] = []
    for unit in units:
        name = unit.name
        if name is not None and name in told:
            turns = (f"{name} {turn}" for turn in count(2))
            name = next(one for one in turns if one not in told)
        if name is not None:
            told.append(name)
        yield replace(unit, name=name)


def _free(zones: Sequence[Zone], taken: Sequence[Zone], step: float) -> Zone:
    """Return the first zone in which nothing stands; each further round lies a step on."""
    rounds = (_moved(zone, turn, step) for turn in count() for zone in zones)
    return next(zone for zone in rounds if not any(_is_near(zone, other) for other in taken))


def _moved(zone: Zone, turn: int, step: float) -> Zone:
    if not turn:
        return zone
    spots = {key: (zone[key][0] + step * turn, *zone[key][1:]) for key in ("at", "outlet")}
    return {**zone, "name": f"{zone['name']} {turn + 1}", **spots}


def _is_near(one: Zone, other: Zone) -> bool:
    return all(abs(a - b) < near for a, b, near in zip(one["at"], other["at"], NEAR, strict=False))


# --- the room of a name ---


def rooms_called(hull: Hull, name: str) -> tuple[Zone, ...]:
    """Return the zones in the rooms that a name means, the likeliest alike; empty if none is."""
    words = _words(name)
    who = read_table("said.toml")["rooms"]["whose"]
    told = words - set(who)
    if not told - SIDES:  # an owner's cabin lies where the layout says
        whose = hull.row.get("whose", {})
        told |= {whose[word] for word in words & set(who) if word in whose}
        told |= words & set(who) - set(whose)
    swapped = {{"aft": "quarter", "quarter": "aft"}.get(word, word) for word in told}
    return _alike(hull, told) or _alike(hull, swapped)


def _alike(hull: Hull, told: set[str]) -> tuple[Zone, ...]:
    """Return the zones whose names have all the words and the fewest others."""
    if not told:
        return ()
    found = [(_words(zone["name"]), zone) for zone in hull.row["zones"]]
    if told - SIDES:
        found = [(words | {_side(zone["at"][1])}, zone) for words, zone in found]
    within = [(words, zone) for words, zone in found if told <= words]
    within = within or [pair for pair in _of_rooms(hull, told) if told <= pair[0]]
    fewest = min((len(words - SIDES) for words, _ in within), default=0)
    return tuple(zone for words, zone in within if len(words - SIDES) == fewest)


def _of_rooms(hull: Hull, told: set[str]) -> Iterator[tuple[set[str], Zone]]:
    """Yield a zone in each room of the layout that a unit may stand in, with its words."""
    for room in hull.row["rooms"]:
        if room["use"] in read_table("said.toml")["rooms"]["uses"]:
            low, high = room["starboard"]
            sides = {"port"} if high <= 0.0 else {"starboard"} if low >= 0.0 else set(SIDES)
            for side in sorted(sides & told or sides, reverse=True):
                words = _words(room["name"]) | ({side} if told - SIDES else set())
                yield words, _in_room(hull, room, side)


def _in_room(hull: Hull, room: Mapping[str, Any], side: str) -> Zone:
    """Return the zone of the layout in a room, on the other side of it, or a new one."""
    mine: list[Zone] = [zone for zone in hull.row["zones"] if _holds(hull, room, zone["at"])]
    for zone in mine:
        if _side(zone["at"][1]) == side:
            return zone
    for zone in map(_mirrored, mine):
        if _holds(hull, room, zone["at"]):
            return _looped(hull, {**zone, "name": f"{room['name']} unit"})
    sign = -1.0 if side == "port" else 1.0
    aft, breadth = sum(room["aft"]) / 2.0, max(sign * edge for edge in room["starboard"])
    beside = [one for one in hull.row["rooms"] if one["aft"][0] <= aft <= one["aft"][1]]
    out = max(sign * edge for one in beside for edge in one["starboard"])
    at = (aft, sign * BY_THE_SIDE * breadth, f"{room['height'][0]} + {OVER_THE_SOLE}")
    name = f"{room['name']} unit"
    return _looped(hull, {"name": name, "at": at, "outlet": (aft + STEP / 2.0, sign * out, OUT)})


def _holds(hull: Hull, room: Mapping[str, Any], spot: Sequence[Any]) -> bool:
    low, high = (hull.level(text) for text in room["height"])
    inside = room["aft"][0] <= spot[0] <= room["aft"][1]
    inside = inside and room["starboard"][0] <= spot[1] <= room["starboard"][1]
    return inside and low <= hull.level(spot[2]) <= high


def _mirrored(zone: Zone) -> Zone:
    spots = {key: (zone[key][0], -zone[key][1], zone[key][2]) for key in ("at", "outlet")}
    return {**zone, **spots}


def _looped(hull: Hull, zone: Zone) -> Zone:
    """Return a zone on the loop that takes its water on the same side of the boat."""
    loops = hull.row["loops"]
    side = _side(zone["at"][1])
    mine = next((one for one in loops if _side(one["intake"][1]) == side), loops[0])
    rest: dict[str, Any] = {key: value for key, value in zone.items() if key != "loop"}
    return rest | ({"loop": mine["name"]} if "name" in mine else {})


def _side(starboard: float) -> str:
    return "port" if starboard < 0.0 else "starboard"


def _words(name: str) -> set[str]:
    """Return the words of a room's name that tell where it is, each as the layouts have it."""
    table = read_table("said.toml")["rooms"]
    plain = re.findall(r"[^\W\d_]+", name.casefold().replace("'", ""))
    text = f" {' '.join(plain)} "
    for meant, phrases in table["means"].items():
        for phrase in phrases:
            text = text.replace(f" {phrase} ", f" {meant} ")
    return {word for word in text.split() if word not in table["any"]}
