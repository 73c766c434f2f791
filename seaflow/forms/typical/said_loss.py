"""What the coil of a unit loses, as it is said beside its plate: "3 psi at 4 gpm"."""

from __future__ import annotations

import re

from seaflow.boat.reader.heads import FRESH_DENSITY
from seaflow.forms.typical.facts import LossFacts
from seaflow.forms.typical.measures import Measure, decimal_comma, scan
from seaflow.forms.typical.told import Text
from seaflow.physics.hull.openings import head_of_pressure

AT = r"\s*,?\s*(?:at|@|with|for)(?: a)?(?: flow of)?\s*"
_UNITS = ("m3/s", "Pa", "m")
_JOINED = re.compile(r"@|\b(?:at|with|for)\b", re.I)
_CALLED = re.compile(
    r"\b(?:(?:it|coil|water|water[- ]side|head|pressure)\s+)*(?:loss|loses|drops?|costs)\b"
    r"(?:\s+(?:of|is|in the coil|of the coil))*[\s:=]*",
    re.I,
)


def losses_said(told: Text, text: str) -> tuple[tuple[LossFacts, ...], str]:
    """Return the losses that a text tells of, each with its flow, and the text without them."""
    called = _CALLED.search(text) is not None
    if not (called or _JOINED.search(text)):  # else pint would load for nothing
        return (), text
    whole = text = _CALLED.sub(" ", text)
    found, losses = list(scan(text, _UNITS).measures), []
    while len(found) > 1:
        first, second, *rest = found
        loss = _loss(first, second) if re.fullmatch(AT, first.after, re.I) else None
        if loss is None:
            found = found[1:]
            continue
        head = loss.head or float(head_of_pressure(loss.pressure or 0.0, FRESH_DENSITY))
        told.within("coil_loss", head, "m")
        told.within("coil_flow", loss.flow, "m3/s")
        losses.append(loss)
        text = _without(text, first, second)
        found = rest
    if losses and decimal_comma(whole):
        told.scan(whole, _UNITS)  # which tells of the comma
    if called and not losses:
        told.wrong("a loss and its flow are not both given", "A coil loses more at more flow.")
    return tuple(losses), text


def _loss(first: Measure, second: Measure) -> LossFacts | None:
    flow, loss = (first, second) if first.unit == "m3/s" else (second, first)
    if flow.unit != "m3/s" or loss.unit == "m3/s":
        return None
    by_unit = {loss.unit: loss.value}
    return LossFacts(flow.value, by_unit.get("m"), by_unit.get("Pa"), (flow.text, loss.text))


def _without(text: str, first: Measure, second: Measure) -> str:
    """Return a text less a loss and its flow, as they stand in it."""
    pair = f"{re.escape(first.text)}{AT}{re.escape(second.text)}"
    return re.sub(pair, " , ", text, count=1, flags=re.I)
