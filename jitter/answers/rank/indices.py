"""Estimators of variance-based sensitivity: Sobol' indices by swapped draws, Shapley by paths.

Each is a ratio of two means over rows; its standard error is that of a ratio by the delta method,
over independent sets of rows, so that sums of a few numbers are all that is kept of a set. All
terms are products of differences of outputs, in which a mean far from 0 takes no digits away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from jitter.answers.intervals import LEVEL, Estimate
from jitter.arrays import Array


@dataclass(frozen=True)
class Sums:
    """Sums over rows of the terms of ratios of means.

    Attributes
    ----------
    count : array (k,)
        Rows that tell.
    top, bottom : array (k,)
        Sums of numerator and denominator.
    top_square, cross, bottom_square : array (k,)
        Sums of their products.
    """

    count: Array
    top: Array
    bottom: Array
    top_square: Array
    cross: Array
    bottom_square: Array


@dataclass(frozen=True)
class Index:
    """An index with its standard error.

    Attributes
    ----------
    estimate
        With its interval; NaN where the output never varied.
    error
        Standard error.
    """

    estimate: Estimate
    error: float


def sum_terms(*, top: Array, bottom: Array) -> Sums:
    """Return the sums of the terms of ratios over their last axis, leaving out NaN.

    Parameters
    ----------
    top, bottom : array (..., n)
    """
    top, bottom = np.broadcast_arrays(top, bottom)
    told = ~np.isnan(top + bottom)
    up, down = np.where(told, top, 0.0), np.where(told, bottom, 0.0)
    return Sums(
        told.sum(axis=-1).astype(np.float64),
        up.sum(axis=-1),
        down.sum(axis=-1),
        (up * up).sum(axis=-1),
        (up * down).sum(axis=-1),
        (down * down).sum(axis=-1),
    )


def ratios(sums: Sums) -> tuple[Array, Array]:
    """Return ratios of means and their standard errors.

    Parameters
    ----------
    sums
        Of independent rows.

    Returns
    -------
    value, error : array (k,)
        NaN where the denominator is 0: an output that never varies has no shares.

    References
    ----------
    Cochran 1977, Sampling Techniques, section 6.3 (from memory): the variance of a ratio is that of
    top - ratio × bottom, over the square of the mean of bottom.
    """
    varies = sums.bottom > 0.0
    bottom = np.where(varies, sums.bottom, np.nan)
    value = sums.top / bottom
    squares = sums.top_square - 2.0 * value * sums.cross + value * value * sums.bottom_square
    spare = np.maximum(sums.count - 1.0, 1.0) / np.maximum(sums.count, 1.0)
    error = np.sqrt(np.maximum(squares, 0.0) / spare) / bottom
    return value, error


def gathered(sets: Sequence[Sums]) -> Sums:
    """Return the sums of independent sets of rows, of which each counts as one row.

    Rows of a set need not be independent of each other, as the points of a net are not.

    Parameters
    ----------
    sets
        Sums over the rows of each.
    """
    top = np.array([one.top for one in sets])
    bottom = np.array([one.bottom for one in sets])
    return Sums(
        np.full(top.shape[1:], float(len(sets))),
        top.sum(axis=0),
        bottom.sum(axis=0),
        (top * top).sum(axis=0),
        (top * bottom).sum(axis=0),
        (bottom * bottom).sum(axis=0),
    )


def swap_terms(
    *, base: Array, other: Array, base_swapped: Array, other_swapped: Array
) -> tuple[Sums, Sums]:
    """Return the terms of first-order and total Sobol' indices.

    Parameters
    ----------
    base, other : array (n,)
        Outputs of two independent samples.
    base_swapped, other_swapped : array (k, n)
        Outputs of each with the k-th input, or group of inputs, taken from the other sample.
        Rows in which any of the four is NaN are left out.

    Returns
    -------
    first, total
        The total is Jansen's, averaged over both pairs, with the variance from all four. No term
        is above 2 where the output is 0 or 1.

    References
    ----------
    Azzini, Mara & Rosati 2021, Environmental Modelling & Software 144, 105167 (from memory):
    S = 2 Σ (f_BA - f_B)(f_A - f_AB) / Σ [(f_A - f_B)² + (f_BA - f_AB)²]. Jansen 1999, Computer
    Physics Communications 117, 35 (from memory): S_T V = E (f_A - f_AB)²/2.
    """
    variance = (base - other) ** 2 + (other_swapped - base_swapped) ** 2
    first = 2.0 * (other_swapped - other) * (base - base_swapped)
    total = (other - other_swapped) ** 2 + (base - base_swapped) ** 2
    return sum_terms(top=first, bottom=variance), sum_terms(top=total, bottom=variance)


def path_terms(*, path: Array, order: NDArray[np.int64]) -> tuple[Array, Array]:
    """Return the terms of Shapley shares, which sum to 1.

    Each row is walked from one sample to another, one input at a time.

    Parameters
    ----------
    path : array (d + 1, n)
        Output at the start of each row's path and after each of its d steps; a row in which any is
        NaN is left out.
    order : array (n, d)
        The input that each step changes: a random order of the d inputs in each row.

    Returns
    -------
    top : array (d, n)
        Of each input; those of a group's members add. At the most 1/2 where the output is 0 or 1.
    bottom : array (n,)

    References
    ----------
    Goda 2021, Reliability Engineering & System Safety 213, 107702, algorithm 1 (from memory):
    (f(x) - (f_j + f_{j-1})/2)(f_{j-1} - f_j), whose sum along a path is (f(x) - f(y))²/2.
    """
    steps = (path[0] - 0.5 * (path[1:] + path[:-1])) * (path[:-1] - path[1:])
    top = np.empty_like(steps)
    top[order.T, np.arange(path.shape[1])] = steps
    spoilt = np.isnan(path).any(axis=0)
    return np.where(spoilt, np.nan, top), np.where(spoilt, np.nan, 0.5 * (path[0] - path[-1]) ** 2)


def indices(
    sets: Sequence[Sums], *, largest: float = 0.0, level: float = LEVEL
) -> tuple[Index, ...]:
    """Return indices with standard errors and Student's intervals.

    Where a hit was never turned into a miss, nor a miss into a hit, by swapping an input, the
    interval reaches to what so many rows without a turn leave open.

    Parameters
    ----------
    sets
        Of independent sets of rows: sums of terms of `swap_terms` or `path_terms`, one for each
        input.
    largest
        Largest term of a row where the output is 0 or 1; 0 for any other output.
    level
        Confidence, two-sided.
    """
    sums = gathered(sets)
    rows = np.sum([one.count for one in sets], axis=0)
    reach = float(stdtrit(len(sets) - 1, 0.5 + 0.5 * level))
    value, error = ratios(sums)
    found = []
    for place, (share, doubt) in enumerate(zip(value, error, strict=True)):
        low, high = float(share - reach * doubt), float(share + reach * doubt)
        if share == 0.0 and sums.top_square[place] == 0.0:
            turns = 1.0 - (0.5 * (1.0 - level)) ** (1.0 / float(rows[place]))
            high = min(largest * turns * float(rows[place] / sums.bottom[place]), 1.0)
        found.append(Index(Estimate(float(share), low, high, level), float(doubt)))
    return tuple(found)
