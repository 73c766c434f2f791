"""Who surveyed, when and how: what stands at the head of a record."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.boat.keys import key


@dataclass(frozen=True, kw_only=True, eq=False)
class Record:
    """The head of a record; every entry is text as typed."""

    identity: str | None = key(
        "Identity of the boat: number, place and year of build, owner.", example='"hull no. 7"'
    )
    date: str | None = key("Date of the survey, as typed.", example='"3 May"')
    place: str | None = key("Where she lay.", example='"yard"')
    lay: str | None = key("How she lay.", choices=("afloat", "ashore"), example='"afloat"')
    surveyor: str | None = key("Who surveyed.", example='"A. Nobody"')
    not_seen: tuple[str, ...] = key(
        "What could not be seen or opened.", many=True, example='["bilge below the tank"]'
    )
