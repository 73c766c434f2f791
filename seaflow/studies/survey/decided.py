"""Which recorded facts decide a rule on a thing, and whether anybody looked at them."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from seaflow.boat.reader.known import MEASURED, NOT_ACCESSIBLE, SEEN, TOLD
from seaflow.forms.days import day_of
from seaflow.studies.survey.ledger import LedgerRow
from seaflow.studies.survey.recorded import CABLE_OF, LedgerFact
from seaflow.studies.survey.rules import Rule, is_of

LOOKED = (SEEN, MEASURED)
WHOLE = ("boat", "hull", "loop")  # rows of which what decides is recorded elsewhere


@dataclass(frozen=True)
class Deciding:
    """The facts of a ledger by the rules that they decide."""

    rows: tuple[LedgerRow, ...]

    def was_seen(self, rule: Rule, row: LedgerRow) -> bool:
        """Return whether every fact that decides was looked at: the thing's own, else those near
        it, else all aboard. Of none recorded, all aboard must be: what a design must hold to is
        nothing to look at.
        """
        near, decide = self._near(row), list[LedgerFact]()
        for name in rule.decided_by:
            is_own = rule.key is not None and name == f"{rule.table}.{rule.key}"
            own = [item for item in row.facts if is_own and item.key == rule.key]
            decide += own or _facts(name, near) or self._everywhere(name)
        decide = decide or [item for one in self.rows for item in one.facts]
        return all(item.how in LOOKED for item in decide if item.how != NOT_ACCESSIBLE)

    def how_kept(self, rule: Rule, row: LedgerRow) -> str:
        """Return how it is known that a thing keeps a rule: SEEN, TOLD, or nothing where no fact
        that decides is recorded of it, nor of what it is joined to.
        """
        hows = {item.how for item in self._told_of(rule, row)}
        return TOLD if TOLD in hows else SEEN if hows else ""

    def days(self, rule: Rule, row: LedgerRow) -> tuple[datetime.date, ...]:
        """Return the days from which the facts are that decide a rule on a thing, as far as known,
        the last one first.
        """
        days = {day_of(item.date) for item in self._told_of(rule, row)} - {None}
        return tuple(sorted(filter(None, days), reverse=True))

    def _told_of(self, rule: Rule, row: LedgerRow) -> list[LedgerFact]:
        """Return what is recorded of a thing that decides a rule, else of what it is joined to."""
        near = self.rows if row.table in WHOLE else self._near(row)
        own = tuple(one for one in near if one.thing in _names(row))
        for rows in (own, near):
            facts = [item for name in rule.decided_by for item in _facts(name, rows)]
            facts = [item for item in facts if item.how != NOT_ACCESSIBLE]
            if facts:
                return facts
        return []

    def _near(self, row: LedgerRow) -> tuple[LedgerRow, ...]:
        names = {*_names(row), *row.ends}
        return tuple(one for one in self.rows if one.thing in names)

    def _everywhere(self, name: str) -> list[LedgerFact]:
        if name not in self._by_name:  # asked again by each point
            self._by_name[name] = _facts(name, self.rows)
        return self._by_name[name]

    @cached_property
    def _by_name(self) -> dict[str, list[LedgerFact]]:
        return {}


def _names(row: LedgerRow) -> tuple[str, str]:
    return row.thing, row.thing.removeprefix(CABLE_OF)


def _facts(name: str, rows: Sequence[LedgerRow]) -> list[LedgerFact]:
    """Return what rows record of what decides a rule: "table.key", or a kind of facts."""
    return [item for one in rows for item in one.facts if is_of(name, one.table, item.key)]
