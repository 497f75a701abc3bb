"""What a simulation tells of the set-ups to come, and how well it tells it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from jitter.answers.hits import WAYS, count_hits
from jitter.answers.intervals import LEVEL, Estimate, clustered_share
from jitter.answers.plan.follow import follow
from jitter.answers.plan.prospects import Alike, Followed, Prospect, chance_of
from jitter.answers.setup_law import setup_laws
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.draws.streams import Streams
from jitter.stage import Chain
from jitter.study.study import Study

RESAMPLES = 64
"""The simulated set-ups are drawn again so often to see how well they tell a chance."""


@dataclass(frozen=True)
class Foresight:
    """What is known of set-ups of one way of setting the delay.

    Attributes
    ----------
    rate
        The hit rate.
    alikeness
        Share of a hit's variance that all frames of a set-up have in common.
    prospects
        By the frames from one trimming to the next; 0 where there is at most one.
    others
        What other samples of set-ups might have told instead.
    """

    rate: Estimate
    alikeness: float
    prospects: Mapping[int, Prospect]
    others: Mapping[int, tuple[Prospect, ...]]

    def chance(self, every: int, frames: Sequence[int], want: int) -> Estimate:
        """Return the chance of enough keepers, with the interval that resampling gives it.

        At a chance of 0.9995 and above it covers less than it says: about 0.8 for 0.95.

        Parameters
        ----------
        every
            Frames from one trimming to the next.
        frames
            Of each set-up.
        want
            Keepers.
        """
        value = chance_of(self.prospects[every], frames, want)
        others = [chance_of(other, frames, want) for other in self.others[every]]
        half = float(stdtrit(len(others) - 1, 0.5 + 0.5 * LEVEL)) * float(np.std(others, ddof=1))
        return Estimate(value, max(value - half, 0.0), min(value + half, 1.0))


def foresee(
    study: Study,
    chain: Chain,
    layout: Layout,
    *,
    moving: bool,
    workers: int | None = None,
    progress: Progress = silent,
) -> dict[str, Foresight]:
    """Simulate a rig and return what that tells of its set-ups, both ways.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    layout
        Seed, set-ups and shots; where something drifts the shots are those of a whole session.
    moving
        Whether something drifts, so that set-ups must be followed frame by frame.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.
    """
    often = _resampled(layout)
    if not moving:
        hits = count_hits(study, chain, layout, workers=workers, progress=progress)
        return {way: _from_hits(hits.keepers(way), layout.shots, often) for way in WAYS}
    kept = follow(study, chain, setups=layout.setups, workers=workers, progress=progress)
    as_set, *trimmed = kept.items()
    # Trimmed once in a whole session is trimmed at its start.
    spaced = {0 if gap == layout.shots else gap: one for gap, one in trimmed}
    return {
        "as_set": _from_sessions({0: as_set[1]}, often, layout.shots),
        "as_trimmed": _from_sessions(spaced, often, layout.shots),
    }


def _resampled(layout: Layout) -> NDArray[np.int64]:
    """Return how often each set-up is drawn in each resample (b, s)."""
    uniform = np.empty((RESAMPLES, layout.setups))
    Streams(layout.seed).fill(uniform, "plan resamples", first=0)
    drawn = (uniform * layout.setups).astype(np.int64)
    return np.stack([np.bincount(row, minlength=layout.setups) for row in drawn])


def _from_hits(hits: NDArray[np.int32], shots: int, often: NDArray[np.int64]) -> Foresight:
    count, place = np.unique(hits, return_inverse=True)
    met = place[None, :] == np.arange(len(count))[:, None]
    seen = np.concatenate([met.sum(axis=1)[None, :], often @ met.T.astype(np.int64)])
    law, *others = setup_laws(count, seen, shots)
    return Foresight(
        clustered_share(hits, shots),
        law.alikeness,
        {0: Alike(law)},
        {0: tuple(Alike(other) for other in others)},
    )


def _from_sessions(
    kept: Mapping[int, NDArray[np.int32]], often: NDArray[np.int64], frames: int
) -> Foresight:
    setups = often.shape[1]
    even = np.full(setups, 1.0 / setups)
    hits = kept[0][:, -1]
    count, seen = np.unique(hits, return_counts=True)
    (law,) = setup_laws(count, seen[None, :], frames)
    return Foresight(
        clustered_share(hits, frames),
        law.alikeness,
        {gap: Followed(one, even) for gap, one in kept.items()},
        {gap: tuple(Followed(one, row / setups) for row in often) for gap, one in kept.items()},
    )
