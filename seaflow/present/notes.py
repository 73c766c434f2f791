"""What several answers say alike: the pump asked of and its grade, assumptions, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Protocol, TypeVar

from seaflow.base.facts import Fact
from seaflow.boat.defaults import Assumption
from seaflow.present.layout import Heading, Line, bullet, labelled
from seaflow.present.quantities import Show, with_degrees
from seaflow.studies.design.cautions import Caution
from seaflow.studies.design.judge import TIGHT
from seaflow.studies.design.kinds import TYPICAL_WATTS


class Named(Protocol):
    """A loop of an answer."""

    @property
    def name(self) -> str:
        """Its name."""


_L = TypeVar("_L", bound=Named)
INVENTED = "Parts named demo-... are invented. Buy a real part with the same figures."
_NO_SUBJECT = ("limit", "duty", "the design", "the sea")
MOST_NAMED = 2  # things that share an assumption before they are only counted


def pump_lines(loop: Any, show: Show, more: str = "") -> Iterator[Line]:
    """Yield which pump an answer is asked of, which `size` would recommend, and its grade."""
    rather = "" if loop.rather is None else f"; {show.sentence(loop.rather)}"
    yield labelled(
        "Pump", f"{loop.title} ({loop.pump}), {show.sentence(loop.chosen)}{more}{rather}"
    )
    judged = loop.judgement
    if judged.decides is not None:
        label = "Tight" if judged.grade == TIGHT else "Not met"
        yield labelled(label, f"{show.sentence(judged.decides)}.")
    if judged.cure is not None:
        yield labelled("Cure", f"{show.sentence(judged.cure)}.")
    yield from watts_lines(judged.remarks, show)


def watts_lines(remarks: Iterable[Fact], show: Show) -> Iterator[Line]:
    """Yield that the power of a pump is typical, if that is remarked of it."""
    for said in (one for one in remarks if one.kind == TYPICAL_WATTS):
        yield labelled("Typical", f"{show.sentence(said)}.")


def validity_lines(validity: Iterable[Fact], show: Show) -> Iterator[Line]:
    """Yield where an answer leaves the range that a source vouches for, if it does."""
    notes = dict.fromkeys(validity)
    if notes:
        yield Heading("Outside the range of a source")
    for note in notes:
        yield bullet(f"{show.sentence(note)}.")


def notes_of(
    assumptions: Sequence[Assumption], cautions: Sequence[Caution], show: Show
) -> Iterator[Line]:
    """Yield the assumptions of one answer, with their sources, and its cautions."""
    yield from assumption_lines(assumptions, show)
    yield bullet("Assumed for hoses, coils and pumps left open: see seaflow size --full.")
    yield from caution_lines(cautions)


def assumption_lines(assumptions: Iterable[Assumption], show: Show) -> Iterator[Line]:
    """Yield every default and limit with its source, under their heading."""
    yield Heading("What was assumed")
    for who, meaning, value, source in named_once(assumptions):
        yield bullet(f"{who}{assumption_text(meaning, value, source, show)}")


def assumption_text(meaning: str, value: str, source: str, show: Show) -> str:
    """Return what was assumed, how much, and where it is from."""
    return f"{meaning}: {show.typed(value)} ({with_degrees(source)})"


def named_once(assumptions: Iterable[Assumption]) -> Iterator[tuple[str, str, str, str]]:
    """Yield each assumption once: whose it is, its meaning, its value and its source."""
    grouped: dict[tuple[str, str, str], dict[str, None]] = {}
    for item in assumptions:
        grouped.setdefault((item.meaning, item.value, item.source), {})[item.subject] = None
    for (meaning, value, source), subjects in grouped.items():
        own = [subject for subject in subjects if subject not in _NO_SUBJECT]
        who = f"{', '.join(own)}: " if own else ""
        if len(own) > MOST_NAMED:
            who = f"{own[0]} and {len(own) - 1} more: "
        yield who, meaning, value, source


def caution_lines(cautions: Iterable[Caution]) -> Iterator[Line]:
    """Yield the cautions of an answer under their heading."""
    yield Heading("Cautions")
    for caution in cautions:
        yield bullet(f"{caution.title}. {caution.text}", mark="!")


def each_loop(loops: Sequence[_L]) -> Iterator[tuple[_L, str]]:
    """Yield every loop with what its headings end in, to tell one of several from another."""
    for loop in loops:
        yield loop, f", {loop.name}" if len(loops) > 1 else ""
