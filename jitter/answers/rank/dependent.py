"""Shapley effects of normal errors that depend on each other, in closed form."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from jitter.arrays import Array


def normal_shapley(effects: Array, correlation: Array) -> Array:
    """Return the Shapley effects of the sum of normal errors that may depend on each other.

    In closed form, over all subsets: exact, and quick for up to some ten errors.

    Parameters
    ----------
    effects : array (d,)
        What one standard deviation of each error does to the sum, with its sign.
    correlation : array (d, d)
        Of the errors; singular ones too.

    Returns
    -------
    array (d,)
        Parts of the variance; they sum to all of it.

    References
    ----------
    Owen & Prieur 2017, SIAM/ASA J. Uncertain. Quantif. 5, 986 (from memory): what a subset u tells
    of the sum is cov(y, x_u) cov(x_u)⁻¹ cov(x_u, y).

    Examples
    --------
    >>> normal_shapley(np.array([1.0, 2.0]), np.eye(2)).tolist()
    [1.0, 4.0]
    """
    count, towards = len(effects), correlation @ effects

    def told(subset: tuple[int, ...]) -> float:
        own = np.array(subset, dtype=int)
        inverse = np.linalg.pinv(correlation[np.ix_(own, own)])
        return float(towards[own] @ inverse @ towards[own])

    parts = np.zeros(count)
    for one in range(count):
        others = [place for place in range(count) if place != one]
        for size in range(count):
            # Each size of subset weighs the same, and within a size each subset.
            gains = [told((*rest, one)) - told(rest) for rest in combinations(others, size)]
            parts[one] += sum(gains) / len(gains) / count
    return parts
