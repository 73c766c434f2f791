"""The word that was meant, where one was written that is not known."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def nearest(word: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """Return the known word most like another, or None if none is as like as the cutoff [-]."""
    return next(iter(difflib.get_close_matches(word, list(known), n=1, cutoff=cutoff)), None)


def did_you_mean(word: str, known: Iterable[str], otherwise: str) -> str:
    """Return what to write for a word that is not known: the one it is like, or something else."""
    near = nearest(word, known)
    return f'Did you mean "{near}"?' if near else otherwise
