"""The register of faults, and what is possible on a given loop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from seaflow.base.tables import read_table
from seaflow.boat.case import MOST_DC, Case
from seaflow.model.build import Built


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that may be wrong: its odds before any reading, how bad, and what it shows.

    `look` and `act` say in few words where to look for it and what to do there, with the names of
    the `cautions` for that. `low` and `high` are the ends of its severity; `signs` what an observer
    reports of it, by kind of sign; `tried` the remedies that would have cured it. `open_share`: one
    half of severities is spread in the logarithm of what they leave open, the other evenly; `trips`
    how likely a trip was though water comes well now; `answered` what an observer tells, by kind of
    sign, who looked there and found nothing; `only_when` the words of when it happens without which
    there is nothing to see; `running` is true where `act` takes a pump or
    unit that runs, and `work` is a row of the table of work, `machine` true of what moves no water.
    `in_heating` and `on_low_dc` are what stands instead while heating, and where the pump runs from
    no more volts than anybody may touch.
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
    answered: tuple[tuple[str, str], ...] = ()
    only_when: tuple[str, ...] = ()
    pulses: bool = False
    open_share: bool = False
    trips: float = 0.0
    running: bool = False
    work: str = ""
    machine: bool = False
    in_heating: Mapping[str, Any] | None = None
    on_low_dc: Mapping[str, Any] | None = None

    @property
    def effort(self) -> float:
        """What it takes to look there: minutes, longer where somebody could come to harm."""
        return float(read_table("faults.toml")["work"][self.work])

    def said_for(self, case: Case, mode: str) -> Fault:
        """Return the fault in the words for this mode and this supply."""
        words = dict(self.in_heating or {}) if mode == "heating" else {}
        if may_be_touched(case):
            words |= self.on_low_dc or {}
        words = {key: tuple(value) if key == "cautions" else value for key, value in words.items()}
        return replace(self, **words) if words else self


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


def may_be_touched(case: Case) -> bool:
    """Tell whether the pump runs from no more volts than anybody aboard may measure."""
    return case.supply.current == "dc" and (case.supply.voltage or 0.0) <= MOST_DC


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
            answered=tuple(row.get("answered", {}).items()),
            only_when=tuple(row.get("only_when", ())),
            pulses=bool(row.get("pulses", False)),
            open_share=bool(row.get("open_share", False)),
            trips=float(row.get("trips", 0.0)),
            running=bool(row.get("running", False)),
            work=row["work"],
            machine=bool(row.get("machine", False)),
            in_heating=row.get("in_heating"),
            on_low_dc=row.get("on_low_dc"),
        )
        for name, row in read_table("faults.toml")["fault"].items()
    )


def remedies() -> tuple[str, ...]:
    """Return what may have been tried."""
    return tuple(dict.fromkeys(remedy for fault in faults() for remedy in fault.tried))


def possible_faults(case: Case, built: Built, mode: str) -> tuple[Fault, ...]:
    """Return the faults that this loop can have in this mode, in the words for it."""
    has = {
        "": True,
        "strainer": bool(built.loop.strainers),
        "dc": case.supply.current == "dc",
        "ac": case.supply.current == "ac" and case.supply.frequency is not None,
        "several": len(built.loop.coils) > 1,
    }
    cooling_only = ("overcharge", "pressure_switch", "recirculated", "warm_sea")
    return tuple(
        fault.said_for(case, mode)
        for fault in faults()
        if has[fault.needs] and (mode == "cooling" or fault.name not in cooling_only)
    )
