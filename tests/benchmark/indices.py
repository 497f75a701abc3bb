"""Sobol' indices of the age beside reference libraries that drive the same model."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from jitter.arrays import Array
from tests.benchmark.effort import Effort, study_of
from tests.benchmark.estimators import METHODS
from tests.benchmark.model import Model, without_mishaps
from tests.benchmark.table import Cell, Table, figure

SEEDS = 8
"""Times as many as elsewhere: an error of an error from few seeds misleads."""


@dataclass(frozen=True)
class Found:
    """What a method gives, (seeds, k), and takes."""

    first: Array
    total: Array
    shots: float
    seconds: float

    def error(self, name: str, which: Array) -> float:
        """Return the standard error of one seed, root mean square over some inputs."""
        return float(np.sqrt(_variance(getattr(self, name)[:, which]).mean()))


def _variance(found: Array) -> Array:
    """Return the variance over seeds, (k,), told by the median deviation: odd seeds do not move it.

    The factor is that of a normal law (closed form: 1/Φ⁻¹(3/4)).
    """
    deviation = np.median(np.abs(found - np.median(found, axis=0)), axis=0)
    variance: Array = (deviation / ndtri(0.75)) ** 2
    return variance


def _measure(model: Model, name: str, points: int, seeds: int) -> Found:
    made, seconds = [], []
    model.shots = 0
    for seed in range(1, seeds + 1):
        begun = time.process_time()
        made.append(METHODS[name](model, points, seed))
        seconds.append(time.process_time() - begun)
    first, total = (np.stack(each) for each in zip(*made, strict=True))
    return Found(first, total, model.shots / seeds, min(seconds))


def table(effort: Effort) -> Table:
    """Return the comparison for the default study."""
    model = Model(without_mishaps(study_of()))
    points, seeds = effort.shots // 64, SEEDS * effort.seeds
    found = {name: _measure(model, name, points, seeds) for name in METHODS}
    single = np.array([len(model.columns(one)) == 1 for one in model.inputs])
    ours, *_ = found.values()
    rows: list[list[Cell]] = []
    for name, one in found.items():
        need = max(
            (ours.error(which, single) / one.error(which, single)) ** 2
            for which in ("first", "total")
        )
        rows.append(
            [
                name,
                float(points),
                one.seconds,
                one.error("first", single),
                one.error("total", single),
                ours.seconds * need,
                one.seconds / (ours.seconds * need),
                *(_apart(one, ours, which, single) for which in ("first", "total")),
            ]
        )
    return Table(
        title="First-order and total Sobol' indices of the age, against libraries",
        note=(
            "The default study as set by ruler, without its mishaps, which leave frames without an"
            f" age; {len(model.names)} columns in {len(model.inputs)} inputs, of which the"
            f" {int(single.sum())} with one column are compared. The libraries drive the same"
            f" vectorised model. Errors over {seeds} seeds by the median deviation, which an odd"
            " seed does not move, root mean square over inputs; CPU of one seed, the best. Then"
            " what jitter's estimator takes to err by no more in either index, and how far both lie"
            " apart in standard errors, root mean square over inputs: about 1 where they agree."
        ),
        columns=(
            "method",
            "points",
            "CPU [s]",
            "error, first",
            "error, total",
            "jitter for the same [s]",
            "times jitter's CPU",
            "apart, first",
            "apart, total",
        ),
        rows=rows,
        headlines=[
            (
                f"indices of the age at the same error: {row[0]}",
                f"{figure(float(row[6]))} times jitter's CPU",
            )
            for row in rows[2:]
        ],
    )


def _apart(one: Found, other: Found, which: str, single: Array) -> float:
    if one is other:
        return 0.0
    both = [getattr(each, which)[:, single] for each in (one, other)]
    # Of a median, whose variance is π/2 times that of a mean.
    variance = sum(0.5 * np.pi * _variance(each) / len(each) for each in both)
    gap = np.abs(np.median(both[0], axis=0) - np.median(both[1], axis=0))
    # What has no part has an index of 0 without an error.
    return float(np.sqrt(np.mean(gap**2 / np.maximum(variance, 1e-20))))
