"""What each number that a shot draws does to it, by itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from jitter.arrays import Array
from jitter.draws.deviates import draw
from jitter.draws.values import values
from jitter.smooth.measures import Measure
from jitter.smooth.points import Scores, rows
from jitter.stage import Events, walk
from jitter.trial import Road


@dataclass(frozen=True)
class Probe:
    """Shots in which one score is 1 or -1, nothing else straying.

    Attributes
    ----------
    moments
        Events of the shot in which nothing strays, in row 0, and of those around it: with the delay
        as it is, then with those that bring its age to the ends of the window.
    places
        By stream: the rows in which its score is 1 and -1.
    """

    moments: tuple[Events, ...]
    places: Mapping[str, tuple[int, int]]

    def changes(self, measure: Measure) -> dict[str, float]:
        """Return by stream half the difference of a measure, where it is largest.

        NaN where the measure is not known.
        """
        up, down = self._sides()
        found = []
        for events in self.moments:
            told = self._column(measure.of(events))
            found.append(0.5 * (told[up] - told[down]))
        every = np.array(found)
        largest = np.argmax(np.abs(np.nan_to_num(every)), axis=0)
        return dict(zip(self.places, every[largest, np.arange(len(up))].tolist(), strict=True))

    def leaving(self, names: Iterable[str]) -> set[str]:
        """Return the streams that leave some events as in the shot in which nothing strays."""
        up, down = self._sides()
        still = np.ones(len(up), dtype=bool)
        for name in names:
            told = self._column(np.asarray(self.moments[0].get(name, np.zeros((1, 1)))))
            still &= (told[up] == told[0]) & (told[down] == told[0])
        return {stream for stream, kept in zip(self.places, still, strict=True) if kept}

    def _sides(self) -> tuple[Array, Array]:
        pairs = np.array([*self.places.values()], dtype=int).reshape(-1, 2)
        return pairs[:, 0], pairs[:, 1]

    def _column(self, event: Array) -> Array:
        return np.broadcast_to(event, (1 + 2 * len(self.places), 1))[:, 0]


def probe(road: Road, names: Iterable[str]) -> Probe:
    """Return what the score of each stream does.

    Parameters
    ----------
    road
        A study, ready to fire.
    names
        Its streams of one column; no other mishap strikes.
    """
    places = {name: (1 + 2 * place, 2 + 2 * place) for place, name in enumerate(names)}
    count = 1 + 2 * len(places)
    scores = {name: np.zeros((count, 1)) for name in places}
    for name, (up, down) in places.items():
        scores[name][up], scores[name][down] = 1.0, -1.0
    deviates = draw(road.study, rows(count), source=Scores(scores))
    first = replace(deviates, frame_number=np.zeros((1, 1)))
    events = walk(road.shot, {**road.fixed, **values(road.study, first)})
    moments, age = [events], float(np.broadcast_to(events["age"], (count, 1))[0, 0])
    for end in road.study.window("keeper.age"):
        if np.isfinite(age):
            # A rim that stands still as the light falls moves as it falls a little earlier.
            other = {"delay_correction": np.full((1, 1), end - age)}
            moments.append(walk(road.shot, events | other, {"delay_correction"}))
    return Probe(tuple(moments), places)
