"""Tables of places in the answer of `place`: levels and depths, and what each place costs."""

from __future__ import annotations

from collections.abc import Iterator

from seaflow.present.layout import bullet, table
from seaflow.present.quantities import Show
from seaflow.studies.place.rank import Outcome
from seaflow.studies.place.routes import GIVEN, MEASURED, UNKNOWN
from seaflow.studies.place.sound import SoundAt
from seaflow.studies.place.study import PumpPlacing

LEFT_OPEN = (" by the model", ", within what the invented force levels leave open")
SAME_SPEED = 0.002  # of rated speed; less is 0.05 dB, and no difference
SILENT = -20.0  # dB; less is nothing


def decibels(level: float) -> str:
    """Return a level in whole decibels."""
    return "none" if level < SILENT else f"{level:.0f}"


def level_of(outcome: Outcome, heard: SoundAt) -> str:
    """Return a level, marked where it does not hold because the pump draws air or cavitates."""
    return (">" if outcome.louder_by else "") + decibels(heard.level)


def places(item: PumpPlacing, show: Show) -> str:
    """Return the places in order, with what is heard and how deep the pump sits."""
    head = ["", "place", "dB(A)", "+/-", "heard most in", "depth", "at heel", "access", "seacock"]
    unit = show.unit("height")
    rows = [["", "", "", "", "", unit, unit, "", unit]]
    if item.outcomes[0].loudest is None:
        head, rows = [*head[:2], *head[5:]], [[*rows[0][:2], *rows[0][5:]]]
    for outcome in item.outcomes:
        heard = outcome.loudest
        sound = []
        if heard is not None:
            sound = [level_of(outcome, heard), f"{heard.half_width:.0f}", heard.berth]
        depths = (outcome.standing.depth, outcome.standing.depth_at_heel)
        shown = [show.number("height", depth) for depth in depths]
        ways = [outcome.access, _to_seacock(outcome, show)]
        rows.append([_number(outcome), outcome.name, *sound, *shown, *ways])
    return table(head, rows, right=(2, 3, 5, 6) if len(head) > 6 else (2, 3))


def _to_seacock(outcome: Outcome, show: Show) -> str:
    """Return how far strainer and seacock are apart, and what the case records of their reach."""
    stands = outcome.standing
    return f"{show.number('height', stands.to_seacock)} {stands.strainer_access}".rstrip()


def _number(outcome: Outcome) -> str:
    return "out" if outcome.rank is None else str(outcome.rank)


def ties(item: PumpPlacing) -> Iterator[str]:
    """Yield what the columns mean, and which differences in sound can be told."""
    yield bullet("depth: water over the pump, upright and the least at the working heel and trim.")
    yield bullet(
        "seacock: the longest way from a strainer before the pump to a seacock that feeds it, with "
        "what the case records of reaching both; - : a position is not recorded, or no strainer."
    )
    if any(outcome.louder_by for outcome in item.outcomes):
        yield bullet("> : louder than that, for the pump draws air or cavitates there.")
    for gap in item.gaps:
        if gap.told:
            open_ = LEFT_OPEN if gap.left_open else ""
            yield bullet(
                f"{gap.quieter} is {gap.decibels:.1f} dB quieter than {gap.louder}{open_}."
            )
            continue
        untold = (
            f"the difference is {abs(gap.decibels):.1f} dB, and less than "
            f"{item.ranking_width:.0f} dB cannot be told."
        )
        if gap.behind:
            yield bullet(
                f"{gap.quieter} stands before {gap.louder}, but not for a difference between the "
                f"two: {untold} {gap.louder} stands behind because {gap.behind} can be told from "
                "it."
            )
        else:
            yield bullet(
                f"{gap.quieter} stands before {gap.louder}, but not for its sound: {untold} "
                "Access, remarks and hose decide."
            )


def intakes(item: PumpPlacing, show: Show) -> Iterator[str]:
    """Yield the places for the intake in order."""
    if not item.intakes:
        return
    yield bullet("Places for the intake, best first; by sound they cannot differ:")
    unit = show.unit("height")
    rows = [("", "", "", show.unit("flow"), unit, "")]
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
        if intake.reason:
            yield bullet(show.sentence(f"{intake.name} is out: {intake.reason}."))


def speeds(item: PumpPlacing) -> Iterator[str]:
    """Yield how fast the pump turns at each place, where that differs by the volts or the load."""
    ratios = [outcome.speed_ratio for outcome in item.outcomes]
    if max(ratios) - min(ratios) <= SAME_SPEED or item.outcomes[0].loudest is None:
        return
    each = "; ".join(f"{one.name}: {one.speed_ratio:.1%}" for one in item.outcomes)
    yield bullet(
        f"The pump does not turn alike at every place, and faster is louder everywhere: of rated "
        f"speed, {each}. A place with less cable or less load can be louder for that alone."
    )


def costs(item: PumpPlacing, show: Show) -> str:
    """Return flow, head, suction, power, hose and cable of each place."""
    kinds = ("flow", "head", "pressure", "power", "energy", "length", "length", "voltage")
    words = ("flow", "head", "suction", "power", "a day", "hose", "cable", "volts")
    rows = [["", "", *(show.unit(kind) for kind in kinds)]]
    for outcome in item.outcomes:
        water = outcome.water
        values: tuple[float | None, ...] = (None,) * len(kinds)
        if water is not None:
            values = (water.flow, water.head, water.lowest_inlet, water.power)
            values += (water.energy_per_day, water.hose, water.cable, water.voltage)
        shown = [show.number(kind, value) for kind, value in zip(kinds, values, strict=True)]
        rows.append([_number(outcome), outcome.name, *shown])
    return table(["", "place", *words], rows, right=tuple(range(2, 10)))


def cost_notes(item: PumpPlacing) -> Iterator[str]:
    """Yield what the columns mean, and where the length of the cable comes from."""
    yield bullet(
        "flow, head, power, volts at the pump: warmest sea, all clean, nominal supply; suction: "
        "lowest pressure at its inlet at any corner; a day: running day and night; hose: all from "
        "the intakes to the first things behind the pump; cable: one way."
    )
    for outcome in item.outcomes:
        if outcome.stands_now:
            yield bullet(
                f"{outcome.name} is where the pump stands now: its hoses are as long as the case "
                "says. Those of the other places are led along, across and up, with their slack."
            )
    bases = {outcome.water.cable_basis for outcome in item.outcomes if outcome.water is not None}
    mend = "Give panel in [placing], or cable_length at a place, and it follows the place."
    if GIVEN in bases:
        whole = "at every place" if bases == {GIVEN} else "where no other is given"
        yield bullet(f"The cable is taken as given, as long as now {whole}. {mend}")
    elif UNKNOWN in bases:
        yield bullet(f"No cable is recorded, so all the volts of the panel reach the pump. {mend}")
    elif MEASURED not in bases:
        yield bullet("The cable is led from the panel along, across and up, with its slack.")
