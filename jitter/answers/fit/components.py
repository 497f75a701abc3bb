"""Readings by set-up: their mean, and their spread from set-up to set-up and from shot to shot."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from jitter.answers.fit.pivots import likely_variances, spread_of
from jitter.answers.intervals import LEVEL, Estimate
from jitter.arrays import Array


@dataclass(frozen=True)
class Mean:
    """A mean with its type A uncertainty.

    Attributes
    ----------
    estimate
        The mean and its interval by Student's t; it is open where there is one value, or where all
        are alike and too coarse to show their scatter.
    uncertainty
        Standard uncertainty; infinite where the interval is open.
    freedom
        Its degrees of freedom.
    """

    estimate: Estimate
    uncertainty: float
    freedom: int


@dataclass(frozen=True)
class Squares:
    """A mean square.

    Attributes
    ----------
    value
        In the readings' unit squared.
    freedom
        Its degrees of freedom.
    """

    value: float
    freedom: int


@dataclass(frozen=True)
class Components:
    """What readings of several set-ups say.

    Attributes
    ----------
    count, setups
        Readings, and set-ups that they come from.
    mean
        Over set-ups, each counting once; with one set-up, over its readings.
    within
        Mean square within set-ups; None where no set-up has two readings.
    between
        Variance of the set-ups' means; None with one set-up.
    shot
        Standard deviation from shot to shot; None without `within`.
    setup
        Standard deviation from set-up to set-up; None without `between`.
    """

    count: int
    setups: int
    mean: Mean
    within: Squares | None
    between: Squares | None
    shot: Estimate | None
    setup: Estimate | None


def type_a(values: Array, *, level: float = LEVEL) -> Mean:
    """Return a mean with its standard uncertainty s/√n and Student's interval.

    Parameters
    ----------
    values : array (n,)
        Independent, at least one.
    level
        Confidence, two-sided.

    References
    ----------
    JCGM 100:2008, 4.2 and G.3.

    Examples
    --------
    >>> found = type_a(np.array([9.9, 10.0, 10.1]))
    >>> round(found.uncertainty, 6), round(found.estimate.high, 4)
    (0.057735, 10.2484)
    """
    count = len(values)
    # About the first of them: readings all alike then scatter by exactly 0.
    off = values - values[0]
    mean = float(values[0] + np.mean(off))
    if count < 2:
        return student(mean, math.inf, 0, level=level)
    return student(mean, float(np.std(off, ddof=1)) / math.sqrt(count), count - 1, level=level)


def student(mean: float, uncertainty: float, freedom: int, *, level: float = LEVEL) -> Mean:
    """Return a mean with Student's interval, open where nothing tells how wide it is.

    Parameters
    ----------
    mean
        The mean, or what was fitted.
    uncertainty
        Standard uncertainty; 0 where readings are all alike.
    freedom
        Its degrees of freedom; 0 where there is one reading.
    level
        Confidence, two-sided.
    """
    if freedom == 0 or uncertainty == 0.0:
        return Mean(Estimate(mean, -math.inf, math.inf, level), math.inf, freedom)
    half = float(stdtrit(freedom, 0.5 + 0.5 * level)) * uncertainty
    return Mean(Estimate(mean, mean - half, mean + half, level), uncertainty, freedom)


def mean_square(groups: Sequence[Array], weights: Sequence[Array]) -> Squares | None:
    """Return the mean square of readings about the means of their groups.

    Parameters
    ----------
    groups
        Readings of each set-up.
    weights
        Of each reading, how many single shots it is the mean of; the mean square is that of one.
    """
    freedom = sum(len(group) - 1 for group in groups)
    if freedom == 0:
        return None
    total = 0.0
    for group, weight in zip(groups, weights, strict=True):
        off = group - group[0]
        total += float(np.sum(weight * (off - np.average(off, weights=weight)) ** 2))
    return Squares(total / freedom, freedom)


def separate(
    groups: Sequence[Array],
    *,
    weights: Sequence[Array] | None = None,
    known_shot: float = 0.0,
    known_setup: float = 0.0,
    assumed_shot: float = 0.0,
    level: float = LEVEL,
) -> Components:
    """Separate the spread of readings by the one-way analysis of variance with random set-ups.

    The shot part is the mean square within set-ups. The set-up part is, for the estimate,
    (mean square between - mean square within)/n0; for its interval the variance of the set-ups'
    means less the mean square within over the harmonic mean of their sizes, both mean squares taken
    as chi-square distributed. That holds where all set-ups have the same number of readings and
    nearly where they differ; readings are taken as normal. Parts known otherwise are taken off, and
    neither part is ever negative.

    Parameters
    ----------
    groups
        Readings of each set-up, at least one of each.
    weights
        How many single shots each reading is the mean of; 1 where None.
    known_shot
        Variance from shot to shot that is not the quantity's, such as that of reading it.
    known_setup
        Likewise from set-up to set-up.
    assumed_shot
        The variance within set-ups, where no set-up has two readings.
    level
        Confidence, two-sided.

    References
    ----------
    Searle, Casella & McCulloch 1992, Variance Components, section 3.6 (unbalanced data). ISO
    5725-2:1994, 7.4 (n0; second-hand). Intervals: Thomas & Hultquist 1978, Ann. Stat. 6, 582 (means
    and harmonic mean; from memory) and those of `likely_variances`.
    """
    shares = [np.ones(len(group)) for group in groups] if weights is None else weights
    sizes = np.array([float(np.sum(share)) for share in shares])
    within = mean_square(groups, shares)
    shot = setup = between = None
    if within is not None:
        (likely,) = likely_variances([within.value], [within.freedom])
        shot = _left(within.value, likely, known_shot, level)
    if len(groups) == 1:
        mean = _of_one(groups[0], shares[0], within, level)
    else:
        means = np.array([_mean(group, share) for group, share in zip(groups, shares, strict=True)])
        between = Squares(float(np.var(means - means[0], ddof=1)), len(groups) - 1)
        mean = type_a(means, level=level)
        noise = within or Squares(assumed_shot, 0)
        setup = between_setups(means, sizes, noise, known=known_setup, level=level)
    count = sum(len(group) for group in groups)
    return Components(count, len(groups), mean, within, between, shot, setup)


def _mean(group: Array, share: Array) -> float:
    return float(group[0] + np.average(group - group[0], weights=share))


def _of_one(group: Array, share: Array, within: Squares | None, level: float) -> Mean:
    """Return the mean of a single set-up's readings, which may each be the mean of several."""
    mean = _mean(group, share)
    if within is None:
        return student(mean, math.inf, 0, level=level)
    uncertainty = math.sqrt(within.value / float(np.sum(share)))
    return student(mean, uncertainty, within.freedom, level=level)


def between_setups(
    means: Array, sizes: Array, noise: Squares, *, known: float = 0.0, level: float = LEVEL
) -> Estimate:
    """Return the spread of set-ups behind what was read in each, as `separate` says.

    Parameters
    ----------
    means : array (s,)
        Of the readings of each set-up, two at least.
    sizes : array (s,)
        How many readings each mean is as sure as.
    noise
        Mean square of a reading within set-ups; known for certain without degrees of freedom.
    known
        Variance from set-up to set-up that is known otherwise.
    level
        Confidence, two-sided.
    """
    setups, total = len(means), float(np.sum(sizes))
    grand = float(np.average(means, weights=sizes))
    square = float(np.sum(sizes * (means - grand) ** 2)) / (setups - 1)
    typical = (total - float(np.sum(sizes**2)) / total) / (setups - 1)
    variance = (square - noise.value) / typical - known
    harmonic = setups / float(np.sum(1.0 / sizes))
    of_means = float(np.var(means - means[0], ddof=1))
    if noise.freedom:
        over, inside = likely_variances([of_means, noise.value], [setups - 1, noise.freedom])
    else:
        (over,) = likely_variances([of_means], [setups - 1])
        inside = np.full(1, noise.value)
    return _left(variance + known, over - inside / harmonic, known, level)


def _left(variance: float, likely: Array, known: float, level: float) -> Estimate:
    """Return what is left of a spread when a known part is taken off."""
    if float(np.ptp(likely)) == 0.0:
        # Readings all alike are too coarse to show any spread, and leave it open.
        return Estimate(0.0, 0.0, math.inf, level)
    left = spread_of(variance - known, likely - known, level=level)
    if left.high > 0.0:
        return left
    # The part said to be known is more than all that strays: no more than that can be left.
    return Estimate(0.0, 0.0, spread_of(variance, likely, level=level).high, level)
