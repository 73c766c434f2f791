"""A text that was said of a boat, and what is wrong in it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from seaflow.base.problems import Problem
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.forms.typical.measures import Alone, Measure, Scanned, decimal_comma, scan

CODES = {
    "boat": "T01",
    "unit": "T02",
    "supply": "T03",
    "sea": "T04",
    "pump": "T05",
    "battery": "T08",
}


@dataclass
class Text:
    """One text that was said, what it speaks of, and what is wrong in it."""

    option: str
    text: str
    faults: list[str] = field(default_factory=list)
    why: str = ""
    write: str = ""
    problems: list[Problem] = field(default_factory=list)

    def wrong(self, what: str, why: str = "", write: str = "") -> None:
        """Take down what is wrong; why, and what to write, of the first that has something."""
        self.faults.append(what)
        self.why, self.write = self.why or why, self.write or write

    def problem(self) -> list[Problem]:
        """Return all that is wrong as one problem, with the forms that are understood."""
        if not self.faults:
            return self.problems
        row = read_table("said.toml")
        what = f'{self.option} "{self.text}": {"; ".join(dict.fromkeys(self.faults))}'
        forms = f"Write for example {row['forms'][self.option]}."
        why = self.why or row["why"][self.option]
        write = self.write or forms
        code = CODES[self.option]
        return [*self.problems, Problem(code, what, why=why, write=write, group=self.text)]

    def scan(self, text: str, units: Sequence[str], alone: Alone | None = None) -> Scanned:
        """Take the text apart; a decimal comma, and a half width where none counts, are told."""
        comma = decimal_comma(text)
        if comma:
            why = "A comma parts decimals in one country and thousands in another."
            text = text.replace(comma, comma.replace(",", "."))
            unit = re.search(rf"{re.escape(comma.replace(',', '.'))}\s*[^\W\d_]*", text)
            plain = unit[0].strip() if unit else ""
            reads = scan(plain, units, alone).measures  # what is offered must be taken
            self.wrong(f"{comma} has a comma", why, f"Write {plain}." if reads else "")
        found = scan(text, units, alone)
        if self.option != "sea" and any(one.half is not None for one in found.measures):
            self.wrong("how far it may be off is not taken here", "A case file takes that.")
        return found

    def within(self, what: str, value: float, unit: str) -> None:
        """Take down a value beyond what boats of the tables have."""
        name, low, high = read_table("said.toml")["bounds"][what]
        if not read_quantity(low, unit) <= value <= read_quantity(high, unit):
            self.wrong(f"{name} lies between {low} and {high}", "No table holds what lies beyond.")

    def unknown(self, words: Iterable[str]) -> None:
        """Take down the words that are not understood."""
        left = ", ".join(f'"{word}"' for word in words)
        if left:
            self.wrong(f"{left} {'are' if ', ' in left else 'is'} not understood")


def words_of(text: str) -> list[str]:
    """Return the words of a text, small, without signs."""
    return re.findall(r"[^\s,;:()]+", text.casefold())


def is_near(measure: Measure, words: str) -> bool:
    """Return whether a measure is named by words before it, or behind it and then no other is."""
    before = re.split(r"[,;]", measure.before)[-1]
    if re.search(rf"\b(?:{words})\W*(?:of|is)?\s*$", before, re.I):
        return True
    # what ends in the words names the measure behind them
    behind = re.match(rf"\s*(?:{words})\b(?!\W*(?:of|is)?\s*$)", measure.after, re.I)
    return behind is not None or re.match(rf"\s*(?:{words})\s*,", measure.after, re.I) is not None
