"""Rules on bilge pumps, alarm and running unattended; a multihull is judged hull by hull."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.sentence import quantity
from seaflow.boat.tables.recorded_machines import BilgePump
from seaflow.model.geometry import Opening
from seaflow.physics.hull.openings import SHARP_EDGE
from seaflow.studies.survey.facts import Facts
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict

PORT, STARBOARD = "port", "starboard"


def bilge_pump_too_small(facts: Facts) -> Iterator[Verdict]:
    """The bilge pumps against the largest opening below the waterline, in each hull."""
    pumps, found = facts.boat.bilge_pump, facts.openings()
    not_said = Unknown("the boat", ("boat", "the boat", "bilge_pump"))
    if not pumps or any(pump.capacity is None for pump in pumps):
        yield not_said
        return
    if "multihull" not in facts.case.boat.hull:
        yield from _against(facts, "the boat", found, pumps)
        return
    if any(pump.hull is None for pump in pumps):
        yield not_said  # a pump of one hull does not empty the other
        return
    sides = _sides(facts)
    for side in (PORT, STARBOARD):
        own = tuple(pump for pump in pumps if pump.hull == side)
        there = tuple(item for item in found if sides.get(item.name, side) == side)
        yield from _against(facts, f"the {side} hull", there, own)


def _sides(facts: Facts) -> dict[str, str]:
    """Return in which hull each opening lies, as far as its side is recorded."""
    return {
        thing.name: STARBOARD if thing.at.starboard > 0.0 else PORT
        for _, thing in facts.all_at_sea()
        if thing.at is not None and thing.at.starboard is not None
    }


def _against(
    facts: Facts, where: str, found: tuple[Opening, ...], pumps: tuple[BilgePump, ...]
) -> Iterator[Verdict]:
    """Yield the verdict on the pumps of one hull against its largest opening."""
    if not found:
        return
    worst = max(found, key=lambda item: item.flow)
    capacity = sum(pump.capacity or 0.0 for pump in pumps)
    left = worst.flow - capacity
    if left <= 0.0:
        yield Fine(where)
        return
    volume = facts.boat.floodable_volume
    time = ""
    if volume is not None:
        time = f": {volume:.3g} m3 fill in {volume / left / 60.0:.0f} minutes"
    yield Fault(
        where,
        f'its bilge pumps deliver {quantity("flow", capacity)} and "{worst.name}" can let in '
        f"{quantity('flow', worst.flow)} (discharge coefficient {SHARP_EDGE:g})",
        f"{quantity('flow', left)} stay in the boat{time}",
        None if is_noticed(facts) is not False else "major",
    )


def is_noticed(facts: Facts) -> bool | None:
    """Return whether a flood is noticed and met: an alarm, and a pump that starts by itself.

    None where that is not recorded.
    """
    automatic = [pump.automatic for pump in facts.boat.bilge_pump]
    alarm = facts.boat.bilge_alarm
    if alarm is False or (automatic and not any(item is not False for item in automatic)):
        return False
    return True if alarm and any(automatic) else None


def unattended(facts: Facts) -> Iterator[Verdict]:
    """The cooling stands still with nobody aboard, or a flood is noticed and met."""
    runs = facts.boat.runs_unattended
    if runs is None:
        yield Unknown("the boat", ("boat", "the boat", "runs_unattended"))
    elif not runs:
        yield Fine("the boat")
    else:
        words = "the cooling runs with nobody aboard"
        if is_noticed(facts) is False:
            words += ", without both an alarm and a bilge pump that starts by itself"
            yield Fault("the boat", words, "", "major")
        else:
            yield Fault("the boat", words)


def bilge_pump_not_automatic(facts: Facts) -> Iterator[Verdict]:
    """A bilge pump starts by itself."""
    known = [pump.automatic for pump in facts.boat.bilge_pump]
    if any(known):
        yield Fine("the boat")
    elif not known or None in known:
        yield Unknown("the boat", ("boat", "the boat", "bilge_pump"))
    else:
        yield Fault("the boat", "no bilge pump of that compartment starts by itself")
