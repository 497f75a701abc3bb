"""Keepers gained or lost if a spread is removed, halved or doubled, and the slopes in between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jitter.answers.effort import Effort, Rated, rates_of, settle
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import HALVED, REMOVED, Source
from jitter.answers.variants import scaled
from jitter.answers.what_ifs import open_wide
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.errors import MistakeError
from jitter.quantities import Shape
from jitter.study.study import Study
from jitter.trial import Road

TENTH, DOUBLED = 1.1, 2.0
FACTORS = (REMOVED, HALVED, 1.0 / TENTH, TENTH, DOUBLED)
"""On each spread by itself; what lies about 1 tells the slope."""


@dataclass(frozen=True)
class Effect:
    """Change of the hit rate if a spread is scaled, one way of setting the delay.

    Attributes
    ----------
    removed, halved
        Mostly gains.
    tenth
        By a tenth more of the spread: the slope where it is, mostly a loss.
    doubled
        Mostly a loss. Both are None where spreads so wide lead out of the model's reach.
    """

    removed: Estimate
    halved: Estimate
    tenth: Estimate | None
    doubled: Estimate | None


@dataclass(frozen=True)
class Effects:
    """What scaling each spread does to the hit rate.

    Attributes
    ----------
    effort
        Points or draws behind it.
    rates
        Hit rate as it is, both ways.
    by_way
        By way, an effect for each spread.
    """

    effort: Effort
    rates: dict[str, Estimate]
    by_way: dict[str, tuple[Effect, ...]]


def answer_effects(
    road: Road,
    found: Sequence[Source],
    layout: Layout,
    *,
    drawn: bool = False,
    workers: int | None = None,
    progress: Progress = silent,
) -> Effects:
    """Return what each of a study's spreads does to its hit rate, at the same points or draws.

    Parameters
    ----------
    road
        A study, ready to fire.
    found
        Its spreads.
    layout
        Of random draws, if it comes to that.
    drawn
        Whether random draws are asked for.
    workers
        Threads; changes no digit.
    progress
        Told of progress.
    """
    road, most = _widened(road, found)
    factors = [factor for factor in FACTORS if factor <= most]
    study = road.study
    what_ifs = [_scaled(study, source, factor) for source in found for factor in factors]
    effort: Effort = layout if drawn else settle(road, layout, workers=workers)
    base, *rated = rates_of(road, [study, *what_ifs], effort, workers=workers, progress=progress)
    parts = [rated[place : place + len(factors)] for place in range(0, len(rated), len(factors))]
    return Effects(
        effort=effort,
        rates=base.rates,
        by_way={way: tuple(_effect(base, part, way) for part in parts) for way in WAYS},
    )


def _scaled(study: Study, source: Source, factor: float) -> Study:
    return scaled(study, [(key, source.level) for key in source.keys], factor)


def _effect(base: Rated, part: Sequence[Rated], way: str) -> Effect:
    """Return the effect of a spread from its hit rates at growing factors."""
    removed, halved, less, *wider = part
    return Effect(
        removed=removed.above(base, way),
        halved=halved.above(base, way),
        tenth=_half(wider[0].above(less, way)) if wider else None,
        doubled=wider[1].above(base, way) if wider[1:] else None,
    )


def _half(change: Estimate) -> Estimate:
    """Return the change by a tenth, of that from a tenth less to a tenth more."""
    return Estimate(0.5 * change.value, 0.5 * change.low, 0.5 * change.high, change.level)


def _widened(road: Road, found: Sequence[Source]) -> tuple[Road, float]:
    """Return the road with tables for wider spreads, and the largest factor that they serve."""
    straying = (source for source in found if source.spread.shape not in (Shape.CHANCE, Shape.TICK))
    keys = [(key, source.level) for source in straying for key in source.keys]
    for factor in (DOUBLED, TENTH):
        try:
            return open_wide(
                road.study, road.chain, widest=scaled(road.study, keys, factor)
            ), factor
        except MistakeError:
            continue
    return open_wide(road.study, road.chain, widest=road.study), 1.0
