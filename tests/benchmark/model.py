"""The shot as a function of uniform numbers, a column for each, as libraries want a model."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from jitter.answers.rank.inputs import Input, inputs
from jitter.answers.ranking import sources
from jitter.answers.variants import scaled
from jitter.arrays import Array
from jitter.draws.deviates import draw
from jitter.draws.layout import BLOCK
from jitter.draws.shapes import deviate
from jitter.draws.values import values
from jitter.quantities import Shape
from jitter.smooth.points import asked, rows
from jitter.stage import Stage, walk
from jitter.stages import CHAIN
from jitter.stages.verdict import KEEPER
from jitter.study.study import Study
from jitter.trial import Road, open_road


class Model:
    """A shot with the delay as set by ruler, many at once.

    Parameters
    ----------
    study
        The rig.
    """

    def __init__(self, study: Study) -> None:
        self.road: Road = open_road(study, CHAIN)
        self._asked = asked(study)
        self.names = tuple(self._asked.columns)
        self._places = {name: place for place, name in enumerate(self.names)}
        self.shots = 0

    @cached_property
    def inputs(self) -> tuple[Input, ...]:
        """What jitter takes as one: both drops' errors, both directions'."""
        every = inputs(self.road.study)
        return tuple(one for one in every if {where for where, _ in one.slots} <= {"setup", "shot"})

    def columns(self, one: Input) -> list[int]:
        """Return the places of an input's columns."""
        found = {
            self._places[name]
            for where, key in one.slots
            for name in self._asked.by_key[key]
            if name.split(" ")[1] == where
        }
        return sorted(found)

    def age(self, numbers: Array) -> Array:
        """Return the age of the sheet of every row, (p,) [s]."""
        return self._work(numbers, self.road.aim, "age")

    def hit(self, numbers: Array) -> Array:
        """Return 1 for every row that makes a keeper, else 0, (p,)."""
        return np.asarray(self._work(numbers, self.road.shot, "reason") == KEEPER, dtype=float)

    def _work(self, numbers: Array, stages: tuple[Stage, ...], name: str) -> Array:
        study, found = self.road.study, np.empty(len(numbers))
        self.shots += len(numbers)
        # As many at once as fit a cache, as in jitter's own loops.
        for begin in range(0, len(numbers), BLOCK):
            some = numbers[begin : begin + BLOCK]
            drawn = draw(study, rows(len(some)), source=_Columns(some, self._places))
            events = walk(stages, {**self.road.fixed, **values(study, drawn)})
            found[begin : begin + BLOCK] = np.broadcast_to(events[name], (len(some), 1))[:, 0]
        return found


class _Columns:
    """Uniform numbers that somebody else has drawn."""

    def __init__(self, numbers: Array, places: dict[str, int]) -> None:
        self._numbers, self._places = numbers, places

    def fill(self, out: Array, name: str, *, first: int) -> None:
        out[:, 0] = self._numbers[:, self._places[name]]

    def fill_scores(self, out: Array, name: str, *, first: int) -> None:
        self.fill(out, name, first=first)
        deviate(Shape.NORMAL, out)


def without_mishaps(study: Study) -> Study:
    """Return a study in which every frame has an age, as libraries need it."""
    chances = [one for one in sources(study) if one.spread.shape is Shape.CHANCE]
    return scaled(study, [(key, one.level) for one in chances for key in one.keys], 0.0)
