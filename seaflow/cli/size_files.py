"""Files that `size` writes: a page, the list of materials, and the picture of pump and loop."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.files import require_free, write_new

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.studies.size.size import Sizing

ENDINGS = (".html", ".csv", ".svg", ".png")
SHARPER = 2  # points to a unit of the picture


def check_outputs(outputs: tuple[str, ...]) -> None:
    """Refuse a file of another kind, one that cannot be made, and a PNG that nothing can draw.

    Raises
    ------
    SeaflowError
        With every problem of the first kind that is found.
    """
    bad = [_ending(name) for name in outputs if Path(name).suffix.lower() not in ENDINGS]
    if bad:
        raise SeaflowError(bad)
    require_free(*outputs)
    if any(Path(name).suffix.lower() == ".png" for name in outputs):
        _points_of("<svg/>", dry=True)


def write_outputs(case: Case, answer: Sizing, outputs: tuple[str, ...], units: str) -> list[str]:
    """Write the files, all or none, and return what is in which.

    Raises
    ------
    SeaflowError
        If a name is taken or a file cannot be written.
    """
    from seaflow.base.facts import fact
    from seaflow.present.quantities import Show

    contents = [_content(case, answer, Path(name).suffix.lower(), units) for name in outputs]
    write_new(*zip(outputs, contents, strict=True))
    return [
        Show(units).sentence(fact(_told(Path(name).suffix.lower()), file=name)) for name in outputs
    ]


def _told(ending: str) -> str:
    return {".csv": "curves.listed", ".html": "curves.paged"}.get(ending, "curves.drawn")


def _content(case: Case, answer: Sizing, ending: str, units: str) -> str | bytes:
    if ending == ".csv":
        from seaflow.present.size.materials import materials_csv
        from seaflow.studies.size.materials import boat_materials

        return materials_csv(boat_materials(case, answer))
    if ending == ".html":
        from seaflow.present.page.page import size_html
        from seaflow.studies.page.study import size_page

        return size_html(case, size_page(case, answer), units)
    from seaflow.present.size.curve_svg import curves_svg
    from seaflow.studies.size.curves import boat_curves

    drawn = curves_svg(answer.boat, boat_curves(case, answer), units)
    return drawn if ending == ".svg" else _points_of(drawn)


def _points_of(drawn: str, dry: bool = False) -> bytes:
    """Return an SVG picture as PNG; `dry` only looks whether that can be done."""
    try:
        from resvg_py import svg_to_bytes
    except ImportError:
        what = "a PNG needs a package that is not installed"
        why = "The picture is drawn in lines; an optional extra turns them into points."
        write = 'Write -o curve.svg, or install it: pip install "seaflow[png]".'
        raise SeaflowError([Problem("F17", what, why=why, write=write)]) from None
    return b"" if dry else bytes(svg_to_bytes(svg_string=drawn, zoom=SHARPER))


def _ending(name: str) -> Problem:
    return Problem(
        "F12",
        f'"{name}" ends neither in .html nor in .csv, .svg or .png',
        why="The ending says what is written: a page, the list of materials, or the curves drawn.",
        write="Write -o size.html, -o list.csv, -o curve.svg or -o curve.png.",
    )
