"""What a log says by itself: rates, a trend, runs, and where it changes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri, stdtrit

from jitter.answers.intervals import Estimate, clopper_pearson, wilson
from jitter.arrays import Array
from jitter.records.log import Frame, Log
from jitter.stages.look import KEPT, LOOKS

FEWEST = 8
"""Fewer frames than this show no trend, no runs and no change."""
PERMUTATIONS = 2000
CELLS = 1_000_000


@dataclass(frozen=True)
class Trend:
    """How keepers come and go with the frames.

    Attributes
    ----------
    first, last
        Share of keepers in the first and the last half.
    chance
        That luck alone makes so large a trend, either way.
    """

    first: float
    last: float
    chance: float


@dataclass(frozen=True)
class Change:
    """Where a log changes most.

    Attributes
    ----------
    line
        Of the first frame after it.
    before, after
        Share of keepers.
    chance
        That luck alone makes so large a change somewhere.
    """

    line: int
    before: float
    after: float
    chance: float


@dataclass(frozen=True)
class Facts:
    """What a log says by itself.

    Attributes
    ----------
    frames, told
        In the log, and with a verdict.
    setups
        In the log.
    looks
        How many frames have each look, in the order of `LOOKS`.
    keepers
        Their share, with an interval that respects the set-ups.
    clustered
        Whether there were set-ups enough for that; one set-up says nothing of others.
    by_setup
        Keepers and frames of each set-up.
    longest
        The longest run of frames that are no keepers.
    long_run
        The chance of a run as long by luck; NaN where too few frames tell.
    trend
        None where too few frames tell.
    change
        None where too few frames tell.
    """

    frames: int
    told: int
    setups: int
    looks: tuple[int, ...]
    keepers: Estimate
    clustered: bool
    by_setup: dict[str, tuple[int, int]]
    longest: int
    long_run: float
    trend: Trend | None
    change: Change | None


def find_facts(log: Log, *, seed: int) -> Facts:
    """Return what a log says by itself.

    Frames of one set-up share its errors: with two set-ups or more the interval takes the spread
    between them in, by a design effect with a correction for their small number; with one it says
    how many keepers this set-up has, and nothing of the next. Trend and change are tested by
    shuffling the frames within each set-up.

    Parameters
    ----------
    log
        The log.
    seed
        Of the shuffling.

    References
    ----------
    Design effect: Korn & Graubard 1998, Survey Methodology 24, 193 (from memory).
    """
    told = [frame for frame in log.frames if frame.look is not None]
    kept = np.array([frame.look == KEPT for frame in told], dtype=np.float64)
    names = [frame.setup for frame in told]
    by_setup: dict[str, tuple[int, int]] = {}
    for name, hit in zip(names, kept, strict=True):
        hits, count = by_setup.get(name, (0, 0))
        by_setup[name] = (hits + int(hit), count + 1)
    looks = np.bincount([frame.look or 0 for frame in told], minlength=len(LOOKS))
    long_run, trend, change = math.nan, None, None
    if len(told) >= FEWEST:
        chances = _chances(kept, names, seed)
        long_run = chances[0]
        trend = _trend(kept, chances[1])
        change = _change(told, kept, chances[2])
    keepers, clustered = _share(by_setup)
    return Facts(
        frames=len(log.frames),
        told=len(told),
        setups=len(by_setup),
        looks=tuple(int(count) for count in looks),
        keepers=keepers,
        clustered=clustered,
        by_setup=by_setup,
        longest=int(longest_run(kept)),
        long_run=long_run,
        trend=trend,
        change=change,
    )


def _share(by_setup: dict[str, tuple[int, int]]) -> tuple[Estimate, bool]:
    hits = np.array([pair[0] for pair in by_setup.values()], dtype=np.float64)
    counts = np.array([pair[1] for pair in by_setup.values()], dtype=np.float64)
    total = counts.sum()
    if total == 0.0:
        return Estimate(math.nan, 0.0, 1.0), False
    share = float(hits.sum() / total)
    several = len(hits) > 1 and bool((counts > 1).any()) and 0.0 < share < 1.0
    if not several:
        return clopper_pearson(float(hits.sum()), float(total)), False
    mean_square = float((counts * (hits / counts - share) ** 2).sum()) / (len(hits) - 1)
    within = float((hits * (1.0 - hits / counts)).sum()) / max(total - len(hits), 1.0)
    typical = (total - float((counts**2).sum()) / total) / (len(hits) - 1)
    over = max(mean_square - within, 0.0) / typical
    alike = over / (over + within) if over + within > 0.0 else 1.0
    size = float((counts**2).sum()) / total
    effect = 1.0 + (size - 1.0) * min(alike, 1.0)
    ratio = float(stdtrit(len(hits) - 1, 0.975) / ndtri(0.975))
    effective = max(total / (effect * ratio**2), 1.0)
    around = wilson(share * effective, effective)
    return Estimate(share, around.low, around.high), True


def longest_run(kept: Array) -> Array:
    """Return the longest run of frames that are no keepers, (...,) from (..., n).

    Examples
    --------
    >>> int(longest_run(np.array([1.0, 0.0, 0.0, 1.0, 0.0])))
    2
    """
    place = np.arange(1.0, kept.shape[-1] + 1.0)
    last = np.maximum.accumulate(np.where(kept > 0.0, place, 0.0), axis=-1)
    return np.asarray(np.max(place - last, axis=-1, initial=0.0))


def _chances(kept: Array, names: Sequence[str], seed: int) -> tuple[float, float, float]:
    """Return the chances of so long a run, such a trend and such a change by luck.

    The share of shuffled logs that show as much, the log itself counted in; each frame is shuffled
    within its set-up.
    """
    draws = np.random.Generator(np.random.PCG64DXSM(seed))
    labels = np.unique(np.array(names), return_inverse=True)[1]
    places = [np.flatnonzero(labels == label) for label in range(labels.max() + 1)]
    seen, as_much = _shown(kept[None, :])[0], np.ones(3)
    # So many at once that a long log fits into memory.
    most = max(CELLS // len(kept), 1)
    for begin in range(0, PERMUTATIONS, most):
        drawn = draws.random((min(most, PERMUTATIONS - begin), len(kept)))
        shuffled = np.empty_like(drawn)
        for one in places:
            shuffled[:, one] = kept[one][np.argsort(drawn[:, one], axis=1)]
        as_much += (_shown(shuffled) >= seen - 1e-12).sum(axis=0)
    run, trend, change = (float(share) for share in as_much / (1.0 + PERMUTATIONS))
    return run, trend, change


def _shown(kept: Array) -> Array:
    """Return longest run, trend and greatest change of logs, (p, 3)."""
    place = np.arange(kept.shape[1]) - 0.5 * (kept.shape[1] - 1)
    trend = np.abs(kept @ place)
    return np.stack([longest_run(kept), trend, _gains(kept).max(axis=1)], axis=1)


def _trend(kept: Array, chance: float) -> Trend:
    half = len(kept) // 2
    return Trend(first=float(kept[:half].mean()), last=float(kept[half:].mean()), chance=chance)


def _change(told: Sequence[Frame], kept: Array, chance: float) -> Change:
    """Return where the share of keepers before and after differ most, by the likelihood."""
    best = int(np.argmax(_gains(kept[None, :])[0]))
    return Change(
        line=told[best + 1].line,
        before=float(kept[: best + 1].mean()),
        after=float(kept[best + 1 :].mean()),
        chance=chance,
    )


def _gains(kept: Array) -> Array:
    """Return by how much two shares describe the frames better than one, (p, n - 1)."""
    count = kept.shape[1]
    before = np.cumsum(kept, axis=1)[:, :-1]
    first = np.arange(1.0, count)
    every = kept.sum(axis=1, keepdims=True)
    gain: Array = (
        _likely(before, first) + _likely(every - before, count - first) - _likely(every, count)
    )
    return gain


def _likely(hits: Array, frames: Array | float) -> Array:
    """Return the log of the largest likelihood of so many hits."""
    share = hits / frames
    with np.errstate(divide="ignore", invalid="ignore"):
        likely = hits * np.log(share) + (frames - hits) * np.log1p(-share)
    return np.nan_to_num(likely, nan=0.0, posinf=0.0, neginf=0.0)
