"""How many frames, and how long, for so many keepers as surely as is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jitter.answers.intervals import Estimate
from jitter.answers.plan.prospects import (
    Prospect,
    chance_of,
    fewest_frames,
    keepers,
    mean_of,
    range_of,
    shared_out,
)

CERTAINTIES = (0.5, 0.8, 0.9, 0.95, 0.99)
SPLITS = (1, 2, 3, 4, 5, 6)
"""The frames may be shared out among so many set-ups."""
RANGE = 0.95


@dataclass(frozen=True)
class Costs:
    """What a frame, a trimming and a set-up cost.

    Attributes
    ----------
    cadence
        From one frame to the next [s].
    trimming
        Frames shot to trim, each time.
    setup
        Setting the rig up, each time [s].
    """

    cadence: float
    trimming: int
    setup: float


@dataclass(frozen=True)
class Manner:
    """A way of going through an evening.

    Attributes
    ----------
    way
        ``as_set`` or ``as_trimmed``.
    setups
        How often the rig is set up anew.
    every
        Frames from one trimming to the next; 0 where each set-up is trimmed at most once.
    """

    way: str
    setups: int
    every: int = 0

    def trimmings(self, frames: Sequence[int]) -> int:
        """Return how often the delay is trimmed in set-ups of so many frames each."""
        if self.way == "as_set":
            return 0
        return sum(-(-length // self.every) if self.every else 1 for length in frames if length)

    def time(self, frames: Sequence[int], costs: Costs) -> float:
        """Return how long it takes with so many frames of each set-up [s].

        Parameters
        ----------
        frames
            Of each set-up.
        costs
            Of a frame, a trimming and a set-up.
        """
        shot = sum(frames) + self.trimmings(frames) * costs.trimming
        return self.setups * costs.setup + shot * costs.cadence


@dataclass(frozen=True)
class Need:
    """What a certainty takes.

    Attributes
    ----------
    sure
        The chance of enough keepers that is asked for.
    shared
        Frames of each set-up, those shot to trim not counted.
    trimming
        Frames shot to trim.
    time
        In all [s].
    expected
        Keepers on average.
    """

    sure: float
    shared: tuple[int, ...]
    trimming: int
    time: float
    expected: float

    @property
    def frames(self) -> int:
        """Frames of all set-ups, those shot to trim not counted."""
        return sum(self.shared)


@dataclass(frozen=True)
class Evening:
    """What a whole evening gives.

    Attributes
    ----------
    frames
        Of each set-up.
    chance
        Of enough keepers.
    expected
        Keepers on average.
    low, high
        The number of keepers lies between, ends included, in 95 evenings of 100.
    none
        Chance of no keeper at all.
    """

    frames: tuple[int, ...]
    chance: float
    expected: float
    low: int
    high: int
    none: float


@dataclass(frozen=True)
class Strategy:
    """A manner and what it takes.

    Attributes
    ----------
    manner
        The way of going through the evening.
    table
        By certainty; None where the evening is too short for it.
    asked
        For the certainty asked for; None where the evening is too short.
    chance
        Of enough keepers with the frames of `asked`: with its interval, for the simulation knows
        the set-ups no better than its sample of them.
    evening
        What all frames of the evening give.
    """

    manner: Manner
    table: tuple[Need | None, ...]
    asked: Need | None
    chance: Estimate | None
    evening: Evening

    @property
    def differs(self) -> bool:
        """Whether it trims again at all: else another strategy says the same."""
        shared = self.evening.frames if self.asked is None else self.asked.shared
        return not self.manner.every or max(shared) > self.manner.every


def need(
    prospect: Prospect, manner: Manner, costs: Costs, *, want: int, sure: float, frames: int
) -> Need | None:
    """Return what a certainty takes, or None where the evening is too short.

    Parameters
    ----------
    prospect
        Of every set-up.
    manner
        The way of going through the evening.
    costs
        Of a frame, a trimming and a set-up.
    want
        Keepers wanted.
    sure
        The chance of them that is asked for.
    frames
        Of the evening, over all set-ups.
    """
    setups = manner.setups
    whole = fewest_frames(prospect, setups=setups, want=want, sure=sure, most=frames)
    if whole is None:
        return None
    shared = shared_out(whole, setups)
    return Need(
        sure=sure,
        shared=shared,
        trimming=manner.trimmings(shared) * costs.trimming,
        time=manner.time(shared, costs),
        expected=mean_of(keepers(prospect, shared)),
    )


def evening(prospect: Prospect, manner: Manner, *, want: int, frames: int) -> Evening:
    """Return what all frames of an evening give.

    Parameters
    ----------
    prospect
        Of every set-up.
    manner
        The way of going through the evening.
    want
        Keepers wanted.
    frames
        Of the evening, over all set-ups.
    """
    shared = shared_out(frames, manner.setups)
    met = keepers(prospect, shared)
    low, high = range_of(met, level=RANGE)
    return Evening(
        frames=shared,
        chance=chance_of(prospect, shared, want),
        expected=mean_of(met),
        low=low,
        high=high,
        none=float(met[0]),
    )


def quickest(strategies: Sequence[Strategy]) -> Strategy | None:
    """Return the strategy that takes least time, the one with fewer set-ups of two alike.

    Parameters
    ----------
    strategies
        To choose among.

    Returns
    -------
    Strategy or None
        None where none reaches the certainty asked for.
    """
    reached = [strategy for strategy in strategies if strategy.asked is not None]
    return min(reached, key=_cost) if reached else None


def _cost(strategy: Strategy) -> tuple[float, int, int]:
    asked = strategy.asked
    time = float("inf") if asked is None else asked.time
    return time, strategy.manner.setups, -strategy.manner.every
