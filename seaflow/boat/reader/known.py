"""How a fact is known, written before its value: "measured 3 May, photo 14: -0.4 m".

Words are seen, measured, told and calculated; "not accessible: behind the tank" tells that nobody
could look, and why. Behind the word may stand a day, "photo" with its number, and "by" with a name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from seaflow.boat.reader.text import Path

SEEN, MEASURED, TOLD, CALCULATED = "seen", "measured", "told", "calculated"
NOT_ACCESSIBLE = "not accessible"
HOWS = (SEEN, MEASURED, TOLD, CALCULATED, NOT_ACCESSIBLE)
_MARK = re.compile(rf"\s*({'|'.join(HOWS)})\b([^:]*)(?::(.*))?", re.IGNORECASE | re.DOTALL)
_WORDS = {"yes": True, "true": True, "no": False, "false": False}
_AS_TYPED = ("meta", "schema", "record", "visit", "finding")
_NAMES = ("name", "from", "to", "on", "loop")


@dataclass(frozen=True, slots=True)
class HowKnown:
    """How a fact is known: the word for it, the day, who found it, a photo, or why it was not.

    `visit` is the file or the record that tells it.
    """

    how: str = TOLD
    date: str = ""
    by: str = ""
    photo: str = ""
    why: str = ""
    visit: str = ""

    @property
    def mark(self) -> str:
        """What stands before a value that is known so; of what nobody could see, all of it."""
        day = f" {self.date}" if self.date else ""
        more = [f"by {self.by}"] if self.by else []
        more += [f"photo {self.photo}"] if self.photo else []
        found = f"{self.how}{day}{''.join(f', {item}' for item in more)}"
        return f"{found}: {self.why}" if self.why else found


@dataclass(slots=True)
class Marks:
    """What stood before values, by their paths."""

    found: dict[Path, HowKnown] = field(default_factory=dict)


def mark_of(text: str) -> tuple[HowKnown, str] | None:
    """Return how a value is known and the value itself, or None where the text does not say."""
    told = _MARK.fullmatch(text)
    if told is None:
        return None
    how, between, value = told[1].lower(), told[2], (told[3] or "").strip()
    if how == NOT_ACCESSIBLE:
        return replace(_details(how, between), why=value), ""
    return (_details(how, between), value) if value else None


def _details(how: str, between: str) -> HowKnown:
    found = {"date": "", "by": "", "photo": ""}
    for part in between.split(","):
        word, _, rest = part.strip().partition(" ")
        if word.lower() in ("by", "photo"):
            found[word.lower()] = rest.strip()
        elif part.strip():
            found["date"] = (rest if word.lower() == "on" else part).strip()
    return HowKnown(how, **found)


def without_marks(
    raw: Mapping[str, Any], typed: bool
) -> tuple[dict[str, Any], dict[Path, HowKnown]]:
    """Return TOML data without what stands before its values, and that by the paths of the values.

    What was not accessible is left out. With `typed` yes, no and counts become what TOML has for
    them.
    """
    marks = Marks()
    kept = {
        name: content if name in _AS_TYPED else _plain(content, (name,), marks, typed)
        for name, content in raw.items()
    }
    return kept, marks.found


def _plain(content: Any, path: Path, marks: Marks, typed: bool) -> Any:
    if isinstance(content, Mapping):
        return dict(_items(content, path, marks, typed))
    if isinstance(content, list):
        return [
            _plain(item, (*path, row), marks, typed) if isinstance(item, Mapping) else item
            for row, item in enumerate(content)
        ]
    return content


def _items(
    content: Mapping[str, Any], path: Path, marks: Marks, typed: bool
) -> Iterator[tuple[str, Any]]:
    for key, value in content.items():
        here = (*path, key)
        told = mark_of(value) if isinstance(value, str) and key not in _NAMES else None
        if told is None:
            yield key, _plain(value, here, marks, typed)
            continue
        marks.found[here] = told[0]
        if told[0].how != NOT_ACCESSIBLE:
            yield key, _as_toml(told[1]) if typed else told[1]


def _as_toml(value: str) -> Any:
    if value.lower() in _WORDS:
        return _WORDS[value.lower()]
    return int(value) if re.fullmatch(r"\d+", value) else value
