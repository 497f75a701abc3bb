"""What each number that a shot draws does to it, by itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from jitter.arrays import Array
from jitter.draws.values import draw, values
from jitter.smooth.measures import Measure
from jitter.smooth.points import Scores, rows
from jitter.stage import Events, walk
from jitter.trial import Road


@dataclass(frozen=True)
class Pair:
    """A shot in which one score is 1 and one in which it is -1, nothing else straying.

    Attributes
    ----------
    moments
        Events of the shot in which nothing strays, in row 0, and of those around it: with the delay
        as it is, then with those that bring its age to the ends of the window.
    rows
        Of the pair.
    """

    moments: tuple[Events, ...]
    rows: tuple[int, int]

    def change(self, measure: Measure) -> float:
        """Return half the difference of a measure, where it is largest; NaN where it has none."""
        changes = [self._change(measure.of(events)) for events in self.moments]
        return max(changes, key=lambda change: abs(np.nan_to_num(change)))

    def _change(self, found: Array) -> float:
        if found.size == 1:
            return 0.0
        up, down = (float(found[row, 0]) for row in self.rows)
        return 0.5 * (up - down)

    def same(self, names: Iterable[str]) -> bool:
        """Return whether some events are as in the shot in which nothing strays."""
        for name in names:
            found = np.asarray(self.moments[0].get(name, 0.0))
            if found.size > 1 and np.ptp(found[[0, *self.rows], 0]) > 0.0:
                return False
        return True


def probe(road: Road, names: Iterable[str]) -> Mapping[str, Pair]:
    """Return by stream what its score does.

    Parameters
    ----------
    road
        A study, ready to fire.
    names
        Its streams; no other mishap strikes.
    """
    places = {name: (1 + 2 * place, 2 + 2 * place) for place, name in enumerate(names)}
    scores = {name: np.zeros((1 + 2 * len(places), 1)) for name in places}
    for name, (up, down) in places.items():
        scores[name][up], scores[name][down] = 1.0, -1.0
    deviates = draw(road.study, rows(1 + 2 * len(places)), source=Scores(scores))
    first = replace(deviates, frame_number=np.zeros((1, 1)))
    drawn = {**road.fixed, **values(road.study, first)}
    events = walk(road.shot, drawn)
    moments, age = [events], float(np.broadcast_to(events["age"], (1 + 2 * len(places), 1))[0, 0])
    for end in road.study.window("keeper.age"):
        if np.isfinite(age):
            # A rim that stands still as the light falls moves as it falls a little earlier.
            other = {"delay_correction": np.full((1, 1), end - age)}
            moments.append(walk(road.shot, events | other, {"delay_correction"}))
    return {name: Pair(tuple(moments), pair) for name, pair in places.items()}
