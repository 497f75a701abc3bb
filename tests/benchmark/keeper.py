"""The hit rate beside reference libraries that drive the same model."""

from __future__ import annotations

import time

import numpy as np

from tests.benchmark.effort import Effort, study_of
from tests.benchmark.model import Model
from tests.benchmark.rates import METHODS, Method
from tests.benchmark.table import Cell, Table, figure


def _row(model: Model, method: Method, effort: Effort) -> list[Cell]:
    points = min(method.fewest, effort.shots)
    most = min(method.most, 2 * effort.shots)
    while True:
        rates, seconds = [], []
        for seed in range(1, 2 * effort.seeds + 1):
            begun = time.process_time()
            rates.append(method.rate(model, points, seed))
            seconds.append(time.process_time() - begun)
        error = float(np.std(rates, ddof=1))
        if method.random:
            share = float(np.mean(rates))
            error = float(np.sqrt(share * (1.0 - share) / points))
        if error <= effort.error or points >= most:
            break
        points *= 2
    more = max((error / effort.error) ** 2, 1.0)
    doubt = error / np.sqrt(len(rates))
    return [
        method.name,
        float(np.mean(rates)),
        float(doubt),
        float(points),
        error,
        min(seconds),
        min(seconds) * more,
    ]


def table(effort: Effort) -> Table:
    """Return the comparison for the default study."""
    model = Model(study_of())
    rows = [_row(model, method, effort) for method in METHODS]
    ours = float(rows[0][-1])
    whole: list[list[Cell]] = [[*row, float(row[-1]) / ours] for row in rows]
    return Table(
        title=f"The hit rate to a standard error of {effort.error}, against libraries",
        note=(
            "The default study as set by ruler; the libraries drive the same vectorised model of"
            f" {len(model.names)} columns. Errors over {2 * effort.seeds} seeds, of random points"
            " that of a share; CPU of one seed, the best, and what it would be at the standard"
            " error, which falls as 1/√points beyond the points tried. A point of line sampling is"
            " a line."
        ),
        columns=(
            "method",
            "hit rate",
            "its error",
            "points tried",
            "error of one seed",
            "CPU [s]",
            f"CPU to {effort.error} [s]",
            "times jitter, smooth",
        ),
        rows=whole,
        headlines=[
            (
                f"hit rate to ±{effort.error}: {row[0]}",
                f"{figure(float(row[-1]))} times smooth jitter's CPU",
            )
            for row in whole[2:]
        ],
    )
