"""The register of faults, and what is possible on a given loop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.model.build import Built


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that may be wrong: its odds before any reading, how bad, and what it shows.

    `look` and `act` say in few words where to look for it and what to do there, with the names of
    the `cautions` for that. `low` and `high` are the ends of its severity; `signs` what an observer
    reports of it, by kind of sign; `tried` the remedies that would have cured it. `open_share`:
    severities are spread in the logarithm of what they leave open; `trips` how likely a trip was
    though water comes well now; `running` is true where `act` takes a pump or unit that runs.
    """

    name: str
    title: str
    weight: float
    low: float
    high: float
    do: str
    look: str
    act: str
    cautions: tuple[str, ...] = ()
    needs: str = ""
    signs: Mapping[str, Mapping[str, float]] | None = None
    tried: tuple[str, ...] = ()
    pulses: bool = False
    open_share: bool = False
    trips: float = 0.0
    running: bool = False


@dataclass(frozen=True, slots=True)
class Odds:
    """How likely nothing, one fault or two are wrong before anything is read."""

    nothing: float
    one: float
    two: float


@dataclass(frozen=True, slots=True)
class Nothing:
    """What stands in the place of a fault where there is none."""

    title: str
    do: str
    do_after_trip: str


NOTHING = "nothing"  # its name among the causes


@cache
def odds() -> Odds:
    """Return the odds of nothing, one or two faults."""
    return Odds(**read_table("faults.toml")["odds"])


@cache
def nothing() -> Nothing:
    """Return what is said where nothing is wrong."""
    return Nothing(**read_table("faults.toml")["nothing"])


@cache
def faults() -> tuple[Fault, ...]:
    """Return every fault of the register."""
    return tuple(
        Fault(
            name=name,
            title=row["title"],
            weight=float(row["weight"]),
            low=float(row["severity"][0]),
            high=float(row["severity"][1]),
            do=row["do"],
            look=row["look"],
            act=row["act"],
            cautions=tuple(row.get("cautions", ())),
            needs=row.get("needs", ""),
            signs=row.get("signs", {}),
            tried=tuple(row.get("tried", ())),
            pulses=bool(row.get("pulses", False)),
            open_share=bool(row.get("open_share", False)),
            trips=float(row.get("trips", 0.0)),
            running=bool(row.get("running", False)),
        )
        for name, row in read_table("faults.toml")["fault"].items()
    )


def remedies() -> tuple[str, ...]:
    """Return what may have been tried."""
    return tuple(dict.fromkeys(remedy for fault in faults() for remedy in fault.tried))


def possible_faults(case: Case, built: Built, mode: str) -> tuple[Fault, ...]:
    """Return the faults that this loop can have in this mode."""
    has = {
        "": True,
        "strainer": bool(built.loop.strainers),
        "dc": case.supply.current == "dc",
        "ac": case.supply.current == "ac" and case.supply.frequency is not None,
        "several": len(built.loop.coils) > 1,
    }
    cooling_only = ("overcharge", "pressure_switch", "recirculated", "warm_sea")
    return tuple(
        fault
        for fault in faults()
        if has[fault.needs] and (mode == "cooling" or fault.name not in cooling_only)
    )
