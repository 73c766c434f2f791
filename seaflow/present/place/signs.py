"""Signs, lines and words of the drawing of a place, and its legend."""

from __future__ import annotations

import math
from collections.abc import Iterator
from html import escape

from seaflow.present.quantities import Show
from seaflow.present.words.place import DRAWN, SIGNS
from seaflow.studies.place.sketch import Run, Sketch

INK, FAINT, PAPER = "#22313a", "#aab6bb", "#fbfaf6"
SEA, HEELED, SUCTION, DELIVERY = "#1b6f86", "#6f4fa0", "#0f5f9a", "#b3541e"
BERTH, HULL = "#f3dfc4", "#6b777d"
LETTERS = "abcdefghijklmnopqrstuvwxyz"

Point = tuple[float, float]


def legend(sketch: Sketch, corner: Point, show: Show) -> Iterator[str]:
    """Yield the table of hoses and the meaning of every sign."""
    left, top = corner
    yield written(left, top, DRAWN["hoses"], "head")
    for number, run in enumerate(sketch.runs, 1):
        y = top + 6 + 18 * number
        colour = SUCTION if run.suction else DELIVERY
        yield f'<circle cx="{left + 8}" cy="{y - 4:.1f}" r="8" fill="{colour}"/>'
        yield written(left + 8, y, str(number), "small", "middle", "#ffffff")
        yield written(left + 24, y, _run_words(run, show), "room")
    x = left + 700
    yield written(x, top, "Signs", "head")
    for place, (kind, word) in enumerate(SIGNS.items(), 1):
        y = top + 6 + 20 * place
        yield sign(kind, x + 10, y - 4)
        yield written(x + 28, y, word, "room")
    yield from _more_signs(sketch, x + 190, top)
    for number, line in enumerate(_notes(sketch)):
        yield written(x, top + 14 + 20 * (SIGN_ROWS + 1) + 16 * number, line, "small")


SIGN_ROWS = 8  # of the longer column of signs


def legend_rows(sketch: Sketch) -> int:
    """Return how many rows of 20 pixels the signs and their notes need."""
    return SIGN_ROWS + 1 + math.ceil(0.8 * len(list(_notes(sketch))))


def _more_signs(sketch: Sketch, x: float, top: float) -> Iterator[str]:
    heel, trim = (f"{math.degrees(value):.3g}°" for value in (sketch.heel, sketch.trim))
    lines = [(SUCTION, 3.0, "", DRAWN["suction"]), (DELIVERY, 3.0, "", DRAWN["delivery"])]
    lines.append((SEA, 2.0, "", DRAWN["water"]))
    if sketch.trim:
        lines.append((SEA, 1.2, "2 4", DRAWN["trimmed"].format(trim=trim)))
    if sketch.heel:
        words = DRAWN["heeled_and_trimmed" if sketch.trim else "heeled"].format(heel=heel)
        lines.append((HEELED, 1.5, "7 4", words))
    if sketch.waterline_length or (sketch.beam and sketch.freeboard):
        lines.append((HULL, 1.2, "1 3", DRAWN["hull"]))
    for place, (colour, wide, dash, word) in enumerate(lines, 1):
        y = top + 6 + 20 * place
        yield ruled((x, y - 4), (x + 26, y - 4), colour, wide, dash)
        yield written(x + 34, y, word, "room")
    y = top + 6 + 20 * (len(lines) + 1)
    yield (
        f'<rect x="{x}" y="{y - 12:.1f}" width="26" height="13" fill="{BERTH}" stroke="{FAINT}"/>'
    )
    yield written(x + 34, y, DRAWN["berth"], "room")
    if sketch.others:
        y += 20
        yield from other_place("2", x + 13, y - 4)
        yield written(x + 34, y, DRAWN["other"], "room")


def _notes(sketch: Sketch) -> Iterator[str]:
    yield DRAWN["slopes"]
    if sketch.intakes:
        named = (f"{LETTERS[i % 26]} {mark.name}" for i, mark in enumerate(sketch.intakes))
        yield DRAWN["intakes"] + "; ".join(named) + "."
    yield DRAWN["invented"]
    if sketch.not_drawn:
        yield DRAWN["not_drawn"] + ", ".join(f'"{name}"' for name in sketch.not_drawn)


def _run_words(run: Run, show: Show) -> str:
    words = f"{run.name}: {show('length', run.length)} of {show('bore', run.bore)}, "
    if run.goes == "level":
        return words + "level"
    return (
        words + f"{run.goes} {show('height', abs(run.rise))}, {abs(math.degrees(run.slope)):.0f}°"
    )


def sign(kind: str, x: float, y: float) -> str:
    """Return a shape of its own for each kind of thing."""
    at = f'transform="translate({x:.1f} {y:.1f})" stroke="{INK}" stroke-width="1.5"'
    if kind == "pump":
        return (
            f'<g {at}><circle r="9" fill="#ffd24a"/><path d="M-4 -5L6 0L-4 5Z" fill="{INK}"/></g>'
        )
    if kind == "strainer":
        body = '<rect x="-6" y="-7" width="12" height="14" fill="#ffffff"/>'
        return f'<g {at}>{body}<path d="M-6 -2H6M-6 2H6"/></g>'
    if kind == "intake":
        return f'<path {at} d="M-7 6H7L0 -6Z" fill="{SEA}"/>'
    if kind == "outlet":
        return f'<path {at} d="M-7 -6H7L0 6Z" fill="#ffffff"/>'
    if kind == "unit":
        return f'<rect {at} x="-9" y="-6" width="18" height="12" fill="#cfe6ee"/>'
    if kind == "pillow":
        return f'<rect {at} x="-9" y="-5" width="18" height="10" rx="5" fill="#fff6e6"/>'
    if kind == "other intake":
        dashes = 'stroke-dasharray="2 2"'
        return f'<path {at} {dashes} d="M-11 8H11L0 -11Z" fill="{PAPER}"/>'
    return f'<circle {at} r="4" fill="#ffffff"/>'


def other_place(name: str, x: float, y: float) -> Iterator[str]:
    """Yield the sign of a place that was not taken."""
    yield (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="8" fill="{PAPER}" stroke="{INK}" '
        'stroke-width="1.2" stroke-dasharray="2 2"/>'
    )
    yield written(x, y + 4, name, "small", "middle")


def ruled(start: Point, end: Point, colour: str, wide: float = 1.0, dash: str = "") -> str:
    """Return a straight line."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{start[0]:.1f}" y1="{start[1]:.1f}" x2="{end[0]:.1f}" y2="{end[1]:.1f}" '
        f'stroke="{colour}" stroke-width="{wide:g}"{dashed}/>'
    )


def written(
    x: float, y: float, text: str, look: str, anchor: str = "start", colour: str = ""
) -> str:
    """Return words at a point."""
    painted = f' style="fill:{colour}"' if colour else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" class="{look}" text-anchor="{anchor}"{painted}>'
        f"{escape(text)}</text>"
    )
