"""Random numbers that can be addressed: a name, a seed and a place give a number.

Each source of error has a stream of its own, keyed by its name, so a new source leaves every
other one bit-identical, and any piece of a stream can be made without the pieces before it, so
the split into blocks or workers changes nothing.
"""

from __future__ import annotations

import hashlib

import numpy as np

from jitter.arrays import Array


def uniforms(name: str, *, seed: int, first: int, shape: tuple[int, int]) -> Array:
    """Return a piece of a stream of uniform numbers in [0, 1).

    Parameters
    ----------
    name
        Of the source.
    seed
        Of the study, 0 or more.
    first
        Place in the stream of the first number wanted.
    shape
        Rows and columns to fill, row by row.

    Returns
    -------
    array of that shape

    Examples
    --------
    >>> whole = uniforms("valve.latency shot", seed=11, first=0, shape=(1, 6))
    >>> piece = uniforms("valve.latency shot", seed=11, first=4, shape=(1, 2))
    >>> bool((whole[:, 4:] == piece).all())
    True
    """
    digest = hashlib.sha256(name.encode()).digest()
    words = tuple(int.from_bytes(digest[at : at + 4], "little") for at in range(0, 16, 4))
    # The generator is named, not `default_rng`, whose choice may change; one step a number.
    bits = np.random.PCG64DXSM(np.random.SeedSequence(seed, spawn_key=words))
    bits.advance(first)
    return np.random.Generator(bits).random(shape)
