"""The command `explain`."""

from __future__ import annotations

import sys

import click

from seaflow.base.problems import Meaning, SeaflowError, meanings
from seaflow.base.shipped import page_of, pages
from seaflow.cli.common import EXIT_FINE, json_option, refuse, show_json


@click.command()
@click.argument("topics", metavar="[TOPIC]...", nargs=-1)
@json_option
def explain(topics: tuple[str, ...], json_: bool) -> None:
    """Tell what a problem code means, or show a page of help; without TOPIC list both.

    A code stands before every problem, such as K02. A page is called like a command or a subject,
    such as size or theory.
    """
    names = [page_of(topic) for topic in topics]
    codes = [topic for topic, name in zip(topics, names, strict=True) if name is None]
    try:
        found = meanings(codes) if codes or not topics else ()
    except SeaflowError as error:
        refuse(error, json_)
    shown = [name for name in dict.fromkeys(names) if name is not None]
    if json_:
        show_json({"codes": found, "pages": _pages(shown) if topics else list(pages())})
    else:
        click.echo(_text(found, shown) if topics else _list(found))
    sys.exit(EXIT_FINE)


def _pages(names: list[str]) -> list[dict[str, str]]:
    return [{"name": name, "text": pages()[name].read_text(encoding="utf-8")} for name in names]


def _text(found: tuple[Meaning, ...], names: list[str]) -> str:
    from seaflow.present.layout import shows_bold
    from seaflow.present.problems import meanings_text
    from seaflow.present.shipped_text import page_text

    texts = [meanings_text(found)] if found else []
    texts += [page_text(page["text"], shows_bold()) for page in _pages(names)]
    return "\n\n".join(texts)


def _list(found: tuple[Meaning, ...]) -> str:
    from seaflow.present.problems import codes_text
    from seaflow.present.shipped_text import pages_text

    return f"{codes_text(found)}\n\n{pages_text(pages())}"
