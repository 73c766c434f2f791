"""The rules of the survey as they stand in seaflow/data/rules, and what a rule says of a thing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, TypeAlias

from seaflow.base.tables import read_folder, read_table

SEVERITIES = ("critical", "major", "minor", "advisory")
PUBLISHED, PRACTICE, DERIVED = "published requirement", "common practice", "derived"


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: `table` and `key` name the fact it is judged by, if one fact is enough.

    `varies` says when, and why, a finding is graver or lighter than `severity`.
    """

    id: str
    item: int
    question: str
    severity: str
    why: str
    do: str
    basis: str
    basis_text: str
    table: str | None = None
    key: str | None = None
    test: tuple[str, Any] | None = None
    when: str | None = None
    found: str = ""
    varies: str = ""


@dataclass(frozen=True, slots=True)
class Fault:
    """A thing breaks a rule: what was found, and what comes of it in numbers."""

    where: str
    found: str
    consequence: str = ""
    severity: str | None = None


@dataclass(frozen=True, slots=True)
class Unknown:
    """The case does not record what the rule needs; `fact` names the key that would."""

    where: str
    fact: tuple[str, str, str]  # table, name of the thing, key
    ask: str = ""


@dataclass(frozen=True, slots=True)
class Fine:
    """A thing keeps to a rule."""

    where: str


Verdict: TypeAlias = Fault | Unknown | Fine


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
        severity=row["severity"],
        why=row["why"],
        do=row["do"],
        basis=basis,
        basis_text=_basis_text(basis, row),
        table=row.get("table"),
        key=row.get("key"),
        test=test,
        when=row.get("when"),
        found=row.get("found", ""),
        varies=row.get("varies", ""),
    )


def _basis_text(basis: str, row: dict[str, Any]) -> str:
    if basis == PRACTICE:
        more = f": {row['says']}" if "says" in row else ""
        return f"Common practice, no source{more}."
    if basis == DERIVED:
        return f"Derived: {row['says']}."
    known = read_table("requirements.toml")
    named = "; ".join(f"{known[key]['name']}, {known[key]['seen']}" for key in row["published"])
    return (
        f"Published requirement, in our words: {row['says']}. {named}. Check the current edition."
    )


def items() -> Iterator[tuple[int, str, str]]:
    """Yield number, what to look at and why there is no rule, of each item of a survey."""
    for row in read_table("survey_items.toml")["item"]:
        yield row["number"], row["look_at"], row.get("no_rule", "")
