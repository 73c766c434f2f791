"""Words and pictures in both systems of units; a switch on the page shows the one or the other."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from markupsafe import Markup, escape

from seaflow.base.facts import Fact
from seaflow.present.card import capital
from seaflow.present.charts.svg import Picture
from seaflow.present.layout import IN_A_NUMBER
from seaflow.present.quantities import Show

METRIC, AMERICAN = Show("metric"), Show("us")
_UNIT = (
    r"(?:L/min|m/s|ft/s|gpm|gal/min|mm|m|ft|in|L|gal|K|°C|°F|kW|W|V|A|Hz|kPa|psi|bar|kWh|Ah|h|s|"
    r"dB|AWG|BTU/h|[cm]?m²|in²|%)"
)
_TIED = re.compile(rf"(?<=\d) (?={_UNIT}(?![\w/]))|{IN_A_NUMBER}")
_MINUS = re.compile(r"(?<![\w.,-])-(?=\d)")


@dataclass(frozen=True, slots=True)
class Two:
    """The same in metric and in US customary units."""

    metric: str
    american: str

    def __html__(self) -> str:
        """Return it for the page, escaped; what is the same in both stands once."""
        one, other = (str(escape(tied(text))) for text in (self.metric, self.american))
        if one == other:
            return one
        return f'<span class="m">{one}</span><span class="u">{other}</span>'

    def __str__(self) -> str:
        return self.metric

    def in_units(self, show: Show) -> str:
        """Return it in the units of `show`."""
        return self.american if show.system == AMERICAN.system else self.metric

    def __bool__(self) -> bool:
        return bool(self.metric)


NOTHING = Two("", "")


def tied(text: str) -> str:
    """Return words in which no number parts from its unit, and minus and plus-minus are signs."""
    text = text.replace("+/- ", "\N{PLUS-MINUS SIGN}\N{NO-BREAK SPACE}")
    return _MINUS.sub("\N{MINUS SIGN}", _TIED.sub("\N{NO-BREAK SPACE}", text))


def both(say: Callable[[Show], str]) -> Two:
    """Return what is said in either system."""
    return Two(say(METRIC), say(AMERICAN))


def amount_of(kind: str, value: float | None) -> Two:
    """Return an amount; a dash where there is none."""
    return both(lambda show: "–" if value is None else show(kind, value))


def said(fact: str | Fact, stop: str = "") -> Two:
    """Return the sentence of a fact with a capital; `stop` ends it."""
    return both(lambda show: capital(show.sentence(fact)).removesuffix(".") + stop)


def told(fact: str | Fact) -> Two:
    """Return the sentence of a fact as it stands."""
    return both(lambda show: show.sentence(fact))


def drawn(draw: Callable[[Show], Picture], kind: str) -> Markup:
    """Return a picture in both systems; what is the same in both stands once."""
    metric, american = (draw(show).inside(kind) for show in (METRIC, AMERICAN))
    if metric == american:
        return Markup(metric)
    return Markup(f'<div class="m">{metric}</div><div class="u">{american}</div>')
