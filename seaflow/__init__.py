"""Size, place, survey and diagnose the seawater loop of marine air conditioning.

What scripts use is in `seaflow.public`, and its names can be taken from here: `seaflow.load`,
`seaflow.size` and the other questions. Nothing is loaded before it is asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = [
    "Answer",
    "Facts",
    "Said",
    "SeaflowError",
    "balance",
    "baseline",
    "diagnose",
    "energy",
    "heating",
    "improve",
    "load",
    "page",
    "place",
    "size",
    "survey",
    "typical",
    "units",
]

if TYPE_CHECKING:
    from seaflow.public import (
        Answer,
        Facts,
        Said,
        SeaflowError,
        balance,
        baseline,
        diagnose,
        energy,
        heating,
        improve,
        load,
        page,
        place,
        size,
        survey,
        typical,
        units,
    )


def __getattr__(name: str) -> Any:
    """Return a name of the public interface.

    Raises
    ------
    AttributeError
        If it has no such name.
    """
    if name in __all__:
        from seaflow import public

        return getattr(public, name)
    raise AttributeError(f"seaflow has no {name}")


def __dir__() -> list[str]:
    """Return the names of the public interface."""
    return sorted(__all__)
