"""The command `page`."""

from __future__ import annotations

import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.boat import Asked, Meant, boat_options, meant, of_its_pump
from seaflow.cli.common import EXITS, json_option, refuse, sampling_options, units_option, warn
from seaflow.cli.files import require_free, write_new
from seaflow.cli.progress import parts_told

if TYPE_CHECKING:
    from seaflow.boat.case import Case
    from seaflow.boat.load import Loaded
    from seaflow.studies.page.half import HalfKnown
    from seaflow.studies.page.study import BoatPage


@click.command()
@boat_options()
@click.option(
    "-o", "--output", metavar="FILE", required=True, help="The .html file to write; a new name."
)
@click.option(
    "--owner", is_flag=True, help="Only what the owner needs at the dock: normal, and what to do."
)
@json_option
@units_option
@sampling_options(0, 512, "Boats to sample for bands and likelihoods; 0 for none.")
def page(asked: Asked, output: str, owner: bool, json_: bool, units: str, **drawn: int) -> None:
    """Write all there is to say about CASE as one page, for the customer, the file and the dock.

    The page is one file that needs no network: it opens in any browser, on a phone too, and prints.
    It holds both systems of units; --units says which it shows first. Every part is shown with the
    pump that `size` puts first, the survey with the boat as she is. Exit codes are those of `size`.
    Of a boat of which too little is told to calculate anything the page says what to add, and has
    what can be told without (exit code 3).
    The owner's part asks for readings and says what is wrong, offline; --owner writes it alone, of
    the boat with the pump she has, and judges nothing: its exit code is 0. Of more than four units
    it is always a page of its own. Without any boat it is of typical ones with a unit of 5,000 to
    24,000 BTU/h.
    """
    if owner and not (asked.is_said or asked.files or json_):
        _any_boat(output, units)
        return
    if owner and json_:
        raise click.UsageError("--owner writes a page for people; for data ask diagnose --json.")
    boat, loaded, lacks = _loaded(asked, json_, owner)
    try:
        _check(output)
        if lacks:
            _half(loaded.case, lacks, (output, units), json_)
        case = of_its_pump(loaded.case, asked.pump_of(loaded.case))
        if owner:
            write_new((output, _owners(loaded.case, units)))
            _written(output, json_)
            return
        told = boat.read(gaps=True).case if case.typical else case
        answer, made = _made((case, told), units, (drawn["samples"], drawn["seed"]), json_)
        text = _text(case, answer, json_, units)
        write_new((output, made))
    except SeaflowError as error:
        refuse(error, json_)
    click.echo(text)
    _written(output, json_)
    if not _has_owners(case):
        apart = "The owner's part is a page of its own: add --owner, and a new name."
        click.echo(apart, err=json_)
    sys.exit(EXITS[answer.grade])


def _loaded(asked: Asked, json_: bool, owner: bool) -> tuple[Meant, Loaded, tuple[Problem, ...]]:
    """Return the boat, and what she lacks where nothing but that keeps her from being calculated.

    Warnings go to standard error, true errors end the command.
    """
    try:
        boat = meant(asked, json_)
    except SeaflowError as error:
        refuse(error, json_)
    try:
        loaded = boat.read()
    except SeaflowError as error:
        with suppress(SeaflowError):
            if boat.file is not None and not owner:
                return boat, boat.read(gaps=True), error.problems
        refuse(error, json_)
    if not json_:
        warn(loaded.warnings)
    return boat, loaded, ()


def _half(case: Case, lacks: tuple[Problem, ...], where: tuple[str, str], json_: bool) -> None:
    """Write the page of a half-known boat, and end the command: nothing is decided yet."""
    from seaflow.present.page.half import half_html
    from seaflow.studies.page.half import half_known

    output, units = where
    answer = half_known(case, lacks)
    text = _text(case, answer, json_, units)
    write_new((output, half_html(case, answer, units)))
    click.echo(text)
    _written(output, json_)
    sys.exit(EXITS[answer.grade])


def _any_boat(output: str, units: str) -> None:
    """Write the page of owners who said nothing of their boat."""
    from seaflow.present.page.owner import any_boat_html
    from seaflow.studies.page.any_boat import SIZES, any_boats

    try:
        _check(output)
        tell = parts_told("size", len(SIZES), quiet=False)
        write_new((output, any_boat_html(any_boats(tell), units)))
    except SeaflowError as error:
        refuse(error, False)
    _written(output, False)


def _written(output: str, quiet: bool) -> None:
    size = Path(output).stat().st_size // 1000
    click.echo(f"{'' if quiet else chr(10)}The page is in {output} ({size} kB).", err=quiet)


def _owners(case: Case, units: str) -> str:
    from seaflow.present.page.owner import owner_html
    from seaflow.studies.page.study import owners_boats

    tell = parts_told("part", _loops(case) + 1, quiet=False)
    boats = owners_boats(case, tell=tell)
    tell()
    return owner_html(case, boats, units)


def _made(
    boats: tuple[Case, Case], units: str, drawn: tuple[int, int], quiet: bool
) -> tuple[BoatPage, str]:
    """Return the page of a boat as she is calculated, surveyed as she was told of."""
    from seaflow.present.page.page import page_html
    from seaflow.studies.page.study import PARTS, boat_page, owners_boats

    case, told = boats
    has_owners = _has_owners(case)
    tell = parts_told("part", len(PARTS) + has_owners * _loops(case) + 1, quiet)
    answer = boat_page(case, drawn, tell, told)
    owners = owners_boats(case, answer.asked.size, tell) if has_owners else ()
    tell()
    return answer, page_html(case, answer, units, owners)


def _has_owners(case: Case) -> bool:
    from seaflow.studies.page.study import carries_owners_part

    return carries_owners_part(case)


def _loops(case: Case) -> int:
    from seaflow.studies.design.at_rest import loops_in_use

    return len(loops_in_use(case))


def _text(case: Case, answer: BoatPage | HalfKnown, json_: bool, units: str) -> str:
    from seaflow.present.card import card_text
    from seaflow.present.data import as_json
    from seaflow.present.faces import faces_of
    from seaflow.present.layout import shows_bold
    from seaflow.present.quantities import Show

    faces = faces_of("page", case)
    if json_:
        return as_json(faces.data(answer))
    return card_text(faces.card(answer, Show(units)), shows_bold())


def _check(output: str) -> None:
    """Refuse a name of another kind, or one that is taken, before anything is worked out.

    Raises
    ------
    SeaflowError
        With what is wrong with the name.
    """
    if Path(output).suffix.lower() != ".html":
        what = f'"{output}" does not end in .html'
        why = "The page is HTML, which any browser shows."
        raise SeaflowError([Problem("F12", what, why=why, write="Write -o boat.html.")])
    require_free(output)
