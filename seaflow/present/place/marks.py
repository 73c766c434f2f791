"""What stands in a view of a drawing: rooms, hoses, signs, and words clear of all of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise

from seaflow.boat.tables.things import Spot
from seaflow.present.charts.callouts import Aim, Callout, Words, best_callout, nearest
from seaflow.present.charts.labels import Area, Taken, box_of, wrapped
from seaflow.present.charts.svg import INK, Point, block, path, ruled, written
from seaflow.present.place.signs import (
    BERTH,
    DELIVERY,
    FAINT,
    HEELED,
    LETTERS,
    MARK_SIZE,
    ROOM_SIZE,
    SEA,
    SMALL_SIZE,
    SUCTION,
    other_place,
    sign,
)
from seaflow.present.place.views import View, strokes, tacks
from seaflow.present.words.place import DRAWN
from seaflow.studies.place.sketch import Box, Mark, Run, Sketch

FILLS = {"bilge": "#dfe7e4", "engine space": "#e0dcd8"}
PLAIN_FILL = "#f1f1ea"
SHORTEST_NUMBERED = 16  # pixels
CLEAR = 19.0  # pixels that two signs must lie apart
SIGN, BADGE = 10.0, 9.0  # pixels from the middle of a sign or a number to what may stand there
PARTS = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)  # of a leg at which its number may stand
PAD = 4.0  # pixels inside a room
BESIDE = 36.0  # pixels that words may reach beyond a view
CAPITALS = LETTERS.upper()
STEPS = range(0, 190, 9)  # pixels that words may step aside
ROUNDS = 4  # in which names that stand in each other's way seek another place


def face(box: Box, across: int, up: int) -> float:
    """Return the area of a box as a view shows it [m2]."""
    ends = (box.aft, box.starboard, box.height)
    return (ends[across][1] - ends[across][0]) * (ends[up][1] - ends[up][0])


def view_of(sketch: Sketch, view: View, boxes: list[Box]) -> tuple[list[str], list[str]]:
    """Return a view, and the names for which it has room for a letter alone.

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
        drawn.append(path(points, SUCTION if run.suction else DELIVERY, 3.0))
    signs = [*scene.signs()]
    scene.write_water()
    scene.write_names()
    scene.write_rooms()
    return [*drawn, *scene.hairlines, *signs, *scene.words], scene.short


def letter_of(sketch: Sketch, name: str) -> str:
    """Return the letter that stands for a thing or a room where its name has no space."""
    names = [mark.name for mark in sketch.marks] + [box.name for box in sketch.boxes]
    number = names.index(name)
    return CAPITALS[number % 26] + (str(number // 26) if number >= 26 else "")


def _drawn(box: Box, view: View) -> str:
    ends = (view.at(_low(box)), view.at(_high(box)))
    return block(*ends, _fill(box), f' stroke="{FAINT}"')


def _fill(box: Box) -> str:
    return BERTH if box.sleeps else FILLS.get(box.use, PLAIN_FILL)


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

    def signs(self) -> Iterator[str]:
        """Yield signs, other places and numbers of hoses; they take their ground."""
        sketch, view = self.sketch, self.view
        shown = [box.name for box in self.boxes]
        pillows = [mark for mark in sketch.pillows if mark.name in shown]
        spots = [view.at(mark.at) for mark in (*sketch.marks, *pillows)]
        for mark in pillows:
            yield sign("pillow", *view.at(mark.at))
        if view.name != "section":
            yield from self._others(spots)
        numbered = []
        for number, run in enumerate(sketch.runs, 1):
            spot = _badge(run, view, spots)
            if spot is not None:
                spots.append(spot)
                numbered.append((spot, number, SUCTION if run.suction else DELIVERY))
        for mark in sketch.marks:
            yield sign(mark.kind, *view.at(mark.at))
        for spot, number, colour in numbered:
            yield f'<circle cx="{spot[0]:.1f}" cy="{spot[1]:.1f}" r="8" fill="{colour}"/>'
            yield written(spot[0], spot[1] + 4, str(number), "small", "middle", "#ffffff")
        for spot in spots:
            self.ground.add_mark(spot, SIGN)

    def _others(self, spots: list[Point]) -> Iterator[str]:
        """Yield the places not taken, fanned out where they would cover a sign."""
        others = [(mark, None) for mark in self.sketch.others]
        intakes = [(mark, LETTERS[i % 26]) for i, mark in enumerate(self.sketch.intakes)]
        for mark, letter in (*others, *intakes):
            at = self.view.at(mark.at)
            here = _fanned(at, spots)
            if here != at:
                self.ground.add_line((at, here))
                yield ruled(at, here, INK, 0.8)
            spots.append(here)
            if letter is None:
                yield from other_place(mark.name, *here)
            else:
                yield sign("other intake", *here)
                yield written(here[0], here[1] + 6, letter, "small", "middle")

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
            self._line(DRAWN["water_upright"], tries, "small", SEA)
        elif view.name == "section":
            for _, (x, y), word in tacks(self.sketch, view):
                inside = min(max(y, view.top + 10), view.bottom)
                tries = [(x + 8, inside + 4 + off) for off in (0, -8, 8, -16, 16, -24, 24, -36, 36)]
                self._line(word, tries, "small", HEELED)
            for word, x, anchor in (("port", view.left, "start"), ("starboard", view.right, "end")):
                spots = [(x, view.bottom + 18 + off) for off in (0, 14, 28)]
                self._line(word, spots, "small", "", anchor)

    def _line(
        self, text: str, tries: Iterable[Point], look: str, colour: str, anchor: str = "start"
    ) -> None:
        spots = [(box_of(spot, text, SMALL_SIZE, anchor), spot) for spot in tries]
        self.words.append(written(*self.ground.place(spots), text, look + " halo", anchor, colour))

    def write_names(self) -> None:
        """Write the names of things, a hairline to those that had to step aside."""
        marks = [
            mark
            for mark in sorted(self.sketch.marks, key=lambda one: (one.kind != "pump", one.name))
            if self.view.name != "section" or mark.kind in ("pump", "outlet", "intake")
        ]
        for one in self._settled({mark.name: mark for mark in marks}):
            self._put(one)

    def _settled(self, marks: dict[str, Mark]) -> list[Callout]:
        """Return all names, those that stand in each other's way moved a few times.

        In every other round a name goes where it would stand if it were alone, and the others make
        room in the next; the round with least in the way is kept.
        """
        found: dict[str, Callout] = {}
        best: tuple[float, list[Callout]] = (math.inf, [])
        for number in range(ROUNDS):
            for name, mark in marks.items():
                ground = self._beside_others(found, name)
                if name not in found or found[name].cost(ground) >= 1.0:
                    words = Words((name,), MARK_SIZE, True, "mark halo")
                    here = self.ground if number % 2 else ground
                    found[name] = self._named(mark, words, here)
            total = sum(one.cost(self._beside_others(found, name)) for name, one in found.items())
            if total < best[0]:
                best = (total, list(found.values()))
            if total < 1.0:
                break
        return self._shortened(dict(zip(found, best[1], strict=True)), marks)

    def _shortened(self, found: dict[str, Callout], marks: dict[str, Mark]) -> list[Callout]:
        """Return names, a letter instead of each that still has something in its way."""
        for name, mark in marks.items():
            ground = self._beside_others(found, name)
            if found[name].cost(ground) >= 1.0:
                words = Words((letter_of(self.sketch, name),), MARK_SIZE, True, "mark halo")
                found[name] = self._named(mark, words, ground)
                self.short.append(name)
        return list(found.values())

    def _beside_others(self, found: dict[str, Callout], name: str) -> Taken:
        """Return the ground taken with all names but one."""
        others = [one for other, one in found.items() if other != name]
        return Taken(
            [*self.ground.boxes, *(one.box for one in others)],
            [*self.ground.lines, *(one.line for one in others)],
        )

    def _named(self, mark: Mark, words: Words, ground: Taken) -> Callout:
        aim = Aim(self.view.at(mark.at), SIGN)
        return best_callout(words, self._beside(mark, words), aim, ground, self._within)

    def _beside(self, mark: Mark, words: Words) -> list[Point]:
        """Return left end and level of a name beside its sign, the nearest first."""
        x, y = self.view.at(mark.at)
        far = SIGN + 3.0
        spots = [
            (side, y + 4.0 + sign * step)
            for step in STEPS
            for sign in (1, -1)
            for aside in (0, 7, 14, 22, 30, 40, 55, 75, 100, 130)
            for side in (x + far + aside, x - far - aside - words.wide)
        ]
        spots += [
            (x - share * words.wide, y + 4.0 + sign * step)
            for step in STEPS[1:]
            for sign in (1, -1)
            for share in (0.5, 0.25, 0.75, 0.06, 0.94)
        ]
        return sorted(spots, key=lambda spot: math.dist((x, y), nearest(words.box(spot), x, y)))

    def write_rooms(self) -> None:
        """Write the words of rooms, small rooms first: inside them, or else beside the view."""
        for box in sorted(self.boxes, key=lambda item: face(item, self.view.across, self.view.up)):
            room = self._room(box)
            said = [box.name]
            if box.sleeps:
                said.append(DRAWN["berth_level"].format(level=box.level) if box.level else "berth")
            wide = room.right - room.left - 2 * PAD
            options = []
            for share in (1.0, 0.75, 0.5):
                lines = [line for text in said for line in wrapped(text, ROOM_SIZE, share * wide)]
                options.append(Words(tuple(lines), ROOM_SIZE, False, "room halo"))
            hidden = [self._room(other) for other in self.boxes[self.boxes.index(box) + 1 :]]
            if not any(_shows(room, hidden)):
                continue  # a room that no one sees here has its name in another view
            if self._inside(options, room, hidden):
                continue
            placed = self._outside(options[0], room)
            letter = Words((letter_of(self.sketch, box.name),), ROOM_SIZE, False, "room halo")
            if placed.cost(self.ground) < 1.0:
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
        free = [one for one in spots if not any(words.box(one).meets(other) for other in rooms)]
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
        return Area(4.0, view.top - 26, view.right + BESIDE, view.bottom + 70)


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


def _fanned(spot: Point, taken: list[Point]) -> Point:
    """Return the spot, or the nearest round it at which nothing else is drawn."""
    rings = [(far, turn) for far in (21.0, 40.0, 59.0) for turn in range(12)]
    tries = [spot] + [
        (spot[0] + far * math.cos(turn * math.pi / 6), spot[1] + far * math.sin(turn * math.pi / 6))
        for far, turn in rings
    ]
    return next((one for one in tries if _clear(one, taken) >= CLEAR), spot)


def _clear(spot: Point, taken: list[Point]) -> float:
    """Return how far a spot is from the nearest that is taken [pixels]."""
    return min((math.dist(spot, other) for other in taken), default=math.inf)


def _badge(run: Run, view: View, taken: list[Point]) -> Point | None:
    """Return where the number of a hose stands, or None where there is no space for one."""
    drawn = [view.at(point) for point in run.points]
    (x0, y0), (x1, y1) = max(pairwise(drawn), key=lambda leg: math.dist(*leg))
    if math.hypot(x1 - x0, y1 - y0) <= SHORTEST_NUMBERED:
        return None
    tries = [(x0 + part * (x1 - x0), y0 + part * (y1 - y0)) for part in PARTS]
    clear = next((spot for spot in tries if _clear(spot, taken) >= CLEAR), None)
    if clear is not None:
        return clear
    aside = _fanned(tries[0], taken)
    return aside if _clear(aside, taken) >= CLEAR else None
