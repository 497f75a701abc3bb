"""Latency and release speed told apart by frames of single drops at several places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.fit.components import Squares
from jitter.answers.fit.pivots import likely_variances, spread_of
from jitter.answers.intervals import Estimate
from jitter.arrays import Array

NARROW = 0.5
"""Told apart where the interval of the release speed's share is narrower than this."""


@dataclass(frozen=True)
class Series:
    """Lateness of single drops in frames alike.

    Attributes
    ----------
    squares
        Mean square of the lateness from shot to shot [s2].
    known
        The part of it that is known otherwise [s2].
    slopes
        Lateness for each unit of latency and of release speed, squared.
    """

    squares: Squares
    known: float
    slopes: tuple[float, float]


def pooled(series: Sequence[Series]) -> Series:
    """Return series taken together, each by its degrees of freedom.

    Parameters
    ----------
    series
        At least one.
    """
    shares = np.array([one.squares.freedom for one in series], dtype=np.float64)

    def mean(values: Sequence[float]) -> float:
        return float(np.average(values, weights=shares))

    return Series(
        Squares(mean([one.squares.value for one in series]), int(shares.sum())),
        mean([one.known for one in series]),
        (mean([one.slopes[0] for one in series]), mean([one.slopes[1] for one in series])),
    )


def told_apart(series: Sequence[Series]) -> tuple[Estimate, Estimate] | None:
    """Return the standard deviations of latency [s] and release speed [m/s], if told apart.

    The variance of the lateness is linear in those of the two, with other slopes at other places;
    least squares, weighted by degrees of freedom, that hold both at 0 or above. The slopes differ
    by little except close to the nozzle, so that only long series there tell them apart.

    Parameters
    ----------
    series
        Started by the valve, at least two.

    Returns
    -------
    tuple of Estimate, or None
        None where the release speed's share of the lateness stays open by a half or more.

    References
    ----------
    Generalised intervals as in `likely_variances`; least squares with signs is closed form for two.
    """
    slopes = np.array([one.slopes for one in series])
    known = np.array([one.known for one in series])
    squares = np.array([one.squares.value for one in series])
    freedoms = [one.squares.freedom for one in series]
    if not np.all(squares > 0.0):
        return None
    weights = np.array(freedoms) / squares**2
    likely = np.stack(likely_variances(list(squares), freedoms)) - known[:, None]
    found = _solve(slopes, weights, likely)
    main = slopes[int(np.argmax(freedoms))]
    parts = main[:, None] * found
    total = parts.sum(axis=0)
    share = np.divide(parts[1], total, out=np.full_like(total, 0.5), where=total > 0.0)
    if float(np.quantile(share, 0.975) - np.quantile(share, 0.025)) >= NARROW:
        return None
    middle = _solve(slopes, weights, (squares - known)[:, None])[:, 0]
    return spread_of(float(middle[0]), found[0]), spread_of(float(middle[1]), found[1])


def _solve(slopes: Array, weights: Array, variances: Array) -> Array:
    """Return the least squares solution at 0 or above for each column, (2, n)."""
    left = slopes.T @ (weights[:, None] * slopes)
    right = slopes.T @ (weights[:, None] * variances)
    determinant = left[0, 0] * left[1, 1] - left[0, 1] ** 2
    alone = np.maximum(right / np.diag(left)[:, None], 0.0)
    if determinant <= 1e-9 * left[0, 0] * left[1, 1]:
        return np.stack([alone[0], np.zeros_like(alone[0])])
    both = np.stack(
        [
            left[1, 1] * right[0] - left[0, 1] * right[1],
            left[0, 0] * right[1] - left[0, 1] * right[0],
        ]
    )
    both /= determinant
    # Where one would be below 0, it is 0 and the other alone explains the most that it can.
    gains = alone * (2.0 * right - np.diag(left)[:, None] * alone)
    first = gains[0] >= gains[1]
    single = np.where(np.stack([first, ~first]), alone, 0.0)
    return np.where(np.all(both >= 0.0, axis=0), both, single)
