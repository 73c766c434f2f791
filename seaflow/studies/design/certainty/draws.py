"""Where to sample: Sobol points, which fill the space of all inputs evenly, scrambled by a seed.

Against plain random draws of the same number they cut the error of the bands to about a half
(docs/certainty.md shows the figures). Whole numbers only are used, so the same seed gives the same
points on every machine.
"""

from __future__ import annotations

import zlib
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.base.ranges import RangeError
from seaflow.base.tables import read_table

DEFAULT_SAMPLES = 512
DEFAULT_SEED = 20
BITS = 30

FEW = 512  # samples, as far as which draws are kept
MOST_KEPT = 64  # scrambles: all pumps of a loop meet the same draws

Words = NDArray[np.int64]


def sobol_points(n_inputs: int, n_samples: int, seed: int, first: int = 0) -> Array:
    """Return shares above 0 and below 1 of the shape (inputs, samples).

    The points are those of Sobol 1967 with the direction numbers of Joe and Kuo 2008, in the order
    of Antonov and Saleev 1979, scrambled as by Matousek 1998: the digits of each input are mixed
    by a random triangular matrix and shifted by a random word. The random numbers come from
    RandomState, whose streams are frozen for good (NumPy enhancement proposal 19). `first` is the
    number of the dimension to begin with, so that further inputs leave the draws of others alone.

    Raises
    ------
    RangeError
        If there are more inputs than the table has dimensions.
    """
    most, many = _directions().shape[0], first + n_inputs
    if many > most:
        raise RangeError(f"{many} uncertain inputs are more than {most}")
    start, mixed = _scrambled(n_inputs, seed, first)
    # the place of the lowest zero bit of the counter says which direction is flipped next
    counter = np.arange(1, n_samples, dtype=np.int64)
    flipped = np.log2(counter & -counter).astype(np.int64)
    words = np.bitwise_xor.accumulate(np.concatenate([start, mixed[:, flipped]], axis=1), axis=1)
    return (words + 0.5) / (1 << BITS)


def stratified(n_samples: int, seed: int, name: str) -> Array:
    """Return shares above 0 and below 1, one in each of `n_samples` equal slices, in any order.

    The order hangs on the name alone, so that an input keeps its draws whatever others there are,
    and there may be as many as are wanted (Latin hypercube, McKay, Beckman and Conover 1979).
    """
    return (_few_stratified if n_samples <= FEW else _stratified)(n_samples, seed, name)


def _stratified(n_samples: int, seed: int, name: str) -> Array:
    stream = np.random.RandomState((zlib.crc32(name.encode()) + seed) % (1 << 32))
    return np.asarray((stream.permutation(n_samples) + stream.random_sample(n_samples)) / n_samples)


@lru_cache(MOST_KEPT * 8)
def _few_stratified(n_samples: int, seed: int, name: str) -> Array:
    found = _stratified(n_samples, seed, name)
    found.flags.writeable = False  # every place and pump is given the same
    return found


@lru_cache(MOST_KEPT)
def _scrambled(n_inputs: int, seed: int, first: int) -> tuple[Words, Words]:
    """Return the first word of each input and its directions, scrambled by the seed."""
    stream = np.random.RandomState(seed + first)
    start = stream.randint(0, 1 << BITS, size=(n_inputs, 1)).astype(np.int64)
    return start, _mixed(_directions()[first : first + n_inputs], stream)


def _mixed(directions: Words, stream: np.random.RandomState) -> Words:
    """Return the directions with their binary digits mixed, each by itself and those above it."""
    mixed = np.zeros_like(directions)
    for place in range(BITS):
        own = np.int64(1) << (BITS - 1 - place)
        above = stream.randint(0, 1 << place, size=(directions.shape[0], 1)).astype(np.int64)
        row = (above << (BITS - place)) | own
        mixed |= _parity(row & directions) * own
    return mixed


def _parity(words: Words) -> Words:
    """Return 1 where a word has an odd number of ones, else 0."""
    for shift in (32, 16, 8, 4, 2, 1):
        words = words ^ (words >> shift)
    return words & 1


@cache
def _directions() -> Words:
    """Return the direction numbers, of the shape (dimensions, bits)."""
    first = [1 << (BITS - 1 - bit) for bit in range(BITS)]
    return np.asarray([first, *(_direction(*row) for row in read_table("sobol.toml")["rows"])])


def _direction(polynomial: int, *odd: int) -> list[int]:
    """Return one dimension's numbers by the recurrence of its polynomial."""
    degree = polynomial.bit_length() - 1
    words = [number << (BITS - 1 - bit) for bit, number in enumerate(odd)]
    for bit in range(degree, BITS):
        word = words[bit - degree] ^ (words[bit - degree] >> degree)
        for back in range(1, degree):
            if (polynomial >> (degree - back)) & 1:
                word ^= words[bit - back]
        words.append(word)
    return words
