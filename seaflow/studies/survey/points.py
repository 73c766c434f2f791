"""How much of a boat was seen: one critical or major rule held to one thing is a point."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from seaflow.boat.case import Case
from seaflow.boat.reader.known import NOT_ACCESSIBLE
from seaflow.studies.survey.decided import Deciding
from seaflow.studies.survey.ledger import LedgerRow
from seaflow.studies.survey.rules import Breach, Kept, Rule, Unknown, Verdict
from seaflow.studies.survey.severity import SEVERITIES


@dataclass(frozen=True, slots=True)
class Points:
    """All points, those answered, of these those by word alone, and those nobody could look at."""

    points: int
    points_seen: int
    points_told: int
    points_not_accessible: int


def points_of(
    case: Case,
    told: list[tuple[Rule, Verdict]],
    rows: Sequence[LedgerRow],
    row_of: Callable[[Rule, Verdict], LedgerRow],
) -> Points:
    """Return how many critical and major points there are, and how they were answered.

    A point is answered if it is found wanting, or if nothing of it is left open, and by word alone
    unless every fact that decides it was looked at; it counts by the severity of its verdict, or
    else of its rule.
    """
    points: dict[tuple[str, str], list[tuple[Rule, Verdict]]] = {}
    for rule, item in told:
        severity = rule.severity if isinstance(item, Kept) else item.severity or rule.severity
        if severity in SEVERITIES[:2]:
            where = item.thing if isinstance(item, Unknown) else item.where
            points.setdefault((rule.id, where), []).append((rule, item))
    deciding = Deciding(tuple(rows))
    seen = told_only = shut = 0
    for verdicts in points.values():
        lacks = [item for _, item in verdicts if isinstance(item, Unknown)]
        if not lacks or any(isinstance(item, Breach) for _, item in verdicts):
            rule, item = verdicts[0]
            seen += 1
            told_only += not deciding.was_seen(rule, row_of(rule, item))
        else:
            known = (case.known.get((item.table, item.thing, item.key)) for item in lacks)
            shut += any(one is not None and one.how == NOT_ACCESSIBLE for one in known)
    return Points(len(points), seen, told_only, shut)
