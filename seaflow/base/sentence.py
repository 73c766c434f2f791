"""Quantities inside sentences: written as marks in SI, turned into units by whoever shows them."""

from __future__ import annotations

import base64
import pickle
import re
from collections.abc import Callable
from typing import Any

# Characters set aside for private use: nobody's name for a thing on a boat has them.
_OPEN, _CLOSE = "\ue000", "\ue001"
_MARK = re.compile(f"{_OPEN}(\\w+)\\|([^{_CLOSE}]*){_CLOSE}")


def quantity(kind: str, value: float) -> str:
    """Return a mark for a number of some kind, such as "flow", to stand in a sentence."""
    return f"{_OPEN}{kind}|{float(value)!r}{_CLOSE}"


def spoken(fact: object) -> str:
    """Return a mark for a fact, to stand in a sentence that has not moved to the book yet."""
    return f"{_OPEN}fact|{base64.b64encode(pickle.dumps(fact)).decode()}{_CLOSE}"


def rendered(sentence: str, show: Callable[[str, Any], str]) -> str:
    """Return the sentence with every mark replaced by what `show` makes of kind and value."""

    def shown(found: re.Match[str]) -> str:
        if found[1] == "fact":
            return show("fact", pickle.loads(base64.b64decode(found[2])))
        return show(found[1], float(found[2]))

    return _MARK.sub(shown, sentence)
