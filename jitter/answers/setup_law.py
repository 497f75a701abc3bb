"""The law of the set-ups' hit rates, freed of the noise of finite shots."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

from jitter.arrays import Array

POINTS = 201
ROUNDS = 400
MOST_SHOTS = 500


@dataclass(frozen=True)
class SetupLaw:
    """Which hit rates set-ups have, and how often.

    Attributes
    ----------
    rates : array (p,)
        Hit rates.
    weights : array (p,)
        Share of the set-ups that have each; they sum to 1.
    """

    rates: Array
    weights: Array

    @cached_property
    def mean(self) -> float:
        """The hit rate over all set-ups."""
        return float(self.weights @ self.rates)

    @cached_property
    def alikeness(self) -> float:
        """How alike two frames of one set-up are: the set-ups' share of the variance of a hit.

        The intraclass correlation: 0 where all set-ups have one rate, 1 where a set-up keeps every
        frame or none.
        """
        variance = float(self.weights @ (self.rates - self.mean) ** 2)
        whole = self.mean * (1.0 - self.mean)
        return min(variance / whole, 1.0) if whole > 0.0 else 0.0


def setup_law(hits: NDArray[np.int32], shots: int) -> SetupLaw:
    """Return the law of the hit rate over set-ups.

    Parameters
    ----------
    hits : array (s,)
        Hits of each set-up.
    shots
        Shots of each, 2 or more: one shot does not tell a bad set-up from bad luck.
    """
    count, seen = np.unique(hits, return_counts=True)
    return setup_laws(count, seen[None, :], shots)[0]


def setup_laws(
    count: NDArray[np.int32], seen: NDArray[np.int64], shots: int
) -> tuple[SetupLaw, ...]:
    """Return the laws of the hit rate over several samples of set-ups.

    The mixture of binomials found by `mixture` is drawn together about its mean to the variance
    that the analysis of variance leaves over for set-ups, and moved to the mean that was seen.

    Parameters
    ----------
    count : array (c,)
        Numbers of hits that a set-up had.
    seen : array (b, c)
        Set-ups of each sample that had so many.
    shots
        Shots of each set-up.
    """
    setups = seen.sum(axis=1, keepdims=True)
    share = seen / setups
    rates = count / shots
    mean = share @ rates
    scatter = (share @ rates**2 - mean**2) * (setups[:, 0] / np.maximum(setups[:, 0] - 1, 1))
    noise = (share @ (rates * (1.0 - rates))) / max(shots - 1, 1)
    true = np.maximum(scatter - noise, 0.0)
    if shots > MOST_SHOTS:
        laws = [(rates, weights) for weights in share]
    else:
        grid = grid_points()
        laws = [(grid, weights) for weights in mixture(count, share, shots)]
    made = []
    for (points, weights), centre, variance in zip(laws, mean, true, strict=True):
        middle = float(weights @ points)
        found = float(weights @ (points - middle) ** 2)
        pull = min(float(np.sqrt(variance / found)), 1.0) if found > 0.0 else 0.0
        made.append(SetupLaw(np.clip(centre + pull * (points - middle), 0.0, 1.0), weights))
    return tuple(made)


def grid_points() -> Array:
    """Return the rates among which the mixture is found."""
    points: Array = (np.arange(POINTS) + 0.5) / POINTS
    return points


def mixture(count: NDArray[np.int32], share: Array, shots: int) -> Array:
    """Return the weights of the rates of a binomial mixture, (b, p).

    The expectation-maximisation steps start flat and are stopped early, which keeps the law
    smooth.

    Parameters
    ----------
    count : array (c,)
        Numbers of hits that a set-up had.
    share : array (b, c)
        Share of each sample's set-ups that had so many.
    shots
        Shots of each set-up.

    References
    ----------
    Laird 1978, J. Am. Stat. Assoc. 73, 805, on the mixture (from memory).
    """
    grid = grid_points()
    log_ways = gammaln(shots + 1) - gammaln(count + 1) - gammaln(shots - count + 1)
    chance = np.exp(
        log_ways[:, None]
        + count[:, None] * np.log(grid)
        + (shots - count)[:, None] * np.log1p(-grid)
    )
    weights = np.full((len(share), POINTS), 1.0 / POINTS)
    for _ in range(ROUNDS):
        weights = weights * ((share / (weights @ chance.T)) @ chance)
    return weights
