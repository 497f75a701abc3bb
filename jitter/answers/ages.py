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

    def __add__(self, other: AgeSums) -> AgeSums:
        """Return the sums with further frames of the same set-ups."""
        return AgeSums(
            self.count + other.count, self.total + other.total, self.square + other.square
        )


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


def _running(start: float, terms: Array) -> float:
    """Return a sum in strict order: cut anywhere into blocks, it is the same to the last digit."""
    return float(np.add.accumulate(np.concatenate([[start], terms]))[-1])


@dataclass(frozen=True)
class AgeTotals:
    """What the analysis of variance needs of any number of set-ups.

    Attributes
    ----------
    setups
        Those with an age.
    frames
        Frames with an age.
    squares
        Sum over set-ups of the square of their frames.
    origin
        An age near the mean, from which the others count [s].
    offset
        Sum over frames of age - `origin` [s].
    between
        Sum over set-ups of their frames times the square of their mean's offset [s2].
    within
        Sum over frames of the square of their offset from their set-up's mean [s2].
    """

    setups: int = 0
    frames: int = 0
    squares: int = 0
    origin: float = math.nan
    offset: float = 0.0
    between: float = 0.0
    within: float = 0.0

    def plus(self, sums: AgeSums) -> AgeTotals:
        """Return the totals with further set-ups, each of them whole.

        Parameters
        ----------
        sums
            Of the set-ups that follow.
        """
        told = sums.count > 0
        if not told.any():
            return self
        count, total = sums.count[told], sums.total[told]
        mean = total / count
        # Squares of offsets keep digits that squares of ages would lose.
        origin = float(mean[0]) if self.setups == 0 else self.origin
        return AgeTotals(
            setups=self.setups + len(count),
            frames=self.frames + int(count.sum()),
            squares=self.squares + int((count * count).sum()),
            origin=origin,
            offset=_running(self.offset, count * (mean - origin)),
            between=_running(self.between, count * (mean - origin) ** 2),
            within=_running(self.within, sums.square[told] - total * mean),
        )


def ages(sums: AgeSums) -> Ages:
    """Return mean and standard deviations of the ages of some set-ups, see `spreads`.

    Parameters
    ----------
    sums
        Of every set-up.
    """
    return spreads(AgeTotals().plus(sums))


def spreads(totals: AgeTotals) -> Ages:
    """Return mean and standard deviations by the one-way analysis of variance.

    Set-ups may have different numbers of frames with an age; those without any are left out.
    Undefined values are NaN: the mean without any age, the shot part without two in a set-up,
    the set-up part without two set-ups.

    Parameters
    ----------
    totals
        Of every set-up.

    References
    ----------
    Searle, Casella & McCulloch 1992, Variance Components, section 3.6: unbalanced data.
    """
    groups, frames = totals.setups, totals.frames
    if frames == 0:
        return Ages(math.nan, math.nan, math.nan)
    off = totals.offset / frames
    within = totals.within / (frames - groups) if frames > groups else math.nan
    if groups < 2:
        return Ages(totals.origin + off, math.nan, math.sqrt(max(within, 0.0)))
    between = (totals.between - frames * off * off) / (groups - 1)
    typical = (frames - totals.squares / frames) / (groups - 1)
    # A negative component of variance means that none can be told from the shots' own noise.
    over = max(between - within, 0.0) / typical if not math.isnan(within) else math.nan
    return Ages(totals.origin + off, math.sqrt(over), math.sqrt(max(within, 0.0)))
