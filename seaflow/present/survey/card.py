"""The card of `survey`: is she fit, how much was seen, what is worst, and what is still open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from seaflow.base.facts import Fact, fact
from seaflow.present.card import Block, Card, block, capital, card, careful
from seaflow.present.quantities import Show
from seaflow.present.survey.units import SurveyShow
from seaflow.studies.survey.findings import FIT, NOT_FIT, NOT_SEEN, Survey
from seaflow.studies.survey.questions import LookAt
from seaflow.studies.survey.severity import SEVERITIES

LABELS = {FIT: "Fit", NOT_FIT: "Not fit", NOT_SEEN: "Not seen"}
HEADLINES = {
    FIT: "survey.card_fit",
    NOT_FIT: "survey.card_not_fit",
    NOT_SEEN: "survey.card_not_seen",
}
WORST, OPEN = 8, 3  # findings and questions on the card at most
COMMANDS = "seaflow survey BOAT --full   --checklist visit.toml   -o record.html"


def survey_card(answer: Survey, show: Show) -> Card:
    """Return the card of a survey."""
    says = SurveyShow(show.system)
    title = fact("survey.card_title", boat=answer.boat, hull=says.hull(answer.hull))
    decision = says.whole(_headline(answer), answer.coverage, answer.counted)
    blocks: list[Block | None] = [
        block(LABELS[answer.fitness], decision),
        careful(answer.cautions),
        *_worst(answer, says),
        _open(answer, says),
        block("More", COMMANDS, apart=True),
    ]
    return card(says.sentence(title), blocks)


def _headline(answer: Survey) -> Fact:
    if answer.found_at(SEVERITIES[0]):
        return fact("survey.card_not_fit_at_all")
    return fact(HEADLINES[answer.fitness], open=len(answer.open_at(SEVERITIES[0])))


def _worst(answer: Survey, show: SurveyShow) -> Iterator[Block | None]:
    """Yield the worst findings by severity, numbered as in the record."""
    first = 1
    for severity in SEVERITIES:
        found = answer.found_at(severity)
        shown = found[: max(WORST + 1 - first, 0)]
        lines = [
            f"{number}. {capital(item.where)}: {show.text(show.sentence(item.found))}."
            for number, item in enumerate(shown, first)
        ]
        made = block(capital(severity), *lines, kept=1, listed=True, apart=first == 1)
        yield made and replace(made, left=len(found) - len(shown))
        first += len(found)


def _open(answer: Survey, show: SurveyShow) -> Block | None:
    """Return the critical questions that are still open."""
    asked = answer.open_at(SEVERITIES[0])
    made = block("Open", *(_asked(one, show) for one in asked[:OPEN]), kept=1, listed=True)
    return made and replace(made, apart=True, left=len(asked[OPEN:]))


def _asked(one: LookAt, show: SurveyShow) -> str:
    return f"{capital(one.thing)}: {show.text(one.question)}"
