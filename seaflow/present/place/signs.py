"""Signs, lines and words of the drawing of a place, and its legend."""

from __future__ import annotations

import math
from collections.abc import Iterator

from seaflow.present.charts.labels import wrapped
from seaflow.present.charts.svg import INK, Point, block, dot, ruled, written
from seaflow.present.quantities import Show
from seaflow.present.words.place import DRAWN, SIGNS
from seaflow.studies.place.sketch import Run, Sketch

FAINT, PAPER = "#aab6bb", "#fbfaf6"
SEA, HEELED, SUCTION, DELIVERY = "#1b6f86", "#6f4fa0", "#0f5f9a", "#b3541e"
BERTH, HULL = "#f3dfc4", "#6b777d"
LETTERS = "abcdefghijklmnopqrstuvwxyz"
SMALL_SIZE, ROOM_SIZE, MARK_SIZE = 12.0, 13.0, 13.0
ROW, RUN_ROW, NOTE_ROW = 22, 20, 17  # pixels from line to line of the key
COLUMN = 225  # pixels of the column of signs

Sign = tuple[str, str]


def legend(
    sketch: Sketch, corner: Point, wide: float, told: tuple[Show, list[Sign]]
) -> tuple[list[str], float]:
    """Return the table of hoses and the meaning of every sign, and where they end.

    `told` is how amounts are shown, and which letters stand for which names.
    """
    left, y = corner
    show, short = told
    found = [written(left, y, DRAWN["hoses"], "head")]
    for number, run in enumerate(sketch.runs, 1):
        y += RUN_ROW if number > 1 else ROW
        colour = SUCTION if run.suction else DELIVERY
        for row, line in enumerate(wrapped(_run_words(run, show), ROOM_SIZE, wide - 28)):
            if row == 0:
                found.append(dot((left + 8, y - 4), colour, 8.0, colour))
                found.append(written(left + 8, y, str(number), "small", "middle", "#ffffff"))
            y += RUN_ROW if row else 0
            found.append(written(left + 26, y, line, "room"))
    y += 2 * ROW
    found.append(written(left, y, DRAWN["signs"], "head"))
    bottoms: list[float] = []
    beside = wide >= 2.0 * COLUMN
    for x, rows in ((left, _signs()), (left + COLUMN * beside, _lines(sketch))):
        at = y if beside or not bottoms else bottoms[0]
        for drawn, word in rows:
            at += ROW
            found.append(f'<g transform="translate({x + 14:.1f} {at - 4.5:.1f})">{drawn}</g>')
            for number, line in enumerate(wrapped(word, ROOM_SIZE, left + wide - x - 34)):
                at += NOTE_ROW if number else 0
                found.append(written(x + 34, at, line, "room"))
        bottoms.append(at)
    y = max(bottoms) + ROW + 6
    named = "; ".join(f"{letter} {name}" for letter, name in short)
    for note in (*([DRAWN["short"].format(named=named)] if short else ()), *_notes(sketch)):
        for line in wrapped(note, SMALL_SIZE, wide):
            found.append(written(left, y, line, "small"))
            y += NOTE_ROW
    return found, y


def _signs() -> Iterator[Sign]:
    yield from ((sign(kind, 0.0, 0.0), word) for kind, word in SIGNS.items())


def _lines(sketch: Sketch) -> Iterator[Sign]:
    """Yield the other signs: hoses, water, hull, berths and other places."""
    heel, trim = (f"{math.degrees(value):.3g}°" for value in (sketch.heel, sketch.trim))
    lines = [(SUCTION, 3.0, "", DRAWN["suction"]), (DELIVERY, 3.0, "", DRAWN["delivery"])]
    lines.append((SEA, 2.0, "", DRAWN["water"]))
    if sketch.trim:
        lines.append((SEA, 1.2, "2 4", DRAWN["trimmed"].format(trim=trim)))
    if sketch.heel:
        words = DRAWN["heeled_and_trimmed" if sketch.trim else "heeled"].format(heel=heel)
        lines.append((HEELED, 1.5, "7 4", words))
    if sketch.waterline_length or (sketch.beam and sketch.freeboard):
        curved = sketch.waterline_length and sketch.beam and not sketch.multihull
        lines.append((HULL, 1.2, "1 3", DRAWN["hull_curved" if curved else "hull"]))
    for colour, wide, dash, word in lines:
        yield ruled((-13.0, 0.0), (13.0, 0.0), colour, wide, dash), word
    yield block((-13.0, -7.0), (13.0, 6.0), BERTH, f' stroke="{FAINT}"'), DRAWN["berth"]
    if sketch.others:
        yield "".join(other_place("2", 0.0, 0.0)), DRAWN["other"]


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
