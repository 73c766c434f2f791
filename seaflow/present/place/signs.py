"""Signs and lines of the drawing of a place, and its key: a number or a letter for each name."""

from __future__ import annotations

import math
from collections.abc import Iterator

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.charts.key import KeyRow, stroke
from seaflow.present.charts.svg import INK, LINE, PAPER, SEA, SOFT, WARM, block, written
from seaflow.studies.place.sketch import Lettered, Mark, Run, Sketch

HEELED, BERTH, PUMP = "var(--heel)", "var(--sleep)", "var(--pump)"
DISC = 10.0  # pixels from the middle of a sign to its rim
GOES = {"rises": "place.drawn_rises", "falls": "place.drawn_falls"}
STANDS = {
    "taken": "place.drawn_taken",
    "drawn": "place.drawn_for_want",
    "other": "place.drawn_other",
    "out": "place.drawn_out",
}
LETTERS = "abcdefghijklmnopqrstuvwxyz"


def disc(mark: Mark, x: float, y: float) -> str:
    """Return the number of a thing in a circle, that of the pump filled."""
    fill = PUMP if mark.kind == "pump" else PAPER
    drawn = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{DISC:g}" fill="{fill}" stroke="{INK}"'
    return f'{drawn} stroke-width="1.6"/>' + written(x, y + 5, str(mark.number), "bold", "middle")


def square(place: Lettered, x: float, y: float) -> str:
    """Return the letter of a place for the pump: filled where it goes, barred where it may not."""
    taken, out = place.stands == "taken", place.stands in ("out", "drawn")
    fill, ink = (INK, PAPER) if taken else (PAPER, SOFT if out else INK)
    dash = ' stroke-dasharray="3 2"' if out else ""
    drawn = (
        f'<rect x="{x - 10:.1f}" y="{y - 10:.1f}" width="20" height="20" rx="3" fill="{fill}" '
        f'stroke="{INK}" stroke-width="1.6"{dash}/>'
    )
    letter = written(x, y + 5, place.letter, "bold", "middle", ink)
    bar = f'<path d="M{x + 6:.1f} {y - 12:.1f}l8 8m0-8l-8 8" stroke="{INK}" stroke-width="2"/>'
    return drawn + letter + (bar if out else "")


def pillow(x: float, y: float) -> str:
    """Return the sign of a pillow."""
    at = f'x="{x - 9:.1f}" y="{y - 5:.1f}"'
    return f'<rect {at} width="18" height="10" rx="5" fill="{PAPER}" stroke="{INK}"/>'


def other_intake(letter: str, x: float, y: float) -> str:
    """Return the sign of a place for the intake that is not taken."""
    shape = f'<path transform="translate({x:.1f} {y:.1f})" d="M-12 9H12L0 -13Z" fill="{PAPER}" '
    return f'{shape}stroke="{INK}" stroke-dasharray="2 2"/>' + written(
        x, y + 6, letter, "label", "middle"
    )


def place_keys(sketch: Sketch, rooms: tuple[tuple[str, str], ...]) -> Iterator[KeyRow]:
    """Yield the key: things with their hoses, places, lines, and rooms known by a sign alone."""
    for mark in sorted(sketch.marks, key=lambda one: one.number):
        runs = tuple(_run(run) for run in sketch.runs if run.ends[0] == mark.number)
        kind = "place.drawn_thing" if runs else "place.drawn_end"
        yield KeyRow(disc(mark, 0.0, 0.0), fact(kind, name=mark.name, runs=runs))
    for place in sketch.places:
        said = fact(STANDS[place.stands], name=place.name)
        yield KeyRow(square(place, 0.0, 0.0), said)
    for letter, mark in zip(LETTERS, sketch.intakes, strict=False):
        said = fact("place.drawn_intake", name=mark.name)
        yield KeyRow(other_intake(letter, 0.0, 0.0), said)
    yield from _lines(sketch)
    for sign, name in rooms:
        yield KeyRow(written(0.0, 5.0, sign, "bold", "middle"), fact("place.drawn_room", name=name))
    if sketch.not_drawn:
        yield KeyRow("", fact("place.drawn_not", names=sketch.not_drawn))
    yield KeyRow("", fact("place.drawn_slopes"))


def _run(run: Run) -> Fact:
    values = {"to": run.ends[1], "length": amount("length", run.length)}
    values["bore"] = amount("bore", run.bore)
    if run.goes == "level":
        return fact("place.drawn_level", **values)
    values |= {"by": amount("height", abs(run.rise)), "slope": abs(math.degrees(run.slope))}
    return fact(GOES[run.goes], **values)


def _lines(sketch: Sketch) -> Iterator[KeyRow]:
    """Yield hoses, water, hull and berths."""
    heel, trim = (math.degrees(value) for value in (sketch.heel, sketch.trim))
    yield KeyRow(stroke(SEA, 3.5), fact("place.drawn_suction"))
    yield KeyRow(stroke(WARM, 3.5), fact("place.drawn_delivery"))
    yield KeyRow(stroke(SEA, 2.0), fact("place.drawn_water"))
    if sketch.trim:
        yield KeyRow(stroke(SEA, 1.4, "2 4"), fact("place.drawn_trimmed", trim=trim))
    if sketch.heel:
        kind = "place.drawn_heeled_trimmed" if sketch.trim else "place.drawn_heeled"
        yield KeyRow(stroke(HEELED, 1.6, "7 4"), fact(kind, heel=heel))
    if sketch.waterline_length or (sketch.beam and sketch.freeboard):
        curved = sketch.waterline_length and sketch.beam and not sketch.multihull
        kind = "place.drawn_hull_curved" if curved else "place.drawn_hull"
        yield KeyRow(stroke(SOFT, 1.4, "1 3"), fact(kind))
    if any(box.sleeps for box in sketch.boxes):
        bed = block((-16.0, -9.0), (16.0, 9.0), BERTH, f' stroke="{LINE}"') + pillow(0.0, 0.0)
        yield KeyRow(bed, fact("place.drawn_berth"))
