"""Write seaflow/data/refrigerants.toml with CoolProp, which the package itself never imports.

Run from the root of the repository: python tests/tables/make_refrigerants.py
"""

from __future__ import annotations

from datetime import date
from functools import cache
from importlib.metadata import version
from pathlib import Path
from textwrap import wrap
from typing import NamedTuple

import numpy as np
from CoolProp.CoolProp import AbstractState, PropsSI
from scipy.optimize import brentq

ZERO = 273.15
TARGET = Path(__file__).parents[2] / "seaflow" / "data" / "refrigerants.toml"
LOWEST = -30.0  # degC, below any evaporating temperature a sea heat source allows
STEP = 2.0  # K, keeps straight lines on log pressure within 0.02 %

# The cycle: the compressor sweeps a fixed volume. As the pressure ratio grows its volumetric
# efficiency falls, and its isentropic efficiency falls in the same ratio, so that the power is that
# of a compressor with both efficiencies constant.
EVAPORATING = 7.0  # degC
SUPERHEAT = 8.0  # K
SUBCOOLING = 5.0  # K
ISENTROPIC_EFFICIENCY = 0.65
VOLUMETRIC_EFFICIENCY = 0.95  # at a pressure ratio of one
COOLEST, MIDDLE, HOTTEST = 15.0, 45.0, 80.0  # degC, condensing
STEP_OF_CYCLE = 2.5  # K, keeps straight lines within 0.1 % of the cycle
CLEAR = 2.0  # K below the end of the saturation table, where the cycle is still sound
VOLUMETRIC_LOSS = 0.03  # of volumetric efficiency for each unit of pressure ratio


class Fluid(NamedTuple):
    """What the library cannot tell: its own name and the class."""

    name: str
    library_name: str
    highest: float  # degC, the table stops a little short of the critical point
    safety_class: str


FLUIDS = (
    Fluid("R-134a", "R134a", 98.0, "A1"),
    Fluid("R-410A", "R410A", 70.0, "A1"),
    Fluid("R-32", "R32", 76.0, "A2L"),
    Fluid("R-407C", "R407C", 82.0, "A1"),
    Fluid("R-290", "R290", 94.0, "A3"),
    Fluid("R-454B", "R454B.mix", 74.0, "A2L"),
    Fluid("R-22", "R22", 94.0, "A1"),
    Fluid("R-513A", "R513A.mix", 92.0, "A1"),
)


class Cycle(NamedTuple):
    """Answers of the cycle for one condensing temperature."""

    capacity: float  # W for a swept volume flow of 1 m3/s
    power: float  # W, likewise


def critical_point(library_name: str) -> tuple[float, float]:
    """Return the critical temperature [degC] and pressure [Pa absolute]."""
    state = AbstractState("HEOS", library_name)
    if library_name.endswith(".mix"):
        stable = [point for point in state.all_critical_points() if point.stable]
        return stable[0].T - ZERO, stable[0].p
    return state.T_critical() - ZERO, state.p_critical()


def saturation(library_name: str, temperature: float, quality: int) -> float:
    """Return the bubble (quality 0) or dew (quality 1) pressure [Pa absolute].

    At a few temperatures, most of them near the critical point, the library finds no direct
    answer for a blend: there a cubic on log pressure is laid through the two nearest direct
    answers or points of its phase envelope on either side.
    """
    direct = direct_pressure(library_name, temperature, quality)
    if direct is not None:
        return direct
    known = sorted(envelope(library_name, quality) + nearby(library_name, temperature, quality))
    below = [point for point in known if point[0] < temperature - 0.2][-2:]
    above = [point for point in known if point[0] > temperature + 0.2][:2]
    near, logs = zip(*below, *above, strict=True)
    return float(np.exp(np.polyval(np.polyfit(np.array(near) - temperature, logs, 3), 0.0)))


def direct_pressure(library_name: str, temperature: float, quality: int) -> float | None:
    """Return the library's direct answer [Pa absolute], or None if it finds none."""
    try:
        return PropsSI("P", "T", temperature + ZERO, "Q", quality, library_name)
    except ValueError:
        return None


def nearby(library_name: str, temperature: float, quality: int) -> list[tuple[float, float]]:
    """Return temperature and log pressure of direct answers on whole degrees nearby."""
    found = []
    for near in np.arange(temperature - 4.0, temperature + 4.5, 1.0):
        pressure = direct_pressure(library_name, float(near), quality)
        if pressure is not None:
            found.append((float(near), float(np.log(pressure))))
    return found


@cache
def envelope(library_name: str, quality: int) -> list[tuple[float, float]]:
    """Return temperature and log pressure along one branch of the phase envelope, above 60 degC."""
    state = AbstractState("HEOS", library_name)
    state.build_phase_envelope("none")
    data = state.get_phase_envelope_data()
    temperature, pressure = np.array(data.T) - ZERO, np.array(data.p)
    top = int(np.argmax(temperature))
    branch = slice(0, top) if quality == 1 else slice(top + 1, None)  # dew comes first
    pairs = zip(temperature[branch], np.log(pressure[branch]), strict=True)
    return [(float(t), float(log)) for t, log in pairs if t > 60.0]


def mean_pressure(library_name: str, temperature: float) -> float:
    """Return the pressure at which bubble and dew temperatures have this mean [Pa absolute]."""

    def miss(pressure: float) -> float:
        both = [PropsSI("T", "P", pressure, "Q", quality, library_name) for quality in (0, 1)]
        return sum(both) / 2 - ZERO - temperature

    middle = saturation(library_name, temperature, 0)
    return brentq(miss, 0.75 * middle, 1.05 * middle, xtol=1.0)


def cycle(library_name: str, condensing_temperature: float) -> Cycle:
    """Return capacity and power of the cycle described at the top of this file."""
    low = mean_pressure(library_name, EVAPORATING)
    high = mean_pressure(library_name, condensing_temperature)
    suction = PropsSI("T", "P", low, "Q", 1, library_name) + SUPERHEAT
    liquid = PropsSI("T", "P", high, "Q", 0, library_name) - SUBCOOLING
    h_suction = PropsSI("H", "T", suction, "P", low, library_name)
    entropy = PropsSI("S", "T", suction, "P", low, library_name)
    density = PropsSI("D", "T", suction, "P", low, library_name)
    work = PropsSI("H", "P", high, "S", entropy, library_name) - h_suction
    h_liquid = PropsSI("H", "T", liquid, "P", high, library_name)
    efficiency = VOLUMETRIC_EFFICIENCY - VOLUMETRIC_LOSS * (high / low - 1.0)
    power = density * VOLUMETRIC_EFFICIENCY * work / ISENTROPIC_EFFICIENCY
    return Cycle(density * efficiency * (h_suction - h_liquid), power)


def cycles(fluid: Fluid) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return condensing temperatures, and capacity and power there over those at the middle.

    At a few temperatures the library finds no answer for a blend; these are left out.
    """
    top = min(HOTTEST, STEP_OF_CYCLE * np.floor((fluid.highest - CLEAR) / STEP_OF_CYCLE))
    rows = []
    for temperature in np.arange(COOLEST, top + 0.1, STEP_OF_CYCLE):
        try:
            rows.append((temperature, *cycle(fluid.library_name, float(temperature))))
        except ValueError as error:
            print(f"{fluid.name} at {temperature} degC: {str(error)[:60]}")
    temperatures, capacity, power = np.array(rows).T
    middle = cycle(fluid.library_name, MIDDLE)
    return temperatures, capacity / middle.capacity, power / middle.power


def column(name: str, values: list[str]) -> str:
    """Return one list of the table, wrapped."""
    return "\n".join(
        [
            f"{name} = [",
            *wrap(", ".join(values), 98, initial_indent="  ", subsequent_indent="  "),
            "]",
        ]
    )


def record(fluid: Fluid) -> str:
    """Return the record of one refrigerant as TOML text."""
    temperatures = np.arange(LOWEST, fluid.highest + STEP / 2, STEP)
    bubble = [saturation(fluid.library_name, t, 0) / 1e3 for t in temperatures]
    dew = [saturation(fluid.library_name, t, 1) / 1e3 for t in temperatures]
    temperature, pressure = critical_point(fluid.library_name)
    condensing, capacity, power = cycles(fluid)
    return "\n".join(
        [
            f'[refrigerant."{fluid.name}"]',
            f'library_name = "{fluid.library_name}"',
            f"critical_temperature = {temperature:.2f} # degC",
            f"critical_pressure = {pressure / 1e3:.1f} # kPa absolute",
            f'safety_class = "{fluid.safety_class}"',
            column("condensing", [f"{value:g}" for value in condensing]),
            column("cycle_capacity", [f"{value:.5f}" for value in capacity]),
            column("cycle_power", [f"{value:.5f}" for value in power]),
            column("temperature", [f"{value:.0f}" for value in temperatures]),
            column("bubble", [f"{value:.3f}" for value in bubble]),
            column("dew", [f"{value:.3f}" for value in dew]),
            "",
        ]
    )


HEAD = f"""\
# Saturation and a cycle of refrigerants. Written by tests/tables/make_refrigerants.py; do not edit
# by hand. Temperatures in degC; bubble and dew pressures in kPa absolute.
# Capacity and power over condensing temperature, as shares of those at {MIDDLE:g} degC, come from a
# cycle with a compressor that sweeps a fixed volume: evaporating {EVAPORATING:g} degC, superheat
# {SUPERHEAT:g} K, subcooling {SUBCOOLING:g} K, volumetric efficiency {VOLUMETRIC_EFFICIENCY} less \
{VOLUMETRIC_LOSS} for each unit of pressure
# ratio above one, isentropic efficiency {ISENTROPIC_EFFICIENCY} and falling in the same ratio.

[made]
library = "CoolProp {version("CoolProp")}"
date = "{date.today().isoformat()}"
safety_class_source = "ISO 817 and ASHRAE 34, from memory"
"""


def main() -> None:
    """Write the table."""
    records = [record(fluid) for fluid in FLUIDS]
    TARGET.write_text(HEAD + "\n" + "\n".join(records), encoding="utf-8")
    print(f"{TARGET}: {len(records)} refrigerants")


if __name__ == "__main__":
    main()
