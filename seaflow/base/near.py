"""The word that was meant, where one was written that is not known."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable

# Characters that are not seen and may stand in a name: joiners, and marks that choose a variant.
_HIDDEN = {0x034F, 0x200C, 0x200D, *range(0x180B, 0x1810), *range(0xFE00, 0xFE10)}
# Letters of other alphabets that look like ours: Cyrillic, Greek, and i without its dot.
_LOOKS_LIKE = str.maketrans(
    "\u0430\u0435\u043a\u043c\u043e\u0440\u0441\u0442\u0443\u0445\u0455\u0456\u0458\u04bb\u0501"
    "\u0410\u0412\u0415\u041a\u041c\u041d\u041e\u0420\u0421\u0422\u0423\u0425\u0405\u0406\u0408"
    "\u03b1\u03b9\u03bd\u03bf\u03c1\u0391\u0392\u0395\u0396\u0397\u0399\u039a\u039c\u039d\u039f"
    "\u03a1\u03a4\u03a5\u03a7\u0131",
    "aekmopctyxsijhdABEKMHOPCTYXSIJaivopABEZHIKMNOPTYXi",
)


def nearest(word: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """Return the known word most like another, or None if none is as like as the cutoff [-]."""
    # Two words share no more letters than the shorter has: one far too long need not be compared.
    like = [one for one in known if 2 * min(len(one), len(word)) >= cutoff * len(one + word)]
    if not like:
        return None
    return next(iter(difflib.get_close_matches(word, like, n=1, cutoff=cutoff)), None)


def called(word: str, names: Iterable[str]) -> tuple[str, ...]:
    """Return the names that a typed word may mean: the one it is, or else those it begins.

    Letter case and blanks make no difference, and a beginning of whole words comes first.
    """
    plain = {name: _as_typed(name) for name in names}
    typed = _as_typed(word)
    same = [name for name, one in plain.items() if one == typed]
    words = [name for name, one in plain.items() if one.startswith(f"{typed} ")]
    begun = [name for name, one in plain.items() if typed and one.startswith(typed)]
    return tuple(same[:1] or words or begun)


def _as_typed(name: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def did_you_mean(word: str, known: Iterable[str], otherwise: str) -> str:
    """Return what to write for a word that is not known: the one it is like, or something else."""
    known = list(known)
    near = nearest(word, known)
    return same_letters(word, known) or (f'Did you mean "{near}"?' if near else otherwise)


def same_letters(word: str, known: Iterable[str]) -> str | None:
    """Return what to write for a word that looks like one that is known; None if it does not.

    What tells them apart is a hidden character, a space of another kind, a letter of another
    alphabet, or a letter and its accent as two characters.
    """
    seen = as_seen(word)
    twin = next((one for one in known if one != word and as_seen(one) == seen), None)
    if twin is None:
        return None
    plain = _without_hidden(twin)
    for text, where in ((word, "here"), (twin, "there")):
        hidden = ", ".join(map(named, _hidden_in(text)))
        if hidden:
            return (
                f'"{plain}" has the same letters, but {where} is a character that is not seen, '
                f'{hidden}. Type "{plain}" anew {where}.'
            )
    here, there = _first_apart(word, plain)
    if here:
        return (
            f'"{plain}" looks the same, but one letter is of another alphabet: {named(here)} '
            f'here, {named(there)} there. Type "{plain}" anew.'
        )
    return (
        f'"{plain}" has the same letters, but in one of the two a letter and its accent are two '
        "characters. Type both anew."
    )


def named(character: str) -> str:
    """Return a character by its number and its name in Unicode."""
    return f"U+{ord(character):04X} {unicodedata.name(character, '')}".rstrip()


def as_seen(text: str) -> str:
    """Return a text as it is seen, every letter by the one of our alphabet that it looks like."""
    return unicodedata.normalize("NFC", _without_hidden(text).translate(_LOOKS_LIKE))


def _first_apart(word: str, other: str) -> tuple[str, str]:
    """Return the first letters that look the same in two words and are not; nothing for none."""
    pairs = zip(*(unicodedata.normalize("NFC", one) for one in (word, other)), strict=False)
    return next(((one, its) for one, its in pairs if one != its), ("", ""))


def _without_hidden(text: str) -> str:
    hidden = _hidden_in(text)
    kept = (one if one not in hidden else " " if one.isspace() else "" for one in text)
    return unicodedata.normalize("NFC", "".join(kept) if hidden else text)


def _hidden_in(text: str) -> tuple[str, ...]:
    """Return each kind of character in a text that is not seen, or is another kind of space."""
    return tuple(
        one
        for one in dict.fromkeys(text)
        if ord(one) in _HIDDEN or (one != " " and unicodedata.category(one) == "Zs")
    )
