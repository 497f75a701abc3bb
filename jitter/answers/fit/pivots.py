"""Variances of which only mean squares are known: what they may be, as points on a lattice."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from scipy.special import gammaincinv

from jitter.answers.intervals import LEVEL, Estimate
from jitter.arrays import Array

POINTS = 2**13


def likely_variances(squares: Sequence[float], freedoms: Sequence[float]) -> list[Array]:
    """Return what some variances may be, given a mean square of each, (8192,) for each.

    ν s²/χ², with χ² at points of a Kronecker lattice in as many dimensions as there are variances:
    the quantiles of what is reckoned from them are those of a generalised confidence interval,
    without the noise of random numbers.

    Parameters
    ----------
    squares
        Mean squares, in any unit squared.
    freedoms
        Degrees of freedom of each, above 0.

    References
    ----------
    Weerahandi 1993, J. Am. Stat. Assoc. 88, 899 (from memory): generalised confidence intervals.
    The lattice: multiples of the powers of the root of x^(d+1) = x + 1, common practice, no source.
    """
    dimensions = len(squares)
    return [
        freedom * square / _chi_squares(freedom, axis, dimensions)
        for axis, (square, freedom) in enumerate(zip(squares, freedoms, strict=True), start=1)
    ]


@lru_cache(maxsize=256)
def _chi_squares(freedom: float, axis: int, dimensions: int) -> Array:
    """Return one coordinate of the lattice as values of χ², above 0."""
    places = np.arange(1, POINTS + 1)
    uniform: Array = (places - 0.5) / POINTS
    if dimensions > 1:
        root = 2.0
        for _ in range(64):
            root = (1.0 + root) ** (1.0 / (dimensions + 1))
        uniform = np.asarray((0.5 + places * root**-axis) % 1.0, dtype=np.float64)
    made = np.asarray(2.0 * gammaincinv(0.5 * freedom, uniform), dtype=np.float64)
    # A single degree of freedom may leave a variance open beyond every number.
    return np.maximum(made, 1e-300)


def spread_of(variance: float, likely: Array, *, level: float = LEVEL) -> Estimate:
    """Return a standard deviation with its interval, never below 0.

    Where some of what the variance may be lies below 0, the lower end counts that as 0 and the
    upper end is taken of the rest: it then covers a little more often than it says, and an interval
    from 0 to 0 cannot come about.

    Parameters
    ----------
    variance
        Its estimate, which may be negative.
    likely : array (8192,)
        What it may be, which may be negative.
    level
        Confidence, two-sided.
    """
    tail = 0.5 * (1.0 - level)
    low = max(float(np.quantile(likely, tail)), 0.0)
    positive = likely[likely > 0.0]
    high = float(np.quantile(positive, 1.0 - tail)) if len(positive) else 0.0
    value = max(variance, 0.0)
    ends = (min(low, value), max(high, value))
    return Estimate(value**0.5, ends[0] ** 0.5, ends[1] ** 0.5, level)
