"""Loops at rest: every unit of theirs is switched off, so that nothing in them can be judged."""

from __future__ import annotations

from typing import NoReturn

from seaflow.base.facts import Fact, fact
from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.case import Case
from seaflow.boat.network import Network
from seaflow.boat.tables.things import Unit


def is_at_rest(found: Network) -> bool:
    """Return whether every unit of a loop is switched off."""
    return bool(found.units) and all(unit.switched_on is False for unit in found.units)


def loops_in_use(case: Case) -> tuple[Network, ...]:
    """Return the loops of a case in which a unit is switched on.

    Raises
    ------
    SeaflowError
        If every unit is switched off.
    """
    found = network.loops(case)
    used = tuple(loop for loop in found if not is_at_rest(loop))
    if found and not used:
        _refuse(case, case.unit[0], "")
    return used


def others_in_use(case: Case, this: str) -> tuple[str, ...]:
    """Return the names of the loops in use but for one."""
    return tuple(loop.name for loop in loops_in_use(case) if loop.name != this)


def left_at_rest(case: Case) -> tuple[Fact, ...]:
    """Return for each loop at rest that the answer leaves it out."""
    return tuple(
        fact("design.at_rest", loop=loop.name) for loop in network.loops(case) if is_at_rest(loop)
    )


def require_in_use(case: Case, found: Network) -> None:
    """Return where a unit of the loop asked about is switched on.

    Raises
    ------
    SeaflowError
        If every unit of it is switched off.
    """
    if is_at_rest(found):
        loops_in_use(case)  # where all of the boat are off, that is what is told
        _refuse(case, found.units[0], found.name)


def heated_in_use(case: Case) -> tuple[Network, ...]:
    """Return the loops in use that have a unit that heats; none where no unit does.

    Raises
    ------
    SeaflowError
        If every unit is switched off, or every unit of each loop that heats.
    """
    used = loops_in_use(case)
    heaters = [unit for unit in case.unit if unit.heating is not None]
    names = {unit.name for unit in heaters}
    found = tuple(loop for loop in used if any(unit.name in names for unit in loop.units))
    if heaters and not found:
        loops = network.loops(case)
        _refuse(case, heaters[0], next(it.name for it in loops if heaters[0].name in it.things))
    return found


def _refuse(case: Case, unit: Unit, loop: str) -> NoReturn:
    """Refuse what is asked of a loop at rest, or of a boat where none is named."""
    raise SeaflowError(
        [
            case.text.problem(
                "M04",
                ("unit", unit.row, "switched_on"),
                f'every unit of the loop "{loop}" is switched off'
                if loop
                else "every unit of this case is switched off",
                why="With none on, no water is needed, and any pump would do or none.",
                write=f'Write switched_on = true at the unit "{unit.name}", or leave the key out.',
            )
        ]
    )
