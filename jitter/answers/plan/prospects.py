"""How many keepers so many frames of one set-up, or of several, are likely to hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.special import bdtrc, gammaln, xlog1py, xlogy

from jitter.answers.setup_law import SetupLaw
from jitter.arrays import Array

SLACK = 1e-12
"""Rounding of a sum of chances must not cost a frame."""


class Prospect(Protocol):
    """What is known of the keepers of one set-up before it is shot."""

    def chances(self, frames: int, most: int) -> Array:
        """Return the chance of 0, 1, … and so on to the most keepers among the first frames."""
        ...


@dataclass(frozen=True)
class Alike:
    """Frames of a set-up that share its hit rate, which follows a law over the set-ups.

    Given the rate the keepers are binomial. Where the law is a beta law they are beta-binomial.

    Attributes
    ----------
    law
        Of the set-ups' hit rates.
    """

    law: SetupLaw

    def chances(self, frames: int, most: int) -> Array:
        """Return the chance of 0, 1, … and so on to the most keepers among the first frames."""
        kept = np.arange(min(frames, most) + 1.0)
        ways = gammaln(frames + 1.0) - gammaln(kept + 1.0) - gammaln(frames - kept + 1.0)
        rates = self.law.rates[:, None]
        binomial = np.exp(ways + xlogy(kept, rates) + xlog1py(frames - kept, -rates))
        mixed: Array = self.law.weights @ binomial
        return mixed


@dataclass(frozen=True)
class Followed:
    """Set-ups that were followed frame by frame, for rigs in which something drifts.

    Attributes
    ----------
    kept : array (s, n)
        Keepers of each simulated set-up up to and with each frame.
    weights : array (s,)
        Share of each set-up; they sum to 1.
    """

    kept: NDArray[np.int32]
    weights: Array

    def chances(self, frames: int, most: int) -> Array:
        """Return the chance of 0, 1, … and so on to the most keepers among the first frames."""
        met: Array = np.zeros(frames + 1)
        if frames == 0:
            met[0] = 1.0
        else:
            np.add.at(met, self.kept[:, frames - 1], self.weights)
        return met[: most + 1]


def keepers(prospect: Prospect, frames: Sequence[int]) -> Array:
    """Return the chance of 0, 1, … keepers over independent set-ups of so many frames each.

    Parameters
    ----------
    prospect
        Of every set-up.
    frames
        Of each.

    Examples
    --------
    >>> law = SetupLaw(np.array([0.5]), np.array([1.0]))
    >>> keepers(Alike(law), [1, 1]).round(12).tolist()
    [0.25, 0.5, 0.25]
    """
    parts = {length: prospect.chances(length, length) for length in set(frames)}
    whole = np.ones(1)
    for length in frames:
        whole = np.convolve(whole, parts[length])
    return whole


def chance_of(prospect: Prospect, frames: Sequence[int], want: int) -> float:
    """Return the chance of at least so many keepers over independent set-ups.

    Parameters
    ----------
    prospect
        Of every set-up.
    frames
        Of each.
    want
        Keepers.
    """
    if want > sum(frames):
        return 0.0
    parts = {length: prospect.chances(length, want - 1) for length in set(frames)}
    # Too few keepers in all means too few in every part: nothing above the want is followed.
    few = np.ones(1)
    for length in frames:
        few = np.convolve(few, parts[length])[:want]
    return float(np.clip(1.0 - few.sum(), 0.0, 1.0))


def shared_out(frames: int, setups: int) -> tuple[int, ...]:
    """Return the frames of each of several set-ups, as equal as can be.

    Examples
    --------
    >>> shared_out(11, 3)
    (4, 4, 3)
    """
    each, rest = divmod(frames, setups)
    return tuple(each + (place < rest) for place in range(setups))


def fewest_frames(
    prospect: Prospect, *, setups: int, want: int, sure: float, most: int
) -> int | None:
    """Return the fewest frames, shared out among set-ups, that give enough keepers surely.

    Parameters
    ----------
    prospect
        Of every set-up.
    setups
        Independent set-ups of lengths as equal as can be.
    want
        Keepers wanted in all.
    sure
        The chance of them that is asked for.
    most
        Frames in all at the most.

    Returns
    -------
    int or None
        In all, one to each set-up at the least; None where even the most are too few.
    """

    def enough(frames: int) -> bool:
        return chance_of(prospect, shared_out(frames, setups), want) >= sure - SLACK

    if most < setups or not enough(most):
        return None
    low, high = setups - 1, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def frames_if_independent(rate: float, *, want: int, sure: float, most: int) -> int | None:
    """Return the fewest frames that give enough keepers surely, were no two frames alike.

    The smallest n with P(Bin(n, p) >= k) >= q, by comparing tails.

    Parameters
    ----------
    rate
        Hit rate p of every frame.
    want
        Keepers k.
    sure
        The chance q of them that is asked for.
    most
        Frames to look at.

    Examples
    --------
    >>> frames_if_independent(0.9, want=1, sure=0.9, most=10)
    1
    """
    tried = np.arange(want, most + 1)
    reached = np.flatnonzero(bdtrc(want - 1, tried, rate) >= sure - SLACK)
    return int(tried[reached[0]]) if len(reached) else None


def range_of(chances: Array, *, level: float) -> tuple[int, int]:
    """Return the smallest and the largest number of keepers that need not surprise.

    Parameters
    ----------
    chances : array (n + 1,)
        Of 0, 1, … keepers.
    level
        Chance that the number lies between, ends included; half of the rest at either side.
    """
    tail = 0.5 * (1.0 - level)
    below = np.cumsum(chances)
    return int(np.searchsorted(below, tail)), int(np.searchsorted(below, 1.0 - tail))


def mean_of(chances: Array) -> float:
    """Return the keepers to expect, from the chances of 0, 1, … of them."""
    return float(chances @ np.arange(len(chances)))
