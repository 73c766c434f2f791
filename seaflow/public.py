"""The questions of seaflow for scripts: load a boat, ask, and read the answer with its units.

    import seaflow

    boat = seaflow.load("my-boat.toml")
    answer = seaflow.size(boat)
    answer.loops[0].asks.flow.to("gallon/minute")

Every number of an answer is a pint quantity of `units`, in the unit that `--json` has; every
sentence is a `Said`, text that knows its kind and its values. Names are those of `--json`.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping
from functools import cache
from operator import index
from typing import TYPE_CHECKING, Any

from seaflow.base.constants import MOST_DRAWS, MOST_OF_CHOICES
from seaflow.base.facts import Amount, Fact
from seaflow.base.measured import unit_of
from seaflow.base.problems import SeaflowError
from seaflow.boats import load, name_of, typical, written

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.present.faces import Faces
    from seaflow.present.quantities import Show

__all__ = [
    "Answer",
    "Facts",
    "Said",
    "SeaflowError",
    "balance",
    "baseline",
    "diagnose",
    "energy",
    "heating",
    "improve",
    "load",
    "page",
    "place",
    "size",
    "survey",
    "typical",
    "units",
]
_POWER = re.compile(r"([A-Za-z])(\d)")


@cache
def units() -> Any:
    """Return the registry of the quantities given: pint's own for the whole program."""
    import pint

    return pint.get_application_registry()  # type: ignore[no-untyped-call]


class Said(str):
    """A sentence of an answer, with its kind and the values that it speaks of."""

    __slots__ = ("_fact",)
    _fact: Fact

    def __new__(cls, fact: Fact) -> Said:
        """Return the sentence of a fact, in metric units."""
        from seaflow.present.quantities import Show
        from seaflow.present.sentences import say

        made = super().__new__(cls, say(fact, Show()))
        made._fact = fact
        return made

    @property
    def kind(self) -> str:
        """The kind of the sentence, such as "design.too_little_water"."""
        return self._fact.kind

    @property
    def values(self) -> dict[str, Any]:
        """What it speaks of, by name: quantities, names, counts and further sentences."""
        return {name: _shown(value) for name, value in self._fact.values}


class Facts:
    """A part of an answer. Its attributes are the keys that `--json` has at that place."""

    __slots__ = ("_record",)

    def __init__(self, record: Any) -> None:
        self._record = record

    def __getattr__(self, name: str) -> Any:
        """Return a value: a quantity where it has a unit.

        Raises
        ------
        AttributeError
            If the answer has no such value.
        """
        if name.startswith("_"):  # of Python itself, such as what copies an object looks for
            raise AttributeError(name)
        if name not in dir(self):
            raise AttributeError(f"this part of the answer has no {name}; it has {dir(self)}")
        return _shown(getattr(self._record, name), unit_of(self._record, name))

    def __dir__(self) -> list[str]:
        """Return the names of all values."""
        fields = (entry.name for entry in dataclasses.fields(self._record))
        return sorted({*fields, *getattr(self._record, "ALSO", ())})

    def __repr__(self) -> str:
        """Return which part of an answer it is, and its names."""
        return f"<{type(self._record).__name__}: {', '.join(dir(self))}>"


class Answer(Facts):
    """The answer to a question: the facts, the card and the whole text, and the data."""

    __slots__ = ("_case", "_command")

    def __init__(self, command: str, record: Any, case: Case) -> None:
        super().__init__(record)
        self._command, self._case = command, case

    def card(self, system: str = "metric") -> str:
        """Return the card as text, in "metric" or "us" units."""
        from seaflow.present.card import card_text

        return card_text(self._faces().card(self._record, _show(system)))

    def text(self, system: str = "metric") -> str:
        """Return all that stands behind the card."""
        from seaflow.present.layout import page

        return page(self._faces().lines(self._record, _show(system)))

    def data(self) -> dict[str, Any]:
        """Return what `--json` prints: strict JSON values, numbers in SI with their unit."""
        return self._faces().data(self._record)

    def html(self, system: str = "metric") -> str:
        """Return the page of the boat, of an answer to `page`; `system` is shown first.

        Raises
        ------
        TypeError
            If this is the answer to another question.
        """
        if self._command != "page":
            raise TypeError(f"the page is made by seaflow.page(boat), not by {self._command}")
        from seaflow.present.page.page import page_html

        return page_html(self._case, self._record, _show(system).system)

    def _faces(self) -> Faces:
        from seaflow.present.faces import faces_of

        return faces_of(self._command, self._case)


def size(boat: Case, *, samples: int = 512, seed: int = 20) -> Answer:
    """Return which pump each loop needs, where it runs, and how sure that is.

    `samples` simulated days are drawn with `seed`; with none, nothing is said of likelihoods.
    """
    from seaflow.studies.size.size import size as ask

    return Answer("size", ask(_boat(boat), *_sampling("samples", samples, seed)), boat)


def place(boat: Case) -> Answer:
    """Return where the pump goes: afloat on either tack, in reach, and quiet at the berths.

    Raises
    ------
    SeaflowError
        If the boat offers no place, names no room, or no pump fits its supply.
    """
    from seaflow.studies.place.study import place as ask

    return Answer("place", ask(_boat(boat)), boat)


def page(boat: Case, *, samples: int = 512, seed: int = 20) -> Answer:
    """Return the run of every loop from sea to sea, and what the page of the boat lacks.

    `answer.html()` is the page; what else it shows the other questions answer.
    """
    from seaflow.studies.page.study import boat_page as ask

    return Answer("page", ask(_boat(boat), _sampling("samples", samples, seed)), boat)


def survey(boat: Case) -> Answer:
    """Return the findings of a survey, and what is left to look at."""
    from seaflow.studies.survey.findings import survey as ask

    return Answer("survey", ask(_boat(boat)), boat)


def balance(boat: Case, pump: str | None = None) -> Answer:
    """Return which unit starves beside others, and how to set the valves.

    Raises
    ------
    SeaflowError
        If there is no such pump.
    """
    from seaflow.studies.balance.study import balance as ask

    return Answer("balance", ask(_boat(boat), name_of(pump)), boat)


def energy(boat: Case, pump: str | None = None) -> Answer:
    """Return what cooling costs in a day, and the speed of the pump at which it costs least.

    Raises
    ------
    SeaflowError
        If there is no such pump, or none fits the supply.
    """
    from seaflow.studies.energy.study import energy as ask

    return Answer("energy", ask(_boat(boat), name_of(pump)), boat)


def heating(boat: Case, pump: str | None = None) -> Answer:
    """Return how cold the sea may be before the units must not heat with it.

    Raises
    ------
    SeaflowError
        If no unit heats, there is no such pump, or none fits the supply.
    """
    from seaflow.studies.heating.study import heating as ask

    return Answer("heating", ask(_boat(boat), name_of(pump)), boat)


def improve(boat: Case, pump: str | None = None, *, samples: int = 512, seed: int = 20) -> Answer:
    """Return what to change on a boat: strainer, hoses, through-hull or pump.

    Raises
    ------
    SeaflowError
        If there is no such pump, or none fits the supply.
    """
    from seaflow.studies.improve.study import improve as ask

    drawn = _sampling("samples", samples, seed, 16, MOST_OF_CHOICES)
    return Answer("improve", ask(_boat(boat), name_of(pump), drawn), boat)


def baseline(boat: Case, loop: str | None = None, **readings: Any) -> Answer:
    """Return what a healthy boat of this plan reads today.

    `readings` say what today is, such as sea="27 degC" or a quantity, volts and load.

    Raises
    ------
    SeaflowError
        If a reading cannot be used, or the boat has no such loop.
    """
    from seaflow.studies.baseline.sheet import baseline as ask
    from seaflow.studies.diagnose.written import read_rows

    setup = _setup(boat, loop, readings)
    return Answer("baseline", ask(setup, read_rows(_typed(readings), setup.places)), boat)


def diagnose(
    boat: Case, loop: str | None = None, *, draws: int = 16384, seed: int = 20, **readings: Any
) -> Answer:
    """Return why the discharge is warm, the stream weak or the unit off, from a few readings.

    `readings` are named as the options of `seaflow diagnose`: sea="27 degC", discharge={"saloon
    unit": "38 degC"}, stream="weak", bucket="40 s for 10 L", or quantities of pint.

    Raises
    ------
    SeaflowError
        If a reading cannot be used, no boat reads so, or the boat has no such loop.
    """
    from seaflow.studies.design.likelihood import Sampling
    from seaflow.studies.diagnose.answer import diagnose as ask
    from seaflow.studies.diagnose.written import read_rows

    setup = _setup(boat, loop, readings)
    read = read_rows(_typed(readings), setup.places)
    return Answer(
        "diagnose",
        ask(setup, read, Sampling(*_sampling("draws", draws, seed, 512))),
        boat,
    )


def _setup(boat: Case, loop: str | None, readings: Mapping[str, Any]) -> Any:
    from seaflow.boat import network
    from seaflow.studies.diagnose.answer import setup_of

    found = network.loop_called(_boat(boat), name_of(loop), _typed(readings))
    return setup_of(boat, found, str(readings.get("mode", "cooling")))


def _boat(boat: Case) -> Case:
    from seaflow.boat.case import Case

    if not isinstance(boat, Case):
        raise TypeError(f"a boat is what seaflow.load(file) returns, not {boat!r:.60}")
    return boat


def _whole(name: str, value: int, least: int, most: int) -> int:
    try:
        number = index(value)
    except TypeError:
        raise TypeError(f"{name} is a whole number, not {value!r:.60}") from None
    if not least <= number <= most:
        raise ValueError(f"{name} is from {least} to {most}, not {number}")
    return number


def _sampling(
    name: str, count: int, seed: int, least: int = 0, most: int = MOST_DRAWS
) -> tuple[int, int]:
    return _whole(name, count, least, most), _whole("seed", seed, 0, 2**31)


def _typed(readings: Mapping[str, Any]) -> dict[str, object]:
    """Return readings as they would be typed; a quantity becomes its number and unit."""
    return {name: written(value) for name, value in readings.items()}


def _show(system: str) -> Show:
    from seaflow.present.quantities import Show

    if system not in ("metric", "us"):
        raise ValueError(f'units are "metric" or "us", not "{system}"')
    return Show(system)


def _shown(value: Any, unit: str | None = None) -> Any:
    """Return a value of a result for a script: with its unit, as a sentence, or as a part."""
    if value is None or isinstance(value, (bool, str)):
        return value
    if isinstance(value, Fact):
        return Said(value)
    if isinstance(value, Amount):
        return _quantity(value.value, value.unit)
    if unit is not None and isinstance(value, (int, float)):
        return _quantity(value, unit)
    if isinstance(value, Mapping):
        return {name: _shown(item, unit) for name, item in value.items()}
    if isinstance(value, (tuple, list)):
        return tuple(_shown(item, unit) for item in value)
    return Facts(value) if dataclasses.is_dataclass(value) else value


def _quantity(value: float, unit: str) -> Any:
    plain = "dimensionless" if unit == "-" else _POWER.sub(r"\1**\2", unit)
    return units().Quantity(value, plain)
