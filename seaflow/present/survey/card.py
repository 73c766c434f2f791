"""The card of `survey`: is she fit, how much was seen, what is worst, and what is still open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from seaflow.base.facts import fact
from seaflow.present.card import Block, Card, block, capital, card, careful
from seaflow.present.quantities import Show
from seaflow.present.survey_units import SurveyShow
from seaflow.studies.survey.findings import FIT, NOT_FIT, NOT_SEEN, Survey
from seaflow.studies.survey.hung import Finding
from seaflow.studies.survey.questions import LookAt
from seaflow.studies.survey.severity import SEVERITIES

LABELS = {FIT: "Fit", NOT_FIT: "Not fit", NOT_SEEN: "Not seen"}
WORST, OPEN = 8, 3  # things and questions on the card at most
COMMANDS = "seaflow survey BOAT --full   --checklist visit.toml   -o record.html"


def survey_card(answer: Survey, show: Show) -> Card:
    """Return the card of a survey."""
    says = SurveyShow(show.system)
    title = fact("survey.card_title", boat=answer.boat, hull=says.hull(answer.hull))
    decision = says.whole(answer.headline, answer.coverage, answer.counted)
    blocks: list[Block | None] = [
        block(LABELS[answer.fitness], decision),
        careful(answer.cautions),
        *_worst(answer, says),
        _open(answer, says),
        block("More", COMMANDS, apart=True),
    ]
    return card(says.sentence(title), blocks)


def _worst(answer: Survey, show: SurveyShow) -> Iterator[Block | None]:
    """Yield things by their gravest finding, with its number in the record."""
    worst: dict[str, list[Finding]] = {}
    for item in answer.findings:
        worst.setdefault(item.number.partition("-")[0], []).append(item)
    left, is_first = WORST, True
    for severity in SEVERITIES:
        things = [found for found in worst.values() if found[0].severity == severity]
        lines = [_thing(found, show) for found in things[:left]]
        made = block(capital(severity), *lines, kept=1, listed=True, apart=is_first)
        yield made and replace(made, left=len(things) - len(lines))
        left, is_first = left - len(lines), is_first and made is None


def _thing(found: list[Finding], show: SurveyShow) -> str:
    """Return the gravest finding of a thing, and how many more hang on it."""
    item, more = found[0], len(found) - 1
    said = show.text(show.sentence(item.found))
    others = f" ({more} more on it)" if more else ""
    return f"{item.number} {capital(item.where)}: {said}{others}."


def _open(answer: Survey, show: SurveyShow) -> Block | None:
    """Return the critical questions that are still open."""
    asked = answer.open_at(SEVERITIES[0])
    made = block("Open", *(_asked(one, show) for one in asked[:OPEN]), kept=1, listed=True)
    return made and replace(made, apart=True, left=len(asked[OPEN:]))


def _asked(one: LookAt, show: SurveyShow) -> str:
    return f"{capital(one.thing)}: {show.text(one.question)}"
