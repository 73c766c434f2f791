"""Boats of our own hand: drawn by rules that know nothing of the tables of typical boats.

Each is a whole case file of one loop. What the few facts of it say goes to `facts_of`.
"""

from dataclasses import dataclass, replace

from numpy.random import RandomState
from typical_marks import numbers

from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.paths import quantity_at, unit_at, with_values
from seaflow.forms.typical.facts import (
    BoatFacts,
    Facts,
    PumpFacts,
    SeaFacts,
    SupplyFacts,
    UnitFacts,
)

BTU = 0.29307107  # W
GPM = 6.30902e-5  # m3/s
PLATES = (5000, 7000, 9000, 12000, 16000, 18000, 24000)  # BTU/h
SIZES = (16, 19, 25, 32, 38, 51)  # mm, of hoses
KINDS = {  # of hull: words of the case, length, units, how high a unit stands
    "sailing monohull": ("sailing monohull", (9.0, 15.0), (1, 2), (0.0, 0.7)),
    "sailing catamaran": ("sailing multihull", (11.0, 15.0), (1, 1), (0.2, 1.2)),
    "motor yacht, flybridge": ("motor monohull", (11.0, 18.0), (2, 3), (0.2, 1.5)),
}
SUPPLIES = {
    230: ("ac", 50.0, ("demo-mag-medium-230", "demo-mag-large-230", "demo-pedestal-230")),
    115: ("ac", 60.0, ("demo-mag-medium-115", "demo-mag-large-115")),
}


@dataclass(frozen=True)
class OwnBoat:
    """The file of a boat, and the facts that somebody at the dock knows of her."""

    text: str
    facts: Facts


def own_boat(seed):
    """One boat."""
    draw = RandomState(seed)
    kind = tuple(KINDS)[draw.randint(len(KINDS))]
    hull, lengths, many, heights = KINDS[kind]
    length = draw.uniform(*lengths)
    plates = [
        PLATES[draw.randint(1, len(PLATES))] for _ in range(draw.randint(many[0], many[1] + 1))
    ]
    volts = (230, 115)[draw.randint(2)]
    current, hertz, pumps = SUPPLIES[volts]
    pump = pumps[draw.randint(len(pumps))]
    sea = round(draw.uniform(25.0, 32.0), 1)
    beam = (0.53 if "multi" in hull else 0.32) * length
    flow = sum(3.0 * plate / 12000.0 for plate in plates)  # gpm, by the rule of the trade
    main = _size(flow, 0.7, draw)
    lines = [
        "schema = 1",
        f'[boat]\nname = "Own boat"\nhull = "{hull}"',
        f'[sea]\nwarmest = "{sea} degC"\ncoldest = "{sea - 12.0:.1f} degC"\nsalinity = "35 g/kg"',
        f'[supply]\ncurrent = "{current}"\nvoltage = "{volts} V"\nfrequency = "{hertz:g} Hz"',
        f'[[through_hull]]\nname = "intake"\nheight = "{draw.uniform(-0.9, -0.35):.2f} m"\n'
        f'bore = "{main} mm"\nentry = "grilled scoop, facing forward"',
        f'[[seacock]]\nname = "cock"\non = "intake"\nbore = "{main} mm"',
        f'[[strainer]]\nname = "strainer"\nheight = "{draw.uniform(-0.5, -0.2):.2f} m"\n'
        f'port = "{main} mm"\nclean_loss = "{draw.lognormal(1.5, 0.4):.2f}"',
        f'[[pump]]\nname = "pump"\nfitted = "{pump}"\n'
        f'height = "{draw.uniform(-0.45, -0.15):.2f} m"',
        _hose("intake", "strainer", main, draw.uniform(0.3, 1.8), draw),
        _hose("strainer", "pump", main, draw.uniform(0.3, 1.5), draw),
        *_branches(plates, (length, beam, heights, main), draw),
    ]
    facts = Facts(
        BoatFacts(kind, round(length, 1)),
        tuple(UnitFacts(BTU * plate) for plate in plates),
        SupplyFacts(current, float(volts), hertz),
        sea=SeaFacts(sea, coldest=sea - 12.0, salinity=35.0),
        pump=PumpFacts(fitted=pump),
    )
    return OwnBoat("\n\n".join(lines) + "\n", facts)


def _size(gpm, pace, draw):
    """The hose that somebody took for a flow: about 0.9 m/s, and what lay on the shelf."""
    wanted = (4.0 * gpm * GPM / (3.1416 * pace)) ** 0.5 * 1000.0 * draw.lognormal(0.0, 0.12)
    return min(SIZES, key=lambda size: abs(size - wanted))


def _hose(start, end, bore, length, draw):
    bends = ["swept bend"] * draw.randint(0, 3) + ["elbow 90"] * draw.randint(0, 2)
    fittings = ", ".join(f'"{one}"' for one in ("hose barb", *bends, "hose barb"))
    return (
        f'[[hose]]\nfrom = "{start}"\nto = "{end}"\nbore = "{bore} mm"\n'
        f'length = "{length:.2f} m"\nfittings = [{fittings}]'
    )


def _branches(plates, ship, draw):
    length, beam, heights, main = ship
    many = len(plates) > 1
    if many:
        yield f'[[manifold]]\nname = "manifold"\nbore = "{main} mm"\nheight = "0.1 m"'
        yield _hose("pump", "manifold", main, draw.uniform(0.3, 2.0), draw)
    for number, plate in enumerate(plates, 1):
        name, out = f"unit {number}", f"outlet {number}"
        gpm = 3.0 * plate / 12000.0
        bore = max(_size(gpm, 0.95, draw), 16)
        bore = min(bore, 25)
        head = draw.triangular(2.3, 3.2, 4.5)
        yield (
            f'[[unit]]\nname = "{name}"\nheight = "{draw.uniform(*heights):.2f} m"\n'
            f'cooling = "{plate} BTU/h"\ninput_power = "{plate / draw.uniform(8.5, 11.5):.0f} W"\n'
            f'refrigerant = "R-410A"\n'
            f'water_loss = [{{ at = "{gpm:.2f} gpm", head = "{head:.2f} m" }}]'
        )
        yield (
            f'[[outlet]]\nname = "{out}"\nbore = "{bore} mm"\n'
            f'height = "{draw.uniform(0.05, 0.45):.2f} m"'
        )
        along = draw.uniform(1.5, 0.55 * length)
        yield _hose("manifold" if many else "pump", name, bore, along, draw)
        yield _hose(name, out, bore, draw.uniform(0.6, 0.6 * beam + 1.0), draw)


# How we vary a shipped boat, by last word of the path: standard deviations in logarithms, or in SI.
_FACTORS = {
    **{"length": 0.18, "head": 0.2, "pressure": 0.2, "clean_loss": 0.3, "basket_area": 0.2},
    **{"cooling": 0.03, "input_power": 0.12, "rated": 0.1},
}
_OFFSETS = {"height": 0.1, "warmest": 0.9, "coldest": 0.9, "salinity": 1.0}
LOOP = ("through_hull", "sea_chest", "seacock", "strainer", "pump", "hose", "unit", "outlet", "sea")


def varied(case, seed):
    """A shipped boat as another of her kind may be: some hoses a size off, and all else near."""
    draw = RandomState(seed)
    size = draw.choice([-1, 0, 0, 1])  # of all her hoses, as one fitter took them
    values = {}
    for path, value in numbers(case):
        if path[0] not in LOOP:
            continue
        if path[-1] == "bore" and path[0] == "hose" and len(path) == 3:
            values[path] = _stepped(value, size if draw.randint(4) else 0)
        elif path[-1] in _FACTORS:
            values[path] = value * draw.lognormal(0.0, _FACTORS[path[-1]])
        elif path[-1] in _OFFSETS:
            values[path] = value + draw.normal(0.0, _OFFSETS[path[-1]])
    return with_values(case, values)


def _stepped(bore, steps):
    sizes = (13, *SIZES)
    nearest = min(range(len(sizes)), key=lambda row: abs(sizes[row] - 1000.0 * bore))
    return sizes[min(max(nearest + steps, 0), len(sizes) - 1)] / 1000.0


def usually_typical(case):
    """A shipped boat of whose loop all is only typical, as far as boats usually differ."""
    table, found = read_table("typical_widths.toml"), {}
    for path, value in numbers(case):
        row = table.get(quantity_at(path))
        if path[0] in LOOP and row is not None and path[-1] not in ("aft", "starboard"):
            half = read_quantity(row["half"], _unit(path, row["half"]))
            found[path] = half * abs(value) if row["half"].endswith("%") else half
    found = {path: half for path, half in found.items() if half > 0.0}
    return replace(case, spreads=found, typical=frozenset(found))


def _unit(path, text):
    unit = unit_at(path)
    return "-" if text.endswith("%") else {"degC": "K"}.get(unit, unit)
