"""What-ifs of a study that an answer needs together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.ranking import sources
from jitter.answers.variants import scaled, with_values
from jitter.answers.what_ifs import open_wide, widest
from jitter.quantities import Level, Shape
from jitter.stages import CHAIN
from jitter.study.study import Study
from jitter.trial import Road
from tests.benchmark.effort import Effort

SIZES = 12
"""Of the spread in a curve."""
REACH = 0.006
"""The map goes so far either way [s]."""


@dataclass(frozen=True)
class Batch:
    """What-ifs of a study that an answer needs together.

    Attributes
    ----------
    name
        The answer.
    road
        Of the study, reaching as far as its what-ifs.
    what_ifs
        The variants.
    error
        Standard error that is asked for, root mean square over the what-ifs.
    gains
        Whether of the change against the study, the first of them, or of the hit rate itself.
    """

    name: str
    road: Road
    what_ifs: Sequence[Study]
    error: float
    gains: bool


def batches(study: Study, effort: Effort) -> Iterator[Batch]:
    """Yield the ranking, a requirement curve and a map."""
    found = sources(study)
    sized = [one for one in found if one.spread.shape not in (Shape.CHANCE, Shape.TICK)]
    doubled = scaled(study, [(key, one.level) for one in sized for key in one.keys], 2.0)
    ranking = [study] + [
        scaled(study, [(key, one.level) for key in one.keys], factor)
        for one in found
        for factor in (0.0, 0.5, 2.0)
    ]
    road = open_wide(study, CHAIN, widest=doubled)
    yield Batch("every spread removed, halved, doubled", road, ranking, effort.error, gains=True)
    latency = ("valve.latency", Level.SETUP)
    curve = [scaled(study, [latency], factor) for factor in np.linspace(0.0, 2.0, SIZES)]
    name = f"a requirement curve of {SIZES} sizes of a spread"
    yield Batch(name, road, curve, effort.error, gains=False)
    keys = ("timer.delay", "valve.interval")
    middles = [study.number(key) for key in keys]
    moves = np.linspace(-REACH, REACH, effort.side)
    spots = [
        with_values(study, {keys[0]: middles[0] + delay, keys[1]: middles[1] + interval})
        for delay in moves
        for interval in moves
    ]
    road = open_wide(study, CHAIN, widest=widest(study, keys, [spots[0], spots[-1]]))
    name = f"a map of {effort.side} × {effort.side} delays and intervals"
    yield Batch(name, road, spots, 10.0 * effort.error, gains=False)
