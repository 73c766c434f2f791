"""How what was read on stored days has changed."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "discharge": "the rise over the sea{place:at}",
    "flow": "the flow{place:at}",
    "condensing": "how far the refrigerant condenses above the sea{place:at}",
    "days": "{count:.0f} days",
    "weeks": "{count:.0f} weeks",
    "grown": (
        "{what} has grown {rate} a week ({low:number} to {high}) over {span}, on {count} "
        "days read; sea and load of each day are taken out."
    ),
    "fallen": (
        "{what} has fallen {rate} a week ({low:number} to {high}) over {span}, on {count} "
        "days read; sea and load of each day are taken out."
    ),
    "reaches": (
        "At that pace it leaves what healthy boats read in about {count:.0f} {count:week|weeks}."
    ),
    "past": "It is now beyond what healthy boats read.",
    "none": (
        "{what} shows no change that can be told over {span}, on {count} days read; up to "
        "{most} a week would not show."
    ),
}
