"""Read one quantity of a file: its number, its unit, its limits, and whether to believe it."""

from __future__ import annotations

import math
import re
from contextlib import suppress
from typing import Any

from seaflow.base.glossary import Quantity, glossary_entry
from seaflow.base.near import as_seen, named
from seaflow.base.ranges import RangeError
from seaflow.base.spellings import OF_A_MOTOR
from seaflow.base.spread import has_spread, read_with_spread, without_spread, without_typical
from seaflow.base.tables import read_table
from seaflow.base.units import Misread, example_unit, read_quantity, split
from seaflow.boat.keys import Key
from seaflow.boat.reader.heads import HEADS, as_head
from seaflow.boat.reader.plausible import guess_text, is_plausible, others, range_text
from seaflow.boat.reader.possible import Limits, limits_of, too_wide
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.text import Path
from seaflow.boat.reader.words import KINDS, REFUSALS, in_unit, key_of
from seaflow.physics.electric.wiring import awg_area

_ROUGHLY = re.compile(
    r"(?:about|around|roughly|approx\.?|ca\.?|circa|~|\u2248)\s*(?=[\d.+-])", re.I
)
_BELOW = re.compile(r"(\d[\d./ ]*\s*[a-z]+)\s+(?:below|under|beneath|down)\b.*", re.I)
_BY_MOTOR = re.compile(rf"\d\s*{OF_A_MOTOR}\b", re.I)
_NO_SCALE = re.compile(r"\s*(?:\u00b0|deg|degrees?)$", re.I)
_GAUGE = re.compile(r"\s*(?:(?P<noughts>[1-4])/0|(?P<number>\d{1,2}))\s*AWG\s*", re.I)
LONGEST_QUANTITY = 60  # characters; what is longer was not meant as one


def plain_example(declared: Key) -> str:
    """Return an example of one item, where the key holds a list of them."""
    found = re.match(r"\[(\"[^\"]*\")", declared.example)
    return found[1] if found else declared.example


def read_value(raw: Any, declared: Key, path: Path, reading: Reading) -> float:
    """Return the number that a key with a quantity holds, or nan with a note of what is wrong."""
    entry = glossary_entry(declared.quantity or "")
    raw = text = _without_gauge(raw, declared)
    if declared.nothing and raw == declared.nothing:
        return 0.0
    if not isinstance(raw, str):
        if isinstance(raw, bool) or not isinstance(raw, (int, float)):
            reading.at_key(
                "K10",
                path,
                f"{key_of(path)} must be a number with its unit, in quotes",
                why=declared.meaning,
                write=f"Write for example {key_of(path)} = {plain_example(declared)}.",
            )
            return math.nan
        text = _number_text(raw)
    try:
        text = as_head(text, entry)
        _require_of_its_kind(text, entry)
        plain = without_typical(text)
        value, half_width = read_with_spread(plain, entry.unit)
        if plain != text:
            half_width = half_width or _usual(plain, declared, path, reading)
    except Misread as misread:
        _refuse(misread, declared, path, reading, isinstance(raw, str))
        return math.nan
    value = limited(value, declared, path, text, reading)
    if half_width is not None and math.isfinite(value):
        _spread(value, half_width, declared, path, text, reading)
        if plain != text:
            reading.typical.add(path)
    written = _written(plain) if entry.most_written else ""
    if math.isfinite(value) and not is_plausible(value, entry, written):
        _ask(text, entry, declared, path, reading)
    return float(value)


def _require_of_its_kind(text: str, entry: Quantity) -> None:
    """Refuse what is too long for a quantity, and the power of a motor where heat is asked for."""
    if len(text) > LONGEST_QUANTITY:
        raise Misread("long", f"{text[: LONGEST_QUANTITY // 2]}...", "")
    if entry.name == "heat_flow" and _BY_MOTOR.search(text):
        raise Misread("motor", text, "")


def _without_gauge(raw: Any, declared: Key) -> Any:
    """Return the cross-section of a conductor that is told by its gauge; all else as it is."""
    wire = isinstance(raw, str) and declared.quantity == "conductor_area"
    found = _GAUGE.fullmatch(raw) if wire else None
    if found is None:
        return raw
    noughts = found["noughts"]
    gauge = 1.0 - float(noughts) if noughts else float(found["number"])
    with suppress(RangeError):
        return f"{1e6 * float(awg_area(gauge)):.6g} mm2"
    return raw


def _usual(text: str, declared: Key, path: Path, reading: Reading) -> float | None:
    """Return how far boats usually lie from a typical value, with a note where no table tells."""
    row = read_table("typical_widths.toml").get(declared.quantity or "")
    unit = glossary_entry(declared.quantity or "").unit
    if row is not None and not has_spread(text):
        return read_with_spread(f"{text} +/- {row['half']}", unit)[1]
    shown = without_spread(text)
    reading.at_key(
        "K15",
        path,
        f'{key_of(path)} = "{shown} typical" does not say how far boats differ in it',
        why="A typical value is drawn anew for each boat that is looked at, between its ends.",
        write=f'Write for example {key_of(path)} = "{shown} typical +/- 10 %".',
    )
    return None


def _number_text(raw: int | float) -> str:
    try:
        return f"{raw:.6g}" if math.isfinite(raw) else str(raw)
    except OverflowError:  # more digits than a decimal number can have
        return f"{str(raw)[:LONGEST_QUANTITY]}..."


def _with_unit_of_example(text: str, declared: Key, entry: Quantity) -> str:
    """Return a bare number with the unit in which it is likely: mostly that of its example.

    A fraction is in inches, since nobody writes one in millimetres.
    """
    try:
        unit = split(plain_example(declared).strip('"'))[1]
    except Misread:
        unit = ""
    usual = unit or example_unit(entry.unit)
    likely = ("in",) if "/" in text and entry.unit == "m" else (usual, *others(usual, entry))
    for shown in likely:
        with suppress(Misread):
            if is_plausible(read_quantity(f"{text} {shown}", entry.unit), entry, shown):
                return f'"{text} {shown}"'
    return f'"{text} {likely[0]}"'


def _refuse(
    misread: Misread, declared: Key, path: Path, reading: Reading, quoted: bool = True
) -> None:
    refusal, entry = REFUSALS[misread.kind], glossary_entry(declared.quantity or "")
    text = " ".join(misread.text[:LONGEST_QUANTITY].split())
    hint = misread.hint
    if misread.kind == "unknown":
        hint = f"Did you mean {hint}? " if hint.startswith('"') else f"Units for it are {hint}. "
        hint = hint.replace("are one of: ", "are ")
    elif misread.kind == "bare":
        hint = _with_unit_of_example(text, declared, entry)
        text = f'"{text}"' if quoted else text
    elif misread.kind == "more":
        hint = hint or plain_example(declared)
    words = {"key": key_of(path), "text": text, "example": plain_example(declared), "hint": hint}
    kind = "a head or a pressure" if entry.name in HEADS else KINDS.get(entry.unit)
    words["kind"] = kind or "what is asked for"
    reading.at_key(
        refusal.code,
        path,
        refusal.what.format(**words),
        why=f"{declared.meaning} {refusal.why}",
        write=_as_people_say(misread, path, entry) or refusal.write.format(**words),
    )


def _as_people_say(misread: Misread, path: Path, entry: Quantity) -> str:
    """Return what to write of a quantity that is said as people say it, or nothing."""
    text, key = misread.text.strip(), key_of(path)
    roughly = _ROUGHLY.match(text)
    below = _BELOW.fullmatch(text) if entry.name == "height" else None
    if roughly:
        half = "2 K" if entry.unit == "degC" else "10 %"
        return f'Write {key} = "{text[roughly.end() :]} +/- {half}", or how far it may be off.'
    if below:
        return f'Write {key} = "-{below[1]}" if it is below the waterline.'
    if misread.kind == "dimension" and entry.unit == "degC" and _NO_SCALE.search(text):
        number = _NO_SCALE.sub("", text)
        every = [f"{number} {unit}" for unit in ("degC", "degF")]
        likely = [one for one in every if is_plausible(read_quantity(one, "degC"), entry)]
        shown = " or ".join(f'"{one}"' for one in likely or every)
        return f"Write {key} = {shown}, as the thermometer says."
    plain = as_seen(text)
    if plain != text:
        with suppress(Misread):
            read_quantity(plain, entry.unit)
            odd = next(one for one in text if as_seen(one) != one)
            return f'Type "{plain}" anew: {named(odd)} only looks like a letter of a unit.'
    return ""


def limited(value: float, declared: Key, path: Path, text: str, reading: Reading) -> float:
    """Return a value inside the limits of its key, or nan with a note."""
    limits = limits_of(declared)
    if limits.holds(value) or (declared.nothing and value == 0.0):
        return value
    reading.at_key(
        "K12",
        path,
        f"{key_of(path)} = {_shown(text, declared)} is {_excess(value, limits)}",
        why=f"{declared.meaning} No boat has so little or so much.",
        write=_mend(value, limits, text, declared, path),
    )
    return math.nan


def _shown(text: str, declared: Key) -> str:
    return f'"{text}"' if declared.quantity else text


def _excess(value: float, limits: Limits) -> str:
    if limits.least is not None and value < limits.least:
        if limits.least < 0.0 or value > 0.0:
            return "too small"
        return "zero" if value == 0.0 else "negative"
    return "too large"


def _mend(value: float, limits: Limits, text: str, declared: Key, path: Path) -> str:
    example = f"Write for example {key_of(path)} = {plain_example(declared)}."
    if declared.quantity is None:
        return example
    entry, text = glossary_entry(declared.quantity), without_spread(text)
    guess = guess_text(text, entry) if math.isfinite(value) else ""
    low = limits.least is not None and value < limits.least
    bound = limits.least if low else limits.most
    written = split(text)[1]
    edge = ""
    if bound is not None and bound > 1e-9 and math.isfinite(value):
        edge = f"The {'least' if low else 'most'} is {in_unit(bound, entry.unit, written)}. "
    return edge + (guess or example)


def _spread(
    value: float, half: float, declared: Key, path: Path, text: str, reading: Reading
) -> None:
    """Keep the half width of a value, or refuse one that reaches what no boat can have."""
    if not too_wide(value, half, limits_of(declared)):
        reading.spreads[path] = half
        return
    reading.at_key(
        "K13",
        path,
        f'{key_of(path)} = "{text}" may be zero or less by what stands after +/-',
        why="What is as unsure as that is not known, and nothing can be worked out from it.",
        write='Write a smaller half width, such as "+/- 20 %", or leave it out.',
    )


def _ask(text: str, entry: Quantity, declared: Key, path: Path, reading: Reading) -> None:
    """Take down the question whether a value was meant in another unit."""
    number, written = split(without_spread(text))
    plain = f"{number:g} {written}".strip()
    guess = guess_text(plain, entry)
    little = entry.plausible is not None and _inside(plain, entry) < entry.plausible[0]
    reading.questions.append(
        reading.text.problem(
            "Q01" if guess else "Q02",
            path,
            f'{reading.place(path)}: {key_of(path)} = "{plain}" is '
            f"unusually {'small' if little else 'large'} ({range_text(entry, written)} is usual)",
            why=declared.meaning,
            write=(guess or "Look at the decimal point and the unit.")
            + f" If {plain} is right, leave it: it is used as it stands.",
            warning=True,
        )
    )


def _written(text: str) -> str:
    """Return the unit of a value that was read."""
    return split(without_spread(text))[1]


def _inside(plain: str, entry: Quantity) -> float:
    return read_with_spread(plain, entry.unit)[0]
