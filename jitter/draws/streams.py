"""Random numbers that can be addressed: a name, a seed and a place give a number.

Each source of error has a stream of its own, keyed by its name, so a new source leaves every
other one bit-identical, and any piece of a stream can be made without the pieces before it, so
the split into blocks or workers changes nothing.
"""

from __future__ import annotations

import hashlib
from functools import lru_cache
from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.draws.shapes import deviate
from jitter.quantities import Shape


@lru_cache(maxsize=1024)
def _start(name: str, seed: int) -> Any:
    """Return the generator's state at the head of a stream."""
    digest = hashlib.sha256(name.encode()).digest()
    words = tuple(int.from_bytes(digest[at : at + 4], "little") for at in range(0, 16, 4))
    bits = np.random.PCG64DXSM(np.random.SeedSequence(seed, spawn_key=words))
    return bits.state


class Streams:
    """A generator that jumps from stream to stream; one for each thread.

    The bit generator is named, not `numpy.random.default_rng`, whose choice may change. It takes
    one step a number, and can be moved on by any number of steps at once.

    Parameters
    ----------
    seed
        Of the study, 0 or more.

    Examples
    --------
    >>> streams, whole, piece = Streams(seed=11), np.empty((1, 6)), np.empty((1, 2))
    >>> streams.fill(whole, "valve.latency shot", first=0)
    >>> streams.fill(piece, "valve.latency shot", first=4)
    >>> bool((whole[:, 4:] == piece).all())
    True
    """

    def __init__(self, seed: int) -> None:
        self._seed = seed
        self._bits = np.random.PCG64DXSM(seed)
        self._generator = np.random.Generator(self._bits)

    def fill(self, out: Array, name: str, *, first: int) -> None:
        """Fill an array with a piece of a stream of uniform numbers in [0, 1).

        Parameters
        ----------
        out
            Filled row by row; contiguous.
        name
            Of the source.
        first
            Place in the stream of the first number wanted.
        """
        self._bits.state = _start(name, self._seed)
        self._bits.advance(first)
        self._generator.random(out=out)

    def fill_scores(self, out: Array, name: str, *, first: int) -> None:
        """Fill an array with the standard normal scores of a piece of a stream; see `fill`."""
        self.fill(out, name, first=first)
        deviate(Shape.NORMAL, out)
