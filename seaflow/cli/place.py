"""The command `place`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.boat import Asked, boat_options, load_asked
from seaflow.cli.common import EXITS, refuse
from seaflow.cli.files import write_new
from seaflow.cli.view import View, answer_text, view_options

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.studies.place.study import PlacingAnswer

ENDINGS = (".html", ".svg")


@click.command()
@boat_options()
@click.option(
    "-o",
    "--output",
    metavar="FILE",
    help="Write a page as .html, or the drawing as .svg; that of a second pump into FILE with -2.",
)
@view_options
def place(asked: Asked, output: str | None, view: View) -> None:
    """Rank the places that CASE offers for its pump: afloat, to service, and by ear.

    A place must keep the pump flooded on either tack and feed every unit; those that do are
    ranked by what is heard at the berths. Exit code 1 says that no place holds, 3
    that the first does tightly.
    """
    if output is not None and Path(output).suffix.lower() not in ENDINGS:
        what = f'"{output}" ends neither in .html nor in .svg'
        why = "The page is HTML and the drawing an SVG picture: any browser shows either."
        write = "Write -o place.html or -o place.svg."
        refuse(SeaflowError([Problem("F12", what, why=why, write=write)]), view.json_)
    loaded = load_asked(asked, view.json_)
    from seaflow.studies.place.study import place as place_case

    drawn: list[str] = []
    try:
        answer = place_case(loaded.case, asked.pump_of(loaded.case))
        text = answer_text(view, "place", loaded.case, answer)
        if output is not None:
            make = _page if output.lower().endswith(".html") else _draw
            drawn = make(loaded.case, answer, output, view.units)
    except SeaflowError as refused:
        refuse(refused, view.json_)
    click.echo(text)
    if drawn:
        click.echo(f"{'' if view.json_ else chr(10)}{_told(answer, drawn)}", err=view.json_)
    sys.exit(EXITS[answer.grade])


def _page(case: Case, answer: PlacingAnswer, output: str, units: str) -> list[str]:
    """Write the answer as a page."""
    from seaflow.present.page.place import place_html

    write_new((output, place_html(case, answer, units)))
    return [output]


def _draw(case: Case, answer: PlacingAnswer, output: str, units: str) -> list[str]:
    """Draw the first place of every pump, one file for each; write none if a name is taken."""
    from seaflow.present.place.drawing import place_svg

    path = Path(output)
    names = [
        str(path if number == 0 else path.with_stem(f"{path.stem}-{number + 1}"))
        for number in range(len(answer.pumps))
    ]
    drawings = [place_svg(item.sketch, units) for item in answer.pumps]
    write_new(*zip(names, drawings, strict=True))
    return names


def _told(answer: PlacingAnswer, names: list[str]) -> str:
    """Return which drawing is in which file."""
    if names[0].lower().endswith(".html"):
        return f"The page is in {names[0]}."
    if len(names) == 1:
        return f"The drawing is in {names[0]}."
    each = ", ".join(
        f"{item.pump} in {name}" for item, name in zip(answer.pumps, names, strict=True)
    )
    return f"The drawings: {each}."
