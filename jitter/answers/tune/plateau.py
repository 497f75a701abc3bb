"""The plateau: which settings are as good as the best, its middle, and how far each may go."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jitter.answers.intervals import Estimate, paired_mean
from jitter.answers.tune.delays import DelayCurve
from jitter.arrays import Array

SLIGHT = 0.01
"""One frame in a hundred: settings that lose less than this to the best are on the plateau."""
DOUBLINGS, HALVINGS = 12, 5


def losses(shares: Array) -> list[Estimate]:
    """Return what each row costs against the best of them, on the same draws.

    Parameters
    ----------
    shares : array (k, s)
        Share of keepers of each set-up, a row for each setting.
    """
    best = shares[int(np.argmax(shares.mean(axis=1)))]
    return [paired_mean(best - row) for row in shares]


def slight(loss: Estimate) -> bool:
    """Return whether a loss is under a frame in a hundred, or not clear."""
    return _excess(loss) <= 0.0


def _excess(loss: Estimate) -> float:
    """Return by how much a loss is more than slight."""
    return loss.value - max(SLIGHT, loss.value - loss.low)


def choose(values: Sequence[float], shares: Array, *, own: float | None, step: float) -> float:
    """Return the user's own setting where it is on the plateau, else the plateau's middle.

    The plateau is the stretch about the best setting on which the loss is slight. Its middle is
    chosen, not the best itself: among settings nearly alike the best is so by luck of the draws,
    and the middle is furthest from where it goes wrong.

    Parameters
    ----------
    values
        Settings tried, rising.
    shares : array (k, s)
        Share of keepers of each set-up, a row for each setting.
    own
        The user's setting; None where it is not to be kept.
    step
        To which the middle is rounded, where that leaves it on the plateau.
    """
    lost = losses(shares)
    if any(value == own and slight(loss) for value, loss in zip(values, lost, strict=True)):
        return float(own or 0.0)
    best = int(np.argmax(shares.mean(axis=1)))
    excess = [_excess(loss) for loss in lost]
    low = _border(values[best::-1], excess[best::-1])
    high = _border(values[best:], excess[best:])
    rounded = rounded_to(0.5 * (low + high), step)
    return rounded if low <= rounded <= high else 0.5 * (low + high)


def _border(values: Sequence[float], excess: Sequence[float]) -> float:
    """Return where the loss, going away from the best, is no longer slight."""
    for place in range(1, len(values)):
        if excess[place] > 0.0:
            share = excess[place - 1] / (excess[place - 1] - excess[place])
            return values[place - 1] + share * (values[place] - values[place - 1])
    return values[-1]


def rounded_to(value: float, step: float) -> float:
    """Return the nearest multiple of a step, as people would write it."""
    return float(f"{round(value / step) * step:.12g}")


@dataclass(frozen=True)
class End:
    """How far a setting may go one way.

    Attributes
    ----------
    value
        Where the loss reaches `SLIGHT`, or the limit up to which it does not.
    open
        Whether it does not.
    """

    value: float
    open: bool


@dataclass(frozen=True)
class Slack:
    """Between which ends a setting costs less than `SLIGHT`, all others as they are.

    Attributes
    ----------
    low, high
        The ends.
    """

    low: End
    high: End


def find_end(loss: Callable[[float], float], *, centre: float, step: float, limit: float) -> End:
    """Return how far a setting may go towards a limit.

    Parameters
    ----------
    loss
        Share of keepers lost at a setting.
    centre
        Where it is 0.
    step
        Length of the first stride; the end is told to less than a tenth of the way to it.
    limit
        As far as the setting can go.
    """
    direction = 1.0 if limit >= centre else -1.0
    inner, inner_loss, stride = centre, 0.0, step
    for _ in range(DOUBLINGS):
        outer = centre + direction * min(stride, abs(limit - centre))
        outer_loss = loss(outer)
        if outer_loss > SLIGHT:
            break
        if outer == limit:
            return End(limit, open=True)
        inner, inner_loss, stride = outer, outer_loss, 2.0 * stride
    else:
        return End(inner, open=True)
    for _ in range(HALVINGS):
        # Halving until the loss is nearly straight in between.
        middle = 0.5 * (inner + outer)
        there = loss(middle)
        if there > SLIGHT:
            outer, outer_loss = middle, there
        else:
            inner, inner_loss = middle, there
        if abs(outer - inner) <= 0.25 * step:
            break
    share = (SLIGHT - inner_loss) / (outer_loss - inner_loss)
    return End(inner + share * (outer - inner), open=False)


@dataclass(frozen=True)
class PlateauMap:
    """Keepers over delay and interval, the other settings as recommended.

    Attributes
    ----------
    intervals : array (i,) [s]
    delays : array (i, d) [s]
        Of each interval, since the best delay may go with it.
    as_set : array (i, d)
        Hit rate as set by ruler.
    as_trimmed : array (i,)
        Hit rate after trimming, from the middle one of the delays.
    loss : array (i, d)
        What is lost as set by ruler against the recommended settings.
    excess : array (i, d)
        By how much that is more than slight; on the plateau it is not above 0.
    """

    intervals: Array
    delays: Array
    as_set: Array
    as_trimmed: Array
    loss: Array
    excess: Array

    @property
    def level(self) -> NDArray[np.bool_]:
        """Where the loss is slight, (i, d)."""
        return np.asarray(self.excess <= 0.0)


def draw_map(
    curves: Sequence[DelayCurve], intervals: Sequence[float], recommended: Array
) -> PlateauMap:
    """Return the map of the plateau.

    Parameters
    ----------
    curves
        Of each interval, all with as many delays.
    intervals
        Rising [s].
    recommended : array (s,)
        Share of keepers of each set-up with the recommended settings, as set by ruler.
    """
    lost = [
        [paired_mean(recommended - row / curve.shots) for row in curve.as_set] for curve in curves
    ]
    return PlateauMap(
        intervals=np.asarray(intervals, dtype=np.float64),
        delays=np.array([curve.delays for curve in curves]),
        as_set=np.array([curve.as_set.mean(axis=1) / curve.shots for curve in curves]),
        as_trimmed=np.array([curve.as_trimmed.mean() / curve.shots for curve in curves]),
        loss=np.array([[cell.value for cell in row] for row in lost]),
        excess=np.array([[_excess(cell) for cell in row] for row in lost]),
    )
