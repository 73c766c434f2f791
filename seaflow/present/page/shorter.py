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
    counts = {
        plain: np.bincount(code >> plain, minlength=1 << (bits - plain))
        for plain in range(max(bits - MOST_LEADING, 0), bits)
    }
    plain = min(counts, key=lambda plain: _cost(counts[plain]) + plain * code.size)
    lengths = _lengths(counts[plain])
    words = _words(lengths)[code >> plain] << plain | code & ((1 << plain) - 1)
    text = "".join(ABSENT if one < 0 else DIGITS[one] for one in lengths)
    return text, b64encode(_joined(words, lengths[code >> plain] + plain).tobytes()).decode()


def _cost(counts: NDArray[np.int64]) -> int:
    """Return how many bits it takes to tell the lengths of parts that come so often, and them."""
    heap, coded = counts[counts > 0].tolist(), 0
    heapq.heapify(heap)
    while len(heap) > 1:
        both = heapq.heappop(heap) + heap[0]
        heapq.heapreplace(heap, both)
        coded += both
    return coded + 6 * counts.size  # a letter of the page holds 6 bits in base64


def _lengths(counts: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the length of each part by how often it comes, -1 of one that never does."""
    lengths = np.where(counts > 0, 0, -1)
    heap = [(int(counts[part]), int(part), [int(part)]) for part in np.flatnonzero(counts)]
    heapq.heapify(heap)
    while len(heap) > 1:
        (few, first, some), (more, _, others) = heapq.heappop(heap), heapq.heappop(heap)
        lengths[some + others] += 1
        heapq.heappush(heap, (few + more, first, some + others))
    return lengths


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
