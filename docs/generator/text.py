"""Pages and tables as Markdown, and where things are."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

ROOT = Path(__file__).parents[2]
MARK = "<!-- Written by docs/make.py. Change what it reads, not this page. -->\n"


def page(title: str, intro: str, *parts: str) -> str:
    """Return a page from its title, its first words and its parts."""
    return "\n".join([MARK, f"# {title}\n", intro.strip() + "\n", *parts]).rstrip() + "\n"


def table(head: Iterable[str], rows: Iterable[Iterable[object]]) -> str:
    """Return a table."""
    lines = [list(head)]
    lines += [["---"] * len(lines[0])]
    lines += [[str(cell).replace("|", "\\|").replace("\n", " ") for cell in row] for row in rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines) + "\n"
