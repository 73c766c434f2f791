"""The cautions that go with an answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from seaflow.base.tables import read_table
from seaflow.boat.parts.part import NO_KIND


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: a title and what to heed; `brief` is what the card says of it, if anything.

    `after` is true of what is to be done when the work is.
    """

    title: str
    text: str
    brief: str
    after: bool = False


def cautions(
    answer: str,
    pumps: Iterable[str] = (),
    high_voltage: bool = False,
    battery: bool = False,
    petrol: bool = False,
) -> tuple[Caution, ...]:
    """Return the cautions for an answer such as "size".

    `pumps` are the kinds of the pumps at hand, such as "diaphragm": what holds for other kinds is
    left out. Where neither sheet nor curve tells a kind, all cautions stand. `high_voltage` tells
    that a bank of more than 60 V DC is aboard, `battery` that cooling runs on one, `petrol` that
    there is some aboard.
    """
    kinds = tuple(pumps)
    return tuple(
        Caution(row["title"], row["text"], row["brief"] if _on_card(row, answer, petrol) else "")
        for row in read_table("cautions.toml").values()
        if answer in row["when"]
        and _concerns(row.get("pumps", ()), kinds)
        and (high_voltage or not row.get("high_voltage"))
        and (battery or not row.get("battery"))
    )


def _on_card(row: Mapping[str, Any], answer: str, petrol: bool) -> bool:
    """Tell whether the card of an answer says a caution, of some only where petrol is aboard."""
    return answer in (*row.get("card", ()), *(row.get("card_with_petrol", ()) if petrol else ()))


def named_cautions(names: Iterable[str], pumps: Iterable[str] = ()) -> tuple[Caution, ...]:
    """Return the cautions of these names, in this order, but for those about other pumps.

    What follows any of them, such as to open the seacock again that was shut, stands last.
    """
    table, kinds = read_table("cautions.toml"), tuple(pumps)
    told = [name for name in names if _concerns(table[name].get("pumps", ()), kinds)]
    then = [table[name]["then"] for name in told if "then" in table[name]]
    return tuple(
        Caution(table[name]["title"], table[name]["text"], table[name]["brief"], name in then)
        for name in dict.fromkeys([*(name for name in told if name not in then), *then])
    )


def _concerns(words: Iterable[str], kinds: tuple[str, ...]) -> bool:
    """Return whether a caution concerns any of the pumps: a word of it stands in their kind.

    A pump of which neither sheet nor curve tells the kind may be of any.
    """
    wanted = tuple(words)
    if not wanted or not kinds or NO_KIND in kinds:
        return True
    return any(word in kind for word in wanted for kind in kinds)
