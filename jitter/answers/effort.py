"""How hit rates are worked out: from few points with every step integrated, or from draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.smooth_hits import REPLICATES, smooth_what_ifs
from jitter.answers.what_ifs import count_what_ifs
from jitter.answers.workers import Progress, silent
from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.smooth.points import DIMENSIONS, asked
from jitter.study.study import Study
from jitter.trial import Road

LEAST, MOST = 32, 1024
"""Points of each set: at first, and at the most."""
HALF = 0.003
"""Half width of the interval of the hit rate that is wanted of points."""


@dataclass(frozen=True)
class Net:
    """Independent sets of points, in the place of draws.

    Attributes
    ----------
    seed
        Of the scrambling.
    points
        Of each set.
    sets
        How many.
    """

    seed: int
    points: int
    sets: int = REPLICATES


Effort = Net | Layout


class Rated(Protocol):
    """A hit rate, both ways, in independent parts that all what-ifs share."""

    @property
    def rates(self) -> dict[str, Estimate]:
        """The hit rate, by way, with its interval."""

    def shares(self, way: str) -> Array:
        """Return the hit rate in each set-up, or with each set of points."""

    def above(self, other: Any, way: str) -> Estimate:
        """Return by how much the hit rate is above that of another, worked out alike."""

    def mean(self, shares: Array) -> Estimate:
        """Return the mean of differences between such hit rates, with its interval."""


def settle(
    road: Road,
    layout: Layout,
    *,
    ways: Sequence[str] = WAYS,
    half: float = HALF,
    workers: int | None = None,
) -> Effort:
    """Return how the hit rates of a study's what-ifs are best worked out.

    By points, twice as many until the study's own hit rate is known to `half`; by draws where not
    even `MOST` of them bring that about, since too many frames are lost to what cannot be
    integrated, or where there are more dimensions than points serve.

    Parameters
    ----------
    road
        A study, ready to fire.
    layout
        Of the draws, if it comes to that.
    ways
        Of setting the delay that are asked about.
    half
        Half width of the interval that is wanted.
    workers
        Threads.
    """
    columns = (asked(road.study, trimming=way == "as_trimmed").columns for way in ways)
    if max(sum(one.values()) for one in columns) > DIMENSIONS:
        return layout
    points = LEAST
    while points <= MOST:
        (own,) = smooth_what_ifs(road, [road.study], ways=ways, points=points, workers=workers)
        if all(0.5 * (rate.high - rate.low) <= half for rate in own.rates.values()):
            return Net(road.study.seed, points)
        points *= 2
    return layout


def rates_of(
    road: Road,
    what_ifs: Sequence[Study],
    effort: Effort,
    *,
    ways: Sequence[str] = WAYS,
    workers: int | None = None,
    progress: Progress = silent,
) -> Sequence[Rated]:
    """Return the hit rates of variants of a study, on the same points or draws.

    Parameters
    ----------
    road
        From `jitter.answers.what_ifs.open_wide`.
    what_ifs
        Variants of the road's study.
    effort
        From `settle`, or the draws asked for.
    ways
        Of setting the delay that are asked about; draws tell both.
    workers
        Threads; change no digit.
    progress
        Told of progress.
    """
    if isinstance(effort, Layout):
        return count_what_ifs(road, what_ifs, effort, workers=workers, progress=progress)
    return smooth_what_ifs(
        road,
        what_ifs,
        ways=ways,
        seed=effort.seed,
        points=effort.points,
        workers=workers,
        progress=progress,
    )
