"""Write seaflow/data/scales.toml: conversions that a start needs, so that pint need not load.

python tests/tables/make_scales.py    takes the numbers from pint through seaflow.base.units
"""

from __future__ import annotations

from pathlib import Path

from seaflow.base import glossary, units

FILE = Path(__file__).parents[2] / "seaflow" / "data" / "scales.toml"
# As people write them; a unit that is not here is still read, by pint, and a little later.
WRITTEN = (
    *("mm", "cm", "m", "in", "inch", "ft", '"', "mm2", "cm2", "m2", "in2", "m3", "L"),
    *("gal", "quart", "pint", "imp_gal"),
    *("L/min", "l/min", "L/s", "L/h", "l/h", "lph", "m3/h", "m3/s", "gpm", "US gal/min", "gph"),
    *("Pa", "kPa", "hPa", "mbar", "bar", "psi", "inHg", "mmHg", "Pa s"),
    *("W", "kW", "BTU/h", "Btu/h", "btu/h", "ton", "tons", "hp", "J", "kWh", "Wh", "Ah", "A s"),
    *("degC", "degF", "°C", "°F", "K", "delta degF", "deg", "°", "rad"),
    *(
        "kn",
        "m/s",
        "km/h",
        "ft/s",
        "V",
        "A",
        "mA",
        "Hz",
        "dB",
        "g/kg",
        "kg/m3",
        "kg",
        "kg/m2",
        "g",
        "lb",
    ),
    *("s", "min", "h", "day", "week", "month", "year", "%", "percent", "W/K", "W/(m2 K)"),
    *("m2 K/W", "s2/m5", "1/K", "m2/s", "W/(m K)", "J/(kg K)", "N/m", "Pa s/m2", "GPa"),
)


def scales() -> dict[str, dict[str, tuple[float, float]]]:
    """Return, for each unit inside, factor and offset of each spelling that pint knows for it."""
    inside = sorted({glossary.glossary_entry(name).unit for name in glossary.names()} | {"J"})
    found: dict[str, dict[str, tuple[float, float]]] = {}
    for unit in inside:
        for spelled in dict.fromkeys(units._spell(written) for written in (*WRITTEN, *inside)):
            try:
                scale = units.scale_by_pint(spelled, unit)
            except Exception:  # pint raises several kinds for what is no unit
                continue
            if scale is not None:
                found.setdefault(unit, {})[spelled] = scale
    return found


def text() -> str:
    """Return the table as TOML."""
    lines = ["# Written by tests/tables/make_scales.py from pint. By the unit inside: the number"]
    lines += ["# times the first, plus the second, for each spelling."]
    for unit, rows in scales().items():
        lines += ["", f'["{unit}"]']
        lines += [f"{name!r} = [{a!r}, {b!r}]" for name, (a, b) in rows.items()]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
