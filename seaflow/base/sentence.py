"""Quantities inside sentences: written as marks in SI, turned into units by whoever shows them."""

from __future__ import annotations

import re
from collections.abc import Callable

_MARK = re.compile(r"\{(\w+)\|([^}]*)\}")


def quantity(kind: str, value: float) -> str:
    """Return a mark for a number of some kind, such as "flow", to stand in a sentence."""
    return f"{{{kind}|{float(value)!r}}}"


def rendered(sentence: str, show: Callable[[str, float], str]) -> str:
    """Return the sentence with every mark replaced by what `show` makes of kind and value."""
    return _MARK.sub(lambda found: show(found[1], float(found[2])), sentence)
