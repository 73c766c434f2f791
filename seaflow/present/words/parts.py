"""The parts that are known, and a pump's curve."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "none_known": "No {table} are known; read your own with --parts FILE.",
    "own_parts": "Own parts are read with --parts FILE and stand before the shipped ones.",
    "in_full": "One part in full: seaflow parts TABLE NAME. A pump's curve: add --curve.",
    "source": "Source: {source}",
    "source_seen": "Source: {source} (seen: {seen})",
    "curve_given": "given on the sheet",
    "curve_used": "curve that is used",
    "curve": "Head of {pump} over flow, at {supply}",
    "drawn": "The curve of {pump} is in {file}.",
}
