"""Whether the figures of a case go together: sea, heights, supply, strainers and hoses."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from seaflow.base.bores import is_wider
from seaflow.base.problems import Problem
from seaflow.boat.case import MOST_DC, Case, Sea
from seaflow.boat.checks.bores import check_bores
from seaflow.boat.reader.as_written import as_written
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.supply import Supply
from seaflow.boat.tables.things import Hose, Place, Pump, Spot, Thing
from seaflow.physics.water.seawater import freezing_temperature

SAME_HEIGHT = 1e-3  # m
LEAST_VOLTS, MOST_VOLTS = 0.5, 1.5  # of the nominal voltage; beyond them no panel works
# Of the nominal voltage: a lowest above or a highest below is asked about. A bank is named below
# what its cells hold, as "12 V" of 12.8; our assumption.
HIGH_LOWEST, LOW_HIGHEST = {"ac": 1.05, "dc": 1.1}, {"ac": 0.95, "dc": 1.0}
LEAST_AC = 90.0  # V; no mains of shore, generator or inverter has less; our assumption
SAME_SEA = 0.1  # K, to which a thermometer is read
MONTHS = 12
ROUGHEST = 0.05  # of the bore, where the law of friction ends
# From where a thing is said to be to where its hose ends [m]; common practice, no source.
REACH, REACH_OF_UNIT = 0.1, 0.25


def check_sea(case: Case) -> Iterator[Problem]:
    """The sea must be water, and its warmest not below its coldest."""
    sea = case.sea
    if sea is None:
        return
    salinity = sea.salinity
    for key in ("warmest", "coldest"):
        value = getattr(sea, key)
        if value is None or math.isnan(value) or math.isnan(salinity):
            continue
        freezing = freezing_temperature(salinity)
        if value < freezing:
            yield case.text.problem(
                "S18",
                ("sea", key),
                f"the {key} sea of {value:g} degC is ice: water of {salinity:g} g/kg freezes at "
                f"{freezing:.1f} degC",
                why="Ice does not flow, and freezing water splits a coil.",
                write=f'Write {key} = "{math.ceil(freezing + 0.05):g} degC" or warmer.',
            )
    yield from _in_order(case, sea)


def _in_order(case: Case, sea: Sea) -> Iterator[Problem]:
    """The coldest, the typical and the warmest sea follow one another, and twelve months fit."""
    warmest, coldest, typical = sea.warmest, sea.coldest, sea.typical
    if warmest is None or math.isnan(warmest):
        return
    why = "The pump is sized in the warmest sea, and it must be the right one."
    top = f"the warmest ({_sea_told(case, 'warmest')})"
    if warmest < coldest - SAME_SEA:
        what = f"the coldest sea ({coldest:g} degC) is warmer than {top}"
        write = "Swap the two, or write the coldest if it is left out."
        yield case.text.problem("S19", ("sea", "coldest"), what, why=why, write=write)
    # only what was written: a place tells its own of all that is left out
    elif typical is not None and ("sea", "typical") in case.text.where:
        beyond = "warmer" if typical > warmest + SAME_SEA else "colder"
        if beyond == "warmer" or typical < coldest - SAME_SEA:
            other = top if beyond == "warmer" else f"the coldest ({_sea_told(case, 'coldest')})"
            yield case.text.problem(
                "S19",
                ("sea", "typical"),
                f"the typical sea ({typical:g} degC) is {beyond} than {other}",
                why="How often she lies in which water follows from all three.",
                write="Check the three: from coldest by typical to warmest they only rise.",
            )
    if ("sea", "months") not in case.text.where:
        return
    if len(sea.months) != MONTHS:
        yield case.text.problem(
            "S19",
            ("sea", "months"),
            f"{len(sea.months)} months are written, and a year has {MONTHS}",
            why="How often she lies in which water follows from them, each counted alike.",
            write="Write all of them, January first, or the typical sea in place of them.",
        )
    hottest = max(sea.months, default=warmest)
    if hottest > warmest + SAME_SEA:
        yield case.text.problem(
            "S19",
            ("sea", "months", sea.months.index(hottest)),
            f"a month of {hottest:g} degC is warmer than {top}",
            why=why,
            write=f"Check that month; if it is right, the warmest is {hottest:g} degC or more.",
        )


def _sea_told(case: Case, key: str) -> str:
    """Return a sea with how it came there, where the file does not say it."""
    value = f"{getattr(case.sea, key):.3g} degC"
    return value if ("sea", key) in case.text.where else f"{value}, taken as it is left out"


def check_heights(case: Case) -> Iterator[Problem]:
    """Pumps and outlets need one height: static head and suction hang on it."""
    for thing in (*case.pump, *case.outlet):
        if thing.level is None:
            yield case.text.problem(
                "S20",
                (thing.table, thing.row, "name"),
                f'the height of the {thing.table} "{thing.name}" is not recorded',
                why="Without it nobody knows how far the water is lifted or drawn.",
                write="Measure from the waterline, afloat and loaded, and add "
                'height = "0.4 m", or height = "-0.4 m" below it.',
            )
    yield from check_dry(case)
    for thing in case.things:
        place = thing.at.height if thing.at is not None else None
        if place is None or thing.height is None or abs(place - thing.height) <= SAME_HEIGHT:
            continue
        yield case.text.problem(
            "S35",
            (thing.table, thing.row, "height"),
            f'"{thing.name}" has two heights: {thing.height:g} m by height and {place:g} m by at',
            why="The lift of the water is taken from one height.",
            write="Keep the one that was measured and take the other out.",
        )


def check_dry(case: Case) -> Iterator[Problem]:
    """An intake lies under water, unless the case says that it does not on purpose."""
    for intake in (*case.through_hull, *case.sea_chest):
        level = intake.level
        if level is None or not level >= 0.0 or intake.dry_by_design:  # nan could not be read
            continue
        path = (intake.table, intake.row, *(("at",) if intake.at is not None else ()), "height")
        high, deep = (as_written(case.text, path, one, ("m", "m")) for one in (level, -level))
        above = f"{high} above the waterline" if level > 0.0 else "just at the waterline"
        called = f' "{intake.name}"' if intake.name else ""
        minus = f'height = "{deep}", with a minus' if level > 0.0 else 'height = "-0.30 m"'
        yield case.text.problem(
            "S56",
            path,
            f"the intake{called} is {above}, so no water comes in",
            why="Heights are from the waterline, + up. An intake lies below it: most often the "
            "minus was left out.",
            write=f"Write {minus}, if it lies under water; if it is dry on purpose, add "
            "dry_by_design = true.",
        )


def check_supply(case: Case) -> Iterator[Problem]:
    """AC needs a frequency, and the voltages must lie about the nominal one."""
    yield from _sensible(case, case.supply, ("supply",))
    for pump in case.pump:
        yield from _sensible(case, pump.supply, (pump.table, pump.row, "supply"))


def _sensible(case: Case, supply: Supply | None, path: Path) -> Iterator[Problem]:
    if supply is None:
        return
    if supply.current == "ac" and supply.frequency is None:
        yield case.text.problem(
            "S24",
            path,
            "the AC supply has no frequency",
            why="Most AC pumps turn with it: at 60 Hz they give a fifth more than at 50 Hz.",
            write='Add frequency = "50 Hz" or "60 Hz", as the shore power or generator gives.',
        )
    if supply.current == "ac" and (supply.voltage or math.nan) < LEAST_AC:
        hertz = "" if supply.frequency is None else " and take frequency out"
        yield case.text.problem(
            "Q03",
            (*path, "voltage"),
            f"the supply is said to be AC of {supply.voltage:g} V, and mains have "
            f"{LEAST_AC:g} V or more",
            why="So few volts are those of a battery, which is DC, and a pump for one does not "
            "run on the other.",
            write=f'If it is DC, write current = "dc"{hertz}. If it is right, leave it: it is used '
            "as it stands.",
            warning=True,
        )
    yield from _voltages(case, supply, path)
    if supply.current == "dc" and (supply.voltage or 0.0) > MOST_DC:
        yield case.text.problem(
            "S59",
            (*path, "voltage"),
            f"the pump's supply has {supply.voltage:g} V DC",
            why=f"Above {MOST_DC:g} V DC nothing is sized or measured by hand: it kills, and is "
            "for licensed people.",
            write="Write in [supply] what the pump itself runs from, such as 12 V or 24 V, and the "
            "bank of the units in [unit_supply].",
        )


def _voltages(case: Case, supply: Supply, path: Path) -> Iterator[Problem]:
    why = "A pump slows down or stops on low volts, so the range must be right."
    least, most = (share * (supply.voltage or math.nan) for share in (LEAST_VOLTS, MOST_VOLTS))
    for key in ("lowest_voltage", "highest_voltage"):
        value = getattr(supply, key)
        if value is not None and (value < least or value > most):
            yield case.text.problem(
                "S36",
                (*path, key),
                f"the {key.replace('_', ' ')} is {value:g} V on a supply of {supply.voltage:g} V",
                why=why,
                write=f"Write one from {least:g} V to {most:g} V, or leave it out.",
            )
    low, high = supply.lowest_voltage, supply.highest_voltage
    if low is not None and high is not None and low > high:
        yield case.text.problem(
            "S36",
            (*path, "lowest_voltage"),
            f"the lowest voltage ({low:g} V) is above the highest ({high:g} V)",
            why=why,
            write="Swap the two.",
        )
        return
    yield from _far_from_nominal(case, supply, path)


def _far_from_nominal(case: Case, supply: Supply, path: Path) -> Iterator[Problem]:
    nominal, low, high = supply.voltage or math.nan, supply.lowest_voltage, supply.highest_voltage
    asked = []
    if low is not None and HIGH_LOWEST[supply.current] * nominal < low <= MOST_VOLTS * nominal:
        asked.append(("lowest_voltage", low, "above"))
    if high is not None and LEAST_VOLTS * nominal <= high < LOW_HIGHEST[supply.current] * nominal:
        asked.append(("highest_voltage", high, "below"))
    for key, value, where in asked:
        yield case.text.problem(
            "Q03",
            (*path, key),
            f"the {key.replace('_', ' ')} in use, {value:g} V, is {where} the {nominal:g} V that "
            "the supply is called by",
            why="Pumps are judged from the lowest to the highest voltage at the panel.",
            write="Check all of them. If it is right, leave it.",
            warning=True,
        )


def check_strainers(case: Case) -> Iterator[Problem]:
    """A strainer is known by its model or by its ports."""
    for strainer in case.strainer:
        if strainer.model is None and strainer.port is None:
            yield case.text.problem(
                "S23",
                ("strainer", strainer.row, "name"),
                f'the strainer "{strainer.name}" has neither model nor port',
                why="Its loss depends on how wide its ports are.",
                write='Add port = "25 mm", or model = "..." with a name from: '
                "seaflow parts strainers.",
            )


def check_hoses(case: Case) -> Iterator[Problem]:
    """A wall rougher than its hose is wide is a slip; a narrow suction hose is remarked."""
    ports = {pump.name: pump for pump in case.pump if pump.port is not None}
    for row, hose in enumerate(case.hose):
        if hose.roughness is not None and hose.roughness > ROUGHEST * hose.bore:
            yield case.text.problem(
                "S37",
                ("hose", row, "roughness"),
                f"{hose.label}: a roughness of {hose.roughness * 1000:g} mm in a bore of "
                f"{hose.bore * 1000:g} mm",
                why="No hose is as rough as a twentieth of its bore; friction cannot be told.",
                write='Write for example roughness = "0.01 mm", or leave it out.',
            )
        pump = ports.get(hose.to or "")
        if pump is not None and pump.port is not None and is_wider(pump.port, hose.bore):
            yield _narrow(case, row, hose, pump)


def _narrow(case: Case, row: int, hose: Hose, pump: Pump) -> Problem:
    port = (pump.port or 0.0) * 1000
    return case.text.problem(
        "S25",
        ("hose", row, "bore"),
        f"{hose.label}: a bore of {hose.bore * 1000:.3g} mm leads into the {port:.3g} mm suction "
        f'port of "{pump.name}"',
        why="A narrow suction hose lowers the pressure at the pump, and the pump may draw air.",
        write=f"Check the bore. If it is so, fit a hose of {port:.3g} mm or wider; "
        "the calculation uses the value as written.",
        warning=True,
    )


def check_lengths(case: Case) -> Iterator[Problem]:
    """A hose too short to reach from one recorded end to the other is remarked."""
    named = {thing.name: thing for thing in case.things}
    for row, hose in enumerate(case.hose):
        ends = [named[name] for name in (hose.from_, hose.to) if name in named]
        if len(ends) < 2 or ("hose", row, "length") in case.typical:
            continue
        way = least_way([ends[0], *hose.via, ends[1]])
        reach = sum(REACH_OF_UNIT if end.table == "unit" else REACH for end in ends)
        if hose.length < way - reach and hose.length < way - reach - _unsure(case, row, ends):
            yield case.text.problem(
                "S69",
                ("hose", row, "length"),
                f"{hose.label}: {hose.length:.2f} m of hose cannot reach from "
                f'"{hose.from_}" to "{hose.to}", at least {way:.2f} m as they are placed',
                why="More hose loses more head, and a hose on another thing leads the water "
                "elsewhere.",
                write="Check the length: was it feet, not inches, or metres, not feet? If it is "
                "right, check where both ends are, and whether the hose leads from or to another "
                "thing.",
                warning=True,
            )


def least_way(run: Sequence[Place | Thing]) -> float:
    """Return the least length [m] of a run through places in order, as far as they are known.

    Between two that are known all three ways it is the straight line, or longer where the heights
    between them go up and down; where heights alone are known it is what they differ by.
    """
    way = climb = 0.0
    last: Spot | None = None
    level: float | None = None
    for place in run:
        height = place.level if isinstance(place, Thing) else place.height
        if height is not None:
            climb += 0.0 if level is None else abs(height - level)
            level = height
        spot = place.point
        if spot is not None:
            if last is not None:
                way, climb = way + math.hypot(math.dist(spot[:2], last[:2]), climb), 0.0
            last = spot
    return way + climb


def _unsure(case: Case, row: int, ends: list[Thing]) -> float:
    """Return how much is unsure of the length of a hose and of where it leads [m]."""
    ends_at = [(end.table, end.row, key) for end in ends for key in ("at", "height")]
    parts = {*ends_at, ("hose", row, "length"), ("hose", row, "via")}
    return sum(half for path, half in case.spreads.items() if path[:3] in parts)


def check_junctions(case: Case) -> Iterator[Problem]:
    """A tee or manifold with its own bore under a hose is remarked: its step costs, uncounted."""
    for thing in case.fittings:
        bores = [hose.bore for hose in case.hose if thing.name in (hose.from_, hose.to)]
        widest = max(bores, default=0.0)
        if thing.table in ("tee", "manifold") and is_wider(widest, thing.bore):
            yield case.text.problem(
                "S62",
                (thing.table, thing.row, "bore"),
                f'the {thing.table} "{thing.name}" has a bore of {thing.bore * 1000:.3g} mm, and '
                f"a hose of {widest * 1000:.3g} mm stands on it",
                why="All water of that hose squeezes through: it costs head, and the step is not "
                "counted.",
                write=f"Check the bore. If it is so, fit a {thing.table} of {widest * 1000:.3g} mm "
                "or wider.",
                warning=True,
            )


MEASURES: tuple[Callable[[Case], Iterator[Problem]], ...] = (
    check_sea,
    check_heights,
    check_supply,
    check_strainers,
    check_hoses,
    check_bores,
    check_junctions,
)
