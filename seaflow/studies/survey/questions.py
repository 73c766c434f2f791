"""What a survey leaves open: one question for each thing that is not recorded."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.boat.case import Case
from seaflow.boat.reader.known import NOT_ACCESSIBLE
from seaflow.forms.checklist import Address, asked
from seaflow.studies.survey.rules import Rule, Unknown, Verdict
from seaflow.studies.survey.severity import SEVERITIES


@dataclass(frozen=True, slots=True)
class LookAt:
    """What the case leaves open; `table`, thing and `key` say where it is recorded.

    `ask` is what to find out, with `answers` to choose from, if it is a matter of choosing;
    `question` is that of the rule which waits for it. `not_accessible` says why nobody could look.
    """

    table: str
    thing: str
    key: str
    ask: str
    answers: tuple[str, ...]
    question: str
    severity: str
    rules: tuple[str, ...]
    not_accessible: str


def look_at(case: Case, told: list[tuple[Rule, Verdict]]) -> tuple[LookAt, ...]:
    """Return one question for each key, with all rules that wait for it; severest first."""
    waiting: dict[Address, dict[str, tuple[Rule, str]]] = {}
    for rule, item in told:
        if not isinstance(item, Unknown):
            continue
        known = waiting.setdefault((item.table, item.thing, item.key), {})
        known.setdefault(rule.id, (rule, item.severity or rule.severity))
    found = []
    for (table, thing, key), known in waiting.items():
        asking = [rule for rule, _ in known.values()]
        own = next((rule for rule in asking if rule.key == key and rule.table == table), asking[0])
        severest = min((severity for _, severity in known.values()), key=SEVERITIES.index)
        names = tuple(known)
        ask, answers = asked(table, key)
        why = _why_not(case, (table, thing, key))
        found.append(LookAt(table, thing, key, ask, answers, own.question, severest, names, why))
    return tuple(sorted(found, key=lambda item: SEVERITIES.index(item.severity)))


def grouped(look_at: tuple[LookAt, ...]) -> dict[tuple[str, str], list[LookAt]]:
    """Return the questions by the thing that they are about, the boat first."""
    found: dict[tuple[str, str], list[LookAt]] = {}
    for item in sorted(look_at, key=lambda one: one.table != "boat"):
        found.setdefault((item.table, item.thing), []).append(item)
    return found


def _why_not(case: Case, address: Address) -> str:
    """Return why nobody could look; nothing where nobody has said so."""
    known = case.known.get(address)
    if known is None or known.how != NOT_ACCESSIBLE:
        return ""
    return known.why or NOT_ACCESSIBLE
