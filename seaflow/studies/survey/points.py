"""How much of a boat was seen: one critical or major rule held to one thing is a point."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, partial

from seaflow.boat.case import Case
from seaflow.boat.reader.known import MEASURED, NOT_ACCESSIBLE, SEEN
from seaflow.studies.survey.ledger import LedgerRow
from seaflow.studies.survey.recorded import CABLE_OF, LedgerFact
from seaflow.studies.survey.rules import Breach, Kept, Rule, Unknown, Verdict, is_of
from seaflow.studies.survey.severity import SEVERITIES

_LOOKED = (SEEN, MEASURED)


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
    everywhere = cache(partial(_facts, rows=rows))  # asked again by each point
    seen = told_only = shut = 0
    for verdicts in points.values():
        lacks = [item for _, item in verdicts if isinstance(item, Unknown)]
        if not lacks or any(isinstance(item, Breach) for _, item in verdicts):
            rule, item = verdicts[0]
            seen += 1
            told_only += not _was_seen(rule, row_of(rule, item), rows, everywhere)
        else:
            known = (case.known.get((item.table, item.thing, item.key)) for item in lacks)
            shut += any(one is not None and one.how == NOT_ACCESSIBLE for one in known)
    return Points(len(points), seen, told_only, shut)


def _was_seen(
    rule: Rule,
    row: LedgerRow,
    rows: Sequence[LedgerRow],
    everywhere: Callable[[str], list[LedgerFact]],
) -> bool:
    """Return whether every fact that decides was looked at; of none recorded, all aboard must be.

    What a design must hold to is nothing to look at.
    """
    names = {row.thing, row.thing.removeprefix(CABLE_OF), *row.ends}
    near = [one for one in rows if one.thing in names]
    decide: list[LedgerFact] = []
    for name in rule.decided_by:
        own = [item for item in row.facts if rule.key is not None and item.key == rule.key]
        is_own = name == f"{rule.table}.{rule.key}"
        decide += (own if is_own else []) or _facts(name, near) or everywhere(name)
    decide = decide or [item for one in rows for item in one.facts]
    return all(item.how in _LOOKED for item in decide if item.how != NOT_ACCESSIBLE)


def _facts(name: str, rows: Sequence[LedgerRow]) -> list[LedgerFact]:
    """Return what rows record of what decides a rule: "table.key", or a kind of facts."""
    return [item for one in rows for item in one.facts if is_of(name, one.table, item.key)]
