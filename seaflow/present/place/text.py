"""What the card of `place` rests on, as text by sections."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from seaflow.base.facts import Fact
from seaflow.physics.sound.levels import BAND_NAMES
from seaflow.present.layout import Heading, Line, bullet, labelled, table
from seaflow.present.notes import assumption_text, caution_lines
from seaflow.present.place.tables import (
    cost_notes,
    costs,
    decibels,
    intakes,
    level_of,
    place_notes,
    places,
)
from seaflow.present.quantities import Show
from seaflow.present.sentences import listed
from seaflow.present.words.place import NOTES
from seaflow.studies.place.cures import Cure
from seaflow.studies.place.rank import PlaceResult
from seaflow.studies.place.sound import SoundAt
from seaflow.studies.place.study import PlacingAnswer, PumpPlacing

CURE_HEADS = {
    "mount": "soft mount",
    "locker": "lined locker",
    "hose": "hose first",
    "speed": "slower",
    "all": "together",
}


def place_lines(answer: PlacingAnswer, show: Show) -> Iterator[Line]:
    """Yield what stands behind the card, by sections."""
    for item in answer.pumps:
        where = "the pump" if len(answer.pumps) == 1 else item.pump
        yield Heading(f"Where to put {where}: {item.part.title} ({item.part.name})")
        yield from _advice(item, show)
        yield Heading("The places")
        yield places(item, show)
        yield from place_notes(item, show)
        yield from intakes(item, show)
        yield Heading("What each place costs")
        yield costs(item, show)
        yield from cost_notes(item, show)
        yield Heading("What is against each place")
        yield from _reasons(item.places, show)
        if item.places[0].sound:
            yield Heading("Sound at each berth")
            yield from _sound(item)
            yield from _not_parted(answer)
            yield Heading("Cheaper ways to quiet: decibels off at the loudest berth")
            yield from _cures(item.places, show)
    yield from _together(answer)
    yield Heading("What was assumed")
    yield from _assumptions(answer, show)
    yield from caution_lines(answer.cautions)


def _advice(item: PumpPlacing, show: Show) -> Iterator[Line]:
    advice = item.advice
    lines: tuple[tuple[str, tuple[Fact | None, ...]], ...] = (
        ("Place", (advice.place, advice.next_best)),
        ("Quietest", (advice.quietest,)),
        ("Price", (advice.price,)),
        ("How loud", advice.loudness),
        ("Start-up", (advice.start,)),
        ("How sure", advice.how_sure),
    )
    for label, facts in lines:
        said = " ".join(show.sentence(one) for one in facts if one is not None)
        if said:
            yield labelled(label, said)
    of = "; ".join(show.sentence(said) for said in (item.chosen, item.rather) if said is not None)
    yield labelled("Pump", f"{item.part.title} ({item.part.name}), {of}")
    for doubt in item.places[0].doubts if item.is_met else ():
        yield labelled("Tight", f"{show.sentence(doubt)}.")
    for remark in item.places[0].remarks if item.is_met else ():
        yield labelled("Watch out", show.sentence(remark))


def _reasons(results: Iterable[PlaceResult], show: Show) -> Iterator[Line]:
    for result in results:
        rulings = result.water.rulings if result.water is not None else ()
        cures = {item.said: item.cure for item in rulings if item.cure is not None}
        held = [("Out", one) for one in result.reasons] + [("Tight", one) for one in result.doubts]
        for label, one in held:
            cure = f". Cure: {show.sentence(cures[one])}" if one in cures else ""
            yield labelled(label, f"{result.name}: {show.sentence(one)}{cure}")
        for remark in result.warnings if result.reasons else ():
            yield labelled("", f"{result.name}: {show.sentence(remark)}")
        if result.louder_by:
            least, most = result.louder_by
            note = NOTES["no_level"].format(least=least, most=most)
            yield labelled("", f"{result.name}: {note}")
    for result in [item for item in results if item.holds][1:]:
        said = "; ".join(show.sentence(remark) for remark in result.remarks)
        if result.doubts and said:
            yield labelled("Watch", f"{result.name}: {said}")
        elif not result.doubts:
            yield labelled("Will do", f"{result.name}: {said or 'nothing against it'}")


def _sound(item: PumpPlacing) -> Iterator[Line]:
    yield bullet(NOTES["sound"].format(level=item.a_level, speed=item.speed_ratio))
    rows = [
        (
            result.name,
            heard.berth,
            level_of(result, heard),
            f"{heard.half_width:.0f}",
            decibels(heard.airborne),
            decibels(heard.structure),
        )
        for result in item.places
        for heard in result.sound
    ]
    head = ("place", "berth", "dB(A)", "+/-", "by air", "by structure")
    yield table(head, rows, right=(2, 3, 4, 5))
    first = item.places[0]
    yield bullet(NOTES["metres"])
    yield bullet(NOTES["bands"].format(place=first.name))
    yield _bands(first.sound)


def _not_parted(answer: PlacingAnswer) -> Iterator[Line]:
    """Yield the rooms that touch with nothing recorded between them."""
    if answer.not_parted:
        pairs = "; ".join(f'"{one}" and "{other}"' for one, other in answer.not_parted)
        yield bullet(NOTES["not_parted"].format(pairs=pairs))


def _bands(sound: tuple[SoundAt, ...]) -> str:
    head = ("berth", *(f"{band} Hz" for band in BAND_NAMES))
    rows = [(heard.berth, *(decibels(value) for value in heard.bands)) for heard in sound]
    rows.append(("+/-", *(f"{width:.0f}" for width in sound[0].band_half_widths)))
    return table(head, rows, right=tuple(range(1, len(head))))


def _cures(results: tuple[PlaceResult, ...], show: Show) -> Iterator[Line]:
    rows = []
    for result in results:
        gains = {cure.kind: cure for cure in result.cures}
        rows.append((result.name, *(_gain(gains.get(kind)) for kind in CURE_HEADS)))
    yield table(("place", *CURE_HEADS.values()), rows, right=(1, 2, 3, 4, 5))
    for cure in results[0].cures:
        yield bullet(f"{CURE_HEADS[cure.kind]}: {show.sentence(cure.what)}.")
    yield bullet(NOTES["cures"])


def _gain(cure: Cure | None) -> str:
    return "-" if cure is None or cure.gain is None else f"{cure.gain:.1f}"


def _together(answer: PlacingAnswer) -> Iterator[Line]:
    """Yield what is heard with all pumps running; each was placed with the others as they are."""
    if len(answer.pumps) < 2 or not any(item.places[0].sound for item in answer.pumps):
        return
    yield Heading("All pumps running, each at its first place")
    if answer.together:
        rows = [
            (item.berth, decibels(item.level), f"{item.half_width:.0f}", item.loudest)
            for item in answer.together
        ]
        yield table(("berth", "dB(A)", "+/-", "heard most"), rows, right=(1, 2))
    else:
        yield bullet(NOTES["not_all_placed"])
    yield bullet(NOTES["together"])


def _assumptions(answer: PlacingAnswer, show: Show) -> Iterator[Line]:
    grouped: dict[tuple[str, str, str], list[str]] = {}
    for item in answer.assumptions:
        grouped.setdefault((item.meaning, item.value, item.source), []).append(item.subject)
    for (meaning, value, source), subjects in grouped.items():
        own = [subject for subject in subjects if subject not in ("limit", "design", "sea")]
        if any("," in subject for subject in own):
            own = [f'"{subject}"' for subject in own]
        who = f"{listed(own)}: " if own else ""
        yield bullet(f"{who}{assumption_text(meaning, value, source, show)}")
