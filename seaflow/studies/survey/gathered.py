"""Evidence gathered of a case: every loop built, started and run, as far as it is known."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import repeat
from typing import Any

from seaflow.base.alike import the_same
from seaflow.boat.case import THING_TABLES, Case
from seaflow.boat.network import Network, loops, with_rows
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.tables.gap import Gap
from seaflow.boat.tables.things import Hose, Pump
from seaflow.forms.checklist import Address, name_of_thing
from seaflow.model.build import built_with
from seaflow.studies.design.start import first_start
from seaflow.studies.design.supply import fits
from seaflow.studies.design.which_pump import judged_with
from seaflow.studies.survey.evidence import (
    OF_THE_BOAT,
    THE_BOAT,
    Evidence,
    SurveyedLoop,
    table_of,
)
from seaflow.studies.survey.rules import Unknown
from seaflow.studies.survey.running import run_loop, warmest
from seaflow.studies.survey.waterlines import waterlines


def evidence_of(
    case: Case,
    partial: Mapping[Address, Mapping[str, Any]] | None = None,
    like: Evidence | None = None,
    *,
    as_run: bool = True,
) -> Evidence:
    """Return what the rules are judged on; `partial` is what is known of tables in part.

    `like` is evidence of the same boat with other values in her gaps: loops of which nothing
    differs are those of the other, and what each lacks is the same. Not `as_run` it has what things
    are and where, and no loop is run or judged.
    """
    found = []
    untrimmed = replace(case, boat=replace(case.boat, works_to_trim=None))
    for network, same in _loops_of(case, like):
        if same is not None:
            found.append(same)
            continue
        here, plain_here = (one.on_supply_of(network.pumps[0]) for one in (case, untrimmed))
        part = _fitted(here, network.pumps[0])
        plain = (item for item in case.catalogue.pumps() if not item.self_priming)
        stand_in = part or next(plain)  # heights do not depend on the pump
        built = built_with(here, network, stand_in)
        lacks = tuple(_lacking(here, network)) if like is None else _lacks_in(like, network)
        run, judged = None, None
        if as_run and part is not None and not lacks:
            run = run_loop(here, network, built, part)
            judged = judged_with(here, network, part).result.judgement
        now = warmest(here, network, stand_in)
        start = first_start(plain_here, built, stand_in, now)
        trimmed = start
        if case.boat.works_to_trim is not None:
            trimmed = first_start(here, built, stand_in, now)
        found.append(SurveyedLoop(network, built, part, run, judged, start, trimmed, lacks))
    return Evidence(case, tuple(found), waterlines(case.boat), partial or {})


def _loops_of(case: Case, like: Evidence | None) -> Iterator[tuple[Network, SurveyedLoop | None]]:
    """Yield each loop, with that of other evidence if all that it is made of is the very same."""
    if like is None:
        yield from zip(loops(case), repeat(None))
        return
    aside = (*THING_TABLES, "hose")
    beside = the_same(case, aside) == the_same(like.case, aside)
    for other in like.loops:
        network = with_rows(case, other.network)
        same = beside and _made_of(other.network, like.case) == _made_of(network, case)
        yield network, other if same else None


def _made_of(network: Network, case: Case) -> list[int]:
    cocks = (cock for cock in case.seacock if cock.on in network.things)
    return list(map(id, (*network.things.values(), *network.hoses, *cocks)))


def _lacks_in(like: Evidence, network: Network) -> tuple[Unknown, ...]:
    return next(one.lacks for one in like.loops if one.name == network.name)


def _lacking(case: Case, network: Network) -> Iterator[Unknown]:
    """Yield what a checklist asks before a loop can be run: the gaps of its things and waters."""
    labels = {*network.things, *network.labels}
    labels |= {cock.name for cock in case.seacock if cock.on in network.things}
    for gap in case.gaps:
        table, name = _asked_of(case, gap)
        if name in labels or (table == "boat" and gap.path[0] != "boat"):
            yield from asks(case, gap)


def asks(case: Case, gap: Gap, severity: str | None = None) -> Iterator[Unknown]:
    """Yield what a checklist asks to close a gap."""
    table, name = _asked_of(case, gap)
    for key in gap.keys:
        yield Unknown(table, name, key, severity)


def _asked_of(case: Case, gap: Gap) -> tuple[str, str]:
    """Return the table and the thing under which a checklist asks about a gap."""
    if gap.path[0] in OF_THE_BOAT:
        return "boat", THE_BOAT
    thing = getattr(case, str(gap.path[0]))[int(gap.path[1])]
    return ("hose" if isinstance(thing, Hose) else table_of(thing)), name_of_thing(thing)


def _fitted(case: Case, place: Pump) -> PumpPart | None:
    if place.fitted is None:
        return None
    part = case.catalogue.pump(place.fitted)
    return part if fits(case, part) else None
