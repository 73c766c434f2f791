"""The cautions that go with an answer."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.tables import read_table


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: a title and what to heed."""

    title: str
    text: str


def cautions(answer: str) -> tuple[Caution, ...]:
    """Return the cautions for an answer such as "size"."""
    rows = read_table("cautions.toml").values()
    return tuple(Caution(row["title"], row["text"]) for row in rows if answer in row["when"])
