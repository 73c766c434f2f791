"""Drawings of a page with fewer letters: the same lines, each paint told once for all of them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from itertools import pairwise

import numpy as np

_DRAWING = re.compile(r"<svg(?! width=\"0\").*?</svg>", re.DOTALL)  # but not the store of signs
_SHAPE = re.compile(r'<(line|polyline|path|rect|circle|text)((?: [\w-]+="[^"]*")*) ?(/?>)')
_VALUE = re.compile(r' ([\w-]+)="([^"]*)"')
_RUN = re.compile(r'<path d="[^"]*" class="(z\w+)"/>(?:<path d="[^"]*" class="\1"/>)+')
_FILLED = re.compile(r"(?<![\w-])fill:(?!none)")
_STEPS = re.compile(r'd="([^"]*)"')
PLACE = ("x1", "y1", "x2", "y2", "points", "x", "y", "cx", "cy", "r", "rx", "width", "height", "d")
LOOKS = ("fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linejoin", "text-anchor")
NAMED = ("class", "style")
AS_ALL = "label"  # the look that words in drawings have without being told


def slim(page: str) -> tuple[str, str]:
    """Return a page with its drawings in fewer letters, and the style that then goes with it.

    Lines become paths of steps, and lines that follow one another with the same paint one path.
    """
    looks = Counter(
        _look(dict(_VALUE.findall(shape[2])))
        for drawing in _DRAWING.findall(page)
        for shape in _SHAPE.finditer(drawing)
    )
    names = {
        look: f"z{np.base_repr(number, 36).lower()}"
        for number, (look, _) in enumerate(looks.most_common())
        if look
    }

    lines = {name for look, name in names.items() if not _FILLED.search(look)}

    def joined(run: re.Match[str]) -> str:
        if run[1] not in lines:  # what is filled hides what lies under it
            return run[0]
        return f'<path d="{"".join(_STEPS.findall(run[0]))}" class="{run[1]}"/>'

    def shorter(drawing: re.Match[str]) -> str:
        drawn = _SHAPE.sub(lambda shape: _shape(shape, names), drawing[0])
        return _RUN.sub(joined, drawn.replace("\n", ""))

    style = "".join(f"svg .{name}{{{look}}}" for look, name in names.items())
    return _DRAWING.sub(shorter, page), style


def _look(values: dict[str, str]) -> str:
    """Return how a shape is painted, as a style has it."""
    told = [f"{name}:{values[name]}" for name in LOOKS if name in values]
    return ";".join(told + ([values["style"]] if "style" in values else []))


def _shape(found: re.Match[str], names: dict[str, str]) -> str:
    tag, values, end = found[1], dict(_VALUE.findall(found[2])), found[3]
    look = names.get(_look(values), "")
    kept = [name for name in values.get("class", "").split() if name != AS_ALL]
    tag, told = _path(tag, values)
    told |= {key: value for key, value in values.items() if key not in (*PLACE, *LOOKS, *NAMED)}
    named = " ".join([*kept, *([look] if look else [])])
    told |= {"class": named} if named else {}
    return "".join([f"<{tag}", *(f' {key}="{value}"' for key, value in told.items()), end])


def _path(tag: str, values: dict[str, str]) -> tuple[str, dict[str, str]]:
    """Return the tag of a shape and where it stands: lines as paths."""
    if tag == "line":
        ends = [(values["x1"], values["y1"]), (values["x2"], values["y2"])]
        return "path", {"d": steps(ends)}
    if tag == "polyline":
        return "path", {"d": steps(point.split(",") for point in values["points"].split())}
    return tag, {key: values[key].removesuffix(".0") for key in PLACE if key in values}


def steps(points: Iterable[Iterable[str]]) -> str:
    """Return a line through points in tenths of a pixel, as a path that tells each by the last."""
    tenths = [tuple(round(10 * float(number)) for number in point) for point in points]
    told, letter = [f"M{_number(tenths[0][0])} {_number(tenths[0][1])}"], "M"
    for (x, y), (x2, y2) in pairwise(tenths):
        across, down = _number(x2 - x), _number(y2 - y)
        before, letter = letter, "h" if y2 == y else "v" if x2 == x else "l"
        sign = "" if before == letter == "l" else letter
        numbers = {"h": [across], "v": [down], "l": [across, down]}[letter]
        for number in numbers:
            told.append(sign if sign or number[0] == "-" else " ")
            told.append(number)
            sign = ""
    return "".join(told)


def _number(tenths: int) -> str:
    text = f"{tenths / 10:.1f}".removesuffix(".0")
    return text.replace("0.", ".") if abs(tenths) < 10 else text
