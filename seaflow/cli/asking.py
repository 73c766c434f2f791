"""One question at a time: the reading that would tell most for its effort, until one stops."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import click

from seaflow.base.near import called
from seaflow.base.problems import SeaflowError
from seaflow.boat.reader.bounds import acting
from seaflow.boat.reader.text import CaseText, acting_problem
from seaflow.cli.common import is_interrupt, units_asked_for
from seaflow.forms.bare import bare_unit, with_unit
from seaflow.present.diagnose_text import (
    NOTHING_BEFORE,
    WELCOME,
    asked_text,
    cautions_text,
    so_far_text,
    stop_text,
    which_loop_text,
)
from seaflow.present.layout import folded
from seaflow.present.problems import problems_text
from seaflow.present.quantities import Show
from seaflow.studies.design.cautions import Caution
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.agreement import refuse_unseen
from seaflow.studies.diagnose.answer import causes, general_cautions, posterior_of
from seaflow.studies.diagnose.impossible import refuse_impossible
from seaflow.studies.diagnose.look import LOAD, looks, wants_load
from seaflow.studies.diagnose.next_reading import (
    NONE_HELPS,
    NextReading,
    open_readings,
    usual_reading,
)
from seaflow.studies.diagnose.readings import HIGH_SIDE, Readings, instruments
from seaflow.studies.diagnose.values import CELSIUS, FAHRENHEIT, load_of
from seaflow.studies.diagnose.verdict import stop_of
from seaflow.studies.diagnose.written import by_outlet, number_of, sign_of

if TYPE_CHECKING:
    from seaflow.boat.network import Network
    from seaflow.studies.diagnose.infer import Posterior
    from seaflow.studies.diagnose.own_boat import OwnBoat
    from seaflow.studies.diagnose.simulate import Setup

STOP = ("stop", "quit", "q", "exit", "done")
BACK = "back"
PASSED = ("", "?", "skip", "pass", "no idea", "don't know", "dunno", "unknown")
OVER_THE_SEA = ("discharge", *HIGH_SIDE)  # readings that say little without the sea
MOST_ASKED = 2  # times that the sea is asked for
FIRST = 2  # places that may not be a machine before the load is told


@dataclass(frozen=True, slots=True)
class _Now:
    """What is known before a question, and which were passed over, each with its place."""

    readings: Readings
    posterior: Posterior
    passed: tuple[tuple[str, str], ...] = ()


def asked(
    setup: Setup, readings: Readings, sampling: Sampling, own: OwnBoat | None, units: str
) -> Readings:
    """Return the readings with what was answered; any answer may be gone back to."""
    click.echo(folded(WELCOME))
    said: set[str] = set()
    warned: list[Caution] = []
    now = _Now(readings, posterior_of(setup, readings, sampling, own))
    before: list[tuple[_Now, NextReading]] = []  # every answer, to go back to
    undone: list[NextReading] = []  # gone back over, and not answered anew
    earlier: dict[tuple[str, str], str] = {}
    wanted: NextReading | None = None
    while True:
        _say_so_far(now, units, said)
        wanted = wanted or _next(now.posterior, now.readings, now.passed, setup)
        if wanted is None:
            return now.readings
        _warn_of(wanted, setup, warned)
        usual, at = usual_reading(now.posterior, wanted), (wanted.kind, wanted.place)
        click.echo(asked_text(wanted, usual, setup.places, units, earlier.get(at, "")))
        typed = _typed()
        word = typed.lower().rstrip(" .")
        if word in STOP:
            said_before = [(one, earlier.get((one.kind, one.place), "")) for one in undone]
            return _kept(setup, now, said_before, (sampling, own)).readings
        if word == BACK:
            if before:
                now, wanted = before.pop()
                undone.append(wanted)
            else:
                click.echo(folded(NOTHING_BEFORE))
            continue
        typed = typed or earlier.get(at, "")
        then = _answered(setup, now, wanted, typed, (sampling, own))
        if then is None:
            continue
        before.append((now, wanted))
        undone = [one for one in undone if (one.kind, one.place) != at]
        earlier[at] = "" if typed.lower().rstrip(" .") in PASSED else typed
        now, wanted = then, None


def loop_asked(found: Sequence[Network]) -> str | None:
    """Return the loop that is meant, told by name, its beginning or number; None for none."""
    names = [loop.name for loop in found]
    rows = [(loop.name, [unit.name for unit in loop.units]) for loop in found]
    click.echo(which_loop_text(rows))
    while (typed := _typed()).lower() not in (*STOP, *PASSED):
        by_number = {str(number): (name,) for number, name in enumerate(names, start=1)}
        meant = by_number.get(typed) or called(typed, names)
        if len(meant) == 1:
            return meant[0]
        click.echo(which_loop_text(rows))
    return None


def _say_so_far(now: _Now, units: str, said: set[str]) -> None:
    _say_once(stop_text(stop_of(now.posterior, now.readings), units), said)
    first = None if now.readings.is_empty else causes(now.posterior, now.readings)[0]
    if first is not None:
        click.echo(so_far_text(first, units))


def _kept(
    setup: Setup,
    now: _Now,
    undone: Sequence[tuple[NextReading, str]],
    draw: tuple[Sampling, OwnBoat | None],
) -> _Now:
    """Return what is known with answers gone back over: whoever leaves has not taken them back."""
    for wanted, typed in reversed(undone):
        now = (_answered(setup, now, wanted, typed, draw) if typed else None) or now
    return now


def _answered(
    setup: Setup,
    now: _Now,
    wanted: NextReading,
    typed: str,
    draw: tuple[Sampling, OwnBoat | None],
) -> _Now | None:
    """Return what is known after an answer, or None where it cannot be, which is said."""
    if typed.lower().rstrip(" .") in PASSED:
        return replace(now, passed=(*now.passed, (wanted.kind, wanted.place)))
    more = _taken(setup, now.readings, wanted, with_unit(typed, _unit_of_bare(wanted)))
    if more == now.readings:
        return None
    told = posterior_of(setup, more, *draw)
    return None if _unseen(told, more) else replace(now, readings=more, posterior=told)


def _typed() -> str:
    while True:
        try:
            typed: str = click.prompt(">", default="", show_default=False, prompt_suffix=" ")
        except click.Abort as stopped:
            if is_interrupt(stopped):
                raise
            return STOP[0]
        plain = typed.strip().encode("utf-8", "replace").decode("utf-8")
        if not acting(plain):
            return plain
        click.echo(_problems(SeaflowError([acting_problem(CaseText(""), (), plain)])))


def _unit_of_bare(wanted: NextReading) -> str | None:
    """Return the unit of a bare number, if units were asked for; seconds of a bucket need none."""
    units, instrument = units_asked_for(), instruments().get(wanted.kind)
    if not units or instrument is None or instrument.show == "flow":
        return None
    return bare_unit(instrument.show, instrument.unit, units)


def _say_once(text: str, said: set[str]) -> None:
    if text and text not in said:
        click.echo(text)
        said.add(text)


def _warn_of(wanted: NextReading, setup: Setup, warned: list[Caution]) -> None:
    """Say the cautions of a question, each once; before the first of them those of any work."""
    if not wanted.cautions:
        return
    general = () if warned else general_cautions(setup.part.kind)
    new = [item for item in (*general, *wanted.cautions) if item.title not in map(_titled, warned)]
    if new:
        click.echo(cautions_text(tuple(new), headed=not warned))
    warned.extend(new)


def _titled(caution: Caution) -> str:
    return caution.title


def _unseen(posterior: Posterior, readings: Readings) -> bool:
    """Tell whether no boat gives these readings, and say so."""
    try:
        refuse_unseen(posterior, readings)
    except SeaflowError as error:
        click.echo(_problems(error))
        return True
    return False


def _next(
    posterior: Posterior, readings: Readings, passed: Sequence[tuple[str, str]], setup: Setup
) -> NextReading | None:
    """Return the next question; where none helps that is said."""
    found = open_readings(posterior, readings)
    stopped = stop_of(posterior, readings) is not None  # nothing is to run for a reading then
    left = [
        wanted
        for wanted in found
        if (wanted.kind, wanted.place) not in passed and not (stopped and wanted.running)
    ]
    useful = [wanted for wanted in left if wanted.helps]
    if _misses_sea(readings, passed, useful[0].kind if useful else ""):
        sea = instruments()["sea"]
        return NextReading("sea", "", sea.title, sea.how, sea.effort)
    places = looks(posterior, setup.part.kind, readings)[:FIRST]
    load = next((wanted for wanted in left if wanted.kind == LOAD), None)
    if wants_load(places, readings) and load is not None and not readings.is_empty:
        return load
    if useful:
        return useful[0]
    if left:
        click.echo(Show().sentence(NONE_HELPS))
    return None


def _misses_sea(readings: Readings, passed: Sequence[tuple[str, str]], kind: str) -> bool:
    """Tell whether the sea is asked for now: `kind` is what would be next, nothing at the end.

    It comes before the first reading that says little without it, and at the end at the latest.
    Once passed over it is asked for again as soon as there is such a reading.
    """
    if readings.of("sea") is not None:
        return False
    times = passed.count(("sea", ""))
    if any(item.kind in OVER_THE_SEA for item in readings.numbers):
        return times < MOST_ASKED
    return times == 0 and (kind in OVER_THE_SEA or not kind)


def _taken(setup: Setup, readings: Readings, wanted: NextReading, typed: str) -> Readings:
    """Return the readings with one more; one that cannot be is said and asked again."""
    try:
        more = _with(setup, readings, wanted, typed)
        refuse_impossible(more, setup.places)
    except SeaflowError as error:
        click.echo(_problems(error))
        return readings
    return more.of_all(setup.places.outlets)


def _with(setup: Setup, readings: Readings, wanted: NextReading, typed: str) -> Readings:
    """Return the readings with what was typed at a question; streams may be told by outlet."""
    if wanted.kind in instruments():
        text = f"{wanted.place}={typed}" if wanted.place else typed
        scale = {"us": FAHRENHEIT, "metric": CELSIUS}.get(units_asked_for(), "")
        number = number_of(wanted.kind, text, setup.places, scale)
        return replace(readings, numbers=(*readings.numbers, number))
    if wanted.kind == LOAD and any(map(str.isdigit, typed)):
        return replace(readings, load=load_of(typed), load_read=True)
    trips: dict[str, str] = {}
    for text in by_outlet(typed):
        kind, word, place = sign_of(wanted.kind, text, setup.places)
        if place and kind == "tripped":
            trips[place] = word
        elif place:
            readings = replace(readings, streams=(*readings.streams, (place, word)))
        else:
            readings = replace(readings, signs=(*readings.signs, (kind, word)))
    return readings.with_trips(trips) if trips else readings


def _problems(error: SeaflowError) -> str:
    return problems_text(error.problems).rpartition("\n\n")[0]
