"""The map of interval and delay: the best is sought on it, and the page shows it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from jitter.answers.tune.bench import Bench
from jitter.answers.tune.delays import DELAY, Delays, at_delays, suited
from jitter.answers.tune.limits import INTERVAL
from jitter.answers.tune.settings import start_of
from jitter.answers.variants import with_values
from jitter.draws.layout import Layout
from jitter.study.study import Study

BY_POINTS, BY_DRAWS = (60, 60), (15, 33)
"""Intervals and delays of the map."""
ROOM = 0.75
"""The map shows so many widths of the window either way of the delay that suits an interval."""
VALLEY = 0.015
"""And so much of the interval, where nobody knows better; the user's own is shown within twice
that [s]."""

Stretch = tuple[float, float] | None
"""From where to where the interval is worth a closer look."""


@dataclass(frozen=True)
class Mapped:
    """Keepers over interval and delay.

    Attributes
    ----------
    intervals
        Rising [s].
    grid
        The rig at each, each at as many delays.
    """

    intervals: tuple[float, ...]
    grid: Delays


def lay_map(bench: Bench, own: Study, study: Study, stretch: Stretch = None) -> Mapped:
    """Return the hit rates over interval and delay, the user's settings among them if near.

    As the interval changes, the delay that suits it goes along, and the map with it.

    Parameters
    ----------
    bench
        How.
    own
        The rig as it is set.
    study
        The rig with all other settings as they are to be.
    stretch
        Of the interval; about the rig's own where None.
    """
    at = study.number(INTERVAL)
    low, high = stretch or (at - VALLEY, at + VALLEY)
    first, last = study.window("keeper.age")
    setting, delay, width = own.number(INTERVAL), own.number(DELAY), last - first
    (fitting,) = suited(bench, [with_values(study, {INTERVAL: setting})])
    near = low - 2.0 * VALLEY <= setting <= high + 2.0 * VALLEY
    shown = near and abs(delay - fitting) <= 2.0 * width and start_of(own) == start_of(study)
    rooms = [ROOM * width, ROOM * width]
    if shown:
        low, high = min(low, setting - 0.001), max(high, setting + 0.001)
        rooms = [max(rooms[0], 1.1 * (fitting - delay)), max(rooms[1], 1.1 * (delay - fitting))]
    count, wide = BY_DRAWS if isinstance(bench.effort, Layout) else BY_POINTS
    intervals = np.linspace(max(low, 0.001), high, count)
    if low <= setting <= high:
        # In the place of its neighbour, so that the user's own can be chosen.
        intervals[int(np.argmin(np.abs(intervals - setting)))] = setting
    studies = [with_values(study, {INTERVAL: float(each)}) for each in intervals]
    middles = suited(bench, studies)
    # No delay is negative.
    delays = np.linspace(np.maximum(middles - rooms[0], 0.0), middles + rooms[1], wide, axis=1)
    return Mapped(tuple(intervals.tolist()), at_delays(bench, studies, delays))
