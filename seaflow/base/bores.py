"""When two bores are sold as one size, and when one is a size above another."""

from __future__ import annotations

SAME_SIZE = 0.04  # of a bore: 25 mm and 1 in are one size, 22 and 25 mm two


def is_wider(bore: float, other: float) -> bool:
    """Return whether a bore is a size above another [m]; inches and their millimetres are one."""
    return bore > other * (1.0 + SAME_SIZE)


def same_size(bore: float, other: float) -> bool:
    """Return whether two bores are sold as one size [m]."""
    return not is_wider(bore, other) and not is_wider(other, bore)
