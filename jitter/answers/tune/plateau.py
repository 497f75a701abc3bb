"""The plateau: which settings are as good as the best, its middle, and how far each may go."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from jitter.answers.effort import Rated
from jitter.answers.intervals import Estimate
from jitter.answers.tune.delays import Delays
from jitter.arrays import Array

SLIGHT = 0.01
"""One frame in a hundred: settings that lose less than this to the best are on the plateau."""
DOUBLINGS, BETWEEN = 12, 7
"""Strides away from a setting, each twice the one before, and trials between the last two."""


def losses(rated: Sequence[Rated], way: str) -> list[Estimate]:
    """Return what each setting costs against the best of them, on the same points.

    Parameters
    ----------
    rated
        Of each setting.
    way
        By which keepers they are judged.
    """
    best = max(rated, key=lambda one: float(one.shares(way).mean()))
    return [best.above(one, way) for one in rated]


def slight(loss: Estimate) -> bool:
    """Return whether a loss is under a frame in a hundred, or not clear."""
    return _excess(loss) <= 0.0


def _excess(loss: Estimate) -> float:
    """Return by how much a loss is more than slight."""
    return loss.value - max(SLIGHT, loss.value - loss.low)


def choose(
    values: Sequence[float], lost: Sequence[Estimate], *, own: float | None, step: float
) -> float:
    """Return the user's own setting where it is on the plateau, else the plateau's middle.

    The plateau is the stretch about the best setting on which the loss is slight. Its middle is
    chosen, not the best itself: it is furthest from where it goes wrong.

    Parameters
    ----------
    values
        Settings tried, rising.
    lost
        What each costs against the best of them.
    own
        The user's setting; None where it is not to be kept.
    step
        To which the middle is rounded, where that leaves it on the plateau.
    """
    if any(value == own and slight(loss) for value, loss in zip(values, lost, strict=True)):
        return float(own or 0.0)
    best = int(np.argmin([loss.value for loss in lost]))
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


def find_slack(
    losses: Callable[[Sequence[float]], Sequence[float]],
    *,
    centre: float,
    step: float,
    limits: tuple[float, float],
) -> Slack:
    """Return how far a setting may go, both ways at once.

    By strides twice as long each, then by trials evenly between the last two, and straight between
    those: an end is told to a hundredth of the way to it.

    Parameters
    ----------
    losses
        Shares of keepers lost at some settings.
    centre
        Where nothing is lost.
    step
        Length of the first stride.
    limits
        As far as the setting can go, down and up.
    """
    ladders = [_strides(centre, step, limit) for limit in limits]
    there = losses([value for ladder in ladders for value in ladder])
    parted = there[: len(ladders[0])], there[len(ladders[0]) :]
    brackets = [_around(ladder, lost) for ladder, lost in zip(ladders, parted, strict=True)]
    between = [
        [] if bracket is None else np.linspace(*bracket, BETWEEN + 2)[1:-1].tolist()
        for bracket in brackets
    ]
    nearer = losses([value for values in between for value in values])
    ends = []
    for ladder, far, values in zip(ladders, parted, between, strict=True):
        if not values:
            ends.append(End(ladder[-1], open=True))
            continue
        near, nearer = nearer[: len(values)], nearer[len(values) :]
        known = sorted(
            zip([*ladder, *values], [*far, *near], strict=True),
            key=lambda pair: abs(pair[0] - centre),
        )
        ends.append(End(_crossing(known), open=False))
    return Slack(*ends)


def _strides(centre: float, step: float, limit: float) -> list[float]:
    """Return a setting and those farther and farther from it, up to a limit."""
    lengths = [0.0, *(step * 2.0**place for place in range(DOUBLINGS))]
    room = abs(limit - centre)
    inside = [length for length in lengths if length == 0.0 or length < room]
    ladder = [centre + math.copysign(length, limit - centre) for length in inside]
    return [*ladder, limit] if len(inside) < len(lengths) and room > 0.0 else ladder


def _around(ladder: Sequence[float], lost: Sequence[float]) -> tuple[float, float] | None:
    """Return the two strides between which the loss passes `SLIGHT`; None where it does not."""
    for place in range(1, len(ladder)):
        if lost[place] > SLIGHT:
            return ladder[place - 1], ladder[place]
    return None


def _crossing(known: Sequence[tuple[float, float]]) -> float:
    """Return where the loss first passes `SLIGHT`, straight between what is known, outwards."""
    for (inner, less), (outer, more) in pairwise(known):
        if more > SLIGHT:
            return inner + (SLIGHT - less) / (more - less) * (outer - inner)
    raise ValueError("the loss passes nowhere")


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
        Hit rate after trimming, from the best of the delays.
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


def draw_map(grid: Delays, intervals: Sequence[float], recommended: Rated) -> PlateauMap:
    """Return the map of the plateau.

    Parameters
    ----------
    grid
        A rig for each interval, all with as many delays.
    intervals
        Rising [s].
    recommended
        The recommended settings as set by ruler, on the points of the grid.
    """
    lost = [[recommended.above(one, "as_set") for one in row] for row in grid.as_set]
    return PlateauMap(
        intervals=np.asarray(intervals, dtype=np.float64),
        delays=grid.delays,
        as_set=grid.shares,
        as_trimmed=np.array([one.shares("as_trimmed").mean() for one in grid.as_trimmed]),
        loss=np.array([[cell.value for cell in row] for row in lost]),
        excess=np.array([[_excess(cell) for cell in row] for row in lost]),
    )
