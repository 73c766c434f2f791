"""The answer of `place` as text: the place first, then the table, the reasons and the sound."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from seaflow.physics.sound.levels import BAND_NAMES
from seaflow.present.layout import bullet, heading, labelled, table
from seaflow.present.place.tables import (
    cost_notes,
    costs,
    decibels,
    intakes,
    level_of,
    places,
    speeds,
    ties,
)
from seaflow.present.quantities import Show
from seaflow.studies.place.cures import Cure
from seaflow.studies.place.names import listed
from seaflow.studies.place.rank import Outcome
from seaflow.studies.place.sound import SoundAt
from seaflow.studies.place.study import PlacingAnswer, PumpPlacing

CURE_HEADS = (
    ("mount", "soft mount"),
    ("locker", "lined locker"),
    ("hose", "hose first"),
    ("speed", "slower"),
    ("all", "together"),
)


def place_text(answer: PlacingAnswer, system: str) -> str:
    """Return the whole answer as text."""
    return "\n".join(_lines(answer, Show(system)))


def _lines(answer: PlacingAnswer, show: Show) -> Iterator[str]:
    yield f"{answer.boat}: {answer.hull}, {_pumps(len(answer.pumps))} to place"
    for item in answer.pumps:
        yield heading(f"Where to put {item.pump}: {item.part.title} ({item.part.name})")
        yield from _advice(item, show)
        yield heading("The places")
        yield places(item, show)
        yield from ties(item)
        yield from speeds(item)
        yield from intakes(item, show)
        yield heading("What each place costs")
        yield costs(item, show)
        yield from cost_notes(item)
        yield heading("Why not the others")
        yield from _reasons(item.outcomes, show)
        if item.outcomes[0].sound:
            yield heading("Sound at each berth")
            yield from _sound(item)
            yield from _not_parted(answer)
            yield heading("Cheaper ways to quiet: decibels off at the loudest berth")
            yield from _cures(item.outcomes)
    yield from _together(answer)
    yield heading("What was assumed")
    yield from _assumptions(answer, show)
    yield heading("Cautions")
    for caution in answer.cautions:
        yield bullet(f"{caution.title}. {caution.text}", mark="!")


def _pumps(count: int) -> str:
    return "one pump" if count == 1 else f"{count} pumps"


def _advice(item: PumpPlacing, show: Show) -> Iterator[str]:
    advice = item.advice
    yield labelled("Place", show.sentence(f"{advice.place} {advice.next_best}"))
    if advice.quietest:
        yield labelled("Quietest", show.sentence(advice.quietest))
    if advice.loudness:
        yield labelled("How loud", advice.loudness)
    if advice.events:
        yield labelled("A start", advice.events)
    if advice.how_sure:
        yield labelled("How sure", advice.how_sure)
    if advice.costs:
        yield labelled("Its price", show.sentence(advice.costs))
    if item.note:
        yield labelled("Pump", item.note)
    if item.is_met:
        for remark in item.outcomes[0].remarks:
            yield labelled("Watch out", show.sentence(remark))


def _reasons(outcomes: Iterable[Outcome], show: Show) -> Iterator[str]:
    for outcome in outcomes:
        for reason in outcome.reasons:
            yield labelled("Out", show.sentence(f"{outcome.name}: {reason}"))
        for remark in outcome.warnings if outcome.reasons else ():
            yield labelled("", show.sentence(f"{outcome.name}: {remark}"))
        if outcome.louder_by:
            least, most = outcome.louder_by
            yield labelled(
                "",
                f"{outcome.name}: the level given for it does not hold. A pump that draws air or "
                f"cavitates is {least:.0f} to {most:.0f} dB louder, and gravelly (common practice, "
                "no source).",
            )
    others = [item for item in outcomes if item.holds][1:]
    for outcome in others:
        said = "; ".join(show.sentence(remark) for remark in outcome.remarks) or "holds too"
        yield labelled("Holds too", f"{outcome.name}: {said}")


def _sound(item: PumpPlacing) -> Iterator[str]:
    yield bullet(
        f"The pump gives {item.a_level:.0f} dB(A) at 1 m at the speed of the first place, "
        f"{item.speed_ratio:.0%} of rated; its kind is an invented row of a table, and "
        "levels are for ranking. By air and by structure apart, both A-weighted; the structure's "
        "part rests on invented force levels:"
    )
    rows = [
        (
            outcome.name,
            heard.berth,
            level_of(outcome, heard),
            f"{heard.half_width:.0f}",
            decibels(heard.airborne),
            decibels(heard.structure),
        )
        for outcome in item.outcomes
        for heard in outcome.sound
    ]
    head = ("place", "berth", "dB(A)", "+/-", "by air", "by structure")
    yield table(head, rows, right=(2, 3, 4, 5))
    if item.outcomes and item.outcomes[0].sound:
        first = item.outcomes[0]
        yield bullet(f"Octave bands for {first.name}, unweighted, in dB:")
        yield _bands(first.sound)


def _not_parted(answer: PlacingAnswer) -> Iterator[str]:
    """Yield the rooms that touch with nothing recorded between them."""
    if answer.not_parted:
        yield bullet(
            f"No partition recorded between {'; '.join(answer.not_parted)}: what goes through "
            "there is taken as nothing."
        )


def _bands(sound: tuple[SoundAt, ...]) -> str:
    head = ("berth", *(f"{band} Hz" for band in BAND_NAMES))
    rows = [(heard.berth, *(decibels(value) for value in heard.bands)) for heard in sound]
    rows.append(("+/-", *(f"{width:.0f}" for width in sound[0].band_half_widths)))
    return table(head, rows, right=tuple(range(1, len(head))))


def _cures(outcomes: tuple[Outcome, ...]) -> Iterator[str]:
    rows = []
    for outcome in outcomes:
        gains = {cure.kind: cure for cure in outcome.cures}
        rows.append((outcome.name, *(_gain(gains.get(kind)) for kind, _ in CURE_HEADS)))
    yield table(("place", *(words for _, words in CURE_HEADS)), rows, right=(1, 2, 3, 4, 5))
    for cure in outcomes[0].cures:
        note = f": {cure.note}" if cure.note else ""
        heads = dict(CURE_HEADS)
        yield bullet(f"{heads[cure.kind]}: {cure.name}{note}.")
    yield bullet(
        "The gains of single cures do not add up: the loudest way that is left decides. Shutting "
        "a door on the way to a berth never makes it louder there, but shutting one to a soft "
        "side room can, since that room swallowed some of the sound."
    )


def _gain(cure: Cure | None) -> str:
    return "-" if cure is None or cure.gain is None else f"{cure.gain:.1f}"


def _together(answer: PlacingAnswer) -> Iterator[str]:
    """Yield what is heard with all pumps running; each was placed with the others as they are."""
    if len(answer.pumps) < 2 or not any(item.outcomes[0].sound for item in answer.pumps):
        return
    yield heading("All pumps running, each at its first place")
    if answer.together:
        rows = [
            (item.berth, decibels(item.level), f"{item.half_width:.0f}", item.loudest)
            for item in answer.together
        ]
        yield table(("berth", "dB(A)", "+/-", "heard most"), rows, right=(1, 2))
    else:
        yield bullet("Not every pump has a place that holds and a berth that hears it.")
    yield bullet(
        "Each pump was placed by itself, with the others where the case has them, and heard alone."
    )


def _assumptions(answer: PlacingAnswer, show: Show) -> Iterator[str]:
    grouped: dict[tuple[str, str, str], list[str]] = {}
    for item in answer.assumptions:
        grouped.setdefault((item.meaning, item.value, item.source), []).append(item.subject)
    for (meaning, value, source), subjects in grouped.items():
        own = [subject for subject in subjects if subject not in ("limit", "design", "sea")]
        who = f"{listed(own)}: " if own else ""
        yield bullet(f"{who}{meaning}: {show.typed(value)} ({source})")
