"""The pump that a study of a loop runs with: the one asked for, the one fitted, or the best."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from seaflow.base.problems import Problem, SeaflowError
from seaflow.boat.case import Case
from seaflow.boat.network import Loop as Network
from seaflow.boat.parts import NoSuchPart, PumpPart
from seaflow.model.build import build_loop
from seaflow.studies.choose import rank_pumps
from seaflow.studies.need import UnitNeed, unit_needs

ASKED, FITTED, RANKED = "asked for", "fitted now", "ranked first by size"


@dataclass(frozen=True, slots=True)
class WhichPump:
    """A pump and why it is this one."""

    part: PumpPart
    why: str


def needs_of(case: Case, network: Network) -> dict[str, UnitNeed]:
    """Return the need of every unit of a loop, by name; no pump has a say in it."""
    stand_in = case.catalogue.pumps()[0]
    built = build_loop(case, network, {place.name: stand_in for place in network.pumps})
    return {need.name: need for need in unit_needs(case, built)}


def which_pump(
    case: Case, network: Network, needs: Mapping[str, UnitNeed], asked: str | None = None
) -> WhichPump:
    """Return the pump asked for, else the one fitted, else the one that size ranks first.

    Raises
    ------
    SeaflowError
        If there is no such pump, or none fits the supply.
    """
    if asked is not None:
        try:
            return WhichPump(case.catalogue.pump(asked), ASKED)
        except NoSuchPart as missing:
            near = ", ".join(f'"{item}"' for item in missing.near)
            write = f"Did you mean {near}?" if near else "See seaflow parts pumps."
            what = f'the pumps table has no "{asked}"'
            raise SeaflowError([Problem("S16", what, write=write)]) from None
    fitted = network.pumps[0].fitted
    if fitted is not None:
        return WhichPump(case.catalogue.pump(fitted), FITTED)
    ranked = rank_pumps(case, network, needs)
    if not ranked:
        what = f'no pump of the table fits the supply of "{network.name}"'
        raise SeaflowError([Problem("F13", what, write="Name one with --pump NAME.")])
    return WhichPump(ranked[0].result.part, RANKED)
