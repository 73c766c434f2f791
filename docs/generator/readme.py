"""README.md as a page without links, for a package index and for `seaflow explain readme`."""

from __future__ import annotations

import re

from generator.text import MARK, ROOT

_LINK = re.compile(r"\[([^\]]+)\]\(([^)\s]+)\)")


def readme() -> str:
    """Return README.md; in place of a link to a page stands the command that shows it."""
    return MARK + _LINK.sub(_said, (ROOT / "README.md").read_text(encoding="utf-8"))


def _said(found: re.Match[str]) -> str:
    words, goal = found.groups()
    if not re.fullmatch(r"docs/[\w-]+\.md(#.*)?", goal):
        return words
    name = goal.removeprefix("docs/").partition(".md")[0]
    return f"{words} (`seaflow explain {name}`)"
