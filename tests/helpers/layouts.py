"""Random loops and conditions: every shape of loop the model claims to run, all invented.

The layouts are built from elements directly, so that they reach shapes and states that a case
file would refuse.
"""

from dataclasses import dataclass, replace

import numpy as np

from seaflow.model.conditions import Conditions
from seaflow.model.elements import (
    Basket,
    Cock,
    Coil,
    Element,
    Entry,
    Fixed,
    HoseRun,
    Point,
    Pumping,
)
from seaflow.model.loop import SEA, Link, Loop
from seaflow.model.losses import Pipe, Power
from seaflow.physics.heat.compressor import Machine
from seaflow.physics.pumping.pump import Drive, PumpCurve, curve_from_ends, curve_from_points

BORES = (0.0127, 0.016, 0.019, 0.0254, 0.032, 0.038)
KINDS = ("row", "manifold", "common outlet", "two manifolds", "own intakes", "sea chest")
MOST_UNITS = 6


def point(label: str, height: float, starboard: float = 0.0, aft: float = 5.0) -> Point:
    """Return a point with a place."""
    return Point(label, height, aft, starboard)


def entry(name: str, height: float = -0.5, recovery: float = 0.0, **more: object) -> Entry:
    """Return an intake."""
    values = {"bore": 0.0254, "loss_coefficient": 0.8, **more}
    return Entry(name=name, item="entry", point=point(name, height), recovery=recovery, **values)


def hose(name: str, length: float, bore: float = 0.019, **more: object) -> HoseRun:
    """Return a hose without fittings unless they are given."""
    values = {"roughness": 1e-5, **more}
    return HoseRun(name=name, item=name, bore=bore, length=length, **values)


def strainer(name: str, bore: float = 0.0254) -> Basket:
    """Return a strainer with a basket of its port's usual size."""
    return Basket(
        name=name,
        item="strainer",
        bore=bore,
        point=point(name, -0.3),
        housing_coefficient=4.5,
        basket_area=30.0 * bore**2,
        open_share=0.4,
    )


def outlet(name: str, height: float = 0.3, bore: float = 0.019) -> Fixed:
    """Return an outlet, with the loss of the water's speed outside."""
    return Fixed(
        name=name, item="outlet", bore=bore, point=point(name, height), loss_coefficient=1.0
    )


def pump(
    name: str,
    curve: PumpCurve,
    motor: str = "unregulated dc",
    check_valve: bool = False,
    n: int = 1,
) -> Pumping:
    """Return a pump for 24 V."""
    return Pumping(
        name=name,
        item="pump",
        bore=0.019,
        point=point(name, -0.4),
        curve=curve,
        drive=Drive(motor=motor, voltage=24.0, power=((0.0, 80.0),)),
        n_pumps=n,
        check_valve=check_valve,
    )


def coil(name: str, cooling: float = 4700.0, head: float = 1.2, height: float = 0.3) -> Coil:
    """Return a coil with a head loss by the maker's point, at 0.065 l/s for each kilowatt."""
    flow = 6.5e-8 * cooling
    return Coil(
        name=name,
        item="coil",
        bore=0.016,
        point=point(name, height),
        unit=name,
        machine=Machine(cooling, 0.29 * cooling, 41.0),
        conductance=0.15 * cooling,
        rated_flow=flow,
        water_share=0.5,
        area=0.15 * cooling / 1500.0,
        cut_out_temperature=64.0,
        critical_temperature=71.0,
        n_tubes=1,
        loss=Power(flow, head, 1.8),
    )


def tube_coil(name: str, cooling: float, height: float) -> Coil:
    """Return a coil whose head loss comes from its tubes."""
    plain = coil(name, cooling, 1.0, height)
    values = {field: getattr(plain, field) for field in plain.__dataclass_fields__}
    values.update(loss=None, pipe=Pipe(0.0145, 4.0, 1.5e-6, 1.25))
    return Coil(**values)


@dataclass
class _Maker:
    """Draws parts from one stream of random numbers and counts their names."""

    rng: np.random.Generator
    count: int = 0
    vented: tuple[str, ...] = ()

    def name(self, word: str) -> str:
        self.count += 1
        return f"{word} {self.count}"

    def between(self, low: float, high: float) -> float:
        return float(self.rng.uniform(low, high))

    def spread(self, low: float, high: float) -> float:
        return float(np.exp(self.rng.uniform(np.log(low), np.log(high))))

    def one_of(self, items: tuple[float, ...]) -> float:
        return float(self.rng.choice(items))

    def happens(self, share: float) -> bool:
        return bool(self.rng.random() < share)

    def intake(self) -> list[Element]:
        recovery = self.between(-1.0, 1.0) if self.happens(0.6) else 0.0
        parts: list[Element] = [
            entry(self.name("intake"), self.between(-1.0, -0.2), recovery, bore=self.one_of(BORES))
        ]
        if self.happens(0.7):
            name = self.name("intake seacock")
            parts.append(
                Cock(name=name, item="seacock", bore=self.one_of(BORES), loss_coefficient=0.1)
            )
        return parts

    def hose(self, highest: float | None = None) -> HoseRun:
        """Return a hose; with `highest` it may run over points up to that height."""
        name = self.name("hose")
        points = ()
        if highest is not None and self.happens(0.5):
            number = int(self.rng.integers(1, 3))
            points = tuple(
                point(f"{name} at {i}", self.between(-0.5, highest), self.between(-2.0, 2.0))
                for i in range(number)
            )
        return hose(
            name,
            self.spread(0.2, 20.0),
            self.one_of(BORES),
            roughness=self.one_of((0.0, 1.5e-6, 1e-5, 5e-4)),
            multiplier=self.one_of((1.0, 1.0, 4.0)),
            fittings_coefficient=self.between(0.0, 4.0),
            barb_bores=(0.9 * self.one_of(BORES),) * int(self.rng.integers(0, 3)),
            via=points,
        )

    def curve(self) -> PumpCurve:
        head, flow = self.between(1.0, 15.0), self.spread(5e-5, 2e-3)
        if self.happens(0.3):
            shares = np.array([0.0, 0.3, 0.6, 0.8, 1.0])
            steep = self.between(1.2, 4.0)
            return curve_from_points(flow * shares, head * (1.0 - shares**steep))
        return curve_from_ends(head, flow, self.between(1.0, 4.0))

    def pump(self, curve: PumpCurve | None = None) -> Pumping:
        return pump(
            self.name("pump"),
            curve or self.curve(),
            str(self.rng.choice(["unregulated dc", "regulated dc"])),
            check_valve=self.happens(0.4),
            n=int(self.rng.choice([1, 1, 1, 2])),
        )

    def coil(self) -> Coil:
        cooling = self.spread(1500.0, 20000.0)
        height = self.between(-0.5, 1.5)
        if self.happens(0.3):
            return tube_coil(self.name("unit"), cooling, height)
        return coil(self.name("unit"), cooling, self.spread(0.1, 6.0), height)

    def outlet(self) -> list[Element]:
        last: list[Element] = []
        if self.happens(0.5):
            last.append(
                Cock(
                    name=self.name("outlet seacock"),
                    item="seacock",
                    bore=self.one_of(BORES),
                    loss_coefficient=0.1,
                    at_outlet=True,
                )
            )
        height = self.between(-0.6, 0.0) if self.happens(0.3) else self.between(0.0, 1.5)
        end = outlet(self.name("outlet"), height, self.one_of(BORES))
        place = point(end.name, height, self.between(-2.0, 2.0))
        return [*last, replace(end, point=place)]

    def crest(self) -> list[Element]:
        """Return nothing, or a vented loop."""
        if not self.happens(0.25):
            return []
        name = self.name("vented loop")
        self.vented = (*self.vented, name)
        place = point(name, self.between(0.3, 2.0))
        return [Fixed(name=name, item="vented loop", bore=0.019, point=place, loss_coefficient=1.0)]

    def suction(self) -> list[Element]:
        return [*self.intake(), self.hose(), strainer(self.name("strainer")), self.hose()]

    def units(self, number: int) -> list[Element]:
        found: list[Element] = []
        for _ in range(number):
            found += [self.hose(2.0), self.coil()]
        return found

    def branch(self, number: int = 1) -> list[Element]:
        turn = Fixed(
            name=self.name("turn"), item="tee", bore=self.one_of(BORES), loss_coefficient=1.5
        )
        return [turn, *self.units(number), *self.crest(), self.hose(2.0)]


def random_loop(rng: np.random.Generator, kind: str | None = None) -> Loop:
    """Return a random loop of one to six units; of one of KINDS, or any."""
    make = _Maker(rng)
    kind = kind or str(rng.choice(KINDS))
    n_units = int(rng.integers(1, MOST_UNITS + 1))
    links = _LAYOUTS[kind](make, n_units)
    nodes = sorted({link.end for link in links} - {SEA})
    points = tuple(point(node, make.between(-0.4, 0.8)) for node in nodes)
    return Loop(kind, tuple(links), points, frozenset(make.vented), midship=5.0)


def _row(make: _Maker, n_units: int) -> list[Link]:
    n_units = min(n_units, 3)
    parts = [*make.suction(), make.pump(), *make.units(n_units), *make.crest(), make.hose(2.0)]
    return [Link(SEA, SEA, (*parts, *make.outlet()))]


def _manifold(make: _Maker, n_units: int) -> list[Link]:
    trunk = [*make.suction(), make.pump(), *make.crest(), make.hose(1.5)]
    branches = [
        Link("manifold", SEA, (*make.branch(number), *make.outlet()))
        for number in _shared_out(make, n_units)
    ]
    return [Link(SEA, "manifold", tuple(trunk)), *branches]


def _common_outlet(make: _Maker, n_units: int) -> list[Link]:
    trunk = [*make.suction(), make.pump(), make.hose(1.0)]
    branches = [
        Link("manifold", "collector", tuple(make.branch(number)))
        for number in _shared_out(make, n_units)
    ]
    last = [make.hose(), *make.crest(), make.hose(1.5), *make.outlet()]
    return [
        Link(SEA, "manifold", tuple(trunk)),
        *branches,
        Link("collector", SEA, tuple(last)),
    ]


def _two_manifolds(make: _Maker, n_units: int) -> list[Link]:
    n_near = int(make.rng.integers(1, max(n_units, 2)))
    trunk = [*make.suction(), make.pump(), make.hose()]
    near = [Link("near", SEA, (*make.branch(), *make.outlet())) for _ in range(n_near)]
    far = [
        Link("far", SEA, (*make.branch(), *make.outlet())) for _ in range(max(n_units - n_near, 1))
    ]
    between = Link("near", "far", (make.hose(1.0), *make.crest()))
    return [Link(SEA, "near", tuple(trunk)), *near, between, *far]


def _own_intakes(make: _Maker, n_units: int) -> list[Link]:
    """Two or three pumps, each with an intake of its own, equal or not, on one manifold."""
    pumps = _pumps(make)
    trunks = [Link(SEA, "manifold", (*make.suction(), item, make.hose())) for item in pumps]
    branches = [
        Link("manifold", SEA, (*make.branch(number), *make.outlet()))
        for number in _shared_out(make, n_units)
    ]
    return [*trunks, *branches]


def _sea_chest(make: _Maker, n_units: int) -> list[Link]:
    """Two or three pumps that draw from one intake and feed one manifold."""
    legs = [Link("chest", "manifold", (make.hose(), item, make.hose())) for item in _pumps(make)]
    branches = [
        Link("manifold", SEA, (*make.branch(number), *make.outlet()))
        for number in _shared_out(make, n_units)
    ]
    return [Link(SEA, "chest", tuple(make.suction())), *legs, *branches]


def _pumps(make: _Maker) -> list[Pumping]:
    number = int(make.rng.integers(2, 4))
    same = make.curve() if make.happens(0.5) else None
    return [make.pump(same) for _ in range(number)]


def _shared_out(make: _Maker, n_units: int) -> list[int]:
    """Return how many units sit in a row on each branch."""
    left, found = n_units, []
    while left:
        number = min(left, 2 if make.happens(0.2) else 1)
        found.append(number)
        left -= number
    return found


_LAYOUTS = {
    "row": _row,
    "manifold": _manifold,
    "common outlet": _common_outlet,
    "two manifolds": _two_manifolds,
    "own intakes": _own_intakes,
    "sea chest": _sea_chest,
}


def random_conditions(rng: np.random.Generator, loop: Loop, size: int) -> Conditions:
    """Return conditions of every sort along one axis: clean and foul, ahead and at rest."""

    def sometimes(share: float, values: np.ndarray, usual: float) -> np.ndarray:
        return np.where(rng.random(size) < share, values, usual)

    def drawn(low: float, high: float) -> np.ndarray:
        return rng.uniform(low, high, size)

    units = [item.unit for item in loop.coils]
    return Conditions(
        sea_temperature=drawn(2.0, 35.0),
        salinity=drawn(0.0, 40.0),
        voltage=sometimes(0.5, drawn(2.0, 28.0), 24.0),
        strainer_blockage=sometimes(0.5, drawn(0.0, 0.95), 0.0),
        intake_blockage=sometimes(0.3, drawn(0.0, 0.95), 0.0),
        seacock_opening=sometimes(0.25, drawn(0.0, 1.0), 1.0),
        outlet_opening=sometimes(0.2, drawn(0.0, 1.0), 1.0),
        growth=sometimes(0.3, drawn(0.0, 6e-3), 0.0),
        pump_wear=sometimes(0.3, drawn(0.0, 0.6), 0.0),
        air_fraction=sometimes(0.2, drawn(0.0, 0.15), 0.0),
        coil_scale=sometimes(0.3, drawn(0.0, 5e-4), 0.0),
        coil_loss_factor=sometimes(0.3, drawn(1.0, 10.0), 1.0),
        boat_speed=sometimes(0.3, drawn(0.0, 10.0), 0.0),
        heel=sometimes(0.3, drawn(-0.5, 0.5), 0.0),
        pump_running=rng.random(size) > 0.06,
        pump_speed=sometimes(0.3, drawn(0.01, 1.0), 1.0),
        running={name: rng.random(size) > 0.2 for name in units},
        load={name: drawn(0.0, 1.0) for name in units[:1]},
        branch_shut={name: rng.random(size) < 0.15 for name in units},
    )
