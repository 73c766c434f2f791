"""Tables of places in the answer of `place`: levels and depths, and what each place costs."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import bullet, table
from seaflow.present.quantities import Show
from seaflow.present.words.place import NOTES
from seaflow.studies.place.rank import PlaceResult, letter_at
from seaflow.studies.place.sound import SoundAt
from seaflow.studies.place.study import PumpPlacing

SILENT = -20.0  # dB; less is nothing


def decibels(level: float) -> str:
    """Return a level in whole decibels."""
    return "none" if level < SILENT else f"{level:.0f}"


def level_of(result: PlaceResult, heard: SoundAt) -> str:
    """Return a level, marked where it does not hold because the pump draws air or cavitates."""
    return (">" if result.louder_by else "") + decibels(heard.level)


def places(item: PumpPlacing, show: Show) -> str:
    """Return the places in order, with what is heard and how deep the pump sits."""
    head = ["", "place", "dB(A)", "+/-", "heard most in", "depth", "at heel", "access", "seacock"]
    unit = show.unit("height")
    rows = [["", "", "", "", "", unit, unit, "", unit]]
    if item.places[0].loudest is None:
        head, rows = [*head[:2], *head[5:]], [[*rows[0][:2], *rows[0][5:]]]
    for position, result in enumerate(item.places):
        heard = result.loudest
        sound = []
        if heard is not None:
            sound = [level_of(result, heard), f"{heard.half_width:.0f}", heard.berth]
        depths = (result.standing.depth, result.standing.depth_at_heel)
        shown = [show.number("height", depth) for depth in depths]
        ways = [result.access, _to_seacock(result, show)]
        rows.append([_letter(position, result), result.name, *sound, *shown, *ways])
    return table(head, rows, right=(2, 3, 5, 6) if len(head) > 6 else (2, 3))


def _to_seacock(result: PlaceResult, show: Show) -> str:
    """Return how far strainer and seacock are apart, and what the case records of their reach."""
    stands = result.standing
    return f"{show.number('height', stands.to_seacock)} {stands.strainer_access}".rstrip()


def _letter(position: int, result: PlaceResult) -> str:
    return letter_at(position) + (" out" if result.rank is None else "")


def place_notes(item: PumpPlacing, show: Show) -> Iterator[str]:
    """Yield what the columns mean, which differences in sound are told, and where speeds differ."""
    yield bullet(NOTES["depth"])
    yield bullet(NOTES["seacock"])
    if any(result.louder_by for result in item.places):
        yield bullet(NOTES["louder"])
    for gap in item.gaps:
        yield bullet(show.sentence(gap))
    if item.speeds is not None:
        yield bullet(show.sentence(item.speeds))


def intakes(item: PumpPlacing, show: Show) -> Iterator[str]:
    """Yield the places for the intake in order."""
    if not item.intakes:
        return
    yield bullet(NOTES["intakes"])
    rows = [("", "", "", show.unit("flow"), show.unit("height"), "")]
    for intake in item.intakes:
        rows.append(
            (
                intake.name,
                f"{intake.holding} of {intake.offered}",
                intake.best or "-",
                show.number("flow", intake.flow),
                show.number("height", intake.depth_at_heel),
                "" if intake.holding else "out",
            )
        )
    head = ("intake", "holds at", "best place", "flow", "depth at heel", "")
    yield table(head, rows, right=(3, 4))
    for intake in item.intakes:
        if intake.reason is not None:
            yield bullet(f"{intake.name} is out: {show.sentence(intake.reason)}.")


def costs(item: PumpPlacing, show: Show) -> str:
    """Return flow, head, suction, power, hose and cable of each place."""
    kinds = ("flow", "head", "pressure", "power", "energy", "length", "length", "voltage")
    words = ("flow", "head", "suction", "power", "a day", "hose", "cable", "volts")
    rows = [["", "", *(show.unit(kind) for kind in kinds)]]
    for position, result in enumerate(item.places):
        water = result.water
        values: tuple[float | None, ...] = (None,) * len(kinds)
        if water is not None:
            values = (water.flow, water.head, water.lowest_inlet, water.power)
            values += (water.energy_per_day, water.hose, water.cable, water.voltage)
        shown = [show.number(kind, value) for kind, value in zip(kinds, values, strict=True)]
        rows.append([_letter(position, result), result.name, *shown])
    return table(["", "place", *words], rows, right=tuple(range(2, 10)))


def cost_notes(item: PumpPlacing, show: Show) -> Iterator[str]:
    """Yield what the columns mean, and what the lengths of hoses and cable rest on."""
    yield bullet(NOTES["costs"])
    for note in item.cost_notes:
        yield bullet(show.sentence(note))
