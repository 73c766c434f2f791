"""Boats with as many of everything as is asked for, as the text of a case."""

import re
from itertools import pairwise

HEAD = """schema = 1
[boat]
name = "Demo superyacht"
hull = "motor monohull"
works_to_heel = "8 deg"
waterline_length = "40 m"
beam = "8 m"
[sea]
warmest = "29 degC"
coldest = "12 degC"
[supply]
current = "ac"
voltage = "230 V"
frequency = "50 Hz"
"""
LOOP = """[[through_hull]]
name = "intake {0}"
loop = "loop {0}"
at = {{ aft = "{1:.1f} m", starboard = "0.5 m", height = "-0.9 m" }}
bore = "38 mm"
entry = "flush mushroom"
also_feeds = [{feeds}]
[[seacock]]
name = "seacock {0}"
on = "intake {0}"
bore = "38 mm"
[[strainer]]
name = "strainer {0}"
at = {{ aft = "{2:.1f} m", starboard = "0.6 m", height = "-0.8 m" }}
model = "demo-strainer-38"
[[pump]]
name = "pump {0}"
at = {{ aft = "{3:.1f} m", starboard = "0.6 m", height = "-0.7 m" }}
fitted = "demo-mag-large-230"
port = "32 mm"
cable = {{ length = "6 m", conductor = "2.5 mm2" }}
[[manifold]]
name = "manifold {0}"
at = {{ aft = "{4:.1f} m", starboard = "0.7 m", height = "-0.2 m" }}
bore = "38 mm"
"""
HOSE = """[[hose]]
from = "{0}"
to = "{1}"
bore = "{2} mm"
length = "{3} m"
fittings = [{fittings}]
via = [{via}]
"""
UNIT = """[[unit]]
name = "unit {0}"
at = {{ aft = "{1:.2f} m", starboard = "{2} m", height = "{3:.2f} m" }}
cooling = "{4} BTU/h"
refrigerant = "R-410A"
water_flow = {{ rated = "10 L/min", least = "6 L/min", most = "20 L/min" }}
water_loss = [{losses}]
heating = {{ capacity = "9000 BTU/h" }}
zone = [{zones}]
[[outlet]]
name = "outlet {0}"
at = {{ aft = "{1:.2f} m", starboard = "2.5 m", height = "0.3 m" }}
bore = "19 mm"
"""
ROOM = """[[compartment]]
name = "room {0}"
use = "{1}"
aft = ["{2:.3f} m", "{3:.3f} m"]
starboard = ["-2.5 m", "2.5 m"]
height = ["-1.0 m", "1.8 m"]
"""
PLACE = """[[pump_place]]
name = "place {0}"
at = {{ aft = "{1:.2f} m", starboard = "{2:.2f} m", height = "-0.65 m" }}
compartment = "room {3}"
surface = "plywood 18 mm"
access = "good"
dry = true
ventilated = true
joined = [{joined}]
"""
INTAKE_PLACE = """[[intake_place]]
name = "intake place {0}"
at = {{ aft = "{1:.2f} m", starboard = "0.4 m", height = "-0.9 m" }}
"""
DUTY = """[[duty]]
name = "duty {0}"
hours = "{1:.4f} h"
load = "{2} %"
source = "{3}"
sea = "{4:.1f} degC"
"""
BATTERY = """[battery]
capacity = "900 Ah"
voltage = "25.6 V"
"""
OPENING = """[[skin_fitting]]
name = "opening {0}"
use = "grey water discharge"
at = {{ aft = "{1:.2f} m", starboard = "1.9 m", height = "0.25 m" }}
bore = "38 mm"
seacock = true
"""
VISIT = """[[visit]]
date = "{0} May {1}"
surveyor = "A. Nobody"
saw = ["everything"]
"""
FINDING = """[[finding]]
number = "V1-{0}"
thing = "seacock 0"
rule = "seacock-seized"
"""
USES = ("berth", "engine space", "saloon", "head", "locker", "galley")
SOURCES = ("battery", "shore", "generator")
LONG = 37.0  # m, shared out between the rooms


def listed(piece, count):
    """A list of so many pieces, each with its number in it."""
    return ", ".join(piece.format(number) for number in range(count))


def heavy(loops=1, units=1, *, feeds=0, losses=3, zones=0, fittings=2, via=0, **more):
    """A boat of so many loops with so many units each, and `more` of what is no part of a loop."""
    text = [HEAD]
    hung = {"fittings": listed('"hose barb"', fittings), "via": ""}
    feed = listed('{{ name = "user {0}", flow = "1 L/min", bore = "25 mm" }}', feeds)
    for loop in range(loops):
        at = 8.0 + loop
        feed_here = feed.replace("user ", f"user {loop} ")
        text.append(LOOP.format(loop, at, at + 0.2, at + 0.5, at + 0.8, feeds=feed_here))
        run = [f"{name} {loop}" for name in ("intake", "strainer", "pump", "manifold")]
        for start, end in pairwise(run):
            text.append(HOSE.format(start, end, 38, 0.8, **hung))
        for unit in range(units):
            name, aft = f"{loop} {unit}", at + 1.2 + 0.1 * unit
            points = listed('{{ at = "{0}.5 L/min", head = "{0}.2 m" }}', losses)
            zone = listed(f'{{{{ name = "zone {name} {{0}}", cooling = "600 BTU/h" }}}}', zones)
            height, cooling = 0.2 + 0.05 * unit, 8000 + 1000 * (unit % 5)
            side = 1.2 if unit % 2 else -1.2
            told = {"losses": points, "zones": zone}
            text.append(UNIT.format(name, aft, side, height, cooling, **told))
            turns = listed('{{ height = "0.{0}1 m" }}', via)
            branch = {**hung, "via": turns}
            text.append(HOSE.format(f"manifold {loop}", f"unit {name}", 19, 3.4, **branch))
            text.append(HOSE.format(f"unit {name}", f"outlet {name}", 19, 1.8, **hung))
    return "".join([*text, *rest(**more)])


def rest(*, rooms=0, places=0, intakes=0, joined=0, duties=0, openings=0, visits=0, findings=0):
    """What is no part of a loop, table by table."""
    wide = LONG / max(rooms, 1)
    for room in range(rooms):
        left = 1.0 + wide * room
        yield ROOM.format(room, USES[room % len(USES)], left, left + wide)
    near = listed('{{ compartment = "room {0}", by = "two joints away" }}', joined)
    for place in range(places):
        room = place % rooms
        yield PLACE.format(place, 1.1 + wide * room, 0.05 * place, room, joined=near)
    for intake in range(intakes):
        yield INTAKE_PLACE.format(intake, 7.0 + 0.3 * intake)
    for duty in range(duties):
        source, sea = SOURCES[duty % len(SOURCES)], 20.0 + 0.1 * duty
        yield DUTY.format(duty, 24.0 / duties, 20 + duty, source, sea)
    if duties:
        yield BATTERY
    for opening in range(openings):
        yield OPENING.format(opening, 1.0 + 0.05 * opening)
    for visit in range(visits):
        yield VISIT.format(1 + visit % 28, 2000 + visit // 28)
    for finding in range(findings):
        yield FINDING.format(finding + 1)


LENGTHS = "bore|length|height|aft|starboard|waterline_length|beam"
WIDE, LEAST = 0.1, {"m": 0.02, "mm": 0.5}  # of a length that nobody looked at, and at the least


def half_known(text):
    """A case of which every bore, length and position is only typical."""

    def typical(told):
        key, number, unit = told.groups()
        width = max(WIDE * abs(float(number)), LEAST[unit])
        return f'{key} = "{number} {unit} typical +/- {width:.3g} {unit}"'

    return re.sub(rf'\b({LENGTHS}) = "(-?[0-9.]+) (mm?)"', typical, text)


def with_places(text, count):
    """A case with so many places for its pump: those it has, again and again a bit further aft."""
    tables = re.split(r"(?m)^(?=\[)", text)
    places = [table for table in tables if table.startswith("[[pump_place]]")]
    rest = [table for table in tables if table not in places]
    turns = [divmod(number, len(places)) for number in range(count)]
    return "".join([*rest, "\n", *(_further_aft(places[which], turn) for turn, which in turns)])


def _further_aft(place, turn):
    named = re.sub(r'name = "([^"]*)"', rf'name = "\1, {turn}"', place, count=1)
    before, aft, after = re.split(r'(?<=aft = ")([0-9.]+)', named, maxsplit=1)
    return f"{before}{float(aft) + 0.02 * turn:.2f}{after}"
