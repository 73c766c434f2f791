"""How a pump is named in facts."""

from __future__ import annotations

from seaflow.base.facts import Fact, fact


def pump_named(title: str, name: str, invented: bool = False) -> Fact:
    """Return a pump by its title and name, each once, and whether it is invented."""
    if title == name:
        return fact(
            "design.pump_untitled_invented" if invented else "design.pump_untitled", name=name
        )
    kind = "design.pump_titled_invented" if invented else "design.pump_titled"
    return fact(kind, title=title, name=name)
