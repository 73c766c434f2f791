"""Readings on the command line: the options, the file, and the loop that they belong to."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import click

from seaflow.base.problems import Problem, SeaflowError

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.boat.network import Network
    from seaflow.studies.diagnose.own_boat import OwnBoat
    from seaflow.studies.diagnose.readings import Readings
    from seaflow.studies.diagnose.simulate import Setup

_F = TypeVar("_F", bound=Callable[..., Any])

# Name, whether it has a place and so may stand more than once, and help. PLACE= may be left out
# where there is only one.
_NUMBERS = (
    ("sea", False, "Sea temperature."),
    ("discharge", True, "Temperature of the water leaving, as [UNIT or OUTLET=]VALUE."),
    ("bucket", True, "Seconds to fill 10 L (2.64 US gallons) at an outlet, as [OUTLET=]SECONDS."),
    ("flow", True, "Flow at an outlet, as [OUTLET=]VALUE."),
    ("volts", False, "Volts at the pump."),
    ("amps", False, "Amps of the pump."),
    ("suction", False, "Gauge pressure at the pump inlet."),
    ("delivery", False, "Gauge pressure after the pump."),
    ("watts", True, "Watts of a unit, as [UNIT=]VALUE."),
    ("condensing", True, "Condensing temperature on a fitted display, as [UNIT=]VALUE."),
    ("high-side", True, "High-side pressure on a fitted gauge, as [UNIT=]VALUE, such as 26 bar."),
    ("split", True, "Return air less supply air, as [UNIT=]VALUE in K."),
)
_WORDS = (
    ("stream", "none, weak, pulsing or strong."),
    ("tripped", "Whether the high-pressure cut-out tripped: yes or no."),
    ("bubbles", "Bubbles in the strainer bowl: yes or no."),
    ("pump", "Sound of the pump: normal, silent, humming or gravel."),
    ("breaker", "Breaker of the pump: holds or trips."),
    (
        "when",
        "When it happens: always, under way, on one tack, at night, with all zones on, "
        "after cleaning, after launching, in a warm harbour, after a while.",
    ),
    ("basket", "In the strainer basket: clean, some or full."),
    ("handle", "The seacock handle: open, part or shut."),
    ("lid-open", "Bowl with the lid off and the seacock cracked: gushes, dribbles or nothing."),
    ("burp", "From the highest hose end after the pump: water or air."),
    ("filter", "Return-air filter and evaporator: clean, dirty or iced."),
    ("bilge", "Bilge: dry or salt water."),
    ("second-thermometer", "Both thermometers in the sea: agrees or differs."),
)
_SETTINGS = (
    ("mode", "cooling (the default) or heating."),
    ("load", "Load of the compressors as a share of full, such as 60%."),
)


def reading_options(command: _F) -> _F:
    """Add every reading as an option."""
    for name, words in reversed(_SETTINGS):
        command = click.option(f"--{name}", metavar="TEXT", help=words)(command)
    # all may be given again, so that two that differ are seen and refused
    listed = [(name, words) for name, *_, words in (*_NUMBERS, *_WORDS)]
    for name, words in reversed(listed):
        command = click.option(f"--{name}", multiple=True, metavar="TEXT", help=words)(command)
    return command


def loop_option(command: _F) -> _F:
    """Add --loop."""
    words = "The loop meant, by its name on the sheets; the first one if left out."
    return click.option("--loop", "loop_name", metavar="NAME", help=words)(command)


def given_rows(options: Mapping[str, Any]) -> dict[str, object]:
    """Return the readings among the options as a row of a file of readings."""
    names = [name for name, *_ in (*_NUMBERS, *_WORDS, *_SETTINGS)]
    listed = {name for name, many, _ in _NUMBERS if many}
    found: dict[str, object] = {}
    for name in names:
        key = name.replace("-", "_")
        value = options.get(key)
        if not value:
            continue
        several = isinstance(value, tuple) and (name in listed or len(value) > 1)
        found[key] = list(value) if several else value[0] if isinstance(value, tuple) else value
    return found


def loop_called(case: Case, name: str | None, row: Mapping[str, object]) -> Network:
    """Return the loop asked for, else the one whose things the readings name, else the first.

    Raises
    ------
    SeaflowError
        If the boat has no such loop.
    """
    from seaflow.boat import network

    loops = network.loops(case)
    if name is not None:
        for loop in loops:
            if loop.name == name:
                return loop
        listed = ", ".join(f'"{loop.name}"' for loop in loops)
        what, why = f'the boat has no loop "{name}"', "Each loop is read by itself."
        raise SeaflowError([Problem("D02", what, why=why, write=f"Name one of: {listed}.")])
    values = [item for value in row.values() for item in _items(value)]
    named = {text.rpartition("=")[0].strip() for text in values} - {""}
    return next((loop for loop in loops if named & set(loop.things)), loops[0])


def _items(value: object) -> list[str]:
    if isinstance(value, Mapping):
        return [f"{place}={text}" for place, text in value.items()]
    return [str(item) for item in value] if isinstance(value, list) else [str(value)]


def own_boat(file: str, setup: Setup, use: bool, seed: int) -> OwnBoat | None:
    """Return what the readings stored beside a case tell of the boat, or None.

    Raises
    ------
    SeaflowError
        If the file of readings cannot be used.
    """
    if not use:
        return None
    from seaflow.studies.baseline.stored import file_beside, stored_readings
    from seaflow.studies.diagnose.own_boat import learn

    stored = stored_readings(file_beside(file), setup.places, setup.built.network.name)
    return learn(setup, stored, seed) if stored else None


def readings_from(row: Mapping[str, object], setup: Setup) -> Readings:
    """Return the readings of a row.

    Raises
    ------
    SeaflowError
        If one cannot be used.
    """
    from seaflow.studies.diagnose.written import read_rows

    plain = {key: value for key, value in row.items() if key != "loop"}
    return read_rows(plain, setup.places)
