"""Verdicts hung on the things of the ledger: findings with their numbers, and what to do."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from seaflow.base.facts import Fact, fact
from seaflow.boat.case import Case
from seaflow.boat.reader.known import SEEN, TOLD
from seaflow.boat.tables.recorded_record import OPEN, Followed
from seaflow.forms.days import day_of
from seaflow.studies.survey.decided import Deciding
from seaflow.studies.survey.evidence import SHUTS, Evidence
from seaflow.studies.survey.following import Change, Pair, changes, numbered, pairs_of
from seaflow.studies.survey.ledger import LedgerRow, recommended, row_name, rule_codes
from seaflow.studies.survey.rules import Breach, Kept, Rule, Unknown, Verdict
from seaflow.studies.survey.severity import SEVERITIES


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding; `first` is how to keep the sea out before doing what it asks for.

    `number` stays with thing and rule from one visit to the next, and begins with the mark of its
    row in the ledger; `state` is what was written of it, open, done or accepted by the owner, `on`
    the day of that.
    """

    number: str
    rule: str
    item: int
    severity: str
    where: str
    found: Fact
    why: str
    in_numbers: tuple[Fact, ...]
    first: Fact | None
    do: str
    basis: str
    rests_on: Fact
    state: str
    on: str


@dataclass(frozen=True)
class Hung:
    """Verdicts on the rows of a ledger; `kept` are findings of earlier visits by thing and rule.

    `today` is the day of the record.
    """

    case: Case
    told: tuple[tuple[Rule, Verdict], ...]
    rows: tuple[LedgerRow, ...]
    kept: Mapping[Pair, Followed]
    today: datetime.date | None = None

    def row_of(self, rule: Rule, verdict: Verdict) -> LedgerRow:
        """Return the row that a verdict hangs on."""
        name = row_name(rule, _where(verdict), self.by_name)
        return self.by_name[name]

    @cached_property
    def by_name(self) -> dict[str, LedgerRow]:
        """The rows by the names of their things."""
        return {row.thing: row for row in self.rows}

    @cached_property
    def deciding(self) -> Deciding:
        """Which facts decide which rule."""
        return Deciding(self.rows)

    @cached_property
    def broken(self) -> tuple[tuple[Rule, Breach], ...]:
        """What was found, gravest first."""
        found = [(rule, item) for rule, item in self.told if isinstance(item, Breach)]
        found.sort(key=lambda one: (SEVERITIES.index(_severity(*one)), one[0].item))
        return tuple(found)

    @cached_property
    def pairs(self) -> tuple[Pair, ...]:
        """Thing and rule of each finding."""
        return tuple(pairs_of((item.where, rule.id) for rule, item in self.broken))

    @cached_property
    def numbers(self) -> dict[Pair, str]:
        """The number of each finding."""
        codes = rule_codes()
        rows = (self.row_of(rule, item) for rule, item in self.broken)
        marks = {pair: row.mark for pair, row in zip(self.pairs, rows, strict=True)}
        return numbered(marks, self.kept, lambda pair: f"{marks[pair]}-{codes[pair[1]]}")

    def findings(self, evidence: Evidence) -> tuple[Finding, ...]:
        """Return what was found, gravest first."""
        return tuple(
            self._finding(evidence, pair, rule, item)
            for pair, (rule, item) in zip(self.pairs, self.broken, strict=True)
        )

    def _finding(self, evidence: Evidence, pair: Pair, rule: Rule, breach: Breach) -> Finding:
        followed = self.kept.get(pair)
        return Finding(
            number=self.numbers[pair],
            rule=rule.id,
            item=rule.item,
            severity=_severity(rule, breach),
            where=breach.where,
            found=breach.found,
            why=rule.why,
            in_numbers=breach.in_numbers,
            first=_first(evidence, breach.where, rule),
            do=rule.do,
            basis=rule.basis,
            rests_on=rule.rests_on,
            state=(followed and followed.state) or OPEN,
            on=(followed and followed.on) or "",
        )

    def ledger(self, findings: tuple[Finding, ...]) -> Iterator[LedgerRow]:
        """Yield every row with the verdicts on it."""
        hung: dict[str, list[tuple[Rule, Verdict]]] = {row.thing: [] for row in self.rows}
        for rule, item in self.told:
            hung[self.row_of(rule, item).thing].append((rule, item))
        for row in self.rows:
            verdicts = hung[row.thing]
            pairs = {(one.where, rule.id) for rule, one in verdicts if isinstance(one, Breach)}
            found = [item for item in findings if (item.where, item.rule) in pairs]
            advice = [(item.number, item.rule, item.do) for item in found]
            first = next((item.first for item in found if item.first is not None), None)
            asked = [(rule.id, one.key) for rule, one in verdicts if isinstance(one, Unknown)]
            judged = _kept(verdicts) if row.facts else ()
            kept = {rule.id: self.deciding.how_kept(rule, row) for rule in judged}
            yield replace(
                row,
                in_order=tuple(name for name, how in kept.items() if how == SEEN),
                as_told=tuple(name for name, how in kept.items() if how == TOLD),
                waiting=tuple(dict.fromkeys(name for name, _ in asked)),
                findings=tuple(item.number for item in found),
                left_open=tuple(dict.fromkeys(key for _, key in asked)),
                recommendation=recommended(row, advice, first),
            )

    def changes(self) -> tuple[Change, ...]:
        """Return what changed since earlier visits."""
        kept = {
            (item.where, rule.id)
            for rule, item in self.told
            if isinstance(item, Kept) and not self._is_only_told(rule, item.where)
        }
        not_again = {
            (item.where, rule.id) for rule, item in self.broken if self._is_from_before(rule, item)
        }
        now = frozenset(kept)
        return changes(self.pairs, now, self.kept, self.numbers, frozenset(not_again))

    def _is_from_before(self, rule: Rule, breach: Breach) -> bool:
        """Return whether all that decides is known to be from days before that of the record, and
        nobody has said that day that it is so still.
        """
        told = [one.on for pair, one in self.kept.items() if pair[:2] == (breach.where, rule.id)]
        if self.today in map(day_of, told):
            return False
        days = self.deciding.days(rule, self.row_of(rule, breach))
        return self.today is not None and bool(days) and days[0] < self.today

    def _is_only_told(self, rule: Rule, where: str) -> bool:
        """Return whether an answer says itself that nobody looked; that cures no finding."""
        known = self.case.known.get((rule.table or "", where, rule.key or ""))
        return known is not None and known.how == TOLD


def _where(verdict: Verdict) -> str:
    return verdict.thing if isinstance(verdict, Unknown) else verdict.where


def _severity(rule: Rule, breach: Breach) -> str:
    return breach.severity or rule.severity


def _kept(verdicts: list[tuple[Rule, Verdict]]) -> tuple[Rule, ...]:
    """Return the rules that a thing keeps, and of which nothing is open or broken."""
    kept = {rule.id: rule for rule, item in verdicts if isinstance(item, Kept)}
    other = {rule.id for rule, item in verdicts if not isinstance(item, Kept)}
    return tuple(rule for name, rule in kept.items() if name not in other)


def _first(evidence: Evidence, where: str, rule: Rule) -> Fact | None:
    """Return how the sea is kept out until then, or while a hose, or a thing on it, is open.

    None if it is out, or if nothing is opened.
    """
    if rule.table == "seacock" and rule.key in SHUTS:
        return fact("survey.until_it_shuts")
    if not rule.opens:
        return None
    hose = next((item for item in evidence.case.hose if item.label == where), None)
    if hose is not None and evidence.floods(hose) is False:
        return None
    opening = evidence.open_to_sea(where)
    if opening is None:
        return fact("survey.shut_first")
    return fact("survey.haul_out_first", opening=opening)
