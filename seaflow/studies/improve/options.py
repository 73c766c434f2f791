"""Sizes of what can be changed on a loop, with what is bought: strainers, pumps, prices."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from seaflow.base.bores import is_wider
from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.parts.part import Price, PumpPart, price_of
from seaflow.boat.tables.things import Strainer
from seaflow.model.build import built_with
from seaflow.studies.design.changes import MOST_STEPS, with_strainer
from seaflow.studies.design.choose import candidates, left_out
from seaflow.studies.design.start import first_start
from seaflow.studies.design.which_pump import full_supply


@dataclass(frozen=True, slots=True)
class Priced:
    """One thing that is bought for a change; the price is None where nobody gave one."""

    name: str
    price: Price | None = None


@dataclass(frozen=True, slots=True)
class Level:
    """One size of one thing: what it is, the case with it, and how many things it changes.

    `alone` tells of one hose of several that can be widened together.
    """

    says: Fact | None
    apply: Callable[[Case], Case]
    n_changes: int
    bought: tuple[Priced, ...] = ()
    caution: Fact | None = None
    alone: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Things that are changed together, with their sizes; the boat as it is comes first."""

    name: str
    levels: tuple[Level, ...]


def unchanged(case: Case) -> Case:
    """Return the case as it is."""
    return case


AS_IT_IS = Level(None, unchanged, 0)


def strainer_levels(case: Case, network: Network) -> tuple[Level, ...]:
    """Return the strainer as it is, and those of the table with ports one and two sizes up."""
    fitted = [thing for thing in network.things.values() if isinstance(thing, Strainer)]
    if len(fitted) != 1:
        return (AS_IT_IS,)
    now = fitted[0]
    port = now.port or (case.catalogue.strainer(now.model).port if now.model else 0.0)
    sheets = [case.catalogue.strainer(name) for name in case.catalogue.rows("strainers")]
    wider = sorted(
        (sheet for sheet in sheets if is_wider(sheet.port, port)),
        key=lambda sheet: (sheet.port, sheet.name),
    )
    ports = sorted({sheet.port for sheet in wider})[:MOST_STEPS]
    levels = [AS_IT_IS]
    for sheet in (item for item in wider if item.port in ports):
        price = None if sheet.price is None else price_of(sheet.price)
        says = fact("improve.strainer", strainer=sheet.name, ports=amount("bore", sheet.port))
        apply = partial(with_strainer, name=now.name, model=sheet.name)
        levels.append(Level(says, apply, 1, (Priced(f"strainer {sheet.name}", price),)))
    return tuple(levels)


def pump_choices(
    case: Case, network: Network, now: PumpPart
) -> tuple[tuple[PumpPart, ...], tuple[Fact, ...]]:
    """Return the pump as it is and those that may stand in its place, and why others may not."""
    place = network.pumps[0]
    found, left = [now], list(left_out(case, place))
    hopeless = bool(_keeps_from_starting(case, network, now))
    for part in candidates(case, place):
        if part.name == now.name:
            continue
        if not part.continuous:
            left.append(fact("improve.not_continuous", pump=part.name))
        elif (reasons := _keeps_from_starting(case, network, part)) and not hopeless:
            left.append(fact("improve.does_not_start", pump=part.name, reasons=reasons))
        else:
            found.append(part)
    return tuple(found), tuple(left)


def _keeps_from_starting(case: Case, network: Network, part: PumpPart) -> tuple[Fact, ...]:
    """Return what keeps a pump from ever getting the water moving here; nothing if it can."""
    built, now = built_with(case, network, part), full_supply(case, network, part)
    start = first_start(case, built, part, now)
    return tuple(said for said, _ in start.refused)


def total_price(
    bought: tuple[Priced, ...],
) -> tuple[float | None, str, tuple[str, ...]]:
    """Return the sum of the prices in the first currency met, and what has none in it."""
    known = [item.price for item in bought if item.price and item.price.amount is not None]
    currency = known[0].currency if known else ""
    total, unpriced = 0.0, []
    for item in bought:
        price = item.price
        if price is None or price.amount is None or price.currency != currency:
            unpriced.append(item.name)
        else:
            total += price.amount
    return (total if known else None), currency, tuple(unpriced)
