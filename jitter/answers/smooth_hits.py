"""The hit rates of many what-ifs by the smooth road: few points, every step integrated."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import stdtrit

from jitter.answers.hits import WAYS
from jitter.answers.intervals import LEVEL, Estimate
from jitter.answers.workers import Progress, silent, work_through
from jitter.arrays import Array
from jitter.smooth.plan import Plan, make_plan
from jitter.smooth.points import sobol
from jitter.smooth.shots import chances
from jitter.study.study import Study
from jitter.trial import Road

REPLICATES, POINTS = 16, 32
"""Independent sets of points, and points in each."""
ROWS = 16384
"""Points of all what-ifs that are worked at once: their arrays fit a cache."""


@dataclass(frozen=True)
class SmoothHits:
    """The hit rate of a study, both ways, by independent sets of points.

    Attributes
    ----------
    by_way : arrays (r,)
        By way of setting the delay: the hit rate that each set of points gives.
    points
        In all sets together.
    """

    by_way: dict[str, Array]
    points: int

    def shares(self, way: str) -> Array:
        """Return the hit rates of the sets, (r,); `way` is one of `WAYS`."""
        return self.by_way[way]

    @cached_property
    def rates(self) -> dict[str, Estimate]:
        """The hit rate, each way, with its interval, which ends at 0 and 1."""
        found = {way: self.mean(shares) for way, shares in self.by_way.items()}
        return {
            way: Estimate(one.value, max(one.low, 0.0), min(one.high, 1.0), one.level)
            for way, one in found.items()
        }

    def above(self, other: SmoothHits, way: str) -> Estimate:
        """Return by how much the hit rate is above that of another study at the same points."""
        return self.mean(self.by_way[way] - other.by_way[way])

    def mean(self, shares: Array) -> Estimate:
        """Return the mean of the sets, of hit rates or of differences between them.

        Student's interval, no narrower than a point is worth: what spoils frames more seldom than
        one point in all, no set of points need show.
        """
        level, mean = LEVEL, float(shares.mean())
        error = float(np.std(shares, ddof=1)) / math.sqrt(len(shares))
        half = max(float(stdtrit(len(shares) - 1, 0.5 + 0.5 * level)) * error, 1.0 / self.points)
        return Estimate(mean, mean - half, mean + half, level)


def smooth_what_ifs(
    road: Road,
    what_ifs: Sequence[Study],
    *,
    ways: Sequence[str] = WAYS,
    points: int = POINTS,
    seed: int | None = None,
    workers: int | None = None,
    progress: Progress = silent,
) -> list[SmoothHits]:
    """Return the hit rates of variants of a study at the same points.

    Parameters
    ----------
    road
        From `jitter.answers.what_ifs.open_wide`.
    what_ifs
        Variants of the road's study.
    ways
        As set by ruler, as trimmed, or both.
    points
        In each set, a power of 2.
    seed
        Of the points; the study's where None.
    workers
        Threads; change no digit.
    progress
        Told of progress.
    """
    plans = {way: make_plan(road, trimmed=way == "as_trimmed") for way in ways}
    nets = {
        way: sobol(
            plan.columns,
            seed=road.study.seed if seed is None else seed,
            replicates=REPLICATES,
            points=points,
        )
        for way, plan in plans.items()
    }
    many = max(ROWS // (REPLICATES * points), 1)
    pieces = [
        (way, what_ifs[begin : begin + many])
        for way in ways
        for begin in range(0, len(what_ifs), many)
    ]

    def work(piece: tuple[str, Sequence[Study]]) -> tuple[str, Array]:
        way, some = piece
        plan: Plan = plans[way]
        found = chances(plan, some, nets[way])
        return way, found.reshape(len(some), REPLICATES, points).mean(axis=2)

    found: dict[str, list[Array]] = {way: [] for way in ways}
    for way, rates in work_through(work, pieces, workers=workers, progress=progress):
        found[way].extend(rates)
    return [
        SmoothHits({way: np.asarray(found[way][place]) for way in ways}, REPLICATES * points)
        for place in range(len(what_ifs))
    ]
