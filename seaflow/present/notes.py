"""What was assumed and what to heed, at the end of an answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from seaflow.base.facts import Fact
from seaflow.boat.defaults import Assumption
from seaflow.present.layout import bullet, heading
from seaflow.present.quantities import Show
from seaflow.studies.design.cautions import Caution

INVENTED = (
    "Pumps and strainers named demo-... are invented, to show the method: "
    "look for the like of them."
)
_NO_SUBJECT = ("limit", "duty", "the sea")


def validity_lines(validity: Iterable[Fact], show: Show) -> Iterator[str]:
    """Yield where an answer leaves the range that a source vouches for, if it does."""
    notes = dict.fromkeys(validity)
    if notes:
        yield heading("Outside the range of a source")
    for note in notes:
        yield bullet(f"{show.sentence(note)}.")


def notes_of(
    assumptions: Sequence[Assumption], cautions: Sequence[Caution], show: Show
) -> Iterator[str]:
    """Yield the assumptions of one answer, with their sources, and its cautions."""
    yield heading("What was assumed")
    grouped: dict[tuple[str, str, str], list[str]] = {}
    for item in assumptions:
        grouped.setdefault((item.meaning, item.value, item.source), []).append(item.subject)
    for (meaning, value, source), subjects in grouped.items():
        own = [subject for subject in subjects if subject not in _NO_SUBJECT]
        who = f"{', '.join(own)}: " if own else ""
        yield bullet(f"{who}{meaning}: {show.typed(value)} ({source})")
    yield bullet("What stands in for open values of hoses, coils and pumps: see seaflow size.")
    yield heading("Cautions")
    for caution in cautions:
        yield bullet(f"{caution.title}. {caution.text}", mark="!")
