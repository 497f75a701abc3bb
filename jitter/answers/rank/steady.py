"""What a small steady error of each value does to the hit rate: its derivative."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from jitter.answers.effort import Effort, Rated, rates_of
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.rank.slopes import standard_uncertainty
from jitter.answers.ranking import Source
from jitter.answers.variants import shifted
from jitter.answers.what_ifs import open_wide, widest
from jitter.answers.workers import Progress, silent
from jitter.errors import MistakeError
from jitter.quantities import Kind, Quantity
from jitter.study.study import Study
from jitter.trial import Road

SETTINGS = {"timer.delay": 1e-3, "valve.interval": 1e-3}
"""What is set on the timer need not stray, and still may be off: told for a millisecond [s]."""
PART = 0.25
"""Of a value's own standard uncertainty: so far off it is to either side, for the derivative."""


@dataclass(frozen=True)
class Steady:
    """What a steady error of a value does.

    Attributes
    ----------
    key
        The quantity.
    size
        Its standard uncertainty, set-up and shot errors together; of a setting, from `SETTINGS`
        [SI].
    slopes
        By way: derivative of the hit rate with the value, times that size.
    """

    key: str
    size: float
    slopes: dict[str, Estimate]


def answer_steady(
    road: Road,
    found: Sequence[Source],
    effort: Effort,
    *,
    workers: int | None = None,
    progress: Progress = silent,
) -> tuple[Steady, ...]:
    """Return what a steady error of each value that strays, or is set, does to the hit rate.

    Errors that lie in a plane have no side, and mishaps no value: they are left out, and so is a
    value so near a limit of the model that it can be off to one side only.

    Parameters
    ----------
    road
        A study, ready to fire.
    found
        Its spreads.
    effort
        Points or draws.
    workers
        Threads; changes no digit.
    progress
        Told of progress.
    """
    study = road.study
    sizes = {
        key: size
        for key in dict.fromkeys((*(key for source in found for key in source.keys), *SETTINGS))
        if key in study.entries and (size := _size(study, key)) > 0.0
    }
    pairs = {key: _pair(study, key, PART * size) for key, size in sizes.items()}
    try:
        reach = widest(study, pairs, [one for pair in pairs.values() for one in pair])
        wide = open_wide(study, road.chain, widest=reach)
    except MistakeError:
        return ()
    what_ifs = [one for pair in pairs.values() for one in pair]
    rated = rates_of(wide, what_ifs, effort, workers=workers, progress=progress)
    return tuple(
        Steady(key, sizes[key], {way: _slope(up, down, way) for way in WAYS})
        for key, up, down in zip(pairs, rated[::2], rated[1::2], strict=True)
    )


def _size(study: Study, key: str) -> float:
    """Return the standard uncertainty of a value, 0 where it has none or no two sides."""
    entry = study.entries[key]
    declared = entry.declaration
    if not isinstance(declared, Quantity) or declared.per_axis:
        return 0.0
    if declared.kind not in (Kind.MEASURE, Kind.ERROR) or entry.nominal is None:
        return 0.0
    size = math.hypot(
        *(
            standard_uncertainty(spread, nominal=entry.number, lower=declared.lower)
            for spread in (entry.setup, entry.shot)
        )
    )
    size = size or SETTINGS.get(key, 0.0)
    free = min(declared.upper - entry.number, entry.number - declared.lower)
    return size if free > PART * size else 0.0


def _pair(study: Study, key: str, size: float) -> tuple[Study, Study]:
    return shifted(study, [key], size), shifted(study, [key], -size)


def _slope(up: Rated, down: Rated, way: str) -> Estimate:
    change = up.above(down, way)
    factor = 0.5 / PART
    return Estimate(factor * change.value, factor * change.low, factor * change.high, change.level)
