"""The age: its mean, its spread from set-up to set-up and its spread from shot to shot."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jitter.arrays import Array


@dataclass(frozen=True)
class AgeSums:
    """What is kept of the ages of each set-up.

    Attributes
    ----------
    count : array (s,)
        Frames with an age.
    total : array (s,) [s]
        Sum of the ages.
    square : array (s,) [s2]
        Sum of their squares.
    """

    count: NDArray[np.int64]
    total: Array
    square: Array


@dataclass(frozen=True)
class Ages:
    """The age over all frames that have one.

    Attributes
    ----------
    mean
        [s].
    setup
        Standard deviation from set-up to set-up [s].
    shot
        Standard deviation from shot to shot within a set-up [s].
    """

    mean: float
    setup: float
    shot: float


def sum_ages(age: Array) -> AgeSums:
    """Return the sums of a block of ages.

    Parameters
    ----------
    age : array (s, n) [s]
        NaN where there is none.
    """
    told = ~np.isnan(age)
    known = np.where(told, age, 0.0)
    return AgeSums(told.sum(axis=1), known.sum(axis=1), (known * known).sum(axis=1))


def no_ages(setups: int) -> AgeSums:
    """Return the sums of no ages at all."""
    return AgeSums(np.zeros(setups, dtype=np.int64), np.zeros(setups), np.zeros(setups))


def join_ages(parts: Sequence[AgeSums], *, setups: int) -> AgeSums:
    """Return the sums of the first set-ups out of those of consecutive blocks."""
    return AgeSums(
        np.concatenate([part.count for part in parts])[:setups],
        np.concatenate([part.total for part in parts])[:setups],
        np.concatenate([part.square for part in parts])[:setups],
    )


def variance(sums: AgeSums) -> float:
    """Return the variance over all frames [s2]; 0 where there are none."""
    frames = float(sums.count.sum())
    if frames == 0.0:
        return 0.0
    mean = float(sums.total.sum()) / frames
    return max(float(sums.square.sum()) / frames - mean * mean, 0.0)


def ages(sums: AgeSums) -> Ages:
    """Return mean and standard deviations by the one-way analysis of variance.

    Set-ups may have different numbers of frames with an age; those without any are left out.
    Undefined values are NaN: the mean without any age, the shot part without two in a set-up,
    the set-up part without two set-ups.

    Parameters
    ----------
    sums
        Of every set-up.

    References
    ----------
    Searle, Casella & McCulloch 1992, Variance Components, section 3.6: unbalanced data.
    """
    told = sums.count > 0
    count, total = sums.count[told].astype(np.float64), sums.total[told]
    groups, frames = len(count), float(count.sum())
    if frames == 0.0:
        return Ages(math.nan, math.nan, math.nan)
    mean = float(total.sum()) / frames
    inside = float((sums.square[told] - total * total / count).sum())
    within = inside / (frames - groups) if frames > groups else math.nan
    if groups < 2:
        return Ages(mean, math.nan, math.sqrt(max(within, 0.0)))
    between = float((count * (total / count - mean) ** 2).sum()) / (groups - 1)
    typical = (frames - float((count * count).sum()) / frames) / (groups - 1)
    # A negative component of variance means that none can be told from the shots' own noise.
    over = max(between - within, 0.0) / typical if not math.isnan(within) else math.nan
    return Ages(mean, math.sqrt(over), math.sqrt(max(within, 0.0)))
