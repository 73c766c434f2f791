"""The commissioning sheet of `baseline` as text, with a blank for each reading."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import bullet, heading, labelled, table
from seaflow.present.quantities import Show, percent
from seaflow.studies.baseline.sheet import BaselineSheet, Expected

BLANK = "________"


def baseline_text(answer: BaselineSheet, system: str) -> str:
    """Return the whole sheet as text."""
    return "\n".join(_lines(answer, Show(system)))


def _lines(answer: BaselineSheet, show: Show) -> Iterator[str]:
    why = show.sentence(answer.why_pump)
    yield f"{answer.boat}, loop of {answer.loop}, with {answer.pump} ({why})"
    yield (
        f"Sound and clean, {answer.mode} at {percent(answer.load)} load, sea at "
        f"{show('temperature', answer.sea_temperature)}, "
        f"{show('voltage', answer.volts)} at the pump"
    )
    yield heading("Cautions")
    for caution in answer.cautions:
        yield labelled(caution.title, caution.text, 26)
    yield heading("First fill and priming")
    for number, step in enumerate(answer.steps, 1):
        yield bullet(step, mark=f"{number}.")
    yield heading("What it should read, and what it does")
    rows = [_row(item, show) for item in answer.expected]
    yield table(("reading", "where", "should be", "nine of ten", "read"), rows, right=(2,))
    yield heading("Also to note")
    yield table(("what", "noted"), [(title, BLANK) for title in answer.blanks])
    yield heading("What this rests on")
    yield from _basis(answer)


def _row(item: Expected, show: Show) -> tuple[str, ...]:
    if item.show == "seconds":
        middle, low, high = (f"{value:.0f} s" for value in (item.middle, item.low, item.high))
    elif item.show == "sound":
        middle, low, high = (f"{value:.0f}" for value in (item.middle, item.low, item.high))
        middle, high = f"{middle} dB(A)", f"{high} dB(A)"
    else:
        middle, high = show(item.show, item.middle), show(item.show, item.high)
        low = show.number(item.show, item.low)
    title = item.title
    if item.show == "seconds" and show.system == "us":
        title = f"{title} (2.64 gal)"
    return title, item.place, middle, f"{low} to {high}", BLANK


def _basis(answer: BaselineSheet) -> Iterator[str]:
    if any(item.show == "sound" for item in answer.expected):
        yield bullet(
            "Sound: worked out as by seaflow place, for the pump where it stands. Its band is how "
            "far that may be off, not nine of ten. The units are not in it: note them with all on."
        )
    if not answer.n_stored:
        yield bullet(
            "No readings are stored for this boat: bands hold every figure of the plan within its "
            "spread. Store today's with --store DATE and the bands become those of this boat."
        )
        return
    sets = "set of readings has" if answer.n_stored == 1 else "sets of readings have"
    yield bullet(f"{answer.n_stored} stored {sets} corrected these figures of the boat:")
    told = [item for item in answer.learnt if item.told]
    for item in told:
        before = f"{item.before[0]:.2f} to {item.before[2]:.2f}"
        after = f"{item.after[1]:.2f}, {item.after[0]:.2f} to {item.after[2]:.2f}"
        yield bullet(f"{item.label}: {after} of the plan's (before: {before})", indent=6)
    rest = [item.label for item in answer.learnt if not item.told]
    if told and rest:
        yield bullet("These they could not narrow: " + "; ".join(rest) + ".")
    if not told:
        yield bullet("none by much: the readings tell no more than the plan", indent=6)
