"""What one standard uncertainty of an error does to the events of the shot in which nothing strays.

Slopes are central differences over one standard uncertainty both ways.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from scipy.special import ndtr

from jitter.answers.ranking import Source
from jitter.arrays import Array
from jitter.quantities import Level, Quantity, Shape, Spread, argument
from jitter.stage import Events, Stage, walk
from jitter.study.study import Study
from jitter.trial import single

VARIANCE = {
    Shape.NORMAL: 1.0,
    Shape.RECTANGULAR: 1.0 / 3.0,
    Shape.TRIANGULAR: 1.0 / 6.0,
    Shape.ARCSINE: 1.0 / 2.0,
    Shape.TICK: 1.0 / 12.0,
}
"""Of each shape, in squares of its size; JCGM 101:2008, 6.4.2 to 6.4.7."""


def standard_uncertainty(spread: Spread, *, nominal: float, lower: float) -> float:
    """Return the standard deviation of a spread, in the quantity's unit.

    Parameters
    ----------
    spread
        Shape and size; a mishap strays by nothing.
    nominal
        The quantity's nominal value.
    lower
        Its lower limit, where a truncated normal is cut.

    References
    ----------
    JCGM 101:2008, 6.4. Closed forms: the lognormal's is nominal √(e^{s²} (e^{s²} - 1)), that of a
    normal cut at k of its standard deviations √(1 + k λ - λ²) of them, λ = φ(k)/(1 - Φ(k)).
    """
    size = spread.size * (abs(nominal) if spread.relative else 1.0)
    if spread.shape is Shape.LOGNORMAL:
        growth = math.expm1(size * size)
        return abs(nominal) * math.sqrt(growth * (growth + 1.0))
    if spread.shape is Shape.TRUNCATED and size > 0.0:
        cut = (lower - nominal) / size
        rise = math.exp(-0.5 * cut * cut) / math.sqrt(2.0 * math.pi) / float(ndtr(-cut))
        return size * math.sqrt(max(1.0 + cut * rise - rise * rise, 0.0))
    return size * math.sqrt(VARIANCE.get(spread.shape, 0.0))


class Place(NamedTuple):
    """Which of a quantity's numbers: the drop and the direction, -1 where that is not told apart.

    Attributes
    ----------
    drop, axis
        0 or 1 where the error is that drop's own, or is one in that direction.
    """

    drop: int
    axis: int


def places(study: Study, source: Source) -> tuple[Place, ...]:
    """Return the numbers of which a source draws an error each.

    Parameters
    ----------
    study
        The rig.
    source
        One of its spreads; a set-up error is the same for both drops.
    """
    declared = study.entries[source.keys[0]].declaration
    apart = isinstance(declared, Quantity) and declared.per_drop and source.level is Level.SHOT
    sideways = isinstance(declared, Quantity) and declared.per_axis
    return tuple(
        Place(drop, axis)
        for drop in ((0, 1) if apart else (-1,))
        for axis in ((0, 1) if sideways else (-1,))
    )


class Moved(NamedTuple):
    """A shot in which a source strays by one standard uncertainty either way, and nothing else.

    Attributes
    ----------
    up, down
        Events.
    uncertainty
        Standard uncertainty, of the first key where several share a draw, in its unit.
    held
        Share of the way that the quantity's limits left open, 1 where both ends are free.
    """

    up: Events
    down: Events
    uncertainty: float
    held: float

    def effect(self, event: str) -> float:
        """Return the change of an event by one standard uncertainty, by a central difference."""
        if self.held == 0.0:
            return 0.0
        return 0.5 * (single(self.up, event) - single(self.down, event)) / self.held


def move(
    study: Study, stages: tuple[Stage, ...], nominal: Events, source: Source, place: Place
) -> Moved:
    """Let one source stray by one standard uncertainty both ways.

    Parameters
    ----------
    study
        The rig.
    stages
        Stages towards the events asked for.
    nominal
        Events of the shot in which nothing strays.
    source
        What strays; keys that share a draw stray together.
    place
        Which of its numbers.
    """
    changes: tuple[Events, Events] = ({}, {})
    uncertainties, ways = [], []
    for key, declared, spread in _spreads(study, source):
        number = study.number(key)
        step = standard_uncertainty(spread, nominal=number, lower=declared.lower)
        name, at = argument(key), _index(declared, place)
        for changed, by in zip(changes, (step, -step), strict=True):
            values = np.array(nominal[name], dtype=np.float64)
            values[at] += by
            changed[name] = np.clip(values, declared.lower, declared.upper)
        uncertainties.append(step)
        way: Array = changes[0][name][at] - changes[1][name][at]
        ways.append(float(way.flat[0]) / (2.0 * step) if step > 0.0 else 0.0)
    up, down = (walk(stages, nominal | changed, set(changed)) for changed in changes)
    return Moved(up, down, uncertainties[0], ways[0])


def _spreads(study: Study, source: Source) -> Iterator[tuple[str, Quantity, Spread]]:
    for key in source.keys:
        entry = study.entries[key]
        if isinstance(entry.declaration, Quantity):
            spread = entry.setup if source.level is Level.SETUP else entry.each_shot
            yield key, entry.declaration, spread


def _index(declared: Quantity, place: Place) -> tuple[int | slice, ...]:
    """Return where in a value's leading axes the numbers stand that move."""
    both = slice(None)
    drop = (place.drop if place.drop >= 0 else both,) if declared.per_drop else ()
    axis = (place.axis if place.axis >= 0 else both,) if declared.per_axis else ()
    return (*drop, *axis)
