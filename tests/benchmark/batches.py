"""Many what-ifs of the default study at once: the smooth road beside plain simulation."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from jitter.answers.hits import WAYS
from jitter.answers.run import SHOTS
from jitter.answers.smooth_hits import REPLICATES, smooth_what_ifs
from jitter.answers.what_ifs import count_what_ifs
from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.study.study import Study
from tests.benchmark.clock import cpu
from tests.benchmark.effort import Effort, study_of
from tests.benchmark.table import Cell, Table, figure
from tests.benchmark.what_ifs import Batch, batches

SAMPLE = 24
"""So many what-ifs are fired plainly; the time of all is reckoned from theirs."""
FEW = 200
"""Of fewer, the error by points is that of all; of more, that of the sample."""
FEWEST, MOST = 2, 1 << 12
"""Points of a replicate."""


def errors(batch: Batch, shares: Iterable[dict[str, Array]]) -> Array:
    """Return the standard error of every what-if both ways, (k, 2), from independent shares."""
    found = np.array([[one[way] for way in WAYS] for one in shares])
    compared = found[1:] - found[0] if batch.gains else found
    error: Array = np.std(compared, axis=2, ddof=1) / np.sqrt(found.shape[2])
    return error


def _smooth(batch: Batch, points: int, what_ifs: Sequence[Study]) -> list[dict[str, Array]]:
    hits = smooth_what_ifs(batch.road, what_ifs, points=points, workers=1)
    return [{way: one.shares(way) for way in WAYS} for one in hits]


def _plain(batch: Batch, layout: Layout, what_ifs: Sequence[Study]) -> list[dict[str, Array]]:
    hits = count_what_ifs(batch.road, what_ifs, layout, workers=1)
    return [{way: one.shares(way) for way in WAYS} for one in hits]


def _row(batch: Batch, effort: Effort) -> list[Cell]:
    every = len(batch.what_ifs)
    chosen = np.unique(np.linspace(0, every - 1, min(SAMPLE, every)).astype(int))
    some = [batch.what_ifs[place] for place in chosen]
    few = every < FEW
    points = FEWEST
    while True:
        quick = _smooth(batch, points, batch.what_ifs if few else some)
        error = _mean_square(errors(batch, quick))
        if error <= batch.error or points == MOST:
            break
        points *= 2
    works = {"": lambda: _smooth(batch, points, batch.what_ifs)}
    seconds = cpu(works, rounds=effort.rounds if few else 1)[""]
    if few:
        quick = [quick[place] for place in chosen]
    cells: list[Cell] = [
        batch.name,
        float(every),
        batch.error,
        float(points * REPLICATES),
        error,
        seconds,
    ]
    least = np.inf
    for shots in (SHOTS, 1):
        layout = Layout(batch.road.study.seed, effort.shots // 8 // shots, shots)
        slow = _plain(batch, layout, some)
        more = (_mean_square(errors(batch, slow)) / max(batch.error, error)) ** 2
        works = {"": lambda layout=layout: _plain(batch, layout, some)}  # type: ignore[misc]
        taken = cpu(works, rounds=1)[""]
        needed = taken * more * every / len(some)
        least = min(least, needed)
        cells += [more * layout.setups * shots, needed]
    apart = np.abs(_means(quick) - _means(slow)) / np.hypot(_errors(quick), _errors(slow))
    return [*cells, least / seconds, float(np.nanmax(apart))]


def _mean_square(error: Array) -> float:
    return float(np.sqrt(np.mean(error**2)))


def _means(shares: list[dict[str, Array]]) -> Array:
    return np.array([[np.mean(one[way]) for way in WAYS] for one in shares])


def _errors(shares: list[dict[str, Array]]) -> Array:
    found = np.array([[one[way] for way in WAYS] for one in shares])
    error: Array = np.std(found, axis=2, ddof=1) / np.sqrt(found.shape[2])
    return np.where(error > 0.0, error, np.nan)


def table(effort: Effort) -> Table:
    """Return the comparison for three answers."""
    rows = [_row(batch, effort) for batch in batches(study_of(), effort)]
    return Table(
        title="Many hit rates at once, smooth against plain",
        note=(
            "The default study, both ways; the standard error is the root mean square over the"
            " what-ifs (of their gains, in the first row). CPU with one thread; that of plain"
            f" simulation is reckoned from {SAMPLE} of the what-ifs and their measured"
            f" variance, on shared draws, with {SHOTS} shots of each set-up or one. Apart: the"
            " largest difference of both roads, in standard errors."
        ),
        columns=(
            "answer",
            "what-ifs",
            "error asked",
            "points",
            "error",
            "CPU [s]",
            f"plain shots, {SHOTS} each",
            "CPU [s]",
            "plain shots, one each",
            "CPU [s]",
            "times less CPU",
            "apart",
        ),
        rows=rows,
        headlines=[
            (
                f"{row[0]}, to ±{row[2]}, smooth against plain",
                f"{figure(float(row[-2]))} times less CPU ({figure(float(row[5]))} s)",
            )
            for row in rows
        ],
    )
