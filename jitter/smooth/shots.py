"""The chance of a keeper at every point: one step after the other, integrated before it is met."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy.special import ndtr, ndtri

from jitter.arrays import Array
from jitter.draws.deviates import draw, frames
from jitter.draws.values import UNSCALED, value, values
from jitter.quantities import argument
from jitter.smooth import sideways
from jitter.smooth.batch import Batch
from jitter.smooth.line import FAR, stretch
from jitter.smooth.plan import FRAME, WIDTHS, Course, Plan
from jitter.smooth.points import Scores, rows
from jitter.stage import Events, Stage, walk
from jitter.stages.verdict import KEEPER
from jitter.study.study import Study
from jitter.trial import CORRECTION

APART = 2048
"""From so many frames shot to trim on, a what-if is quicker worked from the study's own, where
only what it changes is worked again, than with all others at once."""


def chances(plan: Plan, what_ifs: Sequence[Study], points: Scores) -> Array:
    """Return the chance of a keeper at every point in every what-if, (k, p).

    Its mean over points is the hit rate. Mishaps count as factors. Drop and jet are drawn within
    the distance at which they meet squarely, and count for the chance of that. The windows of age,
    exposure and blur are found on lines through each point, and the point drawn within them, and
    counts for the chance of that. Whether the frame is a keeper there, the chain's own verdict
    says: the mean is right whatever is left for it to say, and only less smooth.

    Parameters
    ----------
    plan
        Of the road's study.
    what_ifs
        Variants of it: other spreads, steady errors, values of numbers.
    points
        With the plan's columns.

    References
    ----------
    Line sampling: Koutsourelakis, Pradlwarter & Schuëller 2004, Probab. Eng. Mech. 19, 409 (from
    memory). Integrating one direction before points are put in: Griewank, Kuo, Leövey & Sloan 2018,
    J. Comput. Appl. Math. 344, 259 (from memory).
    """
    points = _turned(plan, points)
    shots = _open(plan, what_ifs, points)
    chance = shots.spared()
    if sideways.known(plan.road.study):
        chance *= shots.centre()
    for course in plan.courses:
        chance *= shots.draw_within(course)
    kept = np.broadcast_to(shots.events["reason"] == KEEPER, (len(chance), 1))[:, 0]
    return np.asarray((chance * kept).reshape(len(what_ifs), points.points))


def _turned(plan: Plan, points: Scores) -> Scores:
    """Return points with a dimension along each line, at 0 where the line is integrated."""
    for course in plan.courses:
        points = course.line.turned(points, flat=True)
    return points if plan.correction is None else plan.correction.turned(points, flat=False)


@dataclass
class _Shots:
    """The shots of a batch, a point each, as they are moved to where they may be keepers.

    Attributes
    ----------
    plan, batch
        Whose shots.
    scores
        Where the points lie.
    frame : array (k p, 1)
        Of the session.
    events
        What happens there.
    """

    plan: Plan
    batch: Batch
    scores: Scores
    frame: Array
    events: Events

    def move(
        self, keys: Iterable[str], stages: Iterable[Stage], places: Sequence[Scores] = ()
    ) -> Events:
        """Return what happens at points that differ in some quantities.

        Several places of every point are side by side, as if they were shots of one set-up.
        """
        names = [argument(key) for key in keys]
        made = [self._values(scores, keys) for scores in places or [self.scores]]
        moved = {name: np.concatenate([one[name] for one in made], axis=-1) for name in names}
        return walk(stages, self.events | moved, set(names))

    def _values(self, scores: Scores, keys: Iterable[str]) -> dict[str, Any]:
        deviates = draw(self.plan.road.study, rows(scores.points), source=scores, keys=keys)
        return self.batch.values(replace(deviates, frame_number=self.frame), keys)

    def centre(self) -> Array:
        """Draw drops that meet the jet squarely, and return the chance of it, (k p,)."""
        widths = (np.broadcast_to(self.events[name], (self.scores.points, 1)) for name in WIDTHS)
        first, second, head = (width[:, 0] for width in widths)
        study = self.plan.road.study
        reach = 0.5 * min(study.number("keeper.off_centre"), 1.0) * (second + head * first)
        # Where what-ifs aim alike, as mostly, they are one.
        alike = self.batch.changed.keys().isdisjoint(sideways.KEYS)
        weights = [sideways.parts(one) for one in ([study] if alike else self.batch.studies)]
        self.scores, inside = sideways.drawn_in(self.scores, weights, reach)
        self.events = self.move(sideways.KEYS, self.plan.road.aim)
        return inside

    def draw_within(self, course: Course) -> Array:
        """Draw shots within the window of a measure, and return the chance of it, (k p,)."""
        road = self.plan.road
        first = course is self.plan.courses[0]
        stages = road.aim if first else road.shot

        def measured(places: Sequence[Scores] = ()) -> Array:
            events = self.move(course.keys, stages, places) if places else self.events
            size = (self.scores.points, max(len(places), 1))
            return np.broadcast_to(course.measure.of(events), size)

        low, high = stretch(
            course.line,
            self.scores,
            measured()[:, 0],
            course.measure.window(road.study),
            measured,
        )
        begin, end = ndtr(low), ndtr(high)
        place = ndtr(self.scores.by_name[course.place][:, 0])
        score = np.clip(ndtri(begin + place * (end - begin)), -FAR, FAR)
        self.scores = course.line.moved(self.scores, score)
        self.events = self.move(course.keys, stages)
        if first:
            # What is not needed for the age was left until it is known.
            rest = [stage for stage in road.shot if stage not in road.aim]
            self.events = walk(rest, self.events)
        return np.asarray(end - begin)

    def spared(self) -> Array:
        """Return the chance that no mishap strikes, (k p,)."""
        found = np.ones((len(self.batch.studies), self.batch.points))
        for row, study in enumerate(self.batch.studies):
            mine = self.frame[row * self.batch.points : (row + 1) * self.batch.points, 0]
            for key in self.plan.mishaps:
                entry = study.entries[key]
                found[row] *= 1.0 - np.clip(entry.number + entry.drift * mine, 0.0, 1.0)
        return found.ravel()


def _open(plan: Plan, what_ifs: Sequence[Study], points: Scores) -> _Shots:
    """Return the shots of every what-if at the same points."""
    road = plan.road
    batch = Batch(road.study, what_ifs, points.points)
    frame = np.floor(ndtr(points.by_name[FRAME]) * frames(road.study))
    more = {CORRECTION: _corrected(plan, batch, points)} if plan.trimmed else {}
    deviates = draw(road.study, rows(points.points), source=points)
    deviates = replace(deviates, frame_number=frame)
    drawn = batch.values(deviates, _drawn(batch, (*deviates.setup, *deviates.shot)))
    events = walk(road.aim, {**road.fixed, **drawn, **more})
    every = np.tile(frame, (len(what_ifs), 1))
    return _Shots(plan, batch, points.repeated(len(what_ifs)), every, events)


def _corrected(plan: Plan, batch: Batch, points: Scores) -> Array:
    """Return the change of the delay of every point, (k p, 1) [s]."""
    road, study = plan.road, plan.road.study
    deviates = draw(study, rows(points.points), trimming=True, source=points)

    def correction(seen: Events) -> Array:
        return np.asarray(walk([road.chain.trimming], seen)[CORRECTION])

    if points.points * study.number("trim.frames") < APART:
        drawn = batch.values(deviates, _drawn(batch, (*deviates.setup, *deviates.shot)))
        return correction(walk(road.aim, {**road.fixed, **drawn}))
    own = walk(road.aim, {**road.fixed, **values(study, deviates)})
    found = []
    for place, what_if in enumerate(batch.studies):
        keys = [key for key, places in batch.changed.items() if place in places]
        made = {argument(key): value(what_if, key, deviates, UNSCALED) for key in keys}
        found.append(correction(walk(road.aim, own | made, set(made))))
    return np.concatenate([np.broadcast_to(one, (points.points, 1)) for one in found])


def _drawn(batch: Batch, straying: Iterable[str]) -> dict[str, Any]:
    """Return every quantity that differs from point to point."""
    return dict.fromkeys((*straying, *batch.changed, *batch.base.drifting))
