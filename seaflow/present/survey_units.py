"""Units of a survey: small depths in inches, areas and volumes, and the figures inside texts."""

from __future__ import annotations

import re

from seaflow.base.facts import Fact, fact
from seaflow.boat.reader.known import NOT_ACCESSIBLE
from seaflow.present.quantities import Show

FOOT, INCH = 0.3048, 0.0254  # m
SMALL = 0.6  # m: below it a height is told in inches
GALLON = 3.785411784e-3  # m3, US
_FIGURE = r"(\d+(?:\.\d+)?)"
_IN_TEXT = re.compile(
    rf"{_FIGURE}(?: (to|or|and) {_FIGURE})? (mm per metre|m/s|mm|cm2|m3|m|kPa|L/min)(?![\w/])"
)
# What a metric unit becomes in the US: its size there, digits after the point, and its name.
_US = {
    "mm per metre": (1000.0 / 12.0, 2, "in per foot"),
    "m/s": (FOOT, 1, "ft/s"),
    "mm": (1e3 * INCH, 2, "in"),
    "cm2": (1e4 * INCH**2, 1, "in2"),
    "m3": (GALLON, 0, "gal"),
    "m": (FOOT, 1, "ft"),
    "kPa": (6.894757293, 2, "psi"),
    "L/min": (3.785411784, 2, "gpm"),
}


class SurveyShow(Show):
    """Shows the quantities of a survey in one system of units."""

    __slots__ = ()

    def __call__(self, kind: str, value: float | None) -> str:
        """Return the number with its unit."""
        if value is None:
            return "not recorded"
        if self._in_inches(kind, value):
            return f"{_stripped(value / INCH, 1)} in"
        return super().__call__(kind, value)

    def exact(self, kind: str, value: float) -> float:
        """Return the number that is shown, not rounded."""
        return value / INCH if self._in_inches(kind, value) else super().exact(kind, value)

    def _in_inches(self, kind: str, value: float) -> bool:
        return self.system == "us" and kind in ("height", "length") and abs(value) < SMALL

    def hull(self, kind: str | None) -> str:
        """Return the kind of hull, or that it is not recorded."""
        return kind or self.sentence(fact("survey.hull_not_recorded"))

    def whole(self, *facts: Fact) -> str:
        """Return facts as whole sentences, one after another."""
        texts = [self.text(self.sentence(item)) for item in facts]
        return " ".join(f"{text[:1].upper()}{text[1:]}." for text in texts)

    def text(self, words: str) -> str:
        """Return a text with the metric figures in it in these units."""
        return words if self.system == "metric" else _IN_TEXT.sub(_american, words)

    def question(self, words: str, not_accessible: str) -> str:
        """Return a question with its figures in these units, and why nobody could look."""
        why = f" ({NOT_ACCESSIBLE}: {not_accessible})" if not_accessible else ""
        return self.text(words) + why


def _american(found: re.Match[str]) -> str:
    first, word, second, unit = found.groups()
    if unit == "m" and float(second or first) < SMALL:
        size, digits, name = INCH, 0, "in"
    else:
        size, digits, name = _US[unit]
    numbers = [_stripped(float(item) / size, digits) for item in (first, second) if item]
    return f" {word} ".join(numbers) + f" {name}"


def _stripped(value: float, digits: int) -> str:
    text = f"{value:,.{digits}f}".replace(",", " ")
    return "0" if not text.strip("-0.") else text
