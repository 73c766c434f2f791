"""What a case leaves open though the boat must have it."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from seaflow.boat.reader.text import Path


@dataclass(frozen=True, slots=True)
class Gap:
    """A thing of which something is not recorded, and all that it could be, in SI.

    `path` leads to its table, and its row where there are several; each of `values` gives every key
    that is open, and those that go with it. The first stands in.
    """

    path: Path
    keys: tuple[str, ...]
    values: tuple[Mapping[str, Any], ...]

    def without(self, known: Mapping[str, Any]) -> Gap | None:
        """Return what is left of the gap when some of its keys are known; None if nothing is."""
        left = tuple(key for key in self.keys if key not in known and self._has(key, known))
        if not left:
            return None
        told = {key: value for key, value in known.items() if key in self.keys}
        agree = [one for one in self.values if all(one.get(key) == told[key] for key in told)]
        values = tuple({**one, **told} for one in agree or self.values)
        return dataclasses.replace(self, keys=left, values=values)

    def _has(self, key: str, known: Mapping[str, Any]) -> bool:
        """Return whether a key is there at all, such as a frequency: direct current has none."""
        agree = [one for one in self.values if all(one.get(k, v) == v for k, v in known.items())]
        return any(key in one for one in agree or self.values)
