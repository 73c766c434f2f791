"""The word that was meant, where one was written that is not known."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable

# Characters that are not seen and may stand in a name: joiners, and marks that choose a variant.
_HIDDEN = {0x034F, 0x200C, 0x200D, *range(0x180B, 0x1810), *range(0xFE00, 0xFE10)}


def nearest(word: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """Return the known word most like another, or None if none is as like as the cutoff [-]."""
    # Two words share no more letters than the shorter has: one far too long need not be compared.
    like = [one for one in known if 2 * min(len(one), len(word)) >= cutoff * len(one + word)]
    if not like:
        return None
    return next(iter(difflib.get_close_matches(word, like, n=1, cutoff=cutoff)), None)


def did_you_mean(word: str, known: Iterable[str], otherwise: str) -> str:
    """Return what to write for a word that is not known: the one it is like, or something else."""
    known = list(known)
    near = nearest(word, known)
    return same_letters(word, known) or (f'Did you mean "{near}"?' if near else otherwise)


def same_letters(word: str, known: Iterable[str]) -> str | None:
    """Return what to write for a word that looks like one that is known; None if it does not.

    What tells them apart is a hidden character, a space of another kind, or a letter and its accent
    as two characters.
    """
    seen = _seen(word)
    twin = next((one for one in known if one != word and _seen(one) == seen), None)
    if twin is None:
        return None
    plain = _seen(twin)
    for text, where in ((word, "here"), (twin, "there")):
        hidden = ", ".join(f"U+{ord(one):04X} {unicodedata.name(one)}" for one in _hidden_in(text))
        if hidden:
            return (
                f'"{plain}" has the same letters, but {where} is a character that is not seen, '
                f'{hidden}. Type "{plain}" anew {where}.'
            )
    return (
        f'"{plain}" has the same letters, but in one of the two a letter and its accent are two '
        "characters. Type both anew."
    )


def _seen(text: str) -> str:
    """Return a text as it is seen."""
    hidden = _hidden_in(text)
    if not hidden:
        return unicodedata.normalize("NFC", text)
    kept = (one if one not in hidden else " " if one.isspace() else "" for one in text)
    return unicodedata.normalize("NFC", "".join(kept))


def _hidden_in(text: str) -> tuple[str, ...]:
    """Return each kind of character in a text that is not seen, or is another kind of space."""
    return tuple(
        one
        for one in dict.fromkeys(text)
        if ord(one) in _HIDDEN or (one != " " and unicodedata.category(one) == "Zs")
    )
