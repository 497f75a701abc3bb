"""How large an error may be for a target to be reached: where a curve of hit rates crosses it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import isotonic_regression

from jitter.answers.hits import WAYS, Hits, difference
from jitter.answers.intervals import Estimate
from jitter.arrays import Array

NEAR = 1.12
"""Two sizes in this ratio, or nearer, are near enough to draw a straight line between."""
SURE = 2.0
"""A rise counts from so many half widths of its interval on: one in many pairs looks clear."""
PARTS = 4
"""A stretch with a crossing is looked at in so many parts."""


@dataclass(frozen=True)
class HitCurve:
    """The hit rate against the size of an error, both ways.

    Attributes
    ----------
    sizes : array (k,)
        From 0 up.
    rates
        By way: the hit rate at each size, with its interval.
    falls
        By way: whether no rise of it is clear; then it was made to fall by isotonic regression,
        which takes out some of the noise.
    """

    sizes: Array
    rates: dict[str, tuple[Estimate, ...]]
    falls: dict[str, bool]

    def at(self, way: str, size: float) -> float:
        """Return the hit rate at a size, straight between those that were fired."""
        values = [rate.value for rate in self.rates[way]]
        return float(np.interp(size, self.sizes, values))


@dataclass(frozen=True)
class Limit:
    """How large an error may be for the target to be reached.

    Attributes
    ----------
    least
        The smallest size that reaches it: 0, but where the error brings frames in that would
        miss otherwise.
    most
        The largest size up to which it is reached without a gap.
    low, high
        Ends of the 95 % interval of `most`: where the lower and the upper band of the hit rate
        cross the target; `low` is 0 where not even the smallest is sure to reach it.
    whole
        Whether it is reached up to the largest size looked at.
    """

    least: float
    most: float
    low: float
    high: float
    whole: bool


@dataclass(frozen=True)
class Requirement:
    """What one way of setting the delay asks of an error.

    Attributes
    ----------
    limit
        None where no size reaches the target.
    best
        The highest hit rate of the curve.
    best_at
        The size at which it is.
    """

    limit: Limit | None
    best: Estimate
    best_at: float


def hit_curve(hits: dict[float, Hits]) -> HitCurve:
    """Return the curve of hit rates fired at some sizes.

    Parameters
    ----------
    hits
        On the same draws, by size.
    """
    sizes = sorted(hits)
    rates, falls = {}, {}
    for way in WAYS:
        raw = [hits[size].rates[way] for size in sizes]
        falls[way] = not _rises(way, [hits[size] for size in sizes], raw)
        rates[way] = tuple(_fallen(raw)) if falls[way] else tuple(raw)
    return HitCurve(np.array(sizes), rates, falls)


def _rises(way: str, hits: Sequence[Hits], raw: Sequence[Estimate]) -> bool:
    """Whether some hit rate is clearly above the lowest one before it."""
    lowest = 0
    for place in range(1, len(hits)):
        rise = difference(hits[place], hits[lowest], way)
        if rise.value > SURE * (rise.value - rise.low):
            return True
        lowest = place if raw[place].value < raw[lowest].value else lowest
    return False


def _fallen(raw: Sequence[Estimate]) -> list[Estimate]:
    values = isotonic_regression([rate.value for rate in raw], increasing=False).x.tolist()
    return [
        Estimate(
            value,
            min(max(rate.low + value - rate.value, 0.0), value),
            max(min(rate.high + value - rate.value, 1.0), value),
            rate.level,
        )
        for rate, value in zip(raw, values, strict=True)
    ]


def requirement(curve: HitCurve, way: str, target: float) -> Requirement:
    """Return how large the error may be.

    Parameters
    ----------
    curve
        The hit rates.
    way
        One of `WAYS`.
    target
        The hit rate wanted.
    """
    rates, sizes = curve.rates[way], curve.sizes
    # The nearest to no error at all, of several that are as good.
    place = max(range(len(sizes)), key=lambda at: (rates[at].value, -at))
    best, best_at = rates[place], float(sizes[place])
    run = _first_run(sizes, [rate.value for rate in rates], target)
    if run is None:
        return Requirement(None, best, best_at)
    sure = _first_run(sizes, [rate.low for rate in rates], target)
    hoped = _first_run(sizes, [rate.high for rate in rates], target)
    limit = Limit(
        least=run[0],
        most=run[1],
        low=min(sure[1], run[1]) if sure is not None and sure[0] <= run[1] else 0.0,
        high=max(hoped[1], run[1]) if hoped is not None else run[1],
        whole=bool(run[1] == sizes[-1]),
    )
    return Requirement(limit, best, best_at)


def _first_run(sizes: Array, values: Sequence[float], target: float) -> tuple[float, float] | None:
    """Return the ends of the first stretch of sizes in which a broken line reaches the target."""
    reached = [value >= target for value in values]
    if not any(reached):
        return None
    first = reached.index(True)
    last = reached.index(False, first) - 1 if False in reached[first:] else len(reached) - 1

    def crossing(one: int, other: int) -> float:
        share = (target - values[one]) / (values[other] - values[one])
        return float(sizes[one] + share * (sizes[other] - sizes[one]))

    return (
        crossing(first - 1, first) if first > 0 else 0.0,
        crossing(last, last + 1) if last + 1 < len(sizes) else float(sizes[last]),
    )


def sizes_between(curve: HitCurve, target: float) -> set[float]:
    """Return sizes at which to fire next, to know the crossings better; none where they are known.

    Parameters
    ----------
    curve
        As known.
    target
        The hit rate wanted.
    """
    wanted: set[float] = set()
    for way in WAYS:
        rates = curve.rates[way]
        for values in ([r.value for r in rates], [r.low for r in rates], [r.high for r in rates]):
            for one, other in zip(range(len(values) - 1), range(1, len(values)), strict=True):
                if (values[one] >= target) == (values[other] >= target):
                    continue
                wanted |= _inside(float(curve.sizes[one]), float(curve.sizes[other]))
    return wanted


def _inside(low: float, high: float) -> set[float]:
    if high <= NEAR * low:
        return set()
    if low == 0.0:
        return {high * 0.5**part for part in range(1, PARTS)}
    return {low * (high / low) ** (part / PARTS) for part in range(1, PARTS)}
