"""What the recommended place costs beside the one with the shortest hoses."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.base.sentence import quantity
from seaflow.studies.place.hydraulic import Water
from seaflow.studies.place.rank import Outcome, is_left_open

SMALL_FLOW, SMALL_HEAD = 0.1 / 60000.0, 0.05  # m3/s and m; less is not worth a word
SMALL_POWER, SMALL_HOSE = 1.0, 0.1  # W and m
SMALL_VOLTAGE, SMALL_VACUUM = 0.05, 100.0  # V and Pa


def price(best: Outcome, holding: list[Outcome], width: float) -> str:
    """Return what the recommended place costs beside the one with the least hose."""
    shortest = min(holding, key=lambda item: (item.water.hose if item.water else 0.0, item.name))
    if shortest is best or best.water is None or shortest.water is None:
        return "It is also the place with the shortest hoses of those that hold: quiet is free."
    dear = ", ".join(_dearer(best.water, shortest.water)) or "nothing that counts"
    beside = f"Beside {shortest.name}, which has the shortest hoses,"
    if best.level is None or shortest.level is None:
        return f"{beside} it costs {dear}."
    gain = shortest.level - best.level
    if gain < width:
        return (
            f"{beside} it costs {dear}; the {abs(gain):.1f} dB between the two are less than "
            f"{width:.0f} dB and cannot be told."
        )
    model = " by the model" if is_left_open(best, shortest) else ""
    return f"{beside} {gain:.1f} dB{model} cost {dear}."


def _dearer(here: Water, there: Water) -> Iterator[str]:
    if here.hose - there.hose > SMALL_HOSE:
        yield f"{quantity('length', here.hose - there.hose)} of hose"
    if there.flow - here.flow > SMALL_FLOW:
        yield f"{quantity('flow', there.flow - here.flow)} of flow"
    if here.head - there.head > SMALL_HEAD:
        yield f"{quantity('head', here.head - there.head)} of head"
    if here.lowest_inlet is not None and there.lowest_inlet is not None:
        deeper = there.lowest_inlet - here.lowest_inlet
        if deeper > SMALL_VACUUM:
            yield f"{quantity('pressure', deeper)} less at the pump's inlet"
    if here.power - there.power > SMALL_POWER:
        more = here.energy_per_day - there.energy_per_day
        yield (
            f"{quantity('power', here.power - there.power)}, which is "
            f"{quantity('energy', more)} in a day and night"
        )
    yield from _dearer_cable(here, there)


def _dearer_cable(here: Water, there: Water) -> Iterator[str]:
    if here.cable is not None and there.cable is not None and here.cable - there.cable > SMALL_HOSE:
        yield f"{quantity('length', here.cable - there.cable)} of cable"
    if there.voltage - here.voltage > SMALL_VOLTAGE:
        yield f"{quantity('voltage', there.voltage - here.voltage)} at the pump"
