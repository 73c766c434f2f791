"""The short answer of every command: at most thirty lines of eighty columns for one loop.

A card is a title and blocks, each a label and sentences, in the order decision, hazard of the next
action, what to buy or do, how sure, the next command. Where it would not fit, the sentences that
a block can spare go, last first, and the block says how many.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.layout import NARROW, bold, width, wrapped
from seaflow.present.quantities import Show
from seaflow.studies.design.cautions import Caution
from seaflow.studies.design.cured import left_by_cures
from seaflow.studies.design.judge import NO, TIGHT, YES, Ruling, worst_of
from seaflow.studies.design.named import pump_named
from seaflow.studies.design.start import cures_of

COLUMNS, LINES, LINES_MORE = 80, 30, 12  # of a card; lines for one loop, and for each further one
INDENT = 10
GRADE = {YES: "Yes", TIGHT: "Tight", NO: "No"}  # the label of a decision


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a card: its label, and sentences of which the first `kept` always stay.

    Without sentences it is a heading. `listed` begins each sentence on a line of its own, `apart`
    sets a blank line before the block, and `left` counts the sentences that did not fit.
    """

    label: str
    says: tuple[str, ...] = ()
    kept: int = 1
    listed: bool = False
    apart: bool = False
    left: int = 0

    @property
    def spare(self) -> int:
        """How many sentences may go."""
        return len(self.says) - self.kept


@dataclass(frozen=True, slots=True)
class Card:
    """A short answer: a title, blocks, and how many lines it may take; `whole` is nothing cut."""

    title: str
    blocks: tuple[Block, ...]
    lines: int = LINES
    whole: tuple[Block, ...] = ()


def block(label: str, *says: str | None, kept: int = -1, **how: bool) -> Block | None:
    """Return a block of the sentences that there are, or None where there is none.

    `kept` is how many of them the block cannot spare; all of them if it is not given.
    """
    found = tuple(one for one in says if one)
    return Block(label, found, len(found) if kept < 0 else kept, **how) if found else None


def capital(said: str) -> str:
    """Return a sentence with a capital."""
    return f"{said[:1].upper()}{said[1:]}"


def sentences(said: Iterable[Fact], show: Show) -> list[str]:
    """Return facts as whole sentences, each with a capital and one full stop."""
    return [f"{capital(show.sentence(one)).rstrip('.')}." for one in said]


def loops_told(count: int) -> Fact:
    """Return how many loops there are."""
    return fact("design.one_loop") if count == 1 else fact("design.loops", loops=count)


def pump_graded(loop: Any, show: Show) -> str:
    """Return whether the pump that an answer is asked of will do, and what decides that."""
    told = {"pump": pump_named(loop.title, loop.pump, loop.invented)}
    judged = loop.judgement
    if judged.decides is None:
        said = fact("design.card_pump_yes", **told, chosen=loop.chosen)
    else:
        kind = "design.card_pump_tight" if judged.grade == TIGHT else "design.card_pump_no"
        said = fact(kind, **told, chosen=loop.chosen, said=judged.decides)
    return capital(show.sentence(said))


def loops_of(
    answer: Any, one: Callable[[Any], Iterable[Block | None]], own: Iterable[str] = ()
) -> Iterator[Block | None]:
    """Yield the blocks of every loop, with the cautions behind the first of them, its decision.

    `own` are hazards of this answer alone, which stand before all others.
    """
    named = [(loop.name, one(loop)) for loop in answer.loops]
    return with_cautions(named, careful(answer.cautions, own))


def at_rest(answer: Any, show: Show) -> Block | None:
    """Return which loops an answer leaves out, as they are at rest."""
    return block("At rest", *sentences(answer.at_rest, show), apart=True)


def with_cautions(
    named: Sequence[tuple[str, Iterable[Block | None]]], hazards: Block | None
) -> Iterator[Block | None]:
    """Yield blocks by name, the hazards behind the first of all; one name alone is no heading."""
    for number, (name, blocks) in enumerate(named):
        if len(named) > 1:
            yield Block(capital(name), apart=number > 0)
        decision, *rest = blocks
        yield decision
        if number == 0:
            yield hazards
        yield from rest


def gives(n_pumps: int) -> Fact:
    """Return how a flow is told: what the pump gives, or all pumps of the loop together."""
    return fact("design.gives") if n_pumps == 1 else fact("design.give", pumps=n_pumps)


def pump_told(
    title: str, pump: str, invented: bool, chosen: Fact, flow: float = 0.0, n_pumps: int = 1
) -> Fact:
    """Return which pump an answer is asked of, and what it gives where that is known.

    Of several alike in a loop that is told of all together.
    """
    told = {"pump": pump_named(title, pump, invented), "chosen": chosen}
    if flow <= 0.0:
        return fact("design.card_pump", **told)
    if n_pumps > 1:
        return fact("design.card_pumps_give", **told, flow=amount("flow", flow), pumps=n_pumps)
    return fact("design.card_pump_gives", **told, flow=amount("flow", flow))


def typical_told(found: Any) -> Fact:
    """Return how much of an answer rests on what is typical of such boats."""
    if found.find_out:
        return fact("design.typical_values", values=len(found.typical))
    first = found.leading
    if first is None:
        return fact("design.typical_is_enough", values=len(found.typical))
    told = {"input": first.label, "share": first.explains}
    return fact("design.typical_but_one_leads", values=len(found.typical), **told)


def to_find_out(found: Iterable[Any], show: Show) -> Block | None:
    """Return what to find out next, that first which narrows the answer most."""
    said = (fact("design.find_out", what=one.what, how=one.how) for one in found)
    return block("Find out", *sentences(said, show), kept=2, listed=True)


def cures(rulings: Iterable[Ruling], show: Show) -> Block | None:
    """Return what would cure that a pump will not do, or else that it is tight."""
    every = tuple(rulings)
    worst = worst_of(item.grade for item in every)
    found = cures_of(item.cure for item in every if item.grade == worst)
    left = left_by_cures(every)
    said = [*found[:1], *([left] if left is not None else []), *found[1:]]
    kept = 1 if left is None else 2
    return block("Cure", *sentences(said, show), kept=kept, listed=True, apart=True)


def careful(cautions: Iterable[Caution], own: Iterable[str] = ()) -> Block | None:
    """Return the hazards of the next action, in short, as one paragraph."""
    return block("Careful", " ".join((*own, *briefs(cautions))), apart=True)


def briefs(cautions: Iterable[Caution]) -> tuple[str, ...]:
    """Return cautions in short, those that have a short form."""
    return tuple(item.brief for item in cautions if item.brief)


def more(command: str, *others: str) -> Block | None:
    """Return the commands that come next."""
    said = "   ".join(f"seaflow {other} BOAT" for other in others)
    return block("More", f"seaflow {command} BOAT --full   {said}".rstrip(), apart=True)


def card(title: str, blocks: Iterable[Block | None], loops: int = 1) -> Card:
    """Return a card with the blocks that there are, cut to the lines it may take."""
    lines = LINES + LINES_MORE * (max(loops, 1) - 1)
    whole = tuple(one for one in blocks if one is not None)
    return _cut(Card(title, whole, lines, whole))


def card_text(made: Card, bolder: bool = False) -> str:
    """Return a card as text, wrapped to the terminal where that is narrower.

    `bolder` for a terminal that shows title and labels in bold.
    """
    columns = min(COLUMNS, width())
    title, *pieces = _pieces(made, columns)
    if bolder:
        title = [bold(line) if line else line for line in title]
        labels = [one.label for one in made.blocks]
        pieces = [_bolder(*piece) for piece in zip(pieces, labels, strict=True)]
    return "\n".join(line for piece in (title, *pieces) for line in piece)


def _bolder(lines: list[str], label: str) -> list[str]:
    """Return a block with its label, which stands before its first words, in bold."""
    place = next((i for i, line in enumerate(lines) if line and line.startswith(label)), None)
    if place is None or not label:
        return lines
    first = bold(label) + lines[place].removeprefix(label)
    return [*lines[:place], first, *lines[place + 1 :]]


def block_text(one: Block) -> str:
    """Return one block as text, as it stands on a card."""
    return "\n".join(_wrapped(one, min(COLUMNS, width())))


def card_data(made: Card) -> dict[str, object]:
    """Return a card as data, whole: only a screen has so many lines."""
    blocks = [{"label": one.label, "says": list(one.says)} for one in made.whole or made.blocks]
    return {"title": made.title, "blocks": blocks}


def more_than(n_left: int, all_of_them: bool = False) -> str:
    """Return how a block says that some or all of its sentences were left out."""
    points = "1 point" if n_left == 1 else f"{n_left} points"
    return f"{points}: --full" if all_of_them else f"({n_left} more: --full)"


def _pieces(made: Card, columns: int) -> Iterator[list[str]]:
    yield [*_filled(made.title, columns, ""), ""]
    for number, one in enumerate(made.blocks):
        yield [*([""] if one.apart and number else []), *_wrapped(one, columns)]


def _wrapped(one: Block, columns: int) -> list[str]:
    says = [*one.says, *([more_than(one.left, not one.says)] if one.left else [])]
    if not one.listed:
        says = [" ".join(says)]
    narrow = columns < NARROW
    indent = " " * (2 if narrow else INDENT)
    lines = [line for said in says for line in _filled(said, columns, indent)]
    if narrow or not lines:
        return [*_filled(one.label, columns, ""), *lines]
    return [f"{one.label:<{INDENT}}{lines[0].strip()}", *lines[1:]]


def _filled(said: str, columns: int, indent: str) -> list[str]:
    return wrapped(said, columns, indent, indent)


def _cut(made: Card) -> Card:
    """Return a card cut to its lines.

    With several loops blank lines go first and then sentences, with one loop the other way round.
    """
    several = made.lines > LINES
    if several:
        made = _closed_up(made)
    made = _without_spare(made)
    return made if several else _closed_up(made)


def _without_spare(made: Card) -> Card:
    """Return a card without the sentences it can spare, as far as it is too long.

    Of blocks that can spare equally many the last goes first; with several loops they all go, or
    a loop would say the less the later its pump stands in the file.
    """
    while _length(made) > made.lines:
        most = max(one.spare for one in made.blocks)
        if most <= 0:
            break
        places = [place for place, one in enumerate(made.blocks) if one.spare == most]
        going = places if made.lines > LINES else places[-1:]
        blocks = tuple(_cut_by_one(one) if i in going else one for i, one in enumerate(made.blocks))
        made = replace(made, blocks=blocks)
    return made


def _cut_by_one(one: Block) -> Block:
    return replace(one, says=one.says[:-1], left=one.left + 1)


def _length(made: Card) -> int:
    return sum(map(len, _pieces(made, COLUMNS)))


def _closed_up(made: Card) -> Card:
    """Return a card without blank lines but before headings, if it is too long."""
    if _length(made) <= made.lines:
        return made
    blocks = (replace(one, apart=one.apart and not one.says) for one in made.blocks)
    return replace(made, blocks=tuple(blocks))
