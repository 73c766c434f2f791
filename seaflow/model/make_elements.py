"""From the things of a case to the elements of a run."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from seaflow.boat.defaults import Assumption, default
from seaflow.boat.network import Network
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.parts.part import PumpPart
from seaflow.boat.parts.sheets import StrainerSheet
from seaflow.boat.reader.heads import FRESH_DENSITY
from seaflow.boat.tables.balancing import on_bore
from seaflow.boat.tables.things import (
    Fitting,
    Hose,
    Intake,
    Outlet,
    Place,
    Pump,
    Seacock,
    Strainer,
    Thing,
)
from seaflow.model.elements import Basket, Cock, Element, Entry, Fixed, HoseRun, Point, Pumping
from seaflow.physics.flow.fittings import (
    barb_coefficient,
    step_coefficient,
    swing_check_coefficient,
    transfer_coefficient,
    velocity,
    velocity_head,
)
from seaflow.physics.flow.friction import corrugated_friction_factor, darcy_friction_factor
from seaflow.physics.hull.openings import head_of_pressure

TYPICAL_REYNOLDS = 2e4  # at which a corrugated hose is compared with a smooth one
MOST_KEPT = 2048  # elements kept as made: boats drawn of a case share those that no draw moves


@dataclass
class Notes:
    """Takes note of every default that is needed, once and in their order."""

    noted: dict[Assumption, None] = field(default_factory=dict)

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What was taken down."""
        return tuple(self.noted)

    def note(self, *assumptions: Assumption) -> None:
        """Take down assumptions."""
        self.noted |= dict.fromkeys(assumptions)

    def assume(self, name: str, subject: str) -> float:
        """Return a default and take it down."""
        row = default(name)
        self.note(Assumption(subject, row.meaning, row.text, row.source))
        return row.value

    def assume_text(self, name: str, subject: str) -> str:
        """Return a default that is a name and take it down."""
        row = default(name)
        self.note(Assumption(subject, row.meaning, row.text, row.source))
        return row.text


@dataclass
class Maker(Notes):
    """Makes elements of one loop and takes note of every default it needs.

    `divided` keeps the flows of the legs of a junction, by its name and which way they go.
    """

    network: Network = field(kw_only=True)
    seacocks: tuple[Seacock, ...] = field(kw_only=True)
    catalogue: Catalogue = field(kw_only=True)
    divided: dict[tuple[str, bool], list[float]] = field(default_factory=dict)

    def hose_bore(self, thing: str) -> float:
        """Return the bore of the first hose at a thing, for what has no bore of its own."""
        hoses = self.network.arriving(thing) + self.network.leaving(thing)
        return hoses[0].bore

    def cock_of(self, thing: Thing) -> Seacock | None:
        """Return the seacock that sits on an intake or outlet."""
        return next((cock for cock in self.seacocks if cock.on == thing.name), None)


@lru_cache(MOST_KEPT)
def point_of(thing: Thing) -> Point:
    """Return the point where a thing stands."""
    place = thing.at
    if place is None:
        return Point(thing.name, thing.height)
    return Point(thing.name, place.height, place.aft, place.starboard)


def make_intake(intake: Intake, maker: Maker) -> tuple[Element, ...]:
    """Return the entry and its seacock."""
    return _intake(intake, maker.cock_of(intake), maker.catalogue)


@lru_cache(MOST_KEPT)
def _intake(intake: Intake, cock: Seacock | None, catalogue: Catalogue) -> tuple[Element, ...]:
    _, row = catalogue.find("entries", intake.entry)
    other_flow = sum(user.flow or 0.0 for user in intake.also_feeds)
    recovery = row["recovery"] if intake.recovery is None else intake.recovery
    entry = Entry(
        name=intake.name,
        item="through-hull and entry",
        bore=intake.bore,
        point=point_of(intake),
        loss_coefficient=float(row["k"]),
        recovery=float(recovery),
        other_flow=other_flow,
    )
    return (entry, *_cock(cock, catalogue, other_flow))


def _cock(
    cock: Seacock | None, catalogue: Catalogue, other_flow: float = 0.0, at_outlet: bool = False
) -> tuple[Element, ...]:
    """Return the seacock of an intake or outlet as an element, if there is one."""
    if cock is None:
        return ()
    _, row = catalogue.find("seacocks", cock.type)
    return (
        Cock(
            name=cock.name,
            item="seacock at the outlet" if at_outlet else "seacock",
            bore=cock.bore,
            loss_coefficient=float(row["k"]),
            at_outlet=at_outlet,
            other_flow=other_flow,
        ),
    )


def make_outlet(outlet: Outlet, maker: Maker) -> tuple[Element, ...]:
    """Return the seacock of an outlet and the loss of the water's speed outside."""
    return _outlet(outlet, maker.cock_of(outlet), maker.catalogue)


@lru_cache(MOST_KEPT)
def _outlet(outlet: Outlet, cock: Seacock | None, catalogue: Catalogue) -> tuple[Element, ...]:
    last = Fixed(
        name=outlet.name,
        item="outlet",
        bore=outlet.bore,
        point=point_of(outlet),
        loss_coefficient=1.0,
    )
    return (*_cock(cock, catalogue, at_outlet=True), last)


def make_strainer(strainer: Strainer, maker: Maker) -> Basket:
    """Return the strainer from its sheet, overruled by what the case gives."""
    basket, noted = _strainer(strainer, maker.catalogue)
    maker.note(*noted)
    return basket


@lru_cache(MOST_KEPT)
def _strainer(strainer: Strainer, catalogue: Catalogue) -> tuple[Basket, tuple[Assumption, ...]]:
    notes = Notes()
    sheet = catalogue.strainer(strainer.model) if strainer.model else None
    port = strainer.port or (sheet.port if sheet else None)
    assert port is not None  # a case without either is refused when it is read
    area, open_share, clean = strainer.basket_area, strainer.open_share, strainer.clean_loss
    if sheet is not None:
        area = sheet.basket_area if area is None else area
        open_share = sheet.open_share if open_share is None else open_share
        clean = _clean_loss(sheet) if clean is None else clean
    if clean is None:
        clean = notes.assume("strainer.clean_loss", strainer.name)
    basket = Basket(
        name=strainer.name,
        item="strainer",
        bore=port,
        point=point_of(strainer),
        housing_coefficient=clean,
        basket_area=area,
        open_share=open_share,
    )
    return basket, notes.assumptions


def _clean_loss(sheet: StrainerSheet) -> float | None:
    """Return the loss coefficient of a clean strainer on its ports, if its sheet tells it."""
    drop = sheet.clean_drop
    if sheet.clean_loss is not None or drop is None:
        return sheet.clean_loss
    head = drop.head
    if head is None:
        head = float(head_of_pressure(drop.pressure or 0.0, FRESH_DENSITY))
    return head / float(velocity_head(velocity(drop.at, sheet.port)))


def make_fitting(thing: Fitting, maker: Maker) -> Fixed:
    """Return a check valve, tee, manifold, reducer, vented loop or flush tee in a run."""
    return _fitting(thing, maker.catalogue)


@lru_cache(MOST_KEPT)
def _fitting(thing: Fitting, catalogue: Catalogue) -> Fixed:
    words = thing.table.replace("_", " ")
    loss = thing.loss
    if loss is None:
        loss = _fitting_coefficient(thing, catalogue)
    bore = thing.bore
    if thing.loss is None and thing.second_bore is not None:
        bore = min(bore, thing.second_bore)  # on which the loss of a step is stated
    return Fixed(
        name=thing.name, item=words, bore=bore, point=point_of(thing), loss_coefficient=loss
    )


def _fitting_coefficient(thing: Fitting, catalogue: Catalogue) -> float:
    if thing.table == "check_valve":
        return float(swing_check_coefficient(thing.bore))
    if thing.table == "reducer":
        return float(step_coefficient(thing.bore, thing.second_bore or thing.bore))
    name = {"vented_loop": "vented loop"}.get(thing.table, "tee run")
    return float(catalogue.find("fittings", name)[1]["k"])


def make_hose(hose: Hose, maker: Maker) -> HoseRun:
    """Return a hose with its barbs and fittings."""
    things = maker.network.things
    joints = (things[hose.from_].table == "reducer", things[hose.to].table == "reducer")
    run, noted = _hose(hose, maker.catalogue, joints)
    maker.note(*noted)
    return run


@lru_cache(MOST_KEPT)
def _hose(
    hose: Hose, catalogue: Catalogue, joints: tuple[bool, bool]
) -> tuple[HoseRun, tuple[Assumption, ...]]:
    """Return a hose, and what was assumed of it; `joints` tells at which ends it meets a piece."""
    notes = Notes()
    kind = catalogue.hose_kind(hose.kind)
    notes.note(*kind.assumptions)
    roughness = hose.roughness if hose.roughness is not None else kind.roughness
    multiplier = 1.0
    if kind.pitch is not None:
        smooth = darcy_friction_factor(TYPICAL_REYNOLDS, roughness / hose.bore)
        multiplier = float(corrugated_friction_factor(hose.bore, kind.pitch) / smooth)
    own = hose.barb_bore or catalogue.usual_barb_bore(hose.bore)
    n_barbs, loss = _on_hose(hose, catalogue, own)
    if not n_barbs:
        n_barbs = int(notes.assume("hose.barbs", hose.label))
    run = HoseRun(
        name=hose.label,
        item=hose.label,
        bore=hose.bore,
        length=hose.length,
        roughness=roughness,
        multiplier=multiplier,
        fittings_coefficient=loss,
        barb_bores=_barb_bores(hose, n_barbs, own, joints),
        via=tuple(_via(hose, number, place) for number, place in enumerate(hose.via, 1)),
    )
    return run, notes.assumptions


def _on_hose(hose: Hose, catalogue: Catalogue, own: float) -> tuple[int, float]:
    """Return how many barbs a hose has, each of the bore `own`, and what all else on it loses."""
    n_barbs, loss = 0, 0.0
    for name in hose.fittings:
        key, row = catalogue.find("fittings", name)
        if row.get("method") == "barb":
            n_barbs += 1
        elif key == "swing check":
            loss += float(swing_check_coefficient(hose.bore))
        elif row.get("on") == "barb":
            loss += float(transfer_coefficient(row["k"], own, hose.bore))
        else:
            loss += float(row.get("k", 0.0))
    if hose.balancing_valve is not None:
        valve = hose.balancing_valve
        loss += on_bore(valve.loss_now, valve.bore, hose.bore)
    loss += adapters_loss(hose, catalogue)
    return n_barbs, loss


def _barb_bores(
    hose: Hose, n_barbs: int, own: float, joints: tuple[bool, bool]
) -> tuple[float, ...]:
    """Return the bore of each barb of a hose, in the order of the flow.

    One at each end belongs to what the hose goes onto there; those between are of fittings on it. A
    single one is not at the plain joint to the next piece.
    """
    start, end = (hose.barb_at(arrives) or own for arrives in (False, True))
    if n_barbs > 1:
        return (start, *[own] * (n_barbs - 2), end)
    if joints[0] != joints[1]:
        return (end if joints[0] else start,)
    return (min(start, end),)


def adapters_loss(hose: Hose, catalogue: Catalogue) -> float:
    """Return the loss coefficient of the adapters of a hose, on its bore.

    At each the water passes a barb of the size that the tail carries, the step to the hose, and the
    tail itself.
    """
    loss = 0.0
    for arrives in (False, True):
        adapter = hose.adapter_at(arrives)
        if adapter is None:
            continue
        barb = adapter.barb_bore or catalogue.usual_barb_bore(adapter.bore)
        tail = float(barb_coefficient(min(barb, adapter.bore), adapter.bore))
        ways = (hose.bore, adapter.bore) if arrives else (adapter.bore, hose.bore)
        step = float(step_coefficient(*ways))
        loss += 2.0 * float(transfer_coefficient(tail, adapter.bore, hose.bore))
        loss += float(transfer_coefficient(step, min(ways), hose.bore))
    return loss


def _via(hose: Hose, number: int, place: Place) -> Point:
    on = hose.name or f"the hose from {hose.from_} to {hose.to}"
    label = f"point {number} on {on}" if len(hose.via) > 1 else f"the point on {on}"
    return Point(label, place.height, place.aft, place.starboard)


@lru_cache(MOST_KEPT)
def make_pump(place: Pump, part: PumpPart) -> Pumping:
    """Return a pump of the table at its place on the boat."""
    return Pumping(
        name=place.name,
        item="pump",
        bore=place.port or part.inlet,
        point=point_of(place),
        curve=part.curve,
        drive=part,
        n_pumps=place.in_parallel or 1,
        check_valve=bool(place.check_valve),
    )
