"""Scrambled Sobol' points in the place of random numbers: every number of a shot is a dimension."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.special import ndtr, ndtri

from jitter.arrays import Array
from jitter.draws.deviates import draw_each
from jitter.draws.layout import Block, Layout
from jitter.draws.shapes import LARGEST, SMALLEST
from jitter.study.study import Study

DIMENSIONS = 4000
"""More of them are not worth their points; the sequence has direction numbers for 21201."""
BITS, SCRAMBLED = 50, 20
"""Of each coordinate, and of them those that the net itself fills: its cells are finer than there
are points for, and the time to scramble grows with their square. The shift fills them all."""
FARTHEST = float(ndtri(LARGEST))
"""The score of a stream without scores."""
KEPT = 4
"""So many sets of points are kept: both ways, of two sizes."""


@dataclass(frozen=True)
class Scores:
    """Standard normal scores from which a shot's uniform numbers are made.

    Attributes
    ----------
    by_name : arrays (p, n)
        By the name of a stream: a row for each point, a column for each shot.
    """

    by_name: Mapping[str, Array]

    @property
    def points(self) -> int:
        """How many."""
        return len(next(iter(self.by_name.values())))

    def some(self, mine: slice) -> Scores:
        """Return some of the points."""
        return Scores({name: one[mine] for name, one in self.by_name.items()})

    def repeated(self, times: int) -> Scores:
        """Return the same points several times over."""
        return Scores({name: np.tile(one, (times, 1)) for name, one in self.by_name.items()})

    def fill(self, out: Array, name: str, *, first: int) -> None:
        """Fill an array with the uniform numbers of a stream; a stream without scores has 1.

        Parameters
        ----------
        out : array (p, n)
            Filled.
        name
            Of the source.
        first
            Counts for random streams only.
        """
        scores = self.by_name.get(name)
        out[...] = LARGEST if scores is None else np.minimum(ndtr(scores), LARGEST)

    def fill_scores(self, out: Array, name: str, *, first: int) -> None:
        """Fill an array (p, n) with the scores of a stream themselves.

        Parameters
        ----------
        out : array (p, n)
            Filled.
        name
            Of the source.
        first
            Counts for random streams only.
        """
        out[...] = self.by_name.get(name, FARTHEST)


@dataclass(frozen=True)
class Asked:
    """The streams that a set-up of one shot draws from.

    Attributes
    ----------
    columns
        By the name of a stream: its columns.
    by_key
        By quantity: the names of its streams.
    """

    columns: Mapping[str, int]
    by_key: Mapping[str, tuple[str, ...]]


class _Memory:
    """A source of numbers that remembers what was asked of it."""

    def __init__(self) -> None:
        self.columns: dict[str, int] = {}

    def fill(self, out: Array, name: str, *, first: int) -> None:
        out[...] = 0.5
        self.columns[name] = out.shape[1]

    fill_scores = fill


def asked(study: Study, *, trimming: bool = False) -> Asked:
    """Return what a set-up of one shot draws.

    Parameters
    ----------
    study
        The rig.
    trimming
        Whether the frames shot to trim are meant.
    """
    columns: dict[str, int] = {}
    by_key: dict[str, tuple[str, ...]] = dict.fromkeys(study.entries, ())
    memory = _Memory()
    for key, *_ in draw_each(study, rows(1), memory, study.straying, trimming=trimming):
        columns |= memory.columns
        by_key[key] = tuple(memory.columns)
        memory.columns = {}
    return Asked(columns, by_key)


def sobol(names: Mapping[str, int], *, seed: int, replicates: int, points: int) -> Scores:
    """Return points of a scrambled Sobol' sequence, shifted at random for each replicate.

    Each point stands in a cell of its own in every projection that matters, so that the mean of a
    smooth function errs by little more than 1/n, not 1/√n; how much it errs shows in how far the
    replicates lie apart.

    Parameters
    ----------
    names
        Streams with their columns.
    seed
        Of the scrambling.
    replicates
        r.
    points
        Of each, a power of 2.

    References
    ----------
    Owen 1997, Ann. Stat. 25, 1541 (from memory): variance of scrambled nets. Joe & Kuo 2008, SIAM
    J. Sci. Comput. 30, 2635 (from memory): the direction numbers in scipy.
    """
    return Scores(dict(_sobol(tuple(names.items()), seed, replicates, points)))


@lru_cache(maxsize=KEPT)
def _sobol(
    names: tuple[tuple[str, int], ...], seed: int, replicates: int, points: int
) -> tuple[tuple[str, Array], ...]:
    """Return the scores by stream; they are made once for all batches of what-ifs."""
    # A quarter of a second, which only those who ask for points are to wait.
    from scipy.stats import qmc

    dimensions = sum(columns for _, columns in names)
    scrambling, shifts = np.random.SeedSequence(seed).spawn(2)
    drawn = np.random.Generator(np.random.PCG64DXSM(shifts))
    filled = max(SCRAMBLED, points.bit_length())
    scrambler = np.random.Generator(np.random.PCG64DXSM(scrambling))
    net = qmc.Sobol(dimensions, rng=scrambler, bits=filled)
    places = (net.random(points) * 2**BITS).astype(np.uint64)
    shift = drawn.integers(2**BITS, size=(replicates, 1, dimensions), dtype=np.uint64)
    uniform = ((places ^ shift) + 0.5) * 2.0**-BITS
    uniform = uniform.reshape(replicates * points, dimensions)
    scores = ndtri(np.clip(uniform, SMALLEST, LARGEST))
    ends = np.cumsum([columns for _, columns in names])
    found = []
    for (name, columns), end in zip(names, ends, strict=True):
        part = np.ascontiguousarray(scores[:, end - columns : end])
        part.flags.writeable = False
        found.append((name, part))
    return tuple(found)


def rows(points: int) -> Block:
    """Return a block in which every point is a set-up of one shot."""
    return Block(Layout(0, points, 1), 0, points, 0, 1)
