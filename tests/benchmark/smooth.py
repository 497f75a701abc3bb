"""The smooth road beside plain simulation at the same standard error of the hit rate."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from jitter.answers.hits import WAYS
from jitter.answers.run import SHOTS
from jitter.answers.smooth_hits import REPLICATES, smooth_what_ifs
from jitter.arrays import Array
from jitter.smooth.points import _sobol as nets
from jitter.stages import CHAIN
from jitter.study.study import Study
from jitter.trial import open_road
from tests.benchmark.clock import cpu
from tests.benchmark.effort import Effort, shipped
from tests.benchmark.plain import Counted, Plain, plain
from tests.benchmark.table import Cell, Table, figure

FEWEST, MOST = 4, 1 << 14
"""Points of a replicate."""


def _shares(study: Study, way: str, points: int) -> Array:
    road = open_road(study, CHAIN, wanted=("reason",))
    (hits,) = smooth_what_ifs(road, [study], ways=(way,), points=points, workers=1)
    return hits.shares(way)


@dataclass(frozen=True)
class Smooth:
    """What the smooth road costs.

    Attributes
    ----------
    rate, error
        Hit rate over all seeds, with standard error.
    points
        In all replicates together, of one seed.
    one
        Standard error with one seed.
    evaluated
        Shots worked, a part of the stages or all.
    seconds
        Processor time, from the study on.
    """

    rate: float
    error: float
    points: int
    one: float
    evaluated: int
    seconds: float


def smooth(study: Study, way: str, effort: Effort) -> Smooth:
    """Return what the smooth road costs with as few points as give the standard error."""
    seeds = [replace(study, seed=study.seed + more) for more in range(effort.seeds)]
    points = FEWEST
    while True:
        found = np.stack([_shares(one, way, points) for one in seeds])
        error = float(np.sqrt(np.var(found, axis=1, ddof=1).mean() / REPLICATES))
        if error <= effort.error or points == MOST:
            break
        points *= 2
    counted = Counted()
    road = open_road(study, counted.chain, wanted=("reason",))
    smooth_what_ifs(road, [study], ways=(way,), points=points, workers=1)

    def afresh() -> None:
        # The points are kept for other questions about a study; the first one has to make them.
        nets.cache_clear()
        _shares(study, way, points)

    taken = cpu({"": afresh}, rounds=effort.rounds)[""]
    return Smooth(
        rate=float(found.mean()),
        error=error / np.sqrt(len(seeds)),
        points=points * REPLICATES,
        one=error,
        evaluated=counted.taken(),
        seconds=taken,
    )


def table(effort: Effort) -> Table:
    """Return the comparison for every study, both ways."""
    rows: list[list[Cell]] = []
    headlines: list[tuple[str, str]] = []
    for name, study in shipped(effort).items():
        for way in WAYS:
            quick = smooth(study, way, effort)
            slow = [plain(study, way, effort, shots=shots) for shots in (SHOTS, 1)]
            rows.append(_row(f"{name}, {way.replace('_', ' ')}", quick, slow, effort.error))
            if len(headlines) < len(WAYS):
                *_, points, shots, less = rows[-1]
                layout = slow[0].shots(max(effort.error, quick.one)) / quick.points
                headlines.append(
                    (
                        f"hit rate of `{name}` {way.replace('_', ' ')} to ±{effort.error},"
                        " smooth against plain",
                        f"{figure(float(points))} times fewer points"
                        f" ({figure(layout)} than with {SHOTS} shots to a set-up),"
                        f" {figure(float(shots))} times fewer shots worked,"
                        f" {figure(float(less))} times less CPU ({figure(1e3 * quick.seconds)} ms)",
                    )
                )
    return Table(
        title=f"Smooth against plain, to a standard error of {effort.error}",
        note=(
            "Rates with their standard errors, and how many of these they lie apart. Points of all"
            f" {REPLICATES} replicates; shots worked, with those to trim, at the stage worked most"
            " often; CPU from the read study on, the points made anew, but for the fall's table,"
            f" which both roads need; best of {effort.rounds}. What plain needs by its"
            f" measured variance, with {SHOTS} shots of each set-up, as `run` fires them, and with"
            " one. The ratios are to the better of both."
        ),
        columns=(
            "study",
            "smooth",
            "plain",
            "apart",
            "points",
            "error",
            "shots",
            "CPU [ms]",
            f"plain shots, {SHOTS} each",
            "CPU [s]",
            "plain shots, one each",
            "CPU [s]",
            "times fewer points",
            "times fewer shots",
            "times less CPU",
        ),
        rows=rows,
        headlines=headlines,
    )


def _row(name: str, quick: Smooth, slow: list[Plain], wanted: float) -> list[Cell]:
    sharp = min(slow, key=lambda one: one.error)
    error = max(wanted, quick.one)
    shots = [one.shots(error) * one.evaluated for one in slow]
    seconds = [one.shots(error) * one.seconds for one in slow]
    return [
        name,
        f"{quick.rate:.5f} ± {quick.error:.5f}",
        f"{sharp.rate:.4f} ± {sharp.error:.4f}",
        (quick.rate - sharp.rate) / float(np.hypot(quick.error, sharp.error)),
        float(quick.points),
        quick.one,
        float(quick.evaluated),
        1e3 * quick.seconds,
        *(cell for pair in zip(shots, seconds, strict=True) for cell in pair),
        min(one.shots(error) for one in slow) / quick.points,
        min(shots) / quick.evaluated,
        min(seconds) / quick.seconds,
    ]
