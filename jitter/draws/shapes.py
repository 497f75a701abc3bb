"""The shapes of spreads: from a uniform number to an error.

Each shape works in two steps. The *deviate* is the costly one and does not depend on the
spread's size, so that one set of deviates serves every what-if; the *error* scales it.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.special import ndtr, ndtri

from jitter.arrays import Array
from jitter.quantities import Shape, Spread

SMALLEST = 2.0**-54
"""Stands for a uniform number of exactly 0, whose normal deviate would be infinite."""
LARGEST = 1.0 - 2.0**-53
"""The largest number below 1."""
RARE = 1e-7
"""Draws rarer than this may lie beyond what the stages' tables were made for."""


def deviate(shape: Shape, uniform: Array) -> Array:
    """Turn uniform numbers into deviates of a shape, in place where that is quicker.

    Parameters
    ----------
    shape
        The distribution.
    uniform
        Numbers in [0, 1); overwritten.

    Returns
    -------
    array, of the same size
        Mean 0; standard deviation 1 for the normal and lognormal, half width 1 for the bounded
        ones; the uniform number itself where the error needs it.

    References
    ----------
    Inverse distribution functions: JCGM 101:2008, 6.4.2 (rectangular), 6.4.5 (triangular), 6.4.6
    (arcsine), 6.4.7 (normal).
    """
    match shape:
        case Shape.NORMAL | Shape.LOGNORMAL:
            np.maximum(uniform, SMALLEST, out=uniform)
            return np.asarray(ndtri(uniform, out=uniform))
        case Shape.RECTANGULAR:
            uniform *= 2.0
            uniform -= 1.0
            return uniform
        case Shape.TRIANGULAR:
            low = uniform < 0.5
            tail = np.sqrt(2.0 * np.where(low, uniform, 1.0 - uniform))
            return np.where(low, tail - 1.0, 1.0 - tail)
        case Shape.ARCSINE:
            return np.sin(np.pi * (uniform - 0.5))
        case _:
            return uniform


def error(
    spread: Spread,
    deviates: Array,
    *,
    scale: float | Array,
    nominal: float,
    lower: float,
    out: Array | None = None,
) -> Array:
    """Return the errors that deviates stand for.

    Parameters
    ----------
    spread
        Shape and size.
    deviates
        From `deviate`.
    scale
        What-if factor on the spread: 1 as it is, 0 removed, 0.5 halved; or an array (s, 1), not 0.
    nominal
        The quantity's nominal value.
    lower
        Its lower limit, where a truncated normal is cut.
    out : array, of the deviates' size
        Where the errors may go, if not into a new array; the deviates' own will do.

    Returns
    -------
    array, of the deviates' size
        To be added to the nominal.
    """
    size = scale * spread.size * (abs(nominal) if spread.relative else 1.0)
    match spread.shape:
        case Shape.LOGNORMAL:
            return nominal * np.expm1(size * deviates)
        case Shape.TRUNCATED:
            if np.all(size == 0.0):
                return np.zeros_like(deviates)
            cut = ndtr((lower - nominal) / size)
            inside = np.maximum(cut + (1.0 - cut) * deviates, SMALLEST)
            return np.asarray(size * ndtri(inside))
        case _:
            return np.multiply(size, deviates, out=out)


@lru_cache(maxsize=4096)
def reach(
    spread: Spread, *, nominal: float, lower: float, tail: float = RARE
) -> tuple[float, float]:
    """Return the smallest and largest error, but for a tail of draws at either end.

    Parameters
    ----------
    spread
        Shape and size.
    nominal
        The quantity's nominal value.
    lower
        Its lower limit.
    tail
        Share of the draws beyond either end, from `SMALLEST` up.

    Returns
    -------
    tuple of float
        Errors, to be added to the nominal.
    """
    if spread.shape is Shape.NONE:
        return 0.0, 0.0
    ends = deviate(spread.shape, np.array([tail, min(1.0 - tail, LARGEST)]))
    low, high = error(spread, ends, scale=1.0, nominal=nominal, lower=lower)
    return float(min(low, high)), float(max(low, high))
