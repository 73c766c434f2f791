"""Cases for tests of placing: rooms in a row, two pumps, two intakes, a pump on low volts."""

import re
from pathlib import Path

from sizing import CATAMARAN, KETCH, SLOOP, edited, text_of

from seaflow.base.facts import Fact

MESSAGES = Path(__file__).parents[1] / "messages"


def kinds(said):
    """What kinds of fact are said of a place, without their chapter where that is `place`."""
    return {item.kind.removeprefix("place.") for item in said if isinstance(item, Fact)}


def row_of_rooms():
    """A locker, a saloon and a cabin in a row, with a pump place in the locker."""
    text = (MESSAGES / "S54-place-half-known.toml").read_text(encoding="utf-8")
    return re.split(r"^\[\[compartment\]\]", text, maxsplit=1, flags=re.M)[0] + ROW_OF_ROOMS


def two_pumps():
    """The shipped catamaran with rooms in both hulls and places for both of her pumps.

    She is to cool in harbour only, for at more heel her shallow hulls leave no pump its depth.
    """
    heel = 'works_to_heel = "5 deg"'
    return edited(text_of(CATAMARAN), (heel, 'works_to_heel = "1 deg"')) + HULLS


def two_intakes(port_height):
    """The shipped ketch with a second intake on her port side, joined to the first by a tee."""
    old = 'from = "cooling intake"\nto = "strainer"'
    text = edited(text_of(KETCH), (old, 'from = "intake tee"\nto = "strainer"'))
    return text + SECOND_INTAKE.replace("HEIGHT", f"{port_height} m")


def low_volts(conductor="2.5 mm2", pump="demo-dc-small-12"):
    """The shipped sloop with a pump that slows down with its volts, and places near and far."""
    return (
        edited(
            text_of(SLOOP),
            ('fitted = "demo-dc-variable-12"', f'fitted = "{pump}"'),
            (
                'length = "8.5 m", conductor = "6 mm2", hot_space = true',
                f'length = "8.5 m", conductor = "{conductor}"',
            ),
        )
        + SLOOP_ROOMS
    )


def one_cabin(pump="demo-dc-variable-12"):
    """The shipped sloop with a cabin round her pump, an ear at its forward end, and two places."""
    text = low_volts(pump=pump)
    return text[: text.index("[[compartment]]")] + ONE_CABIN


ONE_CABIN = """
[[compartment]]
name = "cabin"
use = "berth"
aft = ["4.4 m", "8.0 m"]
starboard = ["-1.2 m", "1.2 m"]
height = ["-0.5 m", "1.3 m"]
pillow = { aft = "5.1 m", starboard = "0.02 m", height = "0.2 m" }

[[pump_place]]
name = "near ear, far panel"
at = { aft = "5.2 m", starboard = "0.02 m", height = "-0.34 m" }
compartment = "cabin"
surface = "plywood 12 mm"
access = "good"

[[pump_place]]
name = "far ear, near panel"
at = { aft = "7.8 m", starboard = "0.02 m", height = "-0.34 m" }
compartment = "cabin"
surface = "plywood 12 mm"
access = "good"

[placing]
panel = { aft = "8.0 m", starboard = "0.28 m", height = "-0.3 m" }
cable_slack = "1.9"
"""

SECOND_INTAKE = """
[[through_hull]]
name = "port intake"
at = { aft = "5.2 m", starboard = "-1.20 m", height = "HEIGHT" }
bore = "25 mm"
entry = "grilled scoop, facing forward"

[[seacock]]
name = "port seacock"
on = "port intake"
bore = "25 mm"
type = "flanged full-bore ball seacock"

[[tee]]
name = "intake tee"
at = { aft = "5.3 m", starboard = "0.30 m", height = "-0.58 m" }
bore = "25 mm"

[[hose]]
from = "cooling intake"
to = "intake tee"
bore = "25 mm"
length = "0.3 m"

[[hose]]
from = "port intake"
to = "intake tee"
bore = "25 mm"
length = "2.0 m"
"""

SLOOP_ROOMS = """
[[compartment]]
name = "saloon"
use = "saloon"
aft = ["3.0 m", "6.0 m"]
starboard = ["-1.2 m", "1.2 m"]
height = ["-0.1 m", "1.5 m"]

[[compartment]]
name = "bilge"
use = "bilge"
aft = ["3.2 m", "6.0 m"]
starboard = ["-0.5 m", "0.5 m"]
height = ["-0.5 m", "-0.1 m"]

[[compartment]]
name = "fore cabin"
use = "berth"
aft = ["1.0 m", "3.0 m"]
starboard = ["-1.0 m", "1.0 m"]
height = ["0.0 m", "1.3 m"]

[[partition]]
between = ["saloon", "bilge"]
material = "sole board 15 mm"
opening = "loose lid or door"

[[partition]]
between = ["saloon", "fore cabin"]
material = "plywood 12 mm"
door_area = "0.8 m2"
opening = "loose lid or door"

[[pump_place]]
name = "as now"
at = { aft = "5.1 m", starboard = "0.02 m", height = "-0.35 m" }
compartment = "bilge"
surface = "plywood 18 mm"
access = "good"

[[pump_place]]
name = "aft"
at = { aft = "5.6 m", starboard = "0.02 m", height = "-0.35 m" }
compartment = "bilge"
surface = "plywood 18 mm"
access = "good"
"""

ROW_OF_ROOMS = """
[[compartment]]
name = "locker"
use = "locker"
aft = ["2.0 m", "3.0 m"]
starboard = ["0.0 m", "1.0 m"]
height = ["-1.0 m", "0.0 m"]

[[compartment]]
name = "saloon"
use = "saloon"
aft = ["3.0 m", "5.0 m"]
starboard = ["-1.0 m", "1.0 m"]
height = ["-1.0 m", "1.0 m"]

[[compartment]]
name = "cabin"
use = "berth"
aft = ["5.0 m", "6.0 m"]
starboard = ["-1.0 m", "1.0 m"]
height = ["-1.0 m", "1.0 m"]

[[partition]]
between = ["locker", "saloon"]
material = "plywood 12 mm"
area = "0.5 m2"
opening = "open"

[[partition]]
between = ["saloon", "cabin"]
material = "plywood 12 mm"
area = "0.25 m2"
opening = "open"

[[pump_place]]
name = "in the locker"
at = { aft = "2.5 m", starboard = "0.5 m", height = "-0.5 m" }
compartment = "locker"
surface = "plywood 18 mm"
access = "good"
"""

HULLS = """
[[compartment]]
name = "saloon"
use = "saloon"
aft = ["4.5 m", "8.0 m"]
starboard = ["-1.5 m", "1.5 m"]
height = ["0.9 m", "2.8 m"]

[[compartment]]
name = "port bow cabin"
use = "berth"
aft = ["1.8 m", "5.0 m"]
starboard = ["-3.2 m", "-1.5 m"]
height = ["0.0 m", "1.9 m"]

[[compartment]]
name = "port bilge"
use = "bilge"
aft = ["5.0 m", "8.2 m"]
starboard = ["-2.7 m", "-1.8 m"]
height = ["-0.5 m", "-0.05 m"]

[[compartment]]
name = "port passage"
use = "galley"
aft = ["5.0 m", "8.2 m"]
starboard = ["-3.2 m", "-1.5 m"]
height = ["-0.05 m", "1.9 m"]

[[compartment]]
name = "port engine space"
use = "engine space"
aft = ["8.2 m", "11.0 m"]
starboard = ["-3.1 m", "-1.6 m"]
height = ["-0.45 m", "0.8 m"]

[[compartment]]
name = "starboard passage"
use = "head"
aft = ["5.0 m", "8.2 m"]
starboard = ["1.5 m", "3.2 m"]
height = ["-0.05 m", "1.9 m"]

[[compartment]]
name = "starboard bilge"
use = "bilge"
aft = ["5.0 m", "8.2 m"]
starboard = ["1.8 m", "2.7 m"]
height = ["-0.5 m", "-0.05 m"]

[[compartment]]
name = "starboard aft cabin"
use = "berth"
aft = ["8.2 m", "11.0 m"]
starboard = ["1.5 m", "3.2 m"]
height = ["0.0 m", "1.9 m"]

[[partition]]
between = ["port bow cabin", "port passage"]
material = "foam-core laminate"
door_area = "0.9 m2"
door = "plywood 9 mm"
opening = "loose lid or door"

[[partition]]
between = ["port passage", "port bilge"]
material = "sole board 15 mm"
opening = "loose lid or door"
door_area = "0.3 m2"

[[partition]]
between = ["port passage", "port engine space"]
material = "foam-core laminate"
opening = "cable and hose holes"

[[partition]]
between = ["saloon", "port passage"]
material = "foam-core laminate"
area = "2.5 m2"
opening = "open"
opening_area = "1.2 m2"

[[partition]]
between = ["saloon", "starboard passage"]
material = "foam-core laminate"
area = "2.5 m2"
opening = "open"
opening_area = "1.2 m2"

[[partition]]
between = ["starboard passage", "starboard bilge"]
material = "sole board 15 mm"
door_area = "0.3 m2"
opening = "loose lid or door"

[[partition]]
between = ["starboard passage", "starboard aft cabin"]
material = "foam-core laminate"
door_area = "0.9 m2"
door = "plywood 9 mm"
opening = "loose lid or door"

[[pump_place]]
name = "port bilge, by the strainer"
pump = "port pump"
at = { aft = "6.9 m", starboard = "-2.20 m", height = "-0.37 m" }
compartment = "port bilge"
surface = "solid laminate 8 mm"
access = "good"

[[pump_place]]
name = "port engine space"
pump = "port pump"
at = { aft = "8.6 m", starboard = "-2.10 m", height = "-0.36 m" }
compartment = "port engine space"
surface = "solid laminate 8 mm"
access = "good"

[[pump_place]]
name = "starboard bilge, by the strainer"
pump = "starboard pump"
at = { aft = "7.7 m", starboard = "2.00 m", height = "-0.36 m" }
compartment = "starboard bilge"
surface = "solid laminate 8 mm"
access = "good"

[[pump_place]]
name = "starboard passage, behind the panel"
pump = "starboard pump"
at = { aft = "7.5 m", starboard = "2.30 m", height = "0.02 m" }
compartment = "starboard passage"
surface = "plywood 12 mm"
access = "good"

[placing]
panel = { aft = "6.0 m", starboard = "-1.4 m", height = "1.5 m" }
"""
