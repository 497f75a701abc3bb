"""Whether a log is what the rig as described would give: posterior predictive checks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.explain.law import Law
from jitter.answers.explain.likelihood import Group, by_setup, evidence, without_model
from jitter.answers.explain.telling import Shape, imagine
from jitter.answers.explain.views import Condition, Views
from jitter.answers.workers import Progress, silent
from jitter.arrays import Array
from jitter.stages.look import LOOKS

LOGS = 1000
"""Imagined logs of the rig as described."""


@dataclass(frozen=True)
class Expected:
    """How many frames of a look the rig as described would give.

    Attributes
    ----------
    look
        Place in `LOOKS`.
    seen
        In the log.
    low, middle, high
        Nine in ten logs have no fewer than the first and no more than the last.
    chance
        That luck alone is so far off, either way.
    """

    look: int
    seen: int
    low: float
    middle: float
    high: float
    chance: float


@dataclass(frozen=True)
class Fit:
    """A log against the rig as described.

    Attributes
    ----------
    chance
        Share of imagined logs that speak as much against the rig as this one, or more so.
    expected
        By look; only those that the log or the imagined logs have.
    """

    chance: float
    expected: tuple[Expected, ...]


def check(
    fresh: Mapping[Condition, Views],
    laws: Mapping[Condition, Law],
    rows: Sequence[Group],
    shape: Shape,
    *,
    seed: int,
    progress: Progress = silent,
) -> Fit:
    """Return how a log stands among those that the rig as described would give.

    Logs are ordered by how many times likelier the rig makes them than anything at all does: a log
    by itself is likely where all of its frames are alike, whatever they show.

    Parameters
    ----------
    fresh
        Simulated frames of the rig as described, from which logs are imagined.
    laws
        What its frames on other draws say.
    rows
        The log's groups.
    shape
        Of the log.
    seed
        Of chance.
    progress
        Told of progress.
    """
    draws = np.random.Generator(np.random.PCG64DXSM(seed))
    counts, likely = np.empty((LOGS, len(LOOKS))), np.empty(LOGS)
    for log in range(LOGS):
        imagined = imagine(fresh, shape, draws)
        counts[log] = sum(row.looks for row in imagined)
        likely[log] = _speaks(laws, imagined)
        progress(log + 1, LOGS)
    seen = np.sum([row.looks for row in rows], axis=0)
    own = _speaks(laws, rows)
    expected = [
        _expected(look, float(seen[look]), counts[:, look])
        for look in range(len(LOOKS))
        if seen[look] or counts[:, look].any()
    ]
    return Fit(float((1.0 + (likely <= own).sum()) / (1.0 + LOGS)), tuple(expected))


def _speaks(laws: Mapping[Condition, Law], rows: Sequence[Group]) -> float:
    return evidence(by_setup(laws, rows)) - without_model(rows)


def _expected(look: int, seen: float, luck: Array) -> Expected:
    tails = [(1.0 + (luck <= seen).sum()), (1.0 + (luck >= seen).sum())]
    low, middle, high = (float(end) for end in np.quantile(luck, (0.05, 0.5, 0.95)))
    chance = min(2.0 * float(min(tails)) / (1.0 + len(luck)), 1.0)
    return Expected(look, int(seen), low, middle, high, chance)
