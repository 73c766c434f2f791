"""What is typical of such boats in an answer, as text: the values, and what each moves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from seaflow.base.facts import fact
from seaflow.present.layout import bullet, labelled, table
from seaflow.present.quantities import Show, percent
from seaflow.studies.design.certainty.find_out import LEAST_OF_FLOW, FindOut, TypicalValue

# Kinds of number by the quantity of a value; what is not here is shown in the unit inside.
_KINDS = {
    **{"aft": "height", "starboard": "height", "height": "height", "length": "length"},
    **{"bore": "bore", "volume_flow": "flow", "heat_flow": "heat", "input_power": "power"},
    **{"head_loss": "head", "pressure": "pressure", "sea_temperature": "temperature"},
    **{"condensing_temperature": "temperature", "condensing_pressure": "refrigerant_pressure"},
    **{"voltage": "voltage", "area": "basket_area", "conductor_area": "area", "charge": "charge"},
    **{"duration": "duration", "heel": "angle", "trim": "angle", "roughness": "thickness"},
    **{"growth": "thickness", "wall": "thickness", "temperature_rise": "rise", "power": "power"},
}


def typical_lines(
    values: Sequence[TypicalValue], found: Iterable[FindOut], show: Show
) -> Iterator[str]:
    """Yield what to find out next, and the typical values that move the answer."""
    for item in found:
        low, high = item.enough
        told = {"what": item.what, "how": item.how, "flow": item.of_flow}
        yield bullet(show.sentence(fact("design.find_out_moves", **told, low=low, high=high)))
    moving = [one for one in values if one.moves is not None and one.moves.tells]
    if moving:
        head = ("typical of such boats", "value", "explains of the flow", "of whether it is enough")
        yield table(head, [_row(one, show) for one in moving], right=(1, 2, 3))
    rest = len(values) - len(moving)
    if rest:
        said = fact("design.typical_rest", values=rest, least=LEAST_OF_FLOW)
        yield labelled("", show.sentence(said), 4)


def _row(one: TypicalValue, show: Show) -> tuple[str, ...]:
    moves = one.moves
    assert moves is not None  # only those that move something have a row
    return (one.what, shown(one, show), percent(moves.of_flow), percent(moves.of_chance))


def shown(one: TypicalValue, show: Show) -> str:
    """Return a typical value with its half width."""
    kind = _KINDS.get(one.quantity)
    if kind is None:
        return f"{one.value:.3g} +/- {one.half_width:.2g} {one.unit.replace('-', '')}".strip()
    half = {"temperature": "rise"}.get(kind, kind)
    return f"{show.number(kind, one.value)} +/- {show(half, one.half_width)}"
