"""What every trial of a setting shares: how rates are worked out, and what may be changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from jitter.answers.effort import LEAST, Effort, Rated, rates_of
from jitter.answers.hits import WAYS
from jitter.answers.tune.limits import Limits
from jitter.arrays import Array
from jitter.draws.deviates import Deviates
from jitter.draws.layout import Layout
from jitter.smooth.batch import Batch
from jitter.stage import Chain, walk
from jitter.study.study import Study
from jitter.trial import open_road

FEW = 4
"""Maps, and the first comparison of start signals, rest on a part of the points: one in so many."""
FRESH = 4
"""What is told in the end rests on other points, so many times those of the search or more."""


@dataclass(frozen=True)
class Bench:
    """What every trial of a setting shares.

    Attributes
    ----------
    chain
        The stages of a shot, whose tables read no setting that is tuned.
    effort
        Points or draws: the same for all.
    way
        By which keepers settings are judged, as set or as trimmed.
    free
        The settings that may be changed.
    limits
        How far.
    workers
        Threads.
    tick
        Called after each piece of work.
    """

    chain: Chain
    effort: Effort
    way: str
    free: tuple[str, ...]
    limits: Limits
    workers: int | None
    tick: Callable[[], None]

    def rates(
        self, base: Study, studies: Sequence[Study], ways: Sequence[str] = WAYS
    ) -> Sequence[Rated]:
        """Return the hit rates of rigs that differ in the numbers of settings.

        Parameters
        ----------
        base
            A typical one of them: what is integrated is chosen by how it behaves.
        studies
            The rigs.
        ways
            Of setting the delay that are asked about.
        """
        return rates_of(
            open_road(base, self.chain, wanted=("reason",)),
            studies,
            self.effort,
            ways=ways,
            workers=self.workers,
            progress=lambda _done, _total: self.tick(),
        )

    def nominal_ages(self, base: Study, studies: Sequence[Study]) -> Array:
        """Return the age in the shot of each rig in which nothing strays, (k,) [s].

        Parameters
        ----------
        base
            What the rigs are variants of.
        studies
            They differ in the numbers of settings. NaN where drop and jet do not meet.
        """
        road, batch = open_road(base, self.chain, wanted=("age",)), Batch(base, studies, 1)
        still = Deviates({}, {}, np.zeros((1, 1)))
        events = walk(road.aim, {**road.fixed, **batch.values(still, batch.changed)})
        ages = np.asarray(events["age"], dtype=np.float64)
        return np.asarray(np.broadcast_to(ages, (len(studies), 1))[:, 0])

    def fewer(self) -> Bench:
        """Return a bench for what a part of the points serves."""
        return replace(self, effort=fewer(self.effort))


def fewer(effort: Effort) -> Effort:
    """Return a part of the points or set-ups, one in `FEW`.

    Examples
    --------
    >>> fewer(Layout(11, 2048, 16))
    Layout(seed=11, setups=512, shots=16)
    """
    if isinstance(effort, Layout):
        return replace(effort, setups=max(2, effort.setups // FEW))
    return replace(effort, points=max(4, effort.points // FEW))


def of_search(settled: Effort) -> Effort:
    """Return the fewest points of all: settings are told apart on the same ones.

    Examples
    --------
    >>> from jitter.answers.effort import Net
    >>> of_search(Net(11, 256))
    Net(seed=11, points=32, sets=16)
    """
    return settled if isinstance(settled, Layout) else replace(settled, points=LEAST)


def fresh(settled: Effort) -> Effort:
    """Return other points or draws, `FRESH` times as many as those of the search, or more.

    Examples
    --------
    >>> fresh(Layout(11, 2048, 16))
    Layout(seed=12, setups=8192, shots=16)
    >>> from jitter.answers.effort import Net
    >>> fresh(Net(11, 256))
    Net(seed=12, points=256, sets=16)
    """
    other = replace(settled, seed=settled.seed + 1)
    if isinstance(other, Layout):
        return replace(other, setups=FRESH * other.setups)
    return replace(other, points=max(other.points, FRESH * LEAST))
