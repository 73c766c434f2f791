"""The few words that somebody says of a boat, as facts; what is not understood is told at once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from seaflow.base.near import nearest
from seaflow.base.problems import SeaflowError
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.seas import NoSuchPlace, places, sea_at
from seaflow.forms.days import this_day
from seaflow.forms.typical.facts import BatteryFacts, BoatFacts, Facts, SeaFacts, SupplyFacts
from seaflow.forms.typical.figure import said as written
from seaflow.forms.typical.hull import kinds
from seaflow.forms.typical.measures import Measure
from seaflow.forms.typical.said_pump import SAME_VOLTS, read_pump, volts_said
from seaflow.forms.typical.said_units import read_units
from seaflow.forms.typical.told import Text, is_near, words_of

_MASS = re.compile(r"\b(\d+(?:\.\d+)?)\s*(t|tonnes?|tons?|kg)\b(?:\s+displacement)?")
_MASSES = {"t": "Mg", "k": "kg"}
_UNITS_ON = re.compile(
    r"[,;]?\s*\b(?:and\s+)?(?:the\s+)?units?\s+(?:run\s+)?(?:on|from|off)\s+(.+)$"
)
_CALLED = re.compile(r"\bcalled\s+([^,;]+)")
# "230/50" and "230 V 60", as people write the supply of mains.
_HERTZ = re.compile(r"\b(\d{3})\s*[vV]?(?:\s*/\s*|\s+)(50|60)\b(?!\s*[hHvV])")
MISSPELT = 0.75  # how like a word must be to one that is known to be taken for it


@dataclass(frozen=True, slots=True)
class Said:
    """What was said, and the parts that are known with it: a pump's sheet may be among them."""

    facts: Facts
    catalogue: Catalogue


def said(
    texts: Mapping[str, str | Sequence[str] | None],
    catalogue: Catalogue,
    boat_supply: SupplyFacts | None = None,
) -> Said:
    """Return the facts in what was said of the boat, its units, supply, sea and pump, by option.

    `boat_supply` is that of a case beside which it is said, if no other is.

    Raises
    ------
    SeaflowError
        With everything that was not understood, and the forms that are.
    """

    def text_of(option: str) -> Text | None:
        text = texts.get(option)
        return Text(option, text) if isinstance(text, str) else None

    told = texts.get("unit")
    told = () if told is None else told
    units = [Text("unit", one) for one in ((told,) if isinstance(told, str) else told)]
    boat, supply, sea, pump, battery = map(text_of, ("boat", "supply", "sea", "pump", "battery"))
    supply, bank = _parted(supply) if supply else (None, None)
    supplied = _supply_of(supply, pump)
    runs_on = supplied or boat_supply
    asked, catalogue = read_pump(pump, catalogue, runs_on) if pump else (None, catalogue)
    facts = Facts(
        boat=_boat(boat) if boat else None,
        units=tuple(unit for one in units for unit in read_units(one)),
        supply=supplied,
        unit_supply=_supply(bank, bank=True) if bank else None,
        sea=_sea(sea) if sea else None,
        pump=asked,
        battery=_battery(battery) if battery else None,
    )
    every = (boat, *units, supply, bank, sea, pump, battery)
    problems = [problem for one in every if one for problem in one.problem()]
    if problems:
        raise SeaflowError(problems)
    return Said(facts, catalogue)


# --- the boat ---


def _boat(told: Text) -> BoatFacts | None:
    name = _CALLED.search(told.text)
    mass = _MASS.search(told.text)
    found = told.scan(_MASS.sub(" ", _CALLED.sub(" ", told.text)), ("m",))
    beams = [one for one in found.measures if is_near(one, "beam|wide|beamy")]
    lengths = [one for one in found.measures if one not in beams]
    built = _year(told, found.bare)
    kind = _kind(told, found.words)
    for what, some in (("length", lengths), ("beam", beams)):
        if len(some) > 1:
            told.wrong(f"it gives {len(some)} times a {what}: {_listed(some)}")
        for one in some[:1]:
            told.within(what, one.value, "m")
    if not lengths and all(map(is_year, found.bare)):
        told.wrong("no length is given")
    if kind is None or not lengths:
        return None
    beam = beams[0].value if beams else None
    weighs = None if mass is None else read_quantity(f"{mass[1]} {_MASSES[mass[2][0]]}", "kg")
    called = name[1].strip() if name else None
    return BoatFacts(kind, lengths[0].value, beam, built, called, weighs, lengths[0].text)


def _listed(some: Iterable[Measure]) -> str:
    return ", ".join(one.text for one in some)


def _year(told: Text, bare: Iterable[str]) -> int | None:
    built = read_table("said.toml")["built"]
    first, last = built["first"], this_day().year + built["ahead"]
    years = [int(number) for number in bare if is_year(number)]
    for number in bare:
        if not is_year(number):
            told.wrong(f"{number} has no unit", "Metres and feet look alike.")
    for year in years:
        if not first <= year <= last:
            what = f"{year} is no year of building that is known, which are {first} to {last}"
            told.wrong(what, write=f"Of a newer boat write {last}, of an older one {first}.")
    if len(years) > 1:
        told.wrong(f"it gives {len(years)} years: {', '.join(map(str, years))}")
    return years[0] if years else None


def is_year(number: str) -> bool:
    """Return whether a number is written as a year is."""
    return re.fullmatch(r"(?:1[89]|20)\d\d", number) is not None


def _kind(told: Text, text: str) -> str | None:
    """Return the kind of boat that words mean, or None with a note."""
    table = read_table("said.toml")
    left = f" {' '.join(words_of(text)).replace('-', ' ')} "
    found: dict[str, str] = {}
    for phrase, kind in _phrases(table["kind"]):
        if f" {phrase} " in left:
            left = left.replace(f" {phrase} ", "  ")
            found[phrase] = kind
    passed = {*table["passed_over"]["words"], "beam", "wide", "beamy"}
    unknown = [word for word in left.split() if word not in passed]
    told.unknown(unknown)
    weak = {phrase: kind for phrase, kind in found.items() if phrase in table["weak"]}
    meant = {kind for phrase, kind in found.items() if phrase not in weak}
    for phrase, kind in weak.items():  # of a boat that it does not go with it means another
        if not any(one in table["weak"][phrase] for one in meant):
            meant.add(kind)
    if len(meant) == 1:
        return meant.pop()
    if meant:
        told.wrong(f"it may be one of several: {', '.join(sorted(meant))}")
    else:
        told.wrong("no kind of boat is named", write=_near_kind(left, unknown))
    return None


def _near_kind(left: str, unknown: Sequence[str]) -> str:
    """Return what to write of a boat of another kind, or of a word misspelt; nothing if unlike."""
    table = read_table("said.toml")
    for phrase, kinds_near in table["near"].items():
        if f" {phrase} " in left:
            listed = " or ".join(f'"{kind}"' for kind in kinds_near)
            return f"The nearest kind is {listed}: write that in place of {phrase}."
    spoken = [phrase for phrase, _ in _phrases(table["kind"])]
    words = (" ".join(left.split()), *unknown)
    near = (nearest(word, spoken, MISSPELT) for word in words if word)
    return next((f'Did you mean "{word}"?' for word in near if word), "")


def kind_called(name: str) -> str | None:
    """Return the kind of boat that a usual name, such as "ketch", stands for; None if no kind."""
    plain = " ".join(name.lower().replace(",", " ").split())
    return dict(_phrases(read_table("said.toml")["kind"])).get(plain)


def _phrases(words: Mapping[str, Sequence[str]]) -> list[tuple[str, str]]:
    """Return each phrase with the kind it means, the longest first."""
    named = [(kind, kind) for kind in kinds()]
    spoken = [(phrase, kind) for kind, phrases in words.items() for phrase in phrases]
    plain = {phrase.replace(",", ""): kind for phrase, kind in (*spoken, *named)}
    return sorted(plain.items(), key=lambda pair: -len(pair[0]))


# --- the supply and the sea ---


def _parted(told: Text) -> tuple[Text, Text | None]:
    """Return what is told of the supply of the pump, and of that of the units if it is another."""
    found = _UNITS_ON.search(told.text)
    if found is None:
        return told, None
    return Text("supply", _UNITS_ON.sub("", told.text)), Text("supply", found[1])


def _supply(told: Text, bank: bool = False) -> SupplyFacts | None:
    """Return the supply that a text names; that of the units, a `bank`, may be of high voltage."""
    found = told.scan(_HERTZ.sub(r"\1 V \2 Hz", told.text), ("V", "Hz"))
    volts, hertz = found.of("V"), found.of("Hz")
    words = {*words_of(found.words), *(words_of(volts[0].text) if volts else ())}
    table = read_table("said.toml")["passed_over"]
    is_dc = bool(words & set(table["battery"])) or any("dc" in one.text.casefold() for one in volts)
    is_ac = any("ac" in one.text.casefold() for one in volts) or bool(hertz)
    known = (*table["words"], *table["mains"], *table["battery"])
    told.unknown(word for word in words_of(found.words) if word not in known)
    for number in found.bare:
        told.wrong(f"{number} has no unit")
    if len(volts) != 1 or len(hertz) > 1:
        told.wrong(f"it gives {len(volts)} voltages" if len(volts) > 1 else "no voltage is given")
        return None
    value = volts[0].value
    if is_dc and is_ac:
        told.wrong("it says both direct and alternating current")
        return None
    is_dc = is_dc or (not is_ac and value <= read_quantity(_bound("dc"), "V"))
    if bank and is_dc and value > read_quantity(_bound("dc"), "V"):
        told.within("bank", value, "V")
        return SupplyFacts("dc", value)
    if is_dc and value > read_quantity(_bound("dc"), "V"):
        high = read_table("said.toml")["high_voltage"]
        told.wrong(high["what"], high["why"], high["write"])
        return None
    told.within("dc" if is_dc else "ac", value, "V")
    frequency = hertz[0].value if hertz else None
    if is_dc:
        return SupplyFacts("dc", value, frequency)
    meant = _mains_called(value)
    return SupplyFacts("ac", meant, frequency, None if meant == value else value)


def _mains_called(volts: float) -> float:
    """Return the volts of mains that are called by these."""
    for called, meant in read_table("said.toml")["called"].items():
        if volts == read_quantity(called, "V"):
            return read_quantity(meant, "V")
    return volts


def _supply_of(told: Text | None, pump: Text | None) -> SupplyFacts | None:
    """Return the supply that was said, or that of the figures of a pump; both must be one."""
    found = _supply(told) if told else None
    beside = volts_said(pump) if pump else None
    if pump is None or beside is None:
        return found
    mine = _supply(beside)
    for fault in beside.faults:
        pump.wrong(fault, beside.why, beside.write)
    if found is None or mine is None:
        return mine
    if found.current != mine.current or abs(mine.voltage / found.voltage - 1.0) > SAME_VOLTS:
        pump.wrong(
            f"it is made for {beside.text}, and the supply is {written(found.voltage, 'V')}",
            "On another supply it would not run, or not for long.",
            "Leave out one of the two, or change it.",
        )
    return found


def _battery(told: Text) -> BatteryFacts | None:
    found = told.scan(told.text, ("A s", "J", "V"))
    passed = read_table("said.toml")["passed_over"]
    known = (*passed["battery"], *passed["words"], "lithium", "house")
    told.unknown(word for word in words_of(found.words) if word not in known)
    for number in found.bare:
        told.wrong(f"{number} has no unit")
    held, volts = (*found.of("A s"), *found.of("J")), found.of("V")
    if len(held) != 1 or len(volts) > 1:
        told.wrong("no one capacity is given" if len(held) != 1 else "it gives two voltages")
        return None
    if volts:
        _volts_of_a_bank(told, volts[0])
    unit, value = held[0].unit, held[0].value
    told.within("charge" if unit == "A s" else "energy", value, unit)
    return BatteryFacts(
        charge=value if unit == "A s" else None,
        energy=value if unit == "J" else None,
        voltage=volts[0].value if volts else None,
    )


def _volts_of_a_bank(told: Text, volts: Measure) -> None:
    """Take down volts that no battery has, or that are those of mains and not said to be DC."""
    mains = read_table("said.toml")["mains_battery"]
    low, high = (read_quantity(text, "V") for text in mains["volts"])
    if low <= volts.value <= high and "dc" not in told.text.casefold():
        told.wrong(mains["what"].format(volts=volts.text), mains["why"], mains["write"])
    told.within("battery_volts", volts.value, "V")


def _bound(name: str) -> str:
    return str(read_table("said.toml")["bounds"][name][2])


def _sea(told: Text) -> SeaFacts | None:
    found = told.scan(told.text, ("degC",))
    read = found.of("degC")
    passed = read_table("said.toml")["passed_over"]["sea"]
    words = [word for word in words_of(found.words) if word not in passed]
    if found.bare or len(read) > 1 or not (read or words):
        what = f"{found.bare[0]} has no unit" if found.bare else "no one temperature is given"
        told.wrong(what, "Degrees Celsius and Fahrenheit look alike.")
        return None
    place = re.sub(r"\s*(?:,\s*)+", ", ", found.words).strip(" ,")
    try:
        sea = sea_at(place) if words else None
    except NoSuchPlace as missing:
        near = f"Near it: {'; '.join(missing.near)}. " if missing.near else ""
        forms = read_table("said.toml")["forms"]["sea"]
        told.wrong(
            f'no sea of the table is called "{missing.text}"',
            f"The table has {len(places())} cruising grounds with their islands and ports.",
            f"{near}Write for example {forms}.",
        )
        return None
    if read:
        told.within("sea", read[0].value, "degC")
        return SeaFacts(read[0].value, place=sea.name if sea else None, warmest_spread=read[0].half)
    return SeaFacts(place=sea.name if sea else None, called=place)
