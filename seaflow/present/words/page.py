"""The page of a boat: what its own figures and pictures say."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "at_head": "at {head:both} of head",
    "over_need": "it gets {share:.0%} more",
    "under_need": "it gets {share:.0%} less",
    "warmer": "{rise} warmer than the sea",
    "gives": "gives {flow}",
    "window": "Water window: {need} are needed, {flow} are given",
}
