"""One question at a time: the reading that would tell most for its effort, until one stops."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from seaflow.base.problems import SeaflowError
from seaflow.present.diagnose_text import asked_text, so_far_text
from seaflow.present.problems import problems_text
from seaflow.studies.diagnosis.answer import Effort, posterior_of
from seaflow.studies.diagnosis.impossible import refuse_impossible
from seaflow.studies.diagnosis.instruments import instruments
from seaflow.studies.diagnosis.next_test import Test, open_tests
from seaflow.studies.diagnosis.readings import (
    Readings,
    number_of,
    sign_of,
)

if TYPE_CHECKING:
    from seaflow.studies.diagnosis.own_boat import OwnBoat
    from seaflow.studies.diagnosis.simulate import Setup

STOP = ("stop", "quit", "q")
WELCOME = (
    "One question at a time, the most telling first. Enter passes one over; stop ends it and shows "
    "the answer so far."
)


def asked(
    setup: Setup, readings: Readings, effort: Effort, own: OwnBoat | None, units: str
) -> Readings:
    """Return the readings with what was answered."""
    click.echo(WELCOME)
    passed: set[tuple[str, str]] = set()
    while True:
        posterior = posterior_of(setup, readings, effort, own)
        click.echo(so_far_text(posterior, readings))
        left = [
            test
            for test in _with_sea(open_tests(posterior, readings), readings)
            if (test.kind, test.place) not in passed
        ]
        if not left:
            return readings
        test = left[0]
        click.echo(asked_text(test, units))
        try:
            typed = click.prompt(">", default="", show_default=False, prompt_suffix=" ").strip()
        except click.Abort:
            return readings
        if typed.lower() in STOP:
            return readings
        if not typed:
            passed.add((test.kind, test.place))
            continue
        readings = _taken(setup, readings, test, typed)


def _taken(setup: Setup, readings: Readings, test: Test, typed: str) -> Readings:
    """Return the readings with one more; one that cannot be is said and asked again."""
    try:
        if test.kind in instruments():
            text = f"{test.place}={typed}" if test.place else typed
            number = number_of(test.kind, text, setup.places)
            more = replace(readings, numbers=(*readings.numbers, number))
        else:
            more = replace(readings, signs=(*readings.signs, sign_of(test.kind, typed)))
        refuse_impossible(more, setup.places)
    except SeaflowError as error:
        click.echo(problems_text(error.problems).rpartition("\n\n")[0])
        return readings
    return more


def _with_sea(tests: tuple[Test, ...], readings: Readings) -> tuple[Test, ...]:
    """Ask for the sea before the discharge, which says little without it."""
    if not tests or tests[0].kind != "discharge" or readings.of("sea") is not None:
        return tests
    sea = instruments()["sea"]
    return (Test("sea", "", sea.title, sea.how, sea.effort), *tests)
