"""Quantities inside sentences: written as marks in SI, turned into units by whoever shows them."""

from __future__ import annotations

import re
from collections.abc import Callable

# Characters set aside for private use: nobody's name for a thing on a boat has them.
_OPEN, _CLOSE = "\ue000", "\ue001"
_MARK = re.compile(f"{_OPEN}(\\w+)\\|([^{_CLOSE}]*){_CLOSE}")


def quantity(kind: str, value: float) -> str:
    """Return a mark for a number of some kind, such as "flow", to stand in a sentence."""
    return f"{_OPEN}{kind}|{float(value)!r}{_CLOSE}"


def rendered(sentence: str, show: Callable[[str, float], str]) -> str:
    """Return the sentence with every mark replaced by what `show` makes of kind and value."""
    return _MARK.sub(lambda found: show(found[1], float(found[2])), sentence)
