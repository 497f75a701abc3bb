"""A line along which a measure of the frame changes fastest, and where on it its window lies."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from jitter.arrays import Array
from jitter.smooth.points import Scores

SLIGHT = 0.01
"""Streams that move the measure by a smaller share of the whole stay off the line."""
FAR = 8.0
"""The line ends here: beyond lie less than 10⁻¹⁵ of the shots."""
STEPS, STILL = 3, 1e-6
"""Secants, and what they leave alone: a score that moves by less than that has arrived."""

Measured = Callable[[Sequence[Scores]], Array]
"""Gives the measure of every point in each of several places, (p, e); NaN where it has none."""


@dataclass(frozen=True)
class Line:
    """A direction among the scores of a shot.

    Attributes
    ----------
    parts : arrays (n,)
        By stream: the share of each of its columns in the direction, whose length is 1.
    slope
        Change of the measure along it, where nothing else strays.
    """

    parts: Mapping[str, Array]
    slope: float

    def turned(self, scores: Scores, *, flat: bool) -> Scores:
        """Return points of which one dimension runs along the line, distributed as they are.

        A reflection takes the axis of the column with the largest share onto the line. The other
        columns keep their axes nearly, so that what is left of the measure hangs on few dimensions.

        Parameters
        ----------
        scores
            The points.
        flat
            Whether the score along the line is to be 0.
        """
        if not self.parts:
            return scores
        name = max(self.parts, key=lambda one: float(np.abs(self.parts[one]).max()))
        column = int(np.argmax(np.abs(self.parts[name])))
        axis = {one: np.zeros(len(part)) for one, part in self.parts.items()}
        # The sign that keeps the difference of axis and line from vanishing; scores have none.
        axis[name][column] = -1.0 if self.parts[name][column] > 0.0 else 1.0
        across = {one: axis[one] - part for one, part in self.parts.items()}
        square = sum(float(one @ one) for one in across.values())
        own = {one: scores.by_name[one].copy() for one in self.parts}
        own[name][:, column] *= 0.0 if flat else axis[name][column]
        along = np.sum([own[one] @ part for one, part in across.items()], axis=0) * (2.0 / square)
        moved = {one: own[one] - along[:, None] * part for one, part in across.items()}
        return Scores({**scores.by_name, **moved})

    def moved(self, scores: Scores, score: Array) -> Scores:
        """Return points moved along the line by a score each, (p,)."""
        changed = {
            name: scores.by_name[name] + score[:, None] * part for name, part in self.parts.items()
        }
        return Scores({**scores.by_name, **changed})


def steepest(gradient: Mapping[str, Array]) -> Line:
    """Return the line along which a measure changes fastest.

    Parameters
    ----------
    gradient : arrays (n,)
        By stream: how the measure changes with the score of each column; NaN where not known.
    """
    known = {name: one for name, one in gradient.items() if np.isfinite(one).all()}
    least = SLIGHT * _length(known)
    steep = {name: one for name, one in known.items() if _length({name: one}) > least}
    slope = _length(steep)
    return Line({name: one / slope for name, one in steep.items()}, slope)


def _length(parts: Mapping[str, Array]) -> float:
    return float(np.sqrt(sum(float(one @ one) for one in parts.values())))


def stretch(
    line: Line, scores: Scores, now: Array, window: tuple[float, float], measured: Measured
) -> tuple[Array, Array]:
    """Return between which scores along the line the measure lies in the window, (p,) each.

    By secants from where the line's score is 0. The stretch returned holds the window's: it is
    longer by what the last step may be wrong, and the whole line where the measure is not known,
    or turns, so that its window may lie on either side of the turn.

    Parameters
    ----------
    line
        From `steepest`.
    scores
        Flattened.
    now
        The measure of each of these points.
    window
        Of the measure.
    measured
        Takes the points, moved along the line.
    """
    ends = [target for target in window if np.isfinite(target)]
    reached = iter(_reached(line, scores, now, ends, measured))
    found = [
        next(reached) if np.isfinite(target) else _endless(line, target, len(now))
        for target in window
    ]
    (one, wrong, rise), (other, amiss, climb) = found
    slack = np.maximum(wrong, amiss)
    low, high = np.minimum(one, other) - slack, np.maximum(one, other) + slack
    known = np.isfinite(low) & np.isfinite(high)
    # Signs that it does not turn: one slope at both ends, that of the line if both run off the same
    # way, and the score from which they were sought between them, if its own measure is.
    here = (now >= window[0]) & (now <= window[1])
    straight = rise * climb > 0.0
    straight &= (rise * line.slope > 0.0) | ((low < FAR) & (high > -FAR))
    straight &= ~here | ((low <= 0.0) & (high >= 0.0))
    whole = ~(known & straight)
    return np.where(whole, -FAR, low), np.where(whole, FAR, high)


Reached = tuple[Array, Array, Array]
"""Where on the line a measure has a value, how wrong that may be, its slope there, (p,) each."""


def _endless(line: Line, target: float, points: int) -> Reached:
    """Return the end of the line, for a window that has none."""
    score = np.full(points, np.copysign(FAR, target * line.slope))
    return score, np.zeros(points), np.full(points, line.slope)


def _reached(
    line: Line, scores: Scores, now: Array, targets: Sequence[float], measured: Measured
) -> list[Reached]:
    """Return where on the line a measure has each of some values, all sought at once."""
    start, goal = now[:, None], np.array(targets)
    size = (len(now), len(goal))
    before, was = np.zeros(size), np.broadcast_to(start, size)
    slope = np.full(size, line.slope)
    with np.errstate(all="ignore"):
        score = np.clip((goal - start) / line.slope, -FAR, FAR)
        if (np.abs(score) == FAR).all():
            # Nobody seems to come near it, which is not worth a look: the whole line counts.
            return [(column, np.full(len(now), np.nan), slope[:, 0]) for column in score.T]
        for _ in range(STEPS):
            here = measured([line.moved(scores, column) for column in score.T])
            # Where it stands still, at the goal or at the line's end, there is no secant.
            still = np.abs(score - before) < STILL
            steeper = np.where(still, slope, (here - was) / (score - before))
            before, was = score, here
            score = np.clip(score + (goal - here) / steeper, -FAR, FAR)
            wrong = np.abs(score - before) * np.abs(steeper / slope - 1.0)
            slope = steeper
    return list(zip(score.T, wrong.T, slope.T, strict=True))
