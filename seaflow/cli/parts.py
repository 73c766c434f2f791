"""The command `parts`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.common import (
    json_option,
    known_parts,
    parts_option,
    refuse,
    show_json,
    units_option,
)
from seaflow.cli.files import write_new

if TYPE_CHECKING:
    from seaflow.boat.parts.catalogue import Catalogue
    from seaflow.studies.parts import DrawnCurve


@click.command()
@click.argument("table", required=False)
@click.argument("name", required=False)
@parts_option
@click.option("--curve", is_flag=True, help="Draw the curve of the pump NAME.")
@click.option("-o", "--output", metavar="FILE.svg", help="Write the curve as a new SVG picture.")
@json_option
@units_option
def parts(
    table: str | None,
    name: str | None,
    parts: tuple[str, ...],
    json_: bool,
    units: str,
    **draw: str,
) -> None:
    """List the parts that are known and where their figures are from.

    TABLE shows one table, TABLE NAME one part in full, and a file in place of both what is read
    from it; for a pump --curve draws its curve, and -o FILE.svg writes it as a picture to lay
    beside the sheet.
    """
    if table is not None and name is None and _is_a_sheet(table):
        parts, table, name = (*parts, table), "own", None
    catalogue = known_parts(parts, json_)
    if table == "own" or (name is None and draw["curve"] and catalogue.own):
        _show_own(catalogue, bool(draw["curve"]), draw["output"], (json_, units))
    elif draw["curve"] or draw["output"] is not None:
        _draw(catalogue, (table, name), (json_, units, draw["output"]))
    elif name is not None:
        _show_one(catalogue, (str(table), name), json_, units)
    else:
        _list(catalogue, table, json_)


def _is_a_sheet(word: str) -> bool:
    from seaflow.boat.parts.own_parts import names_a_file
    from seaflow.studies.parts import table_called

    return table_called(word) is None and names_a_file(word)


def _show_own(catalogue: Catalogue, curve: bool, output: str | None, how: tuple[bool, str]) -> None:
    """Show every own part, or draw the curve of every own pump."""
    from seaflow.boat.parts.catalogue import SHEET_TABLES
    from seaflow.boat.parts.sheets import PumpSheet
    from seaflow.present.parts.text import curve_text, part_text
    from seaflow.studies.parts import drawn_curve, known_part

    json_, units = how
    pumps = [sheet.name for sheet in catalogue.own if isinstance(sheet, PumpSheet)]
    if output is not None and len(pumps) == 1:
        _draw(catalogue, ("pumps", pumps[0]), (json_, units, output))
    elif output is not None or (curve and not pumps):
        what = f"the files hold {len(pumps) or 'no'} pumps, and one curve is drawn"
        names = ", ".join(pumps)
        words = ("A picture shows one curve.", f"Write: seaflow parts pumps NAME -o; {names}.")
        _refuse("F11", what, words, json_)
    elif curve:
        curves = [drawn_curve(catalogue, name) for name in pumps]
        if json_:
            show_json(curves[0] if len(curves) == 1 else {"curves": curves})
        else:
            click.echo("\n\n".join(curve_text(one, units) for one in curves))
    else:
        tables = {kind: table for table, kind in SHEET_TABLES.items()}
        found = [known_part(catalogue, tables[type(one)], one.name) for one in catalogue.own]
        if json_:
            show_json({"parts": found})
        else:
            click.echo("\n\n".join(part_text(part, units) for part in found))


def _list(catalogue: Catalogue, table: str | None, json_: bool) -> None:
    from seaflow.boat.parts.catalogue import TABLES
    from seaflow.present.parts.text import parts_text
    from seaflow.studies.parts import known_parts as all_parts

    tables = TABLES if table is None else (_table(table, json_),)
    found = all_parts(catalogue, tables)
    if json_:
        show_json({"parts": found})
    else:
        click.echo(parts_text(found, tables[0]))


def _show_one(catalogue: Catalogue, what: tuple[str, str], json_: bool, units: str) -> None:
    from seaflow.boat.parts.part import NoSuchPart
    from seaflow.present.parts.text import part_text
    from seaflow.studies.parts import known_part

    found = _table(what[0], json_)
    try:
        part = known_part(catalogue, found, what[1])
    except NoSuchPart as missing:
        refuse(SeaflowError([Problem("S16", *missing.texts)]), json_)
    if json_:
        show_json(part)
    else:
        click.echo(part_text(part, units))


def _draw(
    catalogue: Catalogue, what: tuple[str | None, str | None], how: tuple[bool, str, str | None]
) -> None:
    table, name = what
    json_, units, output = how
    if name is None or _table(str(table), json_) != "pumps":
        words = (
            "A curve is head over flow, which only a pump's sheet gives.",
            "Write: seaflow parts pumps NAME --curve.",
        )
        _refuse("F11", "only a pump has a curve", words, json_)
    from seaflow.boat.parts.part import NoSuchPart
    from seaflow.studies.parts import drawn_curve

    try:
        curve = drawn_curve(catalogue, name)
    except NoSuchPart as missing:
        refuse(SeaflowError([Problem("S16", *missing.texts)]), json_)
    if output is not None:
        _write(curve, output, units, json_)
    elif json_:
        show_json(curve)
    else:
        from seaflow.present.parts.text import curve_text

        click.echo(curve_text(curve, units))


def _write(curve: DrawnCurve, output: str, units: str, json_: bool) -> None:
    from seaflow.base.facts import fact
    from seaflow.present.parts.curve_svg import curve_svg
    from seaflow.present.quantities import Show

    if Path(output).suffix.lower() != ".svg":
        words = ("The picture is drawn in lines, which is what SVG is.", "Write -o curve.svg.")
        _refuse("F12", f'"{output}" does not end in .svg', words, json_)
    try:
        write_new((output, curve_svg(curve, units)))
    except SeaflowError as error:
        refuse(error, json_)
    if json_:
        show_json({"file": output})
    else:
        said = fact("parts.drawn", pump=curve.title, file=output)
        click.echo(Show(units).sentence(said))


def _table(name: str, json_: bool) -> str:
    from seaflow.boat.parts.catalogue import TABLES
    from seaflow.studies.parts import table_called

    found = table_called(name)
    if found is None:
        words = ("Parts stand in one table for each kind.", f"Tables: {', '.join(TABLES)}.")
        _refuse("F10", f'there is no table of "{name}"', words, json_)
    return found


def _refuse(code: str, what: str, words: tuple[str, str], json_: bool) -> NoReturn:
    """Refuse what was asked; `words` are why and what to write."""
    why, write = words
    refuse(SeaflowError([Problem(code, what, why=why, write=write)]), json_)
