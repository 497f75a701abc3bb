"""How large an error may be for a target to be reached: where a curve of hit rates crosses it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq, isotonic_regression

from jitter.answers.effort import Rated
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.arrays import Array

NEAR = 1.03
"""A size in this ratio to one that was worked out, or nearer, need not be worked out too."""
SURE = 2.0
"""A rise counts from so many half widths of its interval on: one in many pairs looks clear."""


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
        """Return the hit rate at a size."""
        return float(self.between(way, np.array(size))[1])

    def between(self, way: str, sizes: Array) -> tuple[Array, ...]:
        """Return the lower end, the value and the upper end of the hit rate at some sizes."""
        parts = _parts(self.rates[way])
        return tuple(_law(self.sizes, values)(sizes) for values in parts)


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


def hit_curve(hits: Mapping[float, Rated]) -> HitCurve:
    """Return the curve of hit rates worked out at some sizes.

    Parameters
    ----------
    hits
        On the same points or draws, by size.
    """
    sizes = sorted(hits)
    rates, falls = {}, {}
    for way in WAYS:
        raw = [hits[size].rates[way] for size in sizes]
        falls[way] = not _rises(way, [hits[size] for size in sizes], raw)
        rates[way] = tuple(_fallen(raw)) if falls[way] else tuple(raw)
    return HitCurve(np.array(sizes), rates, falls)


def _rises(way: str, hits: Sequence[Rated], raw: Sequence[Estimate]) -> bool:
    """Whether some hit rate is clearly above the lowest one before it."""
    lowest = 0
    for place in range(1, len(hits)):
        rise = hits[place].above(hits[lowest], way)
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


def _parts(rates: Sequence[Estimate]) -> Iterable[list[float]]:
    """Return the lower band, the values and the upper band."""
    return ([getattr(rate, part) for rate in rates] for part in ("low", "value", "high"))


def _law(sizes: Array, values: Sequence[float]) -> Callable[[Array | float], Array]:
    """Return a smooth law through values that turns nowhere between them.

    In a scale that is straight near 0 and logarithmic beyond the smallest size, as sizes lie.

    References
    ----------
    Fritsch & Butland 1984, SIAM J. Sci. Stat. Comput. 5, 300 (from memory): slopes of cubics that
    keep a curve monotone where its points are.
    """
    if len(sizes) == 1:
        return lambda at: np.full(np.shape(at), values[0])
    smallest = sizes[sizes > 0.0][0]
    law = PchipInterpolator(np.arcsinh(sizes / smallest), values)
    return lambda at: np.asarray(law(np.arcsinh(at / smallest)))


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
    sure, run, hoped = (_first_run(sizes, values, target) for values in _parts(rates))
    if run is None:
        return Requirement(None, best, best_at)
    limit = Limit(
        least=run[0],
        most=run[1],
        low=min(sure[1], run[1]) if sure is not None and sure[0] <= run[1] else 0.0,
        high=max(hoped[1], run[1]) if hoped is not None else run[1],
        whole=bool(run[1] == sizes[-1]),
    )
    return Requirement(limit, best, best_at)


def _first_run(sizes: Array, values: Sequence[float], target: float) -> tuple[float, float] | None:
    """Return the ends of the first stretch of sizes in which a curve reaches the target."""
    reached = [value >= target for value in values]
    if not any(reached):
        return None
    first = reached.index(True)
    last = reached.index(False, first) - 1 if False in reached[first:] else len(reached) - 1
    law = _law(sizes, values)

    def crossing(one: int) -> float:
        ends = (float(sizes[one]), float(sizes[one + 1]))
        return float(brentq(lambda size: float(law(size)) - target, *ends))

    return (
        crossing(first - 1) if first > 0 else 0.0,
        crossing(last) if last + 1 < len(sizes) else float(sizes[last]),
    )


def sizes_wanted(curve: HitCurve, target: float) -> set[float]:
    """Return sizes to work out next, to know limits better; none where they are known.

    Parameters
    ----------
    curve
        As known.
    target
        The hit rate wanted.
    """
    known = [float(size) for size in curve.sizes if size > 0.0]
    wanted: set[float] = set()
    for way in WAYS:
        limit = requirement(curve, way, target).limit
        if limit is None:
            continue
        # What is sure is told near enough by the curve, but where nothing else is looked for.
        for size in (limit.low if limit.whole else limit.most, limit.least):
            if size > 0.0 and not any(_near(size, other) for other in (*known, *wanted)):
                wanted.add(size)
    return wanted


def _near(one: float, other: float) -> bool:
    return abs(math.log(one / other)) <= math.log(NEAR)
