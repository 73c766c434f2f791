"""A place of the pump as an SVG picture: side view, plan and section."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from seaflow.base.facts import fact
from seaflow.present.charts.key import KeyRow, keyed, paragraph, titled
from seaflow.present.charts.svg import INK, LEADING, Picture, ruled, written
from seaflow.present.place.marks import face, sign_of, view_of
from seaflow.present.place.signs import place_keys
from seaflow.present.place.views import HEADING, NARROW, WIDTH, View, edge_of, pump_of, views_of
from seaflow.present.quantities import Show
from seaflow.present.words.place import DRAWN
from seaflow.studies.place.sketch import Box, Sketch

METRE, THREE_FEET = 1.0, 0.9144  # m
TOP = 66.0  # pixels over the first view
BAR = 40.0  # pixels that the words of the scale take
Drawn = tuple[list[str], list[str]]  # a view, and the rooms that it has only as signs


@dataclass(frozen=True, slots=True)
class PlaceDrawing:
    """The views of a place, and the key that belongs to them."""

    views: Picture
    key: tuple[KeyRow, ...]


def place_svg(sketch: Sketch, system: str) -> str:
    """Return the picture with its title and key as SVG text."""
    show, edge = Show(system), edge_of(WIDTH)
    wide = WIDTH - 2 * edge
    title = show.sentence(sketch.title)
    heads, y = titled(title, (edge, 36.0), wide)
    under = fact("place.drawn_under", boat=sketch.boat, stays=sketch.stays)
    said = paragraph(show.sentence(under), (edge, y + 26.0), wide)
    top = y + LEADING * len(said) + 10.0
    drawing = place_drawing(sketch)
    key, bottom = keyed(drawing.key, (edge, top + drawing.views.size[1] + 20.0), wide, show)
    views = f'<g transform="translate(0 {top:.1f})">{"".join(drawing.views.body)}</g>'
    body = (*heads, *said, views, *key)
    return Picture((WIDTH, bottom + 8.0), f"{sketch.boat}: {title}", body).alone()


def place_drawing(sketch: Sketch, breadth: float = WIDTH) -> PlaceDrawing:
    """Return side view, plan and section of a place, with their key.

    They are the same in both systems of units, for the bar of the scale shows both.
    """
    side, plan, section = views_of(sketch, _heads(sketch), TOP, breadth)
    views = [_side(sketch, side), _plan(sketch, plan), _section(sketch, section)]
    names = [box.name for box in sketch.boxes if any(box.name in short for _, short in views)]
    rooms = tuple((sign_of(sketch, name), name) for name in names)
    bars = [item for view in _measured(plan, section) for item in _scale_bar(view, breadth)]
    body = (*(item for drawn, _ in views for item in drawn), *bars)
    title = Show().sentence(sketch.title)
    tall = section.bottom + (60.0 if breadth >= NARROW else 104.0)
    return PlaceDrawing(Picture((breadth, tall), title, body), tuple(place_keys(sketch, rooms)))


def _heads(sketch: Sketch) -> tuple[str, str, str]:
    """Return what stands over each view."""
    whole = len(_this_side(sketch)) == len(sketch.boxes)
    return DRAWN["side" if whole else "one_side"], DRAWN["plan"], DRAWN["section"]


def _headed(view: View, sketch: Sketch, boxes: list[Box]) -> Drawn:
    drawn, short = view_of(sketch, view, boxes)
    top = view.top - HEADING - LEADING * (len(view.head) - 1)
    heads = [
        written(view.left, top + LEADING * i, line, "head") for i, line in enumerate(view.head)
    ]
    return [*heads, *drawn], short


def _side(sketch: Sketch, view: View) -> Drawn:
    boxes = sorted(_this_side(sketch), key=lambda box: (box.use != "saloon", -face(box, 0, 2)))
    pillows = (one for one in sketch.pillows if any(box.holds(one.at) for box in boxes))
    return _headed(view, replace(sketch, pillows=tuple(pillows)), boxes)


def _this_side(sketch: Sketch) -> list[Box]:
    """Return the boxes but for those across the boat that would hide some of this side.

    They stay where a thing of the loop or a place for it is in them.
    """
    pump = pump_of(sketch)
    here = 0.0 if pump is None else math.copysign(1.0, pump.at[1])
    spots = [mark.at for mark in (*sketch.marks, *sketch.intakes)]
    spots += [place.at for place in sketch.places]
    return [
        box
        for box in sketch.boxes
        if max(here * end for end in box.starboard) > 0.0
        or any(box.holds(spot) for spot in spots)
        or not any(box.hides(other) for other in sketch.boxes if other is not box)
    ]


def _plan(sketch: Sketch, view: View) -> Drawn:
    boxes = sorted(sketch.boxes, key=lambda box: -box.height[0])
    return _headed(view, sketch, boxes)


def _section(sketch: Sketch, view: View) -> Drawn:
    pump = pump_of(sketch)
    through = [box for box in sketch.boxes if pump and box.aft[0] <= pump.at[0] <= box.aft[1]]
    boxes = sorted(through, key=lambda box: -face(box, 1, 2))
    return _headed(view, sketch, boxes)


def _measured(plan: View, section: View) -> list[View]:
    """Return the views that a bar of their scale stands by: one for all that have the same."""
    return [section] if plan.scale == section.scale else [plan, section]


def _scale_bar(view: View, breadth: float) -> list[str]:
    """Return the bar of the scale: a metre above it and three feet below."""
    x, y = breadth - edge_of(breadth) - METRE * view.scale, view.top + 24
    if breadth < NARROW:
        # at the right, where no words of the view reach below it
        x, y = breadth - edge_of(breadth) - max(METRE * view.scale, BAR), view.bottom + 66
    drawn = []
    for length, off, words, step in ((METRE, -10, "1 m", -7), (THREE_FEET, 22, "3 ft", 7)):
        end = x + length * view.scale
        drawn.append(f'<g id="scale {view.name} {words}">{ruled((x, y), (end, y), INK, 2.4)}</g>')
        drawn += [ruled((mark, y), (mark, y + step), INK, 1.5) for mark in (x, end)]
        drawn.append(written(x + 4.0, y + off, words, "label"))
    return drawn
