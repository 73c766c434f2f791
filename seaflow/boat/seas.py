"""The sea by the name of a place: how warm, how cold, how salt, in open water and in a harbour.

One rule makes a harbour of the open water of the table, and the shape of a season follows from it.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from seaflow.base.measured import measured
from seaflow.base.near import nearest
from seaflow.base.problems import Problem
from seaflow.base.sources import source
from seaflow.base.spread import read_with_spread
from seaflow.base.tables import read_table
from seaflow.base.units import Misread, read_quantity
from seaflow.boat.defaults import Assumption
from seaflow.boat.reader.reading import Reading
from seaflow.physics.water.seawater import freezing_temperature

SEASONS = ("tropical", "subtropical", "mediterranean", "temperate")
SUMMER, USED = 3, 6  # months: those whose mean is a typical sea, and those in which cooling runs
SALT = 2.0  # g/kg either way: rivers, rain and years; our assumption, and it moves nothing much
FAR = 2.0  # half widths beyond the seas of a place, where one is asked about; our assumption
ABOVE_FREEZING = 0.2  # K; harbour water colder than this is ice
NEAR, CLOSE = 5, 0.8  # places named where none was meant; how like two words must be
# Words that many places have, so that none of them alone means one.
_COMMON = frozenset(
    [
        *("and", "of", "the", "in", "at", "near", "off", "a", "de", "la", "el", "san", "st"),
        *("sea", "seas", "gulf", "bay", "coast", "island", "islands", "isle", "lake", "lakes"),
        *("north", "south", "east", "west", "northern", "southern", "eastern", "western"),
        *("central", "new", "port", "puerto", "channel", "great", "grand", "coral"),
    ]
)


@dataclass(frozen=True, slots=True)
class OpenWater:
    """The sea off one cruising ground: the mean of each month, January first."""

    name: str
    also: tuple[str, ...]
    kind: str
    months: tuple[float, ...] = measured("degC")
    between_years: float = measured("K")
    salinity: float = measured("g/kg")

    @property
    def warmest(self) -> float:
        """The warmest month."""
        return max(self.months)

    @property
    def typical(self) -> float:
        """The mean of the three warmest months."""
        return sum(sorted(self.months)[-SUMMER:]) / SUMMER

    @property
    def coldest_used(self) -> float:
        """The coolest of the six warmest months: about the coldest sea in which cooling runs."""
        return sorted(self.months)[-USED]


@dataclass(frozen=True, slots=True)
class SeaOfPlace:
    """The sea in a harbour: `warmest` holds on the afternoons of a hot summer.

    A half width holds nine harbours in ten. `water` is "harbour" or "shallow cove".
    """

    open_water: OpenWater
    water: str
    warmest: float = measured("degC")
    warmest_half_width: float = measured("K")
    typical: float = measured("degC")
    coldest: float = measured("degC")
    half_width: float = measured("K")
    months: tuple[float, ...] = measured("degC")
    salinity: float = measured("g/kg")
    heating_from: float = measured("degC")

    @property
    def name(self) -> str:
        """The place, with its water where that is not the usual harbour."""
        name = self.open_water.name
        return name if self.water == "harbour" else f"{name}, {self.water}"


class NoSuchPlace(Exception):  # noqa: N818 - it says what happened
    """No sea of the table is called so; `near` are those that may be meant."""

    def __init__(self, text: str, near: tuple[str, ...]) -> None:
        super().__init__(text, near)
        self.text, self.near = text, near


@cache
def places() -> tuple[OpenWater, ...]:
    """Return every sea of the table."""
    return tuple(
        OpenWater(
            name=row["name"],
            also=tuple(row.get("also", ())),
            kind=row["kind"],
            months=tuple(row["months"]),
            between_years=row["between_years"],
            salinity=row["salinity"],
        )
        for row in read_table("seas.toml")["place"]
    )


def sea_at(text: str) -> SeaOfPlace:
    """Return the sea of a place named as people name it, such as "Bahamas, shallow cove".

    Where several seas bear the name, that with the warmest summer is taken.

    Raises
    ------
    NoSuchPlace
        If nothing is called so, or the words fit several places.
    """
    plain = _plain(text)
    for water, words in _waters():
        rest = re.sub(rf"\b(?:in (?:a|the) )?{re.escape(words)}\b(?: in\b| of\b)?", " ", plain)
        if rest != plain and rest.strip() and not _called(plain):
            return _harbour(_one(rest, text), water)
    return _harbour(_one(plain, text), "harbour")


def other_waters(text: str) -> tuple[SeaOfPlace, ...]:
    """Return the other seas that bear exactly this name, warmest first; `sea_at` takes none."""
    taken = sea_at(text)
    found = (_harbour(place, taken.water) for place in _called(_plain(text)))
    others = (sea for sea in found if sea.name != taken.name)
    return tuple(sorted(others, key=lambda sea: -sea.warmest))


def below_warmest(season: str) -> float:
    """Return how far the typical sea of a kind of season lies below the warmest of a harbour [K].

    Raises
    ------
    KeyError
        If there is no such kind.
    """
    told = [place for place in places() if place.kind == season]
    if not told:
        raise KeyError(season)
    shifts = [_harbour(place, "harbour") for place in told]
    return sum(sea.warmest - sea.typical for sea in shifts) / len(shifts)


def _harbour(place: OpenWater, water: str) -> SeaOfPlace:
    rule, winter = read_table("seas.toml")["water"][water], read_table("seas.toml")["winter"]
    warmer = read_quantity(rule["above_month"], "K")
    icy = float(freezing_temperature(place.salinity)) + ABOVE_FREEZING
    return SeaOfPlace(
        open_water=place,
        water=water,
        warmest=place.warmest + read_quantity(rule["above_warmest"], "K"),
        warmest_half_width=read_quantity(rule["half_width"], "K"),
        typical=place.typical + warmer,
        coldest=place.coldest_used + warmer,
        half_width=read_quantity(rule["month_half_width"], "K"),
        months=tuple(month + warmer for month in place.months),
        salinity=place.salinity,
        heating_from=max(min(place.months) - read_quantity(winter["below_coldest"], "K"), icy),
    )


def _waters() -> Iterator[tuple[str, str]]:
    """Yield each word for a kind of water with that kind, longest first."""
    rows = read_table("seas.toml")["water"]
    words = [(name, _plain(word)) for name, row in rows.items() for word in row["words"]]
    yield from sorted(words, key=lambda pair: -len(pair[1]))


def _plain(text: str) -> str:
    """Return words without capitals, accents and signs, parted by single spaces."""
    bare = unicodedata.normalize("NFKD", text.casefold().replace("ø", "o").replace("'", ""))
    letters = "".join(sign for sign in bare if not unicodedata.combining(sign))
    return " ".join(re.findall(r"[a-z0-9]+", letters))


@cache
def _names() -> tuple[tuple[str, OpenWater], ...]:
    return tuple((_plain(name), place) for place in places() for name in (place.name, *place.also))


def _called(plain: str) -> list[OpenWater]:
    """Return the places that bear exactly this name."""
    return [place for name, place in _names() if name == plain]


def _one(plain: str, text: str) -> OpenWater:
    plain = plain.strip()
    found = _called(plain) or _called(_plain(re.sub(r"^(the|in|at|off) ", "", plain)))
    if found:
        return max(found, key=lambda place: place.warmest)
    likely = _alike(plain) or _likely(plain)
    if likely and (len(likely) == 1 or _shared(likely)):
        return max(likely, key=lambda place: place.warmest)
    raise NoSuchPlace(text, _near(plain, likely))


def _alike(plain: str) -> list[OpenWater]:
    """Return the places whose whole name differs by a slip of the pen, as in "Carribean"."""
    close = nearest(plain, {name for name, _ in _names()}, CLOSE)
    return _called(close) if close else []


def _likely(plain: str) -> list[OpenWater]:
    """Return the places in whose names all telling words occur; of these, most words as typed."""
    asked = [word for word in plain.split() if word not in _COMMON]
    found: dict[OpenWater, int] = {}
    for place in places() if asked else ():
        words = {word for name in (place.name, *place.also) for word in _plain(name).split()}
        if all(any(_same(word, one) for one in words) for word in asked):
            found[place] = sum(word in words for word in plain.split())
    return [place for place, rank in found.items() if rank == max(found.values())]


def _shared(likely: list[OpenWater]) -> set[str]:
    """Return the names that all these places bear."""
    return set.intersection(*({place.name, *place.also} for place in likely))


def _same(asked: str, word: str) -> bool:
    """Return whether a word is meant by another: all of it, its beginning, or nearly it."""
    if asked == word or (len(asked) > SUMMER and word.startswith(asked)):
        return True
    return len(asked) > SUMMER and difflib.SequenceMatcher(None, asked, word).ratio() > CLOSE


def _near(plain: str, likely: list[OpenWater]) -> tuple[str, ...]:
    if likely:
        return tuple(place.name for place in likely[:NEAR])
    names = {
        word: place
        for name, place in _names()
        for word in (name, *name.split())
        if word not in _COMMON
    }
    asked = (plain, *(word for word in plain.split() if word not in _COMMON))
    close = [one for word in asked for one in difflib.get_close_matches(word, names, n=2)]
    return tuple(dict.fromkeys(names[one].name for one in close))[:NEAR]


def supply_from_place(raw: dict[str, Any], reading: Reading) -> tuple[Assumption, ...]:
    """Fill the open keys of a raw sea from its place, and return what was filled.

    What the case itself says is never changed, and the answer tells where it beats the table.
    """
    sea = raw.get("sea")
    named = sea.get("place") if isinstance(sea, dict) else None
    if not isinstance(sea, dict) or not isinstance(named, str):
        return ()
    try:
        found = sea_at(named)
    except NoSuchPlace as missing:
        reading.at_key("K17", ("sea", "place"), **no_such_place(missing))
        sea.setdefault("warmest", "30 degC")  # one complaint is enough
        return ()
    doubt = None if "warmest" in sea else taken_for(named, found)
    if doubt is not None:
        asked = reading.text.problem("Q03", ("sea", "place"), **doubt, warning=True)
        reading.questions.append(asked)
    if doubt is None:
        reading.questions += _far(sea, found, reading)
    told = list(_beaten(sea, found))
    for key, value, why in _supplied(found, _read(sea.get("warmest")), sea):
        if key not in sea:
            sea[key] = value
            shown = "; ".join(value) if isinstance(value, list) else value
            told.append(Assumption("the sea", key.replace("_", " "), shown, why))
    return tuple(told)


def taken_for(called: str, taken: SeaOfPlace) -> dict[str, str] | None:
    """Return the words that another sea may be meant by a name, or None where none may.

    That is so where several seas bear the name, and where none does and a like one was taken.

    Raises
    ------
    NoSuchPlace
        If nothing is called so.
    """
    warmest = f"{taken.name} was taken, {taken.warmest:.1f} degC at the warmest"
    if _is_slip(called, taken):
        return {
            "what": f'no sea of the table is called "{called}": {warmest}',
            "why": "That name is the most like it.",
            "write": "If another is meant, write its cruising ground or a large port near it.",
        }
    others = "; ".join(f"{one.name}, {one.warmest:.1f} degC" for one in other_waters(called))
    if not others:
        return None
    return {
        "what": f'"{called}" lies on several waters: {warmest}',
        "why": "The warmest of them is taken, so that the pump is enough in the others.",
        "write": f"If another is meant, name it: {others}.",
    }


def _is_slip(called: str, taken: SeaOfPlace) -> bool:
    """Tell whether a word of a name is no word of the place, nor begins one."""
    place = taken.open_water
    kinds = [word for _, words in _waters() for word in words.split()]
    names = [word for name in (place.name, *place.also) for word in _plain(name).split()]
    return not all(
        any(word.startswith(asked) for word in (*names, *kinds, *_COMMON))
        for asked in _plain(called).split()
    )


def no_such_place(missing: NoSuchPlace) -> dict[str, str]:
    """Return the words of the refusal of a place: what is wrong, why, and what to write."""
    near = "; ".join(missing.near)
    return {
        "fault": f'no sea of the table is called "{missing.text}"',
        "why": f"The table has {len(places())} cruising grounds with their islands and ports.",
        "write": f"Near it: {near}. " * bool(near)
        + 'Write such a name, or the warmest sea itself: warmest = "30 degC".',
    }


def _beaten(sea: dict[str, Any], found: SeaOfPlace) -> Iterator[Assumption]:
    """Yield that a thermometer beats the table, where the case gives the warmest sea."""
    if "warmest" in sea:
        why = f"not used: what was read in the harbour beats the table for {found.name}"
        yield Assumption("the sea", "warmest by its place", f"{found.warmest:.1f} degC", why)


def _far(sea: dict[str, Any], found: SeaOfPlace, reading: Reading) -> Iterator[Problem]:
    """Ask where the warmest sea is far from that of the place, in a harbour or a shallow cove."""
    warmest = _read(sea.get("warmest"))
    far = FAR * found.warmest_half_width
    if warmest is None:
        return
    if warmest < found.open_water.warmest - far or warmest > found.warmest + far:
        yield reading.text.problem(
            "Q03",
            ("sea", "warmest"),
            f"the warmest sea is {warmest:g} degC, and by the table {found.name} has "
            f"{found.warmest:.1f} degC",
            why="A pump is sized in the warmest sea. What was written is used, not the table.",
            write="Check the reading, its unit and the place. If it is right, leave it.",
            warning=True,
        )


def _supplied(
    found: SeaOfPlace, warmest: float | None, sea: dict[str, Any]
) -> Iterator[tuple[str, Any, str]]:
    """Yield each key of a sea, its value as a case would write it, and where that comes from."""
    cited = source(read_table("seas.toml")["source"]).short
    rule = read_table("seas.toml")["water"][found.water]
    table = f"{found.open_water.name} by the table of seas ({cited})"
    yield (
        "warmest",
        f"{found.warmest:.1f} degC typical +/- {found.warmest_half_width:g} K",
        f"{table}: warmest month {found.open_water.warmest:.1f} degC and {rule['above_warmest']} "
        f"in a {found.water}; {rule['source']}",
    )
    top = found.warmest if warmest is None else warmest
    either = f"typical +/- {found.half_width:g} K"
    month = f"{rule['above_month']} warmer in a {found.water}"
    typical, coldest = min(found.typical, top), min(found.coldest, top)
    if "typical" not in sea:
        months = [f"{min(one, top):.1f} degC" for one in found.months]
        yield "months", months, f"{table}, {month}"
        yield "typical", f"{typical:.1f} degC {either}", f"{table}: three warmest months, {month}"
    yield "coldest", f"{coldest:.1f} degC {either}", f"{table}: coolest of six warm months, {month}"
    atlas = source(read_table("seas.toml")["salinity_source"]).short
    salt = f"{found.salinity:.0f} g/kg typical +/- {SALT:g} g/kg"
    yield "salinity", salt, f"open water there ({atlas})"
    winter = read_table("seas.toml")["winter"]
    yield (
        "heating_from",
        f"{found.heating_from:.1f} degC",
        f"{table}: coldest month less {winter['below_coldest']}; {winter['source']}",
    )


def _read(text: object) -> float | None:
    try:
        return read_with_spread(text, "degC")[0] if isinstance(text, str) else None
    except Misread:
        return None
