"""Files that ship with seaflow, for the terminal: the list of examples, and pages of help.

Pages are written in the Markdown of this project's docs: headings, paragraphs, lists, tables,
fenced blocks and links. A link to another page becomes the command that shows it. Fenced blocks
stand as they are on any terminal: they are to be copied, or drawn.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import takewhile
from pathlib import Path

from seaflow.base.shipped import pages
from seaflow.present.layout import WIDTH, Heading, bullet, labelled, paragraph, table

_LINK = re.compile(r"\[([^\]]+)\]\((?:docs/)?([^)#\s]*)(?:#[^)\s]*)?\)")
_MARKS = re.compile(r"\*\*|`")
_POINT = re.compile(r"^(\s*)(?:([-*])|(\d+\.))\s+")
_RULED = re.compile(r"^\|(\s*:?-+:?\s*\|)+$")
_FOLDERS = re.compile(r"\b(?:cases|docs/examples)/(?=[\w-]+\.)")  # that only a checkout has
_REMARK = re.compile(r"<!--.*?-->\n?", re.DOTALL)


def examples_text(found: Mapping[str, Path]) -> str:
    """Return what can be written, a line each, and how."""
    indent = max(map(len, found)) + 4
    lines = [labelled(name, _first_sentence(path), indent) for name, path in found.items()]
    return "\n".join([*lines, "", paragraph("To write one into this folder: seaflow example NAME")])


def _first_sentence(path: Path) -> str:
    lines = path.read_text(encoding="utf-8").split("\n")
    remarks = takewhile(lambda line: line.startswith("#"), lines)
    said = " ".join(line[2:] for line in remarks if line.startswith("# "))
    return said.partition(". ")[0].rstrip(".") + "."


def pages_text(found: Iterable[str]) -> str:
    """Return which pages of help there are, and how to read one."""
    listed, how = f"Pages: {', '.join(found)}.", "To read one: seaflow explain size"
    return f"{paragraph(listed)}\n\n{paragraph(how)}"


def page_text(text: str, bolder: bool = False) -> str:
    """Return a page of help as plain text; `bolder` for a terminal that shows headings in bold."""
    bare = _FOLDERS.sub("", _REMARK.sub("", text))
    blocks = (_block(lines, bolder) for lines in _blocks(bare.split("\n")))
    return "\n\n".join(block.strip("\n") for block in blocks if block)


def _blocks(lines: list[str]) -> Iterator[list[str]]:
    """Yield runs of lines between empty ones; a fenced block is one run whatever is in it."""
    block: list[str] = []
    fenced = False
    for line in lines:
        if line.startswith("```"):
            if not fenced and block:
                yield block
                block = []
            fenced = not fenced
            block.append(line)
            if not fenced:
                yield block
                block = []
        elif fenced or line.strip():
            block.append(line)
        elif block:
            yield block
            block = []
    if block:
        yield block


def _block(lines: list[str], bolder: bool) -> str:
    first = lines[0]
    if first.startswith("```"):
        return "\n".join(f"    {line}" if line else "" for line in lines[1:-1])
    if first.startswith("#"):
        rest = _block(lines[1:], bolder) if lines[1:] else ""
        return f"{Heading(plain(first.lstrip('# '))).shown(bolder)}\n{rest}".strip("\n")
    if len(lines) > 1 and _RULED.match(lines[1]):
        head, *rows = (_cells(line) for n, line in enumerate(lines) if n != 1)
        return table(head, rows, most=WIDTH)
    return "\n".join(_points(lines))


def _cells(line: str) -> list[str]:
    cells = re.split(r"(?<!\\)\|", line.strip().strip("|"))
    return [plain(cell.replace("\\|", "|").strip()) for cell in cells]


def _points(lines: list[str]) -> Iterator[str]:
    """Yield paragraphs and the points of lists, each wrapped."""
    points: list[tuple[str, int, str]] = []
    for line in lines:
        found = _POINT.match(line)
        if found:
            points.append((found[3] or "-", 2 + len(found[1]), line[found.end() :]))
        elif points:
            mark, indent, said = points[-1]
            points[-1] = (mark, indent, f"{said} {line.strip()}")
        else:
            points.append(("", 0, line.strip()))
    for mark, indent, said in points:
        yield bullet(plain(said), mark, indent) if mark else paragraph(plain(said))


def plain(said: str) -> str:
    """Return words without marks; a link to a page names the command that shows it."""
    return _MARKS.sub("", _LINK.sub(_link, said))


def _link(found: re.Match[str]) -> str:
    name = Path(found[2]).stem
    asked = f"seaflow explain {name}"
    if not found[2].endswith(".md") or name not in pages() or asked in found[1]:
        return found[1]
    return f"{found[1]} ({asked})"
