"""Facts that do not go together: one of them may be a slip, so they are asked about."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from seaflow.base.problems import Problem
from seaflow.base.tables import read_table
from seaflow.base.units import factor_and_offset, read_quantity
from seaflow.boat.seas import sea_at, taken_for
from seaflow.boat.tables.use import Duty
from seaflow.forms.typical.build import units_of, usual_cooling
from seaflow.forms.typical.facts import BoatFacts, Facts
from seaflow.forms.typical.figure import said
from seaflow.forms.typical.hull import Hull, hull_of, kinds
from seaflow.forms.typical.rooms import standings

_IF_RIGHT = "If both are right, leave them: the answer uses what was said."


def contradictions(facts: Facts) -> tuple[Problem, ...]:
    """Return a question for each two facts that do not go together; each is a warning.

    Raises
    ------
    KeyError
        If no layout bears the kind of boat.
    """
    boat = None if facts.boat is None else replace(facts.boat, beam=None)
    hull = hull_of(Facts(boat))
    found = (problem for look in LOOKS for problem in look(facts, hull))
    return (*which_water(facts), *which_mains(facts), *found)


def _doubt(what: str, why: str, write: str) -> Problem:
    return Problem("Q03", what, why=why, write=f"{write} {_IF_RIGHT}", warning=True)


def _beam(facts: Facts, hull: Hull) -> Iterator[Problem]:
    boat = facts.boat
    if boat is None or boat.beam is None:
        return
    usual, most = hull.beam.value, float(_limits("beam"))
    if 1.0 / most <= boat.beam / usual <= most:
        return
    near = [kind for kind in kinds() if abs(boat.beam / _usual_beam(kind, boat) - 1.0) < 0.15]
    write = f'Did you mean a {near[0]}, or "{usual:.1f} m"?' if near else "Look at both again."
    yield _doubt(
        f"a {boat.kind} of {said(boat.length, 'm')} is {usual:.1f} m wide, and "
        f"{said(boat.beam, 'm')} was said",
        "Rooms, places and hoses are drawn by length and beam.",
        write,
    )


def _usual_beam(kind: str, boat: BoatFacts) -> float:
    return hull_of(Facts(BoatFacts(kind, boat.length, built=boat.built))).beam.value


def _mass(facts: Facts, hull: Hull) -> Iterator[Problem]:
    boat, curve = facts.boat, hull.shape.get("mass")
    if boat is None or boat.displacement is None or curve is None:
        return
    usual, most = curve[0] * boat.length ** curve[1], float(_limits("mass"))
    if not 1.0 / most <= boat.displacement / usual <= most:
        yield _doubt(
            f"a {boat.kind} of {said(boat.length, 'm')} weighs about {usual / 1000.0:.2g} t, and "
            f"{boat.displacement / 1000.0:.3g} t was said",
            "One of the two is of another boat.",
            "Look at the length, and at its unit.",
        )


def _cooling(facts: Facts, hull: Hull) -> Iterator[Problem]:
    if facts.boat is None or not facts.units:
        return
    total = sum(unit.cooling for unit in facts.units)
    usual, (low, high) = usual_cooling(hull), _limits("cooling")
    if low <= total / usual <= high:
        return
    much = "much" if total > usual else "little"
    factor, _ = factor_and_offset("W", "BTU/h")
    yield _doubt(
        f"{factor * total:,.0f} BTU/h is {much} for a {hull.kind} of "
        f"{said(facts.boat.length, 'm')}: to cool all of her takes about "
        f"{round(factor * usual, -3):,.0f} BTU/h",
        "How much water is needed follows from the cooling.",
        "Look at the plate, at its unit, and whether all units were named.",
    )


def _supply(facts: Facts, hull: Hull) -> Iterator[Problem]:
    supply = facts.supply
    if supply is None or supply.current != "dc" or facts.unit_supply is not None:
        return
    most = read_quantity(_limits("amperes"), "A")
    for unit in facts.units:
        power = unit.input_power or _limits("power") * unit.cooling
        if power / supply.voltage > most:
            yield _doubt(
                f"a unit of {said(unit.cooling, 'W')} would draw about "
                f"{power / supply.voltage:.0f} A from {said(supply.voltage, 'V')}",
                "Units so large run from mains, an inverter or a high-voltage bank.",
                'If they do, add it: "12 V, units on 230 V".',
            )


def _refrigerant(facts: Facts, hull: Hull) -> Iterator[Problem]:
    built = facts.boat.built if facts.boat else None
    rows = read_table("typical/trade.toml")["refrigerant"]
    last = rows[-1]["name"]
    if built is None or built < rows[0]["from"]:
        return
    if any(unit.refrigerant == last for unit in facts.units):
        yield _doubt(
            f"a unit with {last} on a boat built in {built}",
            f"New machines with {last} had gone by {rows[0]['from']}.",
            "Look at the plate and at the year.",
        )


def _layout(facts: Facts, hull: Hull) -> Iterator[Problem]:
    low, high = hull.row["lengths"]
    if facts.boat is None or low <= facts.boat.length < high:
        return
    bounds = f"over {low:g} m" if facts.boat.length < low else f"under {high:g} m"
    yield _doubt(
        f"{hull.kind}: such boats are {bounds} long, and {said(facts.boat.length, 'm')} was said",
        "Rooms and places are those of such a boat, drawn to her length.",
        f'Say "{hull.row["family"]}" for the usual one of that length.',
    )


def _rooms(facts: Facts, hull: Hull) -> Iterator[Problem]:
    for one in standings(hull, units_of(hull, facts)):
        if not one.known:
            zones = [zone["name"] for zone in hull.row["zones"]]
            near = next(name for name in zones if one.zone["name"].startswith(name))
            yield Problem(
                "Q03",
                f'unit "{one.unit.name}": name only; its place is typical: that of the {near}, '
                f"{one.zone['at'][0] * hull.length.value:.1f} m aft of the stem",
                why=f"A {hull.kind} as the tables have it has no room of that name to stand in.",
                write=f"Name one of its rooms, such as {_rooms_of(hull)}; or put where it stands "
                "into the file, and the hoses to it.",
                warning=True,
            )


def _rooms_of(hull: Hull) -> str:
    uses = ("berth", "saloon")
    return ", ".join(f'"{room["name"]}"' for room in hull.row["rooms"] if room["use"] in uses)


def which_water(facts: Facts) -> Iterator[Problem]:
    """Yield which sea was taken where several bear the name or none does."""
    sea = facts.sea
    if sea is None or not sea.called or not sea.place:
        return
    doubt = taken_for(sea.called, sea_at(sea.place))
    if doubt is not None:
        yield Problem("Q03", doubt["what"], why=doubt["why"], write=doubt["write"], warning=True)


def which_mains(facts: Facts) -> Iterator[Problem]:
    """Yield as what mains were taken that are called by other volts than they have."""
    for supply in (facts.supply, facts.unit_supply):
        if supply is not None and supply.called is not None:
            volts, called = said(supply.voltage, "V"), said(supply.called, "V")
            yield Problem(
                "Q03",
                f"{called} was taken as what mains of {volts} are often called",
                why="Pumps are made and named for these, and a pump is judged by what reaches it.",
                write=f"If the panel really reads {called}, write a case with seaflow new, and "
                f'there voltage = "{called}"; if {volts} is right, say so.',
                warning=True,
            )


def unused_battery(facts: Facts, duties: Sequence[Duty]) -> Iterator[Problem]:
    """Yield that the battery that was told drives nothing, where no duty of a case is on one."""
    if facts.battery is None or not duties or any(duty.source == "battery" for duty in duties):
        return
    yield Problem(
        "Q03",
        "the battery that was said is not used, for no duty of the file runs on one",
        why="A night on the battery is told of where the file says that the boat is on it.",
        write='Write source = "battery" in a [[duty]] of the file, or take its duties out for a '
        "usual day.",
        warning=True,
    )


def _limits(name: str) -> Any:
    return read_table("typical/trade.toml")["doubt"][name]


LOOKS: tuple[Callable[[Facts, Hull], Iterator[Problem]], ...] = (
    _beam,
    _mass,
    _cooling,
    _supply,
    _refrigerant,
    _layout,
    _rooms,
)
