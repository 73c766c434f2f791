"""The fields of the owner's form: in which units they are read, and within which ends."""

from __future__ import annotations

from typing import Any

from seaflow.base.units import factor_and_offset, spellings
from seaflow.studies.diagnose.readings import instruments

# By kind: its unit in the package, those of a bare number, metric and US, and how it may be typed.
FIELDS = {
    "temperature": ("degC", ("degC", "degF"), "24 C or 75 F"),
    "bucket": ("m3", ("L", "gal"), "10 L or 2 gal"),
    "time": ("s", ("s", "s"), "40 s, 1:10 or 2 min 10 s"),
    "flow": ("m3/s", ("L/min", "gpm"), "15 L/min or 4 gpm"),
    "volts": ("V", ("V", "V"), ""),
    "amps": ("A", ("A", "A"), ""),
    "suction": ("Pa", ("kPa", "psi"), ""),
    "delivery": ("Pa", ("kPa", "psi"), ""),
}
BUCKET_ENDS = (0.0005, 0.4)  # m3
TIME_ENDS = (1.0, 7200.0)  # s


def fields() -> dict[str, dict[str, Any]]:
    """Return how each kind of field is read: the units by their spellings, and how it is typed."""
    return {kind: _field(kind, *row) for kind, row in FIELDS.items()}


def _field(kind: str, unit: str, bare: tuple[str, str], such: str) -> dict[str, Any]:
    known = spellings(unit)
    shown = [factor_and_offset(unit, one) for one in bare]
    found: dict[str, Any] = {
        "units": known,
        "bare": [(1.0 / factor, -offset / factor) for factor, offset in shown],
        "such": such or " or ".join(dict.fromkeys(instruments()[kind].such)),
    }
    ends = {"bucket": BUCKET_ENDS, "time": TIME_ENDS}.get(kind)
    return found | ({} if ends is None else {"ends": ends})
