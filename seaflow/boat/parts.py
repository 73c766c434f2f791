"""The parts tables: hoses, fittings, strainers, valves, entries, alloys and pumps."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.physics.pump import PumpCurve, curve_from_ends, curve_from_points

TABLES = ("hoses", "fittings", "strainers", "seacocks", "entries", "alloys", "pumps")


class NoSuchPart(KeyError):
    """A name that a parts table does not have; `near` holds names like it."""

    def __init__(self, table: str, name: str, near: list[str]) -> None:
        super().__init__(name)
        self.table, self.name, self.near = table, name, near


def rows(table: str) -> Mapping[str, dict[str, Any]]:
    """Return the rows of a parts table by name."""
    content = read_table(f"parts/{table}.toml")
    content = content.get("kind", content)
    return {name: row for name, row in content.items() if not name.startswith("_")}


def find(table: str, name: str) -> tuple[str, dict[str, Any]]:
    """Return the name and the row of a part, by its name or an alias.

    Raises
    ------
    NoSuchPart
        If no row bears the name.
    """
    wanted = _plain(name)
    spellings: dict[str, str] = {}
    for key, row in rows(table).items():
        for alias in (key, row.get("name", key), *row.get("aliases", ())):
            spellings.setdefault(_plain(alias), key)
            if _plain(alias) == wanted:
                return key, row
    near = difflib.get_close_matches(wanted, spellings, n=3, cutoff=0.5)
    raise NoSuchPart(table, name, list(dict.fromkeys(spellings[item] for item in near)))


def _plain(name: str) -> str:
    return " ".join(name.lower().replace(",", " ").replace("-", " ").split())


@dataclass(frozen=True, slots=True)
class HoseKind:
    """What the wall of a hose does to the water; SI."""

    name: str
    roughness: float
    pitch: float | None
    suction: bool
    source: str


def hose_kind(name: str) -> HoseKind:
    """Return a kind of hose.

    Raises
    ------
    NoSuchPart
        If the table has no such kind.
    """
    key, row = find("hoses", name)
    pitch = read_quantity(row["pitch"], "m") if "pitch" in row else None
    roughness = read_quantity(row["roughness"], "m")
    return HoseKind(key, roughness, pitch, row["suction"], row["source"])


def standard_bores() -> tuple[float, ...]:
    """Return the usual hose bores [m], rising."""
    texts = read_table("parts/hoses.toml")["standard"]["bores"]
    return tuple(read_quantity(text, "m") for text in texts)


def usual_barb_bore(hose_bore: float) -> float:
    """Return the clear bore of the barb that usually carries a hose of this bore [m]."""
    table = read_table("parts/fittings.toml")["_barbs"]["usual"]
    hoses = [read_quantity(row["hose"], "m") for row in table]
    barbs = [read_quantity(row["barb"], "m") for row in table]
    ratio = np.interp(hose_bore, hoses, np.asarray(barbs) / np.asarray(hoses))
    return float(hose_bore * ratio)


@dataclass(frozen=True, slots=True)
class PumpPart:
    """A pump as its sheet describes it; SI."""

    name: str
    title: str
    type: str
    motor: str
    current: str
    voltage: float
    frequency: float | None
    inlet: float
    curve: PumpCurve
    power: tuple[tuple[float, float], ...]
    power_factor: float | None
    continuous: bool
    dry_run_protection: bool
    self_priming: bool
    minimum_voltage: float | None
    required_npsh: float | None
    least_speed: float | None
    invented: bool
    source: str


def pump(name: str) -> PumpPart:
    """Return a pump by its name.

    Raises
    ------
    NoSuchPart
        If the table has no such pump.
    """
    key, row = find("pumps", name)
    current, voltage, frequency = _supply(row["supply"])
    return PumpPart(
        name=key,
        title=row["name"],
        type=row["type"],
        motor=row["motor"],
        current=current,
        voltage=voltage,
        frequency=frequency,
        inlet=read_quantity(row["inlet"], "m"),
        curve=_curve(row),
        power=_power(row),
        power_factor=row.get("power_factor"),
        continuous=row["duty"] == "continuous",
        dry_run_protection=row["dry_run_protection"],
        self_priming=row["self_priming"],
        minimum_voltage=_optional(row, "minimum_voltage", "V"),
        required_npsh=_optional(row, "required_npsh", "m"),
        least_speed=_least_speed(row),
        invented=bool(row.get("invented")),
        source="invented" if row.get("invented") else row["source"],
    )


def pumps() -> tuple[PumpPart, ...]:
    """Return all pumps of the table."""
    return tuple(pump(name) for name in rows("pumps"))


def _optional(row: Mapping[str, Any], key: str, unit: str) -> float | None:
    text = row.get(key, "not given")
    return None if text == "not given" else read_quantity(text, unit)


def _least_speed(row: Mapping[str, Any]) -> float | None:
    """Return the least speed, as a share of full speed, of a pump whose speed can be set."""
    return read_quantity(row["least_speed"], "-") if "least_speed" in row else None


def _supply(text: str) -> tuple[str, float, float | None]:
    """Read "ac 230 V 50 Hz" or "dc 12 V"."""
    words = text.split()
    voltage = read_quantity(" ".join(words[1:3]), "V")
    frequency = read_quantity(" ".join(words[3:5]), "Hz") if words[0] == "ac" else None
    return words[0], voltage, frequency


def _curve(row: Mapping[str, Any]) -> PumpCurve:
    if "points" in row:
        flows = [read_quantity(point["flow"], "m3/s") for point in row["points"]]
        heads = [read_quantity(point["head"], "m") for point in row["points"]]
        return curve_from_points(np.asarray(flows), np.asarray(heads))
    head = read_quantity(row["shut_off_head"], "m")
    flow = read_quantity(row["free_flow"], "m3/s")
    return curve_from_ends(head, flow, row.get("exponent", 1.8))


def _power(row: Mapping[str, Any]) -> tuple[tuple[float, float], ...]:
    if "power_points" in row:
        return tuple(
            (read_quantity(point["flow"], "m3/s"), read_quantity(point["power"], "W"))
            for point in row["power_points"]
        )
    return ((0.0, read_quantity(row["power"], "W")),)
