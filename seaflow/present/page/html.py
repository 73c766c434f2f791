"""Fills the templates of the page; whatever is not markup of its own is escaped."""

from __future__ import annotations

import hashlib
from base64 import b64encode
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from seaflow.base.facts import fact
from seaflow.base.shipped import PACKAGE
from seaflow.present.charts.svg import looks
from seaflow.present.page.both import AMERICAN, amount_of, tied, told
from seaflow.present.page.slim import slim

FOLDER = PACKAGE / "data" / "page"


@dataclass(frozen=True, slots=True)
class PageSheet:
    """One section of the page: its mark in the address, title, template and what that is given.

    `starts` tells that a new sheet of paper begins with it, `detail` that it is left out where the
    page is printed in short.
    """

    mark: str
    title: str
    template: str
    given: dict[str, Any] = field(default_factory=dict)
    aside: str = ""
    starts: bool = False
    short: str = ""
    detail: bool = False


SCRIPT = ("script.js",)
# scripts of the owner's questions
OWNERS = ("dock.js", "dock_read.js", "dock_form.js", "dock_kept.js")


def filled(boat: str, sheets: Iterable[PageSheet], system: str, more: dict[str, Any]) -> str:
    """Return the whole page: one file, which asks the network for nothing.

    `boats` among `more` are those that the owner's questions are weighed by, as JSON, or nothing.
    """
    more = {"made": told(fact("dock.made")), **more}
    script = "".join(map(_text, SCRIPT + (OWNERS if more["boats"] else ())))
    page = (
        _templates()
        .get_template("page.html")
        .render(
            boat=boat,
            sheets=list(sheets),
            american=system == AMERICAN.system,
            style=_style(boat),
            signs=Markup(_text("signs.svg")),
            script=Markup(script),
            digest=b64encode(hashlib.sha256(script.encode()).digest()).decode(),
            **more,
        )
    )
    page, looks_of_drawings = slim(page)
    return page.replace("</style>", looks_of_drawings + "</style>", 1)


def record_page(template: str, boat: str, **given: Any) -> str:
    """Return a page of the survey, its record or its checklist, in the style of all pages."""
    style, signs = _style(boat) + Markup(_text("record.css")), Markup(_text("signs.svg"))
    filled_in = _templates().get_template(template)
    return filled_in.render(boat=boat, style=style, signs=signs, **given)


def _style(boat: str) -> Markup:
    """Return the style, with the boat's name at the foot of every sheet of paper."""
    named = _text("style.css").replace("BOAT", _in_style(f"{boat}: seawater cooling"))
    return Markup(named + looks())


@cache
def _templates() -> Environment:
    found = Environment(
        loader=FileSystemLoader(FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.globals["amount"] = amount_of
    found.filters["tied"] = tied
    return found


def _in_style(text: str) -> str:
    """Return words for a style: whatever is no letter or figure by its number."""
    return "".join(c if c.isascii() and c.isalnum() else f"\\{ord(c):x} " for c in text)


def _text(name: str) -> str:
    return (FOLDER / name).read_text(encoding="utf-8")
