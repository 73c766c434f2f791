"""The rules of the survey as they stand in seaflow/data/rules, and what a rule says of a thing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, TypeAlias

from seaflow.base.facts import Fact, fact
from seaflow.base.tables import read_folder, read_table
from seaflow.studies.design.judge import NO, Ruling
from seaflow.studies.design.kinds import AIMED
from seaflow.studies.survey.severity import LATER, NEAR, NEXT, NOW, severity_of

PUBLISHED, PRACTICE, DERIVED = "published requirement", "common practice", "derived"
_PLACE, _SUPPLY = ("aft", "starboard", "height"), ("current", "voltage", "frequency")
_NOT_OF_LOOP = ("boat", "cable", "bilge_pump")


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: `table` and `key` name the one thing seen that decides it, if one is enough.

    `harm` and `near` are its row and column in the table of severities. `varies` says when, and
    why, a finding is graver or lighter, and `otherwise` how near it is where `when` does not hold;
    `opens` that what to do opens the loop below the water. `inputs` are the facts that decide it
    beside its own key: "table.key", or a word of the table of items for all facts of a kind;
    `basis` is one of PUBLISHED, PRACTICE and DERIVED, and `rests_on` says it in full.
    """

    id: str
    item: int
    question: str
    harm: str
    near: str
    why: str
    do: str
    basis: str
    rests_on: Fact
    table: str | None
    key: str | None
    test: tuple[str, Any] | None
    when: str | None
    otherwise: str | None
    found: str
    varies: str
    opens: bool
    inputs: tuple[str, ...]

    @property
    def decided_by(self) -> tuple[str, ...]:
        """The facts that decide it: its own key and its inputs."""
        return (*(() if self.key is None else (f"{self.table}.{self.key}",)), *self.inputs)

    def hangs_on(self, table: str, key: str) -> bool:
        """Return whether a fact of the case is among those that decide it."""
        return any(is_of(name, table, key) for name in self.decided_by)

    @property
    def severity(self) -> str:
        """How grave a finding is that says nothing else."""
        return severity_of(self.harm, self.near)

    def grade(self, verdict: Verdict) -> Verdict:
        """Return a verdict with its severity; an open question has one only if it says how near."""
        if isinstance(verdict, Kept) or (isinstance(verdict, Unknown) and verdict.near is None):
            return verdict
        severity = severity_of(verdict.harm or self.harm, verdict.near or self.near)
        return replace(verdict, severity=severity)


def is_of(name: str, table: str, key: str) -> bool:
    """Return whether a fact is one of those so named: "table.key", or a word for a kind of them."""
    of, _, wanted = name.partition(".")
    if wanted:
        same = table == of or (of, table) == ("pump", "cable")
        return same and (key == wanted or key.startswith(f"{wanted}."))
    if name == "places":
        return key in _PLACE
    if name == "supply":
        return table == "cable" or key in _SUPPLY
    return name == "loop" and table not in _NOT_OF_LOOP


@dataclass(frozen=True, slots=True)
class Breach:
    """A thing breaks a rule: what was found, and what comes of it in numbers.

    `near` and `harm` are given where they are not those of the rule; the severity follows.
    """

    where: str
    found: Fact
    in_numbers: tuple[Fact, ...] = ()
    near: str | None = None
    harm: str | None = None
    severity: str | None = None


@dataclass(frozen=True, slots=True)
class Unknown:
    """The case does not record what the rule needs: table, thing and key tell where it would.

    Without a severity of its own a breach would have that of the rule.
    """

    table: str
    thing: str
    key: str
    severity: str | None = None
    near: str | None = None
    harm: str | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """A thing keeps to a rule."""

    where: str


Verdict: TypeAlias = Breach | Unknown | Kept


def with_ruling(
    found: Sequence[Verdict], ruling: Ruling | None, where: str, usual: str
) -> Iterator[Verdict]:
    """Yield verdicts, and what `size` holds against a pump where that is graver than they are.

    `usual` is how near they are where they do not say. The harm is that to the cooling.
    """
    yield from found
    if ruling is None:
        return
    near = LATER if ruling.said.kind in AIMED else NEXT
    near = NOW if ruling.grade == NO else near
    told = [one.near or usual for one in found if isinstance(one, Breach)]
    if all(NEAR.index(one) > NEAR.index(near) for one in told):
        cured = () if ruling.cure is None else (ruling.cure,)
        yield Breach(where, ruling.said, cured, near)


@cache
def rules() -> tuple[Rule, ...]:
    """Return every rule."""
    return tuple(_rule(name, row) for name, row in read_folder("rules").items())


def _rule(name: str, row: dict[str, Any]) -> Rule:
    test = next(
        ((word, row[word]) for word in ("good", "bad", "least", "most") if word in row), None
    )
    basis = DERIVED if "derived" in row else PUBLISHED if "published" in row else PRACTICE
    return Rule(
        id=name,
        item=row["item"],
        question=row["question"],
        harm=row["harm"],
        near=row["near"],
        why=row["why"],
        do=row["do"],
        basis=basis,
        rests_on=_rests_on(basis, row),
        table=row.get("table"),
        key=row.get("key"),
        test=test,
        when=row.get("when"),
        otherwise=row.get("otherwise"),
        found=row.get("found", ""),
        varies=row.get("varies", ""),
        opens=row.get("opens", False),
        inputs=tuple(row.get("inputs", ())),
    )


def _rests_on(basis: str, row: dict[str, Any]) -> Fact:
    if basis == DERIVED:
        return fact("survey.derived", says=row["says"])
    if basis == PRACTICE:
        says = row.get("says", "")
        return fact("survey.practice_says", says=says) if says else fact("survey.practice")
    known = read_table("requirements.toml")
    named = tuple(f"{known[key]['name']}, {known[key]['seen']}" for key in row["published"])
    return fact("survey.published", says=row["says"], standards=named)


def items() -> Iterator[tuple[int, str, str]]:
    """Yield number, what to look at and why there is no rule, of each item of a survey."""
    for row in read_table("survey_items.toml")["item"]:
        yield row["number"], row["look_at"], row.get("no_rule", "")
