"""The whole shot against the law of propagation of uncertainty, and what likeness does to it."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.draws.values import shot_spread
from jitter.quantities import Quantity, Shape, Spread, argument
from jitter.stage import Events, walk
from jitter.stages import CHAIN
from jitter.study.study import Study
from jitter.validation.rig import rig, shot

VARIANCE = {Shape.NORMAL: 1.0, Shape.RECTANGULAR: 1.0 / 3.0, Shape.TICK: 1.0 / 12.0}
"""Of each shape, in squares of its size."""


class Term(NamedTuple):
    """A drop's or a shot's own error of one quantity, and what it does to the age.

    Attributes
    ----------
    key
        The quantity; of a pair that belongs together the first.
    drop
        0 or 1 where the error is a drop's own, otherwise -1.
    size
        Standard deviation of the age by it alone, with its sign [s].
    """

    key: str
    drop: int
    size: float


def _deviation(spread: Spread, nominal: float) -> float:
    """Return the standard deviation of a spread, in the quantity's unit."""
    size = spread.size * (abs(nominal) if spread.relative else 1.0)
    return float(np.sqrt(VARIANCE[spread.shape])) * size


def _age(events: Events, **changes: Array) -> float:
    changed = walk(CHAIN.stages, events | changes, set(changes))
    return float(np.asarray(changed["age"]).item())


def _slope(events: Events, name: str, place: tuple[int, ...], step: float) -> float:
    """Return the change of the age by a step of one number, by a central difference [s]."""

    def moved(by: float) -> Array:
        values = np.array(events[name], dtype=np.float64)
        values[(*place, 0, 0)] += by
        return values

    upper, lower = (_age(events, **{name: moved(by)}) for by in (step, -step))
    return 0.5 * (upper - lower)


@cache
def terms(start: str) -> tuple[Term, ...]:
    """Return every shot error of the default rig with what it does to the age.

    Parameters
    ----------
    start
        The start signal.
    """
    setting = f"timer.start={start}"
    study, events = rig(setting, setup_errors=False), dict(shot(setting))
    found = []
    for key, entry in study.entries.items():
        declared, spread = entry.declaration, shot_spread(entry)
        if not isinstance(declared, Quantity) or spread.shape not in VARIANCE:
            continue
        if key.startswith("trim."):
            continue
        size = _deviation(spread, entry.number)
        named, partners = key, _partners(study, declared.together)
        for place in np.ndindex(*(2,) * (declared.per_drop + declared.per_axis)):
            drop = place[0] if declared.per_drop else -1
            if partners:
                named, drop = partners[0], partners.index(key)
            found.append(Term(named, drop, _slope(events, argument(key), place, size)))
    return tuple(found)


def _partners(study: Study, together: str) -> list[str]:
    """Return the quantities in use that belong together, in order; none where nothing does."""
    return [
        key
        for key, entry in study.entries.items()
        if isinstance(entry.declaration, Quantity)
        and together
        and entry.declaration.together == together
        and entry.nominal is not None
    ]


def paired(start: str) -> dict[str, tuple[float, float]]:
    """Return, for each quantity of which the drops have errors of their own, both effects [s].

    Parameters
    ----------
    start
        The start signal.
    """
    pairs: dict[str, list[float]] = {}
    for term in terms(start):
        if term.drop >= 0:
            pairs.setdefault(term.key, [0.0, 0.0])[term.drop] += term.size
    return {key: (first, second) for key, (first, second) in pairs.items()}


def propagated(start: str, alike: float, *, only: str = "") -> float:
    """Return the standard deviation of the age from shot to shot, to first order [s].

    u² = Σ uᵢ² + 2 Σ r u₁ u₂ over the two drops' errors, r being how alike they are.

    Parameters
    ----------
    start
        The start signal.
    alike
        Of every quantity of which the drops have errors of their own.
    only
        Let only this quantity be alike.

    References
    ----------
    JCGM 100:2008, equations 13 and 16.
    """
    variance = sum(term.size**2 for term in terms(start))
    for key, (first, second) in paired(start).items():
        if only in ("", key):
            variance += 2.0 * alike * first * second
    return float(np.sqrt(variance))
