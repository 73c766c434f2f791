"""Who surveyed, when and how, and what became of the findings: the head and tail of a record."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.boat.keys import key

OF_THE_BOAT = "boat"  # key of a checklist's head, which no case has


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
    scope: str | None = key(
        "What was to be inspected, and for whom.",
        example='"seawater loop of the cooling, for the owner"',
    )
    not_seen: tuple[str, ...] = key(
        "What could not be seen or opened.", many=True, example='["bilge below the tank"]'
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Visit(Record):
    """A visit whose findings stand in the case itself; what no visit saw counts as told."""

    saw: tuple[str, ...] = key(
        'Things whose recorded facts were seen then; "everything" for all of them.',
        many=True,
        example='["strainer", "pump"]',
    )
    measured: tuple[str, ...] = key(
        'Things whose heights and sizes were measured then; "everything" for all of them.',
        many=True,
        example='["everything"]',
    )


OPEN, DONE, ACCEPTED = "open", "done", "accepted"
STATES = (OPEN, DONE, ACCEPTED)


@dataclass(frozen=True, kw_only=True, eq=False)
class Followed:
    """A finding of an earlier visit under its number, and what became of it."""

    number: str = key("Its number in the record.", example='"V1-4a"', required=True)
    thing: str = key("The thing that it is about.", example='"seacock"', required=True)
    rule: str = key("The rule that it breaks.", example='"seacock-seized"', required=True)
    state: str | None = key(
        "Open, done, or accepted by the owner.", choices=STATES, example='"done"'
    )
    on: str | None = key("The day on which it was done or accepted.", example='"3 May"')
