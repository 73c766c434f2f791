"""From a fact to its sentence: the book of `seaflow/present/words`, a file for each answer.

A sentence names the values of its fact in braces. What stands behind a colon tells how:

    {flow}                an amount with its unit
    {flow:both}           in both systems of units
    {flow:number}         the number alone
    {depth:down}          an amount rounded down, or up: a bound is never rounded away
    {flow:upboth}         likewise, in both systems
    {share:down.0%}       a bare number likewise
    {share:.0%}           a bare number, by Python's own format
    {count:pump|pumps}    one word for one, the other for any other number
    {names}               several names: a, b and c
    {names:or}            a, b or c
    {names:quoted}        "a", "b" and "c"
    {facts:run}           sentences one after the other
    {title:capital}       with a capital
    {place:at}            at "a", or nothing where the name is empty
    {flow:range}          two amounts, low and high, with one unit
"""

from __future__ import annotations

import math
import string
from collections.abc import Mapping, Sequence
from importlib import import_module
from typing import Any, Protocol

from seaflow.base.facts import Amount, Fact


class Shown(Protocol):
    """How amounts are shown, in one system of units or in both."""

    def __call__(self, kind: str, value: float, /) -> str:
        """Return an amount with its unit."""

    def both(self, kind: str, value: float, /) -> str:
        """Return an amount in both systems."""

    def number(self, kind: str, value: float, /) -> str:
        """Return an amount without its unit."""

    def away(self, kind: str, value: float, up: bool, /) -> str:
        """Return an amount rounded up or down."""

    def bound(self, kind: str, value: float, up: bool, /) -> str:
        """Return an amount in both systems, rounded up or down."""


def say(fact: Fact, show: Shown) -> str:
    """Return the sentence of a fact, its amounts in the units of `show`.

    Raises
    ------
    KeyError
        If the book has no sentence of this kind, or the sentence asks for a value it has not.
    """
    chapter, _, name = fact.kind.partition(".")
    words = import_module(f"seaflow.present.words.{chapter}").WORDS[name]
    values = dict(fact.values)
    if callable(words):
        return str(words(values, show))
    return _Sentence(show).vformat(words, (), values)


def listed(names: Sequence[str], last: str = "and") -> str:
    """Return names as a sentence lists them: a, b and c."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"


class _Sentence(string.Formatter):
    """Fills a sentence, each value as its kind is shown."""

    def __init__(self, show: Shown) -> None:
        self.show = show

    def get_value(self, key: int | str, args: Sequence[Any], kwargs: Mapping[str, Any]) -> Any:
        return kwargs[str(key)]

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, Fact):
            return say(value, self.show)
        if format_spec.startswith(("up", "down")):
            return self._away(value, format_spec)
        if isinstance(value, Amount):
            ways = {"both": self.show.both, "number": self.show.number}
            return ways.get(format_spec, self.show)(value.kind, value.value)
        if format_spec == "capital":
            said = value if isinstance(value, str) else self.format_field(value, "")
            return f"{said[:1].upper()}{said[1:]}"
        if isinstance(value, tuple):
            return self._several(value, format_spec)
        if format_spec == "quoted":
            return f'"{value}"'
        if format_spec == "at":
            return f' at "{value}"' if value else ""
        if "|" in format_spec:
            one, _, many = format_spec.partition("|")
            return one if value == 1 else many
        return format(value, format_spec)

    def _away(self, value: Any, format_spec: str) -> str:
        up = format_spec.startswith("up")
        if isinstance(value, Amount):
            way = self.show.bound if format_spec.endswith("both") else self.show.away
            return way(value.kind, value.value, up)
        form = format_spec.removeprefix("up").removeprefix("down")
        digits = int(form[1:-1]) + (2 if form.endswith("%") else 0)
        scaled = value * 10.0**digits
        whole = math.ceil(scaled - 1e-6) if up else math.floor(scaled + 1e-6)
        return format(whole / 10.0**digits, form)

    def _several(self, values: tuple[Any, ...], format_spec: str) -> str:
        if format_spec == "run":
            return " ".join(self.format_field(value, "") for value in values)
        if format_spec == "range":
            low, high = values
            return f"{self.show.number(low.kind, low.value)} to {self.show(high.kind, high.value)}"
        quoted = format_spec == "quoted"
        names = [self.format_field(value, "") for value in values]
        names = [f'"{name}"' if quoted else name for name in names]
        return listed(names, "or" if format_spec == "or" else "and")
