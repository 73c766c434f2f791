"""Codes of a few bits each as text: the shorter the commoner one is, after Huffman 1952."""

from __future__ import annotations

import heapq
from base64 import b64encode
from typing import Any

import numpy as np
from numpy.typing import NDArray

DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"
ABSENT = "-"
MOST_LEADING = 8  # bits of a part that leads a code


def shorter(code: NDArray[Any], bits: int) -> tuple[str, str]:
    """Return how long the parts that lead codes are written, by part, and the codes in base64.

    The first bits of a code, as many as serve best, are written by length; its last ones, in which
    neighbours hardly differ, as they are. Lengths alone tell how parts are written: parts of one
    length count up, from the part that is least, and go on from the shorter ones ("canonical").
    """
    fewest = max(bits - MOST_LEADING, 0)
    tried = (_lengths(code >> plain, bits, plain) for plain in range(fewest, bits))
    lengths, _, plain = min(tried, key=_cost)
    words = _words(lengths)[code >> plain] << plain | code & ((1 << plain) - 1)
    text = "".join(ABSENT if one < 0 else DIGITS[one] for one in lengths)
    return text, b64encode(_joined(words, lengths[code >> plain] + plain).tobytes()).decode()


def _cost(found: tuple[NDArray[np.int64], float, int]) -> float:
    lengths, coded, _ = found
    return coded + 6.0 * len(lengths)  # a letter of the page holds 6 bits in base64


def _lengths(lead: NDArray[Any], bits: int, plain: int) -> tuple[NDArray[np.int64], float, int]:
    """Return the length of each part, -1 where there is none; bits of all codes; those plain."""
    counts = np.bincount(lead, minlength=1 << (bits - plain))
    lengths = np.where(counts > 0, 0, -1)
    heap = [(int(counts[part]), int(part), [int(part)]) for part in np.flatnonzero(counts)]
    heapq.heapify(heap)
    while len(heap) > 1:
        (few, first, some), (more, _, others) = heapq.heappop(heap), heapq.heappop(heap)
        lengths[some + others] += 1
        heapq.heappush(heap, (few + more, first, some + others))
    return lengths, float(counts @ np.maximum(lengths, 0) + plain * lead.size), plain


def _words(lengths: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the bits of each part, as a number."""
    words, word, long = np.zeros(lengths.size, dtype=np.int64), 0, 0
    for part in np.argsort(lengths, kind="stable"):
        if lengths[part] < 0:
            continue
        word <<= int(lengths[part]) - long
        long = int(lengths[part])
        words[part] = word
        word += 1
    return words


def _joined(words: NDArray[np.int64], lengths: NDArray[np.int64]) -> NDArray[np.uint8]:
    """Return words of so many bits each behind one another, the first bit highest."""
    of = np.repeat(np.arange(words.size), lengths)
    left = np.repeat(np.cumsum(lengths), lengths) - 1 - np.arange(of.size)
    return np.packbits((words[of] >> left & 1).astype(np.uint8))
