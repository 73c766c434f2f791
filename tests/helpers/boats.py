"""Whole boats as raw data of a case, for hypothesis: each can be read, most can be calculated."""

from itertools import pairwise

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st

SUPPLIES = (
    {"current": "ac", "voltage": "230 V", "frequency": "50 Hz"},
    {"current": "ac", "voltage": "115 V", "frequency": "60 Hz"},
    {"current": "dc", "voltage": "12 V"},
    {"current": "dc", "voltage": "24 V"},
)
PUMPS = {
    "230 V": ("demo-mag-small-230", "demo-mag-medium-230", "demo-mag-large-230"),
    "115 V": ("demo-mag-small-115", "demo-mag-medium-115", "demo-mag-large-115"),
    "12 V": ("demo-dc-small-12", "demo-dc-medium-12", "demo-dc-variable-12"),
    "24 V": ("demo-dc-small-24", "demo-dc-medium-24"),
}
BORES = ("16 mm", "19 mm", "25 mm", "32 mm")
BENDS = ("swept bend", "elbow 90", "elbow 45", "union")
CABINS = ("saloon", "fore cabin", "aft cabin")  # names without numbers are easier to compare
ARRANGEMENTS = ("row", "side by side", "joined")


def drawn_only(count):
    """Settings under which so many boats are drawn; none is kept, or made smaller if it fails."""
    return settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )


def lengths(least, most, unit="m"):
    """Lengths to the centimetre, as text."""
    whole = st.integers(round(100 * least), round(100 * most))
    return whole.map(lambda number: f"{number / 100:g} {unit}")


def _maybe(draw, chance=0.5):
    return draw(st.floats(0.0, 1.0)) < chance


@st.composite
def boats(draw, with_rooms=False):
    """A boat of one loop and one to three units; `with_rooms` gives it places for its pump too."""
    supply = dict(draw(st.sampled_from(SUPPLIES)))
    raw = {
        "schema": 1,
        "boat": {"name": "Demo boat", "hull": "sailing monohull", "works_to_heel": "15 deg"},
        "sea": {"warmest": f"{draw(st.integers(24, 33))} degC", "coldest": "14 degC"},
        "supply": supply,
    }
    placed = with_rooms or _maybe(draw)
    raw["boat"] |= {"waterline_length": "11 m", "beam": "3.6 m", "freeboard": "1.1 m"}
    if _maybe(draw):
        raw["sea"]["salinity"] = f"{draw(st.integers(0, 40))} g/kg"
    raw["through_hull"] = [_intake(draw, placed)]
    if _maybe(draw):
        bore = draw(st.sampled_from(BORES))
        raw["seacock"] = [{"name": "cock", "on": "intake", "bore": bore}]
    raw["strainer"] = [_strainer(draw, placed)]
    pump = {"name": "pump", **_where(draw, placed, (-0.5, -0.1), 4.6)}
    if _maybe(draw, 0.8):
        pump["fitted"] = draw(st.sampled_from(PUMPS[supply["voltage"]]))
    raw["pump"] = [pump]
    units = [_unit(draw, number, placed) for number in range(draw(st.integers(1, len(CABINS))))]
    raw["unit"] = units
    names = [unit["name"] for unit in units]
    _arranged(draw, raw, names, draw(st.sampled_from(ARRANGEMENTS)), placed)
    if _maybe(draw, 0.3):
        hours = draw(st.integers(1, 12))
        raw["duty"] = [
            {"name": "by day", "source": "shore", "hours": f"{hours} h", "load": "70 %"},
            {"name": "at night", "source": "battery", "hours": "8 h", "load": "30 %"},
        ]
    if with_rooms:
        raw |= _rooms(draw)
    return raw


def _where(draw, placed, heights, aft):
    height = draw(lengths(*heights))
    if not placed:
        return {"height": height}
    side = draw(lengths(-1.2, 1.2))
    return {"at": {"aft": f"{aft} m", "starboard": side, "height": height}}


def _intake(draw, placed):
    entry = draw(st.sampled_from(("flush mushroom", "flush with grille")))
    place = _where(draw, placed, (-1.0, -0.4), 4.0)
    return {"name": "intake", **place, "bore": draw(st.sampled_from(BORES[1:])), "entry": entry}


def _strainer(draw, placed):
    found = {"name": "strainer", **_where(draw, placed, (-0.5, -0.2), 4.3)}
    if _maybe(draw):
        size = draw(st.sampled_from(("16", "19", "25", "32")))
        return {**found, "model": f"demo-strainer-{size}"}
    found |= {"port": draw(st.sampled_from(BORES))}
    if _maybe(draw):
        area = draw(st.integers(60, 300))
        found |= {"basket_area": f"{area} cm2", "open_share": "45 %", "clean_loss": "3.5"}
    return found


def _unit(draw, number, placed):
    cooling = draw(st.integers(6, 24))
    flow = 0.9 * cooling
    found = {
        "name": f"{CABINS[number]} unit",
        **_where(draw, placed, (-0.2, 1.3), 6.0 + number),
        "cooling": f"{cooling}000 BTU/h",
        "water_loss": [{"at": f"{flow:.2f} L/min", "head": draw(lengths(0.5, 3.0))}],
    }
    if _maybe(draw):
        found["input_power"] = f"{85 * cooling} W"
    if _maybe(draw):
        found["refrigerant"] = draw(st.sampled_from(("R-410A", "R-32", "R-134a")))
    if _maybe(draw):
        found["water_flow"] = {"rated": f"{flow:.2f} L/min", "least": f"{0.6 * flow:.2f} L/min"}
    if _maybe(draw, 0.3):
        found["condensing"] = {"temperature": "43 degC", "water": "29 degC"}
    if _maybe(draw, 0.3):
        found["heating"] = {"capacity": f"{cooling}500 BTU/h", "water": "10 degC"}
    if _maybe(draw, 0.3):
        found |= {"tube": {"bore": "14 mm", "length": draw(lengths(2.0, 6.0))}}
        if _maybe(draw):
            found.pop("water_loss")
    return found


def _arranged(draw, raw, units, arrangement, placed):
    """Add the hoses, what parts and joins them, and the outlets."""
    wide = draw(st.sampled_from(BORES[1:]))
    raw["hose"] = [
        _hose(draw, "cock" if "seacock" in raw and _maybe(draw) else "intake", "strainer", wide),
        _hose(draw, "strainer", "pump", wide),
    ]
    if arrangement == "row" or len(units) == 1:
        way = ["pump", *units, "outlet"]
        raw["outlet"] = [_outlet(draw, "outlet", placed)]
        raw["hose"] += [_hose(draw, one, other) for one, other in pairwise(way)]
        return
    raw["manifold"] = [{"name": "manifold", "bore": wide, **_where(draw, placed, (-0.4, 0.3), 5.0)}]
    raw["hose"].append(_hose(draw, "pump", "manifold", wide))
    raw["hose"] += [_hose(draw, "manifold", unit) for unit in units]
    if arrangement == "side by side":
        ends = [f"outlet of the {unit}" for unit in units]
        raw["hose"] += [_hose(draw, *pair) for pair in zip(units, ends, strict=True)]
        raw["outlet"] = [_outlet(draw, name, placed) for name in ends]
        return
    raw["tee"] = [{"name": "tee", "bore": wide, **_where(draw, placed, (0.0, 0.5), 7.5)}]
    raw["hose"] += [_hose(draw, unit, "tee") for unit in units]
    raw["hose"].append(_hose(draw, "tee", "outlet", wide))
    raw["outlet"] = [_outlet(draw, "outlet", placed)]


def _hose(draw, start, end, bore=None):
    bends = draw(st.lists(st.sampled_from(BENDS), max_size=3))
    return {
        "name": f"{start} to {end}",
        "from": start,
        "to": end,
        "bore": bore or draw(st.sampled_from(BORES)),
        "length": draw(lengths(0.3, 5.0)),
        "fittings": ["hose barb", *bends, "hose barb"],
    }


def _outlet(draw, name, placed):
    bore = draw(st.sampled_from(BORES))
    return {"name": name, "bore": bore, **_where(draw, placed, (-0.1, 0.5), 8.0)}


def _rooms(draw):
    """Three compartments one behind the other, and two or three places for the pump."""
    ends = (0.5, 4.0, 7.0, 10.5)
    uses = ("berth", "saloon", "engine space")
    rooms = [
        {
            "name": use,
            "use": use,
            "aft": [f"{ends[number]} m", f"{ends[number + 1]} m"],
            "starboard": ["-1.3 m", "1.3 m"],
            "height": ["-0.6 m", "1.4 m"],
        }
        for number, use in enumerate(uses)
    ]
    walls = [{"between": list(pair), "material": "plywood 12 mm"} for pair in pairwise(uses)]
    places = [
        {
            "name": f"place in the {uses[number]}",
            "at": {
                "aft": draw(lengths(ends[number] + 0.2, ends[number + 1] - 0.2)),
                "starboard": draw(lengths(-0.8, 0.8)),
                "height": draw(lengths(-0.5, -0.1)),
            },
            "compartment": uses[number],
            "surface": "plywood 18 mm",
            "access": draw(st.sampled_from(("good", "poor"))),
            "dry": True,
            "ventilated": True,
        }
        for number in range(draw(st.integers(2, 3)))
    ]
    return {"compartment": rooms, "partition": walls, "pump_place": places}
