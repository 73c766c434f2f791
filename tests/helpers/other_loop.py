"""A cooling loop worked out by another hand than the model: own losses, own pump, own condenser.

Of the package only the plan is taken: what is joined to what, bores, lengths, heights, and the
figures of plates and sheets. Hoses: Blasius 1913, f = 0.316 Re^-1/4. Fittings: so many velocity
heads as handbooks print (Crane TP-410; Idelchik for screens: (0.707 sqrt(1 - s) + 1 - s)^2 / s^2).
Coils: the point of the sheet to the power 1.85. A pump: a parabola through its two ends; laws of
affinity. A condenser: one stream that changes phase, 1 - exp(-NTU), its water side with the flow to
0.8; a machine loses 1.2 % of its heat and takes 2.5 % more power for each kelvin of condensing.
All arrays run over boats.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from seaflow.model.elements import Basket, Cock, Coil, Entry, HoseRun, Pumping

GRAVITY, DENSITY, CAPACITY, VISCOSITY = 9.81, 1025.0, 3990.0, 0.95e-6
HALVINGS, AROUND = 32, 12
LEAST_FLOW = 0.3 / 60000.0  # m3/s, below which a unit is dry
PER_KELVIN, POWER_PER_KELVIN = 0.012, 0.025  # of heat and power, of condensing
ENTRY, OUT, BARB, HOUSING, COCK = 1.5, 1.0, 0.5, 4.0, 0.05  # velocity heads


@dataclass
class Ships:
    """Boats of one plan: what each is like, and what is wrong with her. All begin as the plan."""

    setup: object
    size: int
    of: dict = field(default_factory=dict)

    def __post_init__(self):
        for name in ("air", "worn", "strainer", "intake", "cock", "growth", "drawn_in", "leak"):
            self.of.setdefault(name, np.zeros(self.size))
        for name in ("suction_more", "delivery_more", "lost", "reads_high", "locked", "shut_in"):
            self.of.setdefault(name, np.zeros(self.size))
        for name in (
            "head",
            "free",
            "speed",
            "turns",
            "hoses",
            "fittings",
            "entries",
            "screens",
            "draws",
        ):
            self.of.setdefault(name, np.ones(self.size))
        self.of.setdefault("volts", np.full(self.size, float(self.setup.case.supply.voltage)))
        self.of.setdefault("fills", np.ones(self.size))  # of the velocity that fills a leg
        self.of.setdefault("matted", np.ones(self.size, dtype=bool))
        self.of.setdefault("pulses", np.zeros(self.size, dtype=bool))
        for coil in self.setup.built.loop.coils:
            for name in ("coil", "conductance", "heat", "power", "air_left", "calls"):
                self.of.setdefault((name, coil.unit), np.ones(self.size))
            for name in ("scale", "warmed", "branch", "stands", "opens_early"):
                self.of.setdefault((name, coil.unit), np.zeros(self.size))
        for outlet in self.setup.places.outlets:
            self.of.setdefault(("end", outlet), np.zeros(self.size))

    def __getitem__(self, key):
        return self.of[key]

    def changed(self, **values):
        """The same boats with some figures changed."""
        return Ships(self.setup, self.size, {**self.of, **values})

    def with_units(self, name, values):
        """The same boats with a figure of some units changed."""
        of = {(name, unit): value for unit, value in values.items()}
        return Ships(self.setup, self.size, {**self.of, **of})


@dataclass(frozen=True)
class Sailed:
    """What happens on each boat: flows [m3/s], temperatures [degC], gauges [Pa], amps."""

    flow: dict
    through: dict
    comes: dict
    leaves: dict
    before_trip: dict
    trips: dict
    suction: np.ndarray
    delivery: np.ndarray
    amps: np.ndarray


@dataclass
class _Loss:
    """Head lost: squares, what Blasius and coils add, and what must be lifted over."""

    square: np.ndarray
    hose: np.ndarray
    coil: np.ndarray

    def at(self, flow):
        return self.square * flow**2 + self.hose * flow**1.75 + self.coil * flow**1.85

    def flow(self, head):
        """The flow at which so much head is lost; none where there is none.

        What is lost bends up alone, so Newton's way comes down on it from what squares would pass.
        """
        some = np.maximum(head, 1e-9)
        flow = np.sqrt(some / self.square)
        for _ in range(6):
            rises = 2.0 * self.square * flow + 1.75 * self.hose * flow**0.75
            rises = rises + 1.85 * self.coil * flow**0.85
            flow = flow - (self.at(flow) - some) / rises
        return np.where(head > 0.0, flow, 0.0)


def _of_area(coefficient, bore):
    return coefficient / (2.0 * GRAVITY * (np.pi / 4.0 * bore**2) ** 2)


def _open(left):
    """Velocity heads of a sharp opening that leaves a share of the way (Crane, orifices)."""
    return (1.0 / np.maximum(0.65 * left, 1e-5) - 1.0) ** 2


def _hose(item, ships):
    bore = item.bore - 2.0 * ships["growth"]
    blasius = 0.316 * VISCOSITY**0.25 * (np.pi * bore / 4.0) ** 0.25
    rough = 1.0 + 0.8 * np.minimum(ships["growth"] / 1e-3, 1.0)  # shell is rough
    friction = blasius * item.length * item.multiplier / bore * rough * ships["hoses"]
    per = _of_area(1.0, bore)
    barbs = sum(BARB * (bore / np.minimum(barb, bore)) ** 4 for barb in item.barb_bores)
    return per * (barbs + item.fittings_coefficient) * ships["fittings"], per * friction


def _screen(item, ships):
    """A basket: even dirt makes the holes fewer, a mat leaves a part of it as it was."""
    left = 1.0 - ships["strainer"]
    share = np.where(ships["matted"], item.open_share, item.open_share * left)
    area = item.basket_area * np.where(ships["matted"], left, 1.0)
    screen = ((0.707 * np.sqrt(1.0 - share) + 1.0 - share) / share) ** 2
    basket = screen / (2.0 * GRAVITY * np.maximum(area, 1e-9) ** 2)
    return ships["screens"] * (_of_area(HOUSING, item.bore) + basket)


def _losses(elements, ships):
    none = np.zeros(ships.size)
    found = _Loss(none, none, none)
    for item in elements:
        if isinstance(item, Entry):
            entry = ENTRY * ships["entries"] + _open(1.0 - ships["intake"]) - _open(1.0)
            found.square = found.square + _of_area(entry, item.bore)
        elif isinstance(item, Cock) and not item.at_outlet:
            valve = COCK + _open(1.0 - ships["cock"]) - _open(1.0)
            found.square = found.square + _of_area(valve, item.bore)
        elif isinstance(item, Basket):
            found.square = found.square + _screen(item, ships)
        elif isinstance(item, HoseRun):
            square, hose = _hose(item, ships)
            found.square, found.hose = found.square + square, found.hose + hose
        elif isinstance(item, Coil):
            found = _with_coil(found, item, ships)
        elif not isinstance(item, Pumping):
            found.square = found.square + _of_area(
                getattr(item, "loss_coefficient", OUT), item.bore
            )
    return found


def _with_coil(found, item, ships):
    times = ships["coil", item.unit] * (1.0 + 1e3 * ships["scale", item.unit])
    more = _of_area(ships["branch", item.unit], 0.016)
    if item.loss is not None:
        per = item.loss.head / item.loss.flow**1.85
        return _Loss(found.square + more, found.hose, found.coil + per * times)
    pipe = item.pipe
    blasius = 0.316 * VISCOSITY**0.25 * (np.pi * pipe.bore / 4.0) ** 0.25
    per = _of_area(1.0, pipe.bore) * blasius * pipe.length * pipe.multiplier / pipe.bore
    return _Loss(found.square + more, found.hose + per * times, found.coil)


def sail(ships, sea) -> Sailed:
    """What happens on these boats in this sea."""
    parts = _parts(ships)
    full = {name: np.zeros(ships.size, dtype=bool) for name in ships.setup.places.outlets}
    flows = _flows(ships, parts, full)
    for link, _, outlet in parts.ends:
        bore = next(item.bore for item in reversed(link.elements) if isinstance(item, HoseRun))
        speed = flows[id(link)] / (np.pi / 4.0 * bore**2)
        full[outlet] = speed >= 0.45 * ships["fills"] * np.sqrt(GRAVITY * bore)
    flows = _flows(ships, parts, full)
    return _warmed(ships, parts, flows, sea)


@dataclass
class _Parts:
    trunk: object
    before: _Loss
    after: _Loss
    ends: list
    others: list
    pump: object
    place: float


def _parts(ships):
    loop = ships.setup.built.loop
    trunk = next(link for link in loop.links if any(isinstance(e, Pumping) for e in link.elements))
    at = next(k for k, item in enumerate(trunk.elements) if isinstance(item, Pumping))
    before = _losses(trunk.elements[:at], ships)
    before.square = before.square + _of_area(ships["suction_more"], trunk.elements[at].bore)
    after = _losses(trunk.elements[at + 1 :], ships)
    after.square = after.square + _of_area(ships["delivery_more"], trunk.elements[at].bore)
    kinks = _of_area(ships["suction_more"] + ships["delivery_more"], trunk.elements[at].bore)
    ends = [(k, _losses(k.elements, ships), k.elements[-1].name) for k in loop.links if k.to_sea]
    for link, loss, outlet in ends:
        more = _of_area(ships["end", outlet], 0.016)
        if link is trunk:
            more = more + kinks
        loss.square = loss.square + more
    others = [
        (k, _losses(k.elements, ships)) for k in loop.links if not k.to_sea and k is not trunk
    ]
    pump = trunk.elements[at]
    return _Parts(trunk, before, after, ends, others, pump, pump.point.height)


def _lift(link, outlet_full, ships):
    """How high the water of an outlet must be lifted: to its end, or over the highest point."""
    heights = [item.point.height for item in link.elements if getattr(item, "point", None)]
    stands = sum((ships["stands", e.unit] for e in link.elements if isinstance(e, Coil)), 0.0)
    crest = max(heights)
    return np.where(outlet_full, max(heights[-1], 0.0), max(crest, 0.0)) + stands


def _flows(ships, parts, full):
    """Flow of each link, by halving the head after the pump until what comes is what goes."""
    if parts.trunk.to_sea:
        (alone,) = parts.ends
        lift = _lift(parts.trunk, full[alone[2]], ships)
        return {id(parts.trunk): _turned(ships, parts, lambda flow: lift + alone[1].at(flow))}
    found = {}

    def goes(head):
        total = np.zeros(ships.size)
        for link, loss, outlet in parts.ends:
            if link.start == parts.trunk.end:
                found[id(link)] = loss.flow(head - _lift(link, full[outlet], ships))
                total = total + found[id(link)]
        for end in parts.ends:
            if end[0].start != parts.trunk.end:
                total = total + _through_tee(ships, parts, head, (*end[:2], full[end[2]]), found)
        return total

    low, high = np.full(ships.size, -1.0), np.full(ships.size, 12.0)
    for _ in range(HALVINGS):
        head = 0.5 * (low + high)
        gone = goes(head)
        made = _head(ships, parts, gone) - parts.before.at(gone) - parts.after.at(gone)
        low, high = np.where(made > head, head, low), np.where(made > head, high, head)
    found[id(parts.trunk)] = goes(low)
    return found


def _through_tee(ships, parts, head, end, found):
    """What goes through the branches that join before one outlet."""
    link, loss, full = end
    lift = _lift(link, full, ships)
    mine = [(one, its) for one, its in parts.others if one.end == link.start]
    low, high = np.full(ships.size, -1.0), np.maximum(head, -1.0)
    for _ in range(26):
        middle = 0.5 * (low + high)
        total = np.zeros(ships.size)
        for one, its in mine:
            stands = sum(
                (ships["stands", e.unit] for e in one.elements if isinstance(e, Coil)), 0.0
            )
            found[id(one)] = its.flow(head - middle - stands)
            total = total + found[id(one)]
        out = loss.flow(middle - lift)
        low, high = np.where(total > out, middle, low), np.where(total > out, high, middle)
    found[id(link)] = total
    return total


def _head(ships, parts, flow):
    """Head of the pump [m]: less with air, wear and lost speed, and less what a scoop takes."""
    speed = ships["speed"]
    top = parts.pump.curve.shut_off_head * ships["head"] * (1.0 - 0.6 * ships["worn"])
    free = parts.pump.curve.free_flow * ships["free"] * (1.0 - ships["worn"])
    holds = np.clip(1.0 - (ships["air"] / 0.075) ** 1.5, 0.0, 1.0)
    made = top * speed**2 * holds * (1.0 - (flow / np.maximum(free * speed, 1e-9)) ** 2)
    return np.where(ships["turns"] > 0.0, made, 0.0) - ships["lost"]


def _turned(ships, parts, needs):
    low, high = np.zeros(ships.size), np.full(ships.size, 3e-3)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        more = _head(ships, parts, middle) > needs(middle)
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return np.where(ships["turns"] > 0.0, low, 0.0)


def _warmed(ships, parts, flows, sea):
    inlet, mixed = sea, sea
    for _ in range(AROUND):
        inlet = sea + ships["drawn_in"] * (mixed - sea)
        found = _once(ships, parts, flows, inlet)
        leaves = found[1]
        total = sum(found[0].values())
        carried = sum(found[0][name] * found[4][name] for name in found[0])
        mixed = np.where(total > 0.0, carried / np.maximum(total, 1e-12), sea)
    out, leaves, before, tripped, _, through, comes = found
    out = {name: flow * (1.0 - ships["leak"]) for name, flow in out.items()}
    drawn = flows[id(parts.trunk)]
    speed = (drawn / (np.pi / 4.0 * parts.pump.bore**2)) ** 2 / (2.0 * GRAVITY)
    lost = parts.before.at(drawn) + ships["lost"] + speed
    shut = ships["shut_in"] * parts.pump.curve.shut_off_head
    gauge = DENSITY * GRAVITY * (-parts.place - np.where(shut > 0.0, shut, lost))
    after = gauge + DENSITY * GRAVITY * np.maximum(_head(ships, parts, drawn) + ships["lost"], 0.0)
    amps = _amps(ships, parts, drawn)
    return Sailed(
        out, through, comes, leaves, before, tripped, np.maximum(gauge, -9.5e4), after, amps
    )


def _once(ships, parts, flows, inlet):
    """Temperatures once around the loop, as `Sailed` has them, and those of the outlets."""
    out, leaves, before, trips, carries, through, comes = {}, {}, {}, {}, {}, {}, {}
    ends = {}
    for link in ships.setup.built.loop.links:
        flow, at = flows[id(link)], inlet
        for coil in (item for item in link.elements if isinstance(item, Coil)):
            comes[coil.unit] = at + ships["warmed", coil.unit]
            warm = _unit(ships, coil, comes[coil.unit], flow)
            leaves[coil.unit], before[coil.unit], trips[coil.unit] = warm
            through[coil.unit], at = flow, warm[0]
        ends.setdefault(link.end if not link.to_sea else "", []).append((link, flow, at))
    for link, _, outlet in parts.ends:
        own = any(isinstance(item, Coil) for item in link.elements)
        came = ends.get(link.start, []) if not own else []
        total = sum((flow for _, flow, _ in came), np.zeros(ships.size))
        heat = sum((flow * at for _, flow, at in came), np.zeros(ships.size))
        at = next(at for one, _, at in ends[""] if one is link)
        out[outlet] = flows[id(link)]
        carries[outlet] = at if own else np.where(total > 0, heat / np.maximum(total, 1e-12), inlet)
    return out, leaves, before, trips, carries, through, comes


def _unit(ships, coil, at, flow):
    """Water leaving, water leaving just before a trip, and whether it trips."""
    unit, machine = coil.unit, coil.machine
    rate = np.maximum(flow, 1e-9) * DENSITY * CAPACITY
    sheet = coil.conductance * ships["conductance", unit]
    share = coil.water_share
    by_flow = (coil.rated_flow / np.maximum(flow, 1e-9)) ** 0.8
    whole = 1.0 / ((1.0 - share + share * by_flow) / sheet + ships["scale", unit] / coil.area)
    reached = 1.0 - np.exp(-whole / rate)
    low, high = np.array(at), np.full_like(at, 120.0)
    for _ in range(30):
        middle = 0.5 * (low + high)
        heat = _heat(ships, machine, unit, middle)
        hotter = at + heat / (rate * reached) > middle
        low, high = np.where(hotter, middle, low), np.where(hotter, high, middle)
    runs = (ships["calls", unit] > 0.0) & (heat > 50.0)
    tripped = runs & (
        (low > coil.cut_out_temperature - ships["opens_early", unit]) | (flow < LEAST_FLOW)
    )
    left = np.where(runs & ~tripped, at + heat / rate, at)
    last = at + np.minimum(
        (machine.rated_capacity + machine.rated_power) * ships["heat", unit] / rate, 40.0
    )
    return left, last, tripped


def _heat(ships, machine, unit, condensing):
    over = condensing - machine.rated_condensing_temperature
    cooling = machine.rated_capacity * np.clip(1.0 - PER_KELVIN * over, 0.2, 1.5)
    power = machine.rated_power * np.clip(1.0 + POWER_PER_KELVIN * over, 0.2, 2.0)
    return ships["heat", unit] * cooling + ships["heat", unit] * ships["power", unit] * power


def _amps(ships, parts, flow):
    part = parts.pump.drive
    flows, watts = zip(*part.power, strict=True)
    taken = np.interp(flow, flows, watts) * ships["speed"] ** 3
    factor = part.power_factor or 1.0
    rated = watts[-1] / (part.voltage * factor)
    running = np.where(
        ships["turns"] > 0.0, taken * ships["draws"] / (ships["volts"] * factor), 0.0
    )
    return np.where(ships["locked"] > 0.0, ships["locked"] * rated, running)
