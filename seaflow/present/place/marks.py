"""What stands in a view of a drawing: rooms, hoses, signs, and words clear of all of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise

from seaflow.boat.tables.things import Spot
from seaflow.present.charts.callouts import Aim, Callout, Words, best_callout
from seaflow.present.charts.labels import Area, Taken, box_of, wrapped
from seaflow.present.charts.svg import (
    INK,
    LINE,
    SEA,
    SIZE,
    WARM,
    WASH,
    Point,
    block,
    dot,
    path,
    ruled,
    written,
)
from seaflow.present.place.signs import (
    BERTH,
    DISC,
    HEELED,
    LETTERS,
    disc,
    other_intake,
    pillow,
    square,
)
from seaflow.present.place.views import View, strokes, tacks
from seaflow.present.words.place import DRAWN
from seaflow.studies.place.sketch import Box, Sketch

OFF_DOT = 4.0  # pixels from the rim of a sign to a dot
CLEAR = 25.0  # pixels that two signs must lie apart
RINGS = (26.0, 50.0, 74.0, 98.0)  # pixels from its point to a sign that had to step aside
PAD = 4.0  # pixels inside a room
WIDE, BELOW = 130.0, 46.0  # pixels that words beside a room may be wide, and reach below a view
BESIDE = 20.0  # pixels that words may reach beyond a view


def face(box: Box, across: int, up: int) -> float:
    """Return the area of a box as a view shows it [m2]."""
    ends = (box.aft, box.starboard, box.height)
    return (ends[across][1] - ends[across][0]) * (ends[up][1] - ends[up][0])


def view_of(sketch: Sketch, view: View, boxes: list[Box]) -> tuple[list[str], list[str]]:
    """Return a view, and the names of rooms in which it has space for a sign alone.

    Rooms come first, in the order given, then hull, water, hoses and signs, and words over all.
    """
    scene = _Scene(sketch, view, boxes)
    drawn = [_drawn(box, view) for box in boxes]
    for stroke in strokes(sketch, view):
        scene.ground.add_line(stroke.points)
        drawn.append(path(stroke.points, stroke.colour, stroke.wide, stroke.dash))
    for run in sketch.runs:
        points = [view.at(point) for point in run.points]
        scene.ground.add_line(points)
        drawn.append(path(points, SEA if run.suction else WARM, 3.5))
    signs = [*scene.signs()]
    scene.write_water()
    scene.write_rooms()
    return [*drawn, *scene.hairlines, *signs, *scene.words], scene.short


def sign_of(sketch: Sketch, name: str) -> str:
    """Return the small Roman number that stands for a room where its name has no space."""
    number, found = [box.name for box in sketch.boxes].index(name) + 1, ""
    for value, letters in ((10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i")):
        found += letters * (number // value)
        number %= value
    return found


def _drawn(box: Box, view: View) -> str:
    ends = (view.at(_low(box)), view.at(_high(box)))
    return block(*ends, _fill(box), f' stroke="{LINE}"')


def _fill(box: Box) -> str:
    return BERTH if box.sleeps else WASH


def _low(box: Box) -> Spot:
    return box.aft[0], box.starboard[0], box.height[0]


def _high(box: Box) -> Spot:
    return box.aft[1], box.starboard[1], box.height[1]


@dataclass(slots=True)
class _Scene:
    """One view while it is laid out: the ground taken, and what is drawn last."""

    sketch: Sketch
    view: View
    boxes: list[Box]
    ground: Taken = field(default_factory=Taken)
    hairlines: list[str] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    short: list[str] = field(default_factory=list)
    points: list[Point] = field(default_factory=list)  # of things and places, signs or not
    dots: list[Point] = field(default_factory=list)  # at the ends of hairlines

    def signs(self) -> Iterator[str]:
        """Yield the signs of things, places and pillows; they take their ground."""
        sketch, shown = self.sketch, [box.name for box in self.boxes]
        spots: list[Point] = []
        marked = [mark.at for mark in sketch.marks] + [place.at for place in sketch.places]
        marked += [mark.at for mark in sketch.pillows if mark.name in shown]
        self.points = [self.view.at(spot) for spot in marked]
        for mark in sorted(sketch.marks, key=lambda one: (one.kind != "pump", one.number)):
            yield disc(mark, *self._clear(mark.at, spots))
        for place in sketch.places:
            if self.view.name != "section" or place.stands in ("taken", "drawn"):
                yield square(place, *self._clear(place.at, spots))
        if self.view.name != "section":
            for number, mark in enumerate(sketch.intakes):
                yield other_intake(LETTERS[number % 26], *self._clear(mark.at, spots))
        for mark in sketch.pillows:
            if mark.name in shown:
                yield pillow(*self._clear(mark.at, spots))
        for at in self.dots:  # once all signs are there, for none may half cover a dot
            if all(math.dist(at, other) > DISC + OFF_DOT for other in spots):
                self.hairlines.append(dot(at, INK, 2.5, INK))

    def _clear(self, spot: Spot, spots: list[Point]) -> Point:
        """Take the point of a sign, or the nearest that covers no other sign, with a hairline."""
        at = self.view.at(spot)
        here = _fanned(at, spots, self._within, self.points)
        spots.append(here)
        self.ground.add_mark(here, DISC + 1.0)
        if here != at:
            self.ground.add_line((at, here))
            self.hairlines.append(ruled(at, here, INK, 0.8))
            self.dots.append(at)
        return here

    # ------------------------------------------------------------------------------- words

    def write_water(self) -> None:
        """Write what the lines of the water are, at their ends."""
        view = self.view
        if view.name == "side":
            x, y = view.left - 12, view.at((0.0, 0.0, 0.0))[1]
            tries = [
                (x + aside, y + off)
                for aside in range(0, int(view.right - x) - 90, 30)
                for off in (-6, 16, -20, 30, -34, 44)
            ]
            boxes = [(box_of(spot, DRAWN["water_upright"], SIZE), spot) for spot in tries]
            clear = Taken(self.ground.boxes, [*self.ground.lines, *self._edges()])
            word = written(*clear.place(boxes), DRAWN["water_upright"], "label halo", "start", SEA)
            self.words.append(word)
        elif view.name == "section":
            for (_, other), (x, y), word in tacks(self.sketch, view):
                inside = min(max(y, view.top + 10), view.bottom)
                aside = 1.0 if y > other else -1.0  # so that neither goes past the other
                tries = [(x + 8, inside + 4 + aside * off) for off in (0, 8, 16, 24, 30, 36)]
                self._line(word, tries, "label", HEELED)
            for word, x, anchor, inward in (
                ("port", view.left, "start", 14),
                ("starboard", view.right, "end", -14),
            ):
                lines = (18, 32, 46)  # pixels below the view, and still in the picture
                spots = [(x + inward * n, view.bottom + off) for n in range(7) for off in lines]
                self._line(word, spots, "label", "", anchor)

    def _edges(self) -> Iterator[tuple[Point, Point]]:
        """Yield the sides of all rooms."""
        for room in map(self._room, self.boxes):
            left, right, top, bottom = room.left, room.right, room.top, room.bottom
            corners = ((left, top), (right, top), (right, bottom), (left, bottom), (left, top))
            yield from pairwise(corners)

    def _line(
        self, text: str, tries: Iterable[Point], look: str, colour: str, anchor: str = "start"
    ) -> None:
        spots = [(box_of(spot, text, SIZE, anchor), spot) for spot in tries]
        self.words.append(written(*self.ground.place(spots), text, look + " halo", anchor, colour))

    def write_rooms(self) -> None:
        """Write the words of rooms, small rooms first: inside them, or else beside the view."""
        for box in sorted(self.boxes, key=lambda item: face(item, self.view.across, self.view.up)):
            room = self._room(box)
            said = [box.name]
            if box.sleeps:
                said.append(DRAWN["berth_level"].format(level=box.level) if box.level else "berth")
            wide = room.right - room.left - 2 * PAD
            options = [_wrapped(said, share * wide) for share in (1.0, 0.75, 0.5)]
            hidden = [self._room(other) for other in self.boxes[self.boxes.index(box) + 1 :]]
            if not any(_shows(room, hidden)):
                continue  # a room that no one sees here has its name in another view
            if self._inside(options, room, hidden):
                continue
            placed = self._outside(_wrapped(said, max(wide, WIDE)), room)
            letter = Words((sign_of(self.sketch, box.name),), SIZE, True, "bold halo")
            if placed.cost(self.ground) < 1.0 and _holds(self._within, placed.box):
                self._put(placed)
            elif self._inside([letter], room, hidden):
                self.short.append(box.name)
            else:
                self._inside(options, room, [])  # or nothing: another view may have the space

    def _room(self, box: Box) -> Area:
        (left, bottom), (right, top) = self.view.at(_low(box)), self.view.at(_high(box))
        return Area(left, top, right, bottom)

    def _inside(self, options: list[Words], room: Area, hidden: list[Area]) -> bool:
        """Write the words of a room inside it where they are free, and return whether they are.

        `hidden` are the rooms drawn over it.
        """
        for words in options:
            for y in _range(room.top + PAD, room.bottom - PAD - words.tall, 5.0):
                for x in _range(room.left + PAD, room.right - PAD - words.wide, 9.0):
                    spot = (x, y + 0.8 * words.size)
                    ground = words.box(spot)
                    covered = any(ground.meets(other) for other in hidden)
                    if not covered and self.ground.cost(ground) == 0.0:
                        self._put(Callout(words, spot, (spot, spot)))
                        return True
        return False

    def _outside(self, words: Words, room: Area) -> Callout:
        """Return the words of a room beside it, in no other room as far as that can be."""
        rooms = [self._room(box) for box in self.boxes]
        spots = list(self._round(room, words))
        grounds = [(one, words.box(one)) for one in spots]
        free = [one for one, ground in grounds if not any(map(ground.meets, rooms))]
        aim = Aim((room.left, room.top), room=room)
        return best_callout(words, free or spots, aim, self.ground, self._within)

    def _round(self, room: Area, words: Words) -> Iterator[Point]:
        """Yield spots for the words of a room anywhere about it."""
        for step in range(0, 260, 14):
            for level in (room.top - 6 - words.tall - step, room.bottom + 14 + step):
                for x in (room.left, room.right - words.wide, room.left - 60, room.right):
                    yield x, level + 0.8 * words.size

    def _put(self, placed: Callout) -> None:
        """Draw words and their hairline, and take their ground."""
        self.ground.boxes.append(placed.box if placed.words.bold else _wider(placed.box))
        if placed.has_line:
            self.ground.add_line(placed.line)
        self.hairlines += placed.hairlines()
        self.words += placed.written()

    @property
    def _within(self) -> Area:
        """Where words may stand: in the view and a little round it."""
        view = self.view
        aside = min(BESIDE, view.left - 1.0)  # as far as the picture goes, that is as wide at right
        return Area(4.0, view.top - 26, view.right + aside, view.bottom + BELOW)


def _wrapped(said: list[str], wide: float) -> Words:
    lines = [line for text in said for line in wrapped(text, SIZE, wide)]
    return Words(tuple(lines), SIZE, False, "label halo")


def _wider(box: Area) -> Area:
    """Return the ground of the words of a room, so wide that two do not read as one."""
    return Area(box.left - 6, box.top - 3, box.right + 6, box.bottom + 3)


def _shows(room: Area, hidden: list[Area]) -> Iterator[bool]:
    """Yield for points all over a room whether no other room is drawn over them."""
    for x in _range(room.left + PAD, room.right - PAD, 20.0):
        for y in _range(room.top + PAD, room.bottom - PAD, 12.0):
            yield not any(o.left < x < o.right and o.top < y < o.bottom for o in hidden)


def _range(start: float, end: float, step: float) -> Iterator[float]:
    value = start
    while value <= end:
        yield value
        value += step


def _holds(area: Area, box: Area) -> bool:
    """Return whether a box lies in an area."""
    across = area.left <= box.left and box.right <= area.right
    return across and area.top <= box.top and box.bottom <= area.bottom


def _fanned(spot: Point, taken: list[Point], within: Area, points: list[Point]) -> Point:
    """Return the spot, or the nearest round it at which nothing else is drawn.

    A sign that steps aside covers none of the `points` either, if it can.
    """
    bare = [one for one in points if math.dist(one, spot) > DISC]
    rings = [(far, turn) for far in RINGS for turn in range(12)]
    tries = [spot] + [
        (spot[0] + far * math.cos(turn * math.pi / 6), spot[1] + far * math.sin(turn * math.pi / 6))
        for far, turn in rings
    ]
    free = [
        one
        for one in tries
        if all(math.dist(one, other) >= CLEAR for other in taken)
        and (one is spot or _holds(within, _about(one)))
    ]
    if free and free[0] is spot:
        return spot
    clear = (one for one in free if all(math.dist(one, other) > DISC + OFF_DOT for other in bare))
    return next(clear, free[0] if free else spot)


def _about(spot: Point) -> Area:
    """Return the ground of a sign."""
    return Area(spot[0] - DISC, spot[1] - DISC, spot[0] + DISC, spot[1] + DISC)
