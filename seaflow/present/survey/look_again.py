"""What earlier visits found, to be looked at again: each finding with the fact that decides it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.boat.case import Case
from seaflow.boat.tables.recorded_record import ACCEPTED
from seaflow.boat.tables.things import Place
from seaflow.forms.checklist import KINDS, declared_key, record_of
from seaflow.present.card import capital
from seaflow.present.survey.walk import Line, lines
from seaflow.present.survey_units import SurveyShow
from seaflow.studies.survey.evidence import THE_BOAT
from seaflow.studies.survey.findings import Survey
from seaflow.studies.survey.hung import Finding
from seaflow.studies.survey.questions import LookAt
from seaflow.studies.survey.rules import Rule, rules

ENDS = ("from", "to", "on", "loop")  # how things are joined, which no answer changes


@dataclass(frozen=True, slots=True)
class Again:
    """A finding of an earlier visit: its number, that day, what was found, and what to look at."""

    number: str
    rule: str
    thing: str
    day: str
    severity: str
    found: str
    lines: tuple[Line, ...]


def look_again(answer: Survey, case: Case, show: SurveyShow) -> Iterator[Again]:
    """Yield the findings of a visit that the owner has not accepted, gravest first."""
    of = {rule.id: rule for rule in rules()}
    for item in answer.findings:
        if item.state == ACCEPTED:
            continue
        asked = tuple(_asked(answer, of[item.rule], item))
        yield Again(
            number=item.number,
            rule=item.rule,
            thing=item.where,
            day=answer.record.date or "",
            severity=item.severity,
            found=show.text(capital(show.sentence(item.found))),
            lines=tuple(lines(answer, case, asked)),
        )


def _asked(answer: Survey, rule: Rule, item: Finding) -> Iterator[LookAt]:
    """Yield the question for the one fact that a finding rests on, where there is one."""
    rows = [row for row in answer.ledger if row.thing == item.where]
    table = "boat" if item.where == THE_BOAT or not rows else rows[0].table
    for name in rule.decided_by:
        of, _, key = name.partition(".")
        key = "height" if name == "places" else key
        if (name != "places" and of != table) or not _is_one_fact(table, key):
            continue
        why, worst = rule.question, item.severity
        yield LookAt(table, item.where, key, "", (), why, worst, (rule.id,), "")
        return


def _is_one_fact(table: str, key: str) -> bool:
    record = None if key in ENDS else record_of(table, key)
    if record is None or (record is Place and table not in KINDS):
        return False
    declared = declared_key(record, key)
    return declared.of is None and not declared.many
