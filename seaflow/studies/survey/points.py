"""How much of a boat was seen: one critical or major rule held to one thing is a point."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from seaflow.boat.case import Case
from seaflow.boat.reader.known import NOT_ACCESSIBLE
from seaflow.studies.survey.decided import Deciding
from seaflow.studies.survey.ledger import LedgerRow
from seaflow.studies.survey.rules import Breach, Kept, Rule, Unknown, Verdict
from seaflow.studies.survey.severity import SEVERITIES


@dataclass(frozen=True, slots=True)
class Points:
    """All points, those answered, of these those by word alone, and those nobody could look at.

    Of those answered `points_now` are from the day of the record, `points_before` from earlier
    days, `seen_before` the last of those days.
    """

    points: int
    points_seen: int
    points_told: int
    points_not_accessible: int
    points_now: int = 0
    points_before: int = 0
    seen_before: str = ""


def points_of(
    case: Case,
    told: list[tuple[Rule, Verdict]],
    rows: Sequence[LedgerRow],
    row_of: Callable[[Rule, Verdict], LedgerRow],
    today: datetime.date | None = None,
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
    told_only = shut = 0
    days: list[datetime.date | None] = []
    for verdicts in points.values():
        lacks = [item for _, item in verdicts if isinstance(item, Unknown)]
        if not lacks or any(isinstance(item, Breach) for _, item in verdicts):
            rule, item = verdicts[0]
            days.append(next(iter(deciding.days(rule, row_of(rule, item))), None))
            told_only += not deciding.was_seen(rule, row_of(rule, item))
        else:
            known = (case.known.get((item.table, item.thing, item.key)) for item in lacks)
            shut += any(one is not None and one.how == NOT_ACCESSIBLE for one in known)
    found = Points(len(points), len(days), told_only, shut)
    return found if today is None else _by_day(found, days, today)


def _by_day(found: Points, days: Sequence[datetime.date | None], today: datetime.date) -> Points:
    """Return points parted into those of the day of the record and those from before it."""
    before = [day for day in days if day is not None and day < today]
    return replace(
        found,
        points_now=sum(day == today for day in days),
        points_before=len(before),
        seen_before=max(before).isoformat() if before else "",
    )
