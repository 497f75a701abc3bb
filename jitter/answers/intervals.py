"""Intervals that know that the shots of one set-up share its errors."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv, ndtri, stdtrit

from jitter.arrays import Array

LEVEL = 0.95


@dataclass(frozen=True)
class Estimate:
    """A number with its confidence interval.

    Attributes
    ----------
    value
        The estimate.
    low, high
        Ends of the interval.
    level
        Its confidence.
    """

    value: float
    low: float
    high: float
    level: float = LEVEL

    @property
    def clear(self) -> bool:
        """Whether the interval leaves 0 out."""
        return self.low > 0.0 or self.high < 0.0


def wilson(hits: float, count: float, *, level: float = LEVEL) -> Estimate:
    """Return Wilson's score interval of a proportion.

    Parameters
    ----------
    hits
        Successes; need not be whole where `count` is an effective number.
    count
        Independent trials, above 0.
    level
        Confidence, two-sided.

    References
    ----------
    Brown, Cai & DasGupta 2001, Stat. Sci. 16, 101, equation 4.

    Examples
    --------
    >>> round(wilson(9, 10).low, 8), round(wilson(9, 10).high, 8)
    (0.59584997, 0.98212379)
    """
    z = float(ndtri(0.5 + 0.5 * level))
    share = hits / count
    centre = (hits + 0.5 * z * z) / (count + z * z)
    half = z * math.sqrt(count) / (count + z * z)
    half *= math.sqrt(max(share * (1.0 - share), 0.0) + 0.25 * z * z / count)
    # A bound at an end of the scale is that end, not a rounding error beside it.
    low = 0.0 if hits <= 0.0 else max(centre - half, 0.0)
    high = 1.0 if hits >= count else min(centre + half, 1.0)
    return Estimate(share, low, high, level)


def clopper_pearson(hits: float, count: float, *, level: float = LEVEL) -> Estimate:
    """Return the interval of a proportion that never covers less than its level.

    Parameters
    ----------
    hits
        Successes.
    count
        Independent trials, above 0.
    level
        Confidence, two-sided.

    References
    ----------
    Clopper & Pearson 1934, Biometrika 26, 404.
    """
    tail = 0.5 * (1.0 - level)
    low = 0.0 if hits <= 0.0 else float(betaincinv(hits, count - hits + 1.0, tail))
    high = 1.0 if hits >= count else float(betaincinv(hits + 1.0, count - hits, 1.0 - tail))
    return Estimate(hits / count, low, high, level)


def clustered_share(hits: NDArray[np.int32], shots: int, *, level: float = LEVEL) -> Estimate:
    """Return the share of hits, with an interval that takes set-ups as the independent units.

    See `share_of_sums`.

    Parameters
    ----------
    hits : array (s,)
        Hits of each set-up; at least two set-ups.
    shots
        Shots of each.
    level
        Confidence, two-sided.
    """
    whole = hits.astype(np.int64)
    return share_of_sums(
        int(whole.sum()), int((whole * whole).sum()), setups=len(hits), shots=shots, level=level
    )


def share_of_sums(
    hits: int, squares: int, *, setups: int, shots: int, level: float = LEVEL
) -> Estimate:
    """Return the share of hits, with an interval that takes set-ups as the independent units.

    Wilson's interval with the effective number of shots p(1-p)/Var(set-up mean), reduced by
    (z/t)² for the few set-ups that the variance itself comes from. Where no set-up differs from
    another the effective number is that of the set-ups: nothing less is known. With ten set-ups
    and a share near 0 or 1 the interval covers less than it says: 0.90 for 0.95 at a share of 0.95.

    Parameters
    ----------
    hits
        Of all set-ups.
    squares
        Sum over set-ups of the square of their hits.
    setups
        At least two.
    shots
        Shots of each.
    level
        Confidence, two-sided.

    References
    ----------
    The t correction follows Korn & Graubard 1998, Survey Methodology 24, 193 (from memory).
    """
    share = hits / (setups * shots)
    # Whole numbers, so that set-ups that are all alike differ by nothing.
    apart = setups * squares - hits * hits
    of_mean = apart / (setups * setups * (setups - 1) * shots * shots)
    effective = share * (1.0 - share) / of_mean if of_mean > 0.0 else float(setups)
    effective = min(effective, float(setups * shots))
    z = float(ndtri(0.5 + 0.5 * level))
    t = float(stdtrit(setups - 1, 0.5 + 0.5 * level))
    effective = max(effective * (z / t) ** 2, 1.0)
    around = wilson(share * effective, effective, level=level)
    return Estimate(share, around.low, around.high, level)


def paired_mean(differences: Array, *, level: float = LEVEL) -> Estimate:
    """Return the mean of paired differences, set-ups being the independent units.

    Student's interval. Where no set-up shows a difference, the interval is what so many set-ups
    without one leave open: plus and minus 1 - (tail)^(1/s).

    Parameters
    ----------
    differences : array (s,)
        Of the hit rate in each set-up, on the same draws.
    level
        Confidence, two-sided.

    Examples
    --------
    >>> paired_mean(np.zeros(100)).clear
    False
    """
    setups = len(differences)
    mean = float(np.mean(differences))
    spread = float(np.std(differences, ddof=1))
    tail = 0.5 * (1.0 - level)
    half = float(stdtrit(setups - 1, 1.0 - tail)) * spread / math.sqrt(setups)
    if float(np.ptp(differences)) == 0.0:
        half = 1.0 - tail ** (1.0 / setups)
    return Estimate(mean, mean - half, mean + half, level)
