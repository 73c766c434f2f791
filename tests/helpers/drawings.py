"""What is wrong with the words of an SVG picture: they cover each other, are struck, or are cut.

Widths are those of DejaVu Sans, the widest of the fonts that the pictures ask for, as the font
file says.
"""

import math
import re
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path

from fontTools.ttLib import TTFont

SVG = "{http://www.w3.org/2000/svg}"
GRID = {"#c3cfd2"}  # colour of grids, on which words may stand
MIDDLE_DASH = "10 4 2 4"  # of the line along the middle of the boat, likewise
CAP, BELOW = 0.73, 0.21  # of the size: how far letters reach from their line, as the font says
TOUCH = 1.0  # pixels that two may share, from rounding
SIGN = 7.0  # pixels from the middle of a sign that it surely covers


@dataclass(frozen=True)
class Word:
    """A text with the ground that it covers, and its place in the order of drawing."""

    text: str
    left: float
    top: float
    right: float
    bottom: float
    order: int

    @property
    def middle(self):
        return 0.5 * (self.left + self.right), 0.5 * (self.top + self.bottom)


def faults(svg):
    """What is wrong with the words of a picture, in sentences."""
    root = ElementTree.fromstring(svg)
    items = list(_flat(root, (0.0, 0.0)))
    words = [
        _word(item, moved, order, root)
        for order, (item, moved) in enumerate(items)
        if _is(item, "text")
    ]
    found = [*_cut(words, root), *_covered(words)]
    discs = [
        (*_disc(item, moved), order)
        for order, (item, moved) in enumerate(items)
        if _is(item, "circle") or item.get("rx") == "3"
    ]
    for word in words:
        disc = next((one for one in discs if one[3] < word.order and _on(word, one)), None)
        found += _struck(word, items, disc)
        found += _on_marks(word, items, discs, disc)
    return found


def signs(svg):
    """The middles of the numbers and letters of a place, each in its circle or square."""
    items = [item for item, _ in _flat(ElementTree.fromstring(svg), (0.0, 0.0))]
    discs = [item for item in items if _is(item, "circle") and item.get("r") == "10"]
    squares = [item for item in items if item.get("rx") == "3"]
    middles = [(float(item.get("cx")), float(item.get("cy"))) for item in discs]
    return middles + [(float(one.get("x")) + 10, float(one.get("y")) + 10) for one in squares]


def edged(svg):
    """Words of a place through which the side of a room passes that no other room hides there."""
    root = ElementTree.fromstring(svg)
    items = list(_flat(root, (0.0, 0.0)))
    rooms = [_room(item, moved) for item, moved in items if _is(item, "rect") and _outlined(item)]
    for order, (item, moved) in enumerate(items):
        if not _is(item, "text") or len(item.text or "") < 3:
            continue
        word = _word(item, moved, order, root)
        for number, (left, top, right, bottom) in enumerate(rooms):
            corners = ((left, top), (right, top), (right, bottom), (left, bottom), (left, top))
            hidden = any(_lies_in(word, over) for over in rooms[number + 1 :])
            if not hidden and any(_passes(*side, word) for side in pairwise(corners)):
                yield f"{word.text!r} is struck by the side of a room"


def _outlined(item):
    return item.get("stroke") is not None and item.get("rx") is None


def _room(item, moved):
    x, y, wide, tall = (float(item.get(name)) for name in ("x", "y", "width", "height"))
    return x + moved[0], y + moved[1], x + wide + moved[0], y + tall + moved[1]


def _lies_in(word, room):
    left, top, right, bottom = room
    across = left <= word.left and word.right <= right
    return across and top <= word.top and word.bottom <= bottom


def _is(item, name):
    return item.tag == SVG + name


def _flat(parent, moved):
    """Every element with how far it is moved, in the order of drawing."""
    for item in parent:
        step = re.match(r"translate\(([-\d.]+) ([-\d.]+)\)", item.get("transform", ""))
        here = moved if step is None else (moved[0] + float(step[1]), moved[1] + float(step[2]))
        yield item, here
        yield from _flat(item, here)


@cache
def _advances(bold):
    folder = Path(find_spec("matplotlib").origin).parent / "mpl-data" / "fonts" / "ttf"
    font = TTFont(folder / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"))
    names, widths, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    return {code: widths[name][0] / em for code, name in names.items()}


def _looks(root):
    """Size and weight of each class."""
    style = "".join(item.text or "" for item in root.iter(f"{SVG}style"))
    found = {}
    for name, body in re.findall(r"\.([\w-]+)\{([^}]*)\}", style):
        size = re.search(r"font-size:([\d.]+)px", body)
        found[name] = (float(size[1]) if size else None, "font-weight:600" in body)
    return found


def _word(item, moved, order, root):
    looks = [_looks(root)[name] for name in item.get("class").split()]
    size = next(one for one, _ in looks if one is not None)
    advances, text = _advances(any(bold for _, bold in looks)), "".join(item.itertext())
    wide = size * sum(advances.get(ord(letter), 0.7) for letter in text)
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[item.get("text-anchor", "start")]
    x, y = float(item.get("x")) + moved[0] - share * wide, float(item.get("y")) + moved[1]
    return Word(text, x, y - CAP * size, x + wide, y + BELOW * size, order)


def _cut(words, root):
    _, _, wide, tall = map(float, root.get("viewBox").split())
    for word in words:
        if word.left < 0.0 or word.top < 0.0 or word.right > wide or word.bottom > tall:
            yield f"{word.text!r} is cut"


def _covered(words):
    for number, one in enumerate(words):
        for other in words[number + 1 :]:
            across = min(one.right, other.right) - max(one.left, other.left)
            down = min(one.bottom, other.bottom) - max(one.top, other.top)
            if across > TOUCH and down > TOUCH:
                yield f"{one.text!r} and {other.text!r} cover each other"


def _disc(item, moved):
    """A circle; or a square with its letter, as one of the same reach."""
    if _is(item, "rect"):
        half = 0.5 * float(item.get("width"))
        return float(item.get("x")) + moved[0] + half, float(item.get("y")) + moved[1] + half, half
    return (
        float(item.get("cx", 0)) + moved[0],
        float(item.get("cy", 0)) + moved[1],
        float(item.get("r")),
    )


def _on(word, disc):
    """Whether a word stands on a disc that was made for it."""
    x, y, radius, _ = disc
    return math.dist(word.middle, (x, y)) < 2.5 and word.right - word.left <= 2.0 * radius


def _struck(word, items, disc):
    """Lines through a word; those under its own disc do not count."""
    hidden = -1 if disc is None else disc[3]
    for order, (item, moved) in enumerate(items):
        if order < hidden or item.get("stroke") in GRID:
            continue
        if item.get("stroke-dasharray") == MIDDLE_DASH:
            continue
        for start, end in _legs(item, moved):
            if _passes(start, end, word):
                yield f"{word.text!r} is struck by a line {item.get('stroke')}"
                break


def _legs(item, moved):
    if _is(item, "line"):
        ends = [(float(item.get(f"x{n}")), float(item.get(f"y{n}"))) for n in (1, 2)]
    elif _is(item, "polyline"):
        ends = [tuple(map(float, pair.split(","))) for pair in item.get("points").split()]
    else:
        return []
    ends = [(x + moved[0], y + moved[1]) for x, y in ends]
    return list(pairwise(ends))


def _passes(start, end, word):
    """Whether a line passes through a word: a share of it lies between all four of its sides."""
    first, last = 0.0, 1.0
    lows = (word.left + TOUCH, word.top + TOUCH)
    highs = (word.right - TOUCH, word.bottom - TOUCH)
    for begin, finish, low, high in zip(start, end, lows, highs, strict=True):
        run = finish - begin
        if run == 0.0:
            if not low < begin < high:
                return False
            continue
        near, far = sorted(((low - begin) / run, (high - begin) / run))
        first, last = max(first, near), min(last, far)
    return first < last


def _on_marks(word, items, discs, own):
    """Dots and signs that a word covers."""
    for x, y, radius, order in discs:
        if own is not None and order == own[3]:
            continue
        if _near(word, x, y, radius):
            yield f"{word.text!r} stands on a dot"
    for item, moved in items:
        if item.get("transform") is not None and not list(item.iter(f"{SVG}text")):
            size = SIGN if _is(item, "g") or _is(item, "path") or _is(item, "rect") else 0.0
            inside = _is(item, "path") and item.get("stroke-dasharray")  # made for its letter
            if size and not inside and _near(word, *moved, size):
                yield f"{word.text!r} stands on a sign"


def _near(word, x, y, radius):
    across = max(word.left - x, 0.0, x - word.right)
    down = max(word.top - y, 0.0, y - word.bottom)
    return math.hypot(across, down) < radius - TOUCH
