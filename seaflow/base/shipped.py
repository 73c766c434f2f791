"""Files that ship beside the modules: boats and sheets to start from, pages of help, schemas.

An installed package holds them; a checkout has them beside the package.
"""

from __future__ import annotations

import re
from pathlib import Path

PACKAGE = Path(__file__).parents[1]
# Where the page of a command bears another name.
_PAGE_OF = {"check": "case-file", "diagnose": "diagnosis", "example": "readme"}
_PAGE_OF |= {"explain": "problems", "new": "case-file", "place": "placing", "schema": "own-parts"}
# The line in which editors look for the schema of a file; where it ships, a path to docs.
_SCHEMA = re.compile(r"\A#:schema \S*/(\w+)\.schema\.json$", re.M)


def examples() -> dict[str, Path]:
    """Return the files to start from by name: boats, then sheets of parts."""
    found = [*_files("cases", "*.toml"), *_files("docs/examples", "own-*.*")]
    return {path.stem: path for path in found}


def example_text(path: Path) -> str:
    """Return a file to start from as it is to stand in a folder of one's own."""
    return _SCHEMA.sub(lambda found: schema_line(found[1]), path.read_text(encoding="utf-8"))


def pages() -> dict[str, Path]:
    """Return the pages of help by name."""
    return {path.stem: path for path in _files("docs", "*.md")}


def page_of(topic: str) -> str | None:
    """Return the name of the page on a topic, a page or a command; None if there is none."""
    asked = topic.strip().lower()
    name = _PAGE_OF.get(asked, asked)
    return name if name in pages() else None


def schemas() -> dict[str, Path]:
    """Return the JSON Schemas by the kind of file that each describes."""
    return {path.name.partition(".")[0]: path for path in _files("docs", "*.schema.json")}


def schema_line(kind: str) -> str:
    """Return the line that names the schema of a file, for one that lies beside it."""
    return f"#:schema ./{kind}.schema.json"


def _files(folder: str, pattern: str) -> list[Path]:
    inside = PACKAGE / folder
    return sorted((inside if inside.is_dir() else PACKAGE.parent / folder).glob(pattern))
