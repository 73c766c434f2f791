"""The ledger: every thing a row, what is recorded of it, what the rules say, what to do."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from seaflow.base.facts import Fact
from seaflow.base.tables import read_table
from seaflow.boat.case import FITTING_TABLES
from seaflow.boat.reader.known import NOT_ACCESSIBLE
from seaflow.studies.survey.evidence import THE_BOAT, Evidence
from seaflow.studies.survey.recorded import CABLE_OF, LOOP_OF, LedgerFact, facts_of, things_aboard
from seaflow.studies.survey.rules import Rule, rules

WIRING = 20  # the item whose rules hang on the cable of a pump
RUNS = (14, 18, 36, 38)  # items whose rules may hang on a whole loop, called as its intake is
# How each kind of thing is marked in the record; what follows counts its rows.
_MARKS = {
    "boat": "B",
    "intake": "I",
    "seacock": "V",
    "strainer": "S",
    "pump": "P",
    "cable": "C",
    "unit": "U",
    "outlet": "O",
    "hose": "H",
    **dict.fromkeys(FITTING_TABLES, "F"),
    "skin_fitting": "T",
    "skin_hose": "K",
    "bilge_pump": "D",
    "loop": "L",
    "hull": "G",
}


@dataclass(frozen=True, slots=True)
class Recommendation:
    """The one thing to do about a thing: the findings that it cures, and those that it leaves.

    `first` is how the sea is kept out before that.
    """

    do: str
    cures: tuple[str, ...]
    leaves: tuple[str, ...]
    first: Fact | None


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One thing of the boat: its mark, what is recorded of it, and what the rules say.

    `ends` are what a hose leads from and to, or what a thing is on. `in_order` are the rules that
    it keeps by what was looked at, `as_told` those that it keeps if what was told is right, and
    `waiting` those that something is open of. `findings` are the numbers of those that it breaks,
    `left_open` the keys that are still to be seen.
    """

    mark: str
    table: str
    thing: str
    ends: tuple[str, ...]
    facts: tuple[LedgerFact, ...]
    in_order: tuple[str, ...] = ()
    as_told: tuple[str, ...] = ()
    waiting: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    left_open: tuple[str, ...] = ()
    recommendation: Recommendation | None = None

    @property
    def not_accessible(self) -> tuple[LedgerFact, ...]:
        """What nobody could look at."""
        return tuple(item for item in self.facts if item.how == NOT_ACCESSIBLE)


def rows_of(evidence: Evidence) -> tuple[LedgerRow, ...]:
    """Return a row for every thing, as yet without verdicts."""
    counts: dict[str, int] = {}
    found = []
    for table, name, thing in things_aboard(evidence):
        letter = _MARKS[table]
        counts[letter] = counts.get(letter, 0) + 1
        mark = letter if table == "boat" else f"{letter}{counts[letter]}"
        start = getattr(thing, "from_", None) or getattr(thing, "on", None)
        ends = (start, getattr(thing, "to", None))
        facts = tuple(facts_of(evidence.case, table, name, thing))
        found.append(LedgerRow(mark, table, name, tuple(filter(None, ends)), facts))
    return tuple(found)


def row_name(rule: Rule, where: str, names: Collection[str]) -> str:
    """Return the name of the row that a verdict hangs on: rules on wiring on the pump's cable."""
    for items, owner in (((WIRING,), CABLE_OF), (RUNS, LOOP_OF)):
        if rule.item in items and f"{owner}{where}" in names:
            return f"{owner}{where}"
    return where if where in names else THE_BOAT


def rule_codes() -> dict[str, str]:
    """Return what each rule is called in the number of a finding: its item, and a letter."""
    codes: dict[str, str] = {}
    counts: dict[int, int] = {}
    for rule in rules():
        letter = counts.get(rule.item, 0)
        counts[rule.item] = letter + 1
        codes[rule.id] = f"{rule.item}{chr(ord('a') + letter)}"
    return codes


def recommended(
    row: LedgerRow, found: Sequence[tuple[str, str, str]], first: Fact | None
) -> Recommendation | None:
    """Return what to do about a thing, from number, rule and advice of each of its findings.

    They are in order of severity. The strongest remedy that a finding calls for counts; where none
    is called for, the advice of the gravest.
    """
    if not found:
        return None
    broken = {rule for _, rule, _ in found}
    for remedy in read_table("remedies.toml")["remedy"]:
        if row.table in remedy["tables"] and broken & set(remedy["calls"]):
            cured = {*remedy["calls"], *remedy.get("cures", ())}
            return _parted(remedy["do"], found, cured, first)
    _, gravest, do = found[0]
    same = {rule for _, rule, advice in found if advice == do} | {gravest}
    return _parted(do, found, same, first)


def _parted(
    do: str, found: Sequence[tuple[str, str, str]], cured: set[str], first: Fact | None
) -> Recommendation:
    cures = tuple(number for number, rule, _ in found if rule in cured)
    leaves = tuple(number for number, rule, _ in found if rule not in cured)
    return Recommendation(do, cures, leaves, first)
