"""What of a shot is drawn in points, and what is integrated before it is met."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Kind, Level, Quantity, argument
from jitter.smooth import sideways
from jitter.smooth.line import Line, steepest
from jitter.smooth.measures import AGE, MEASURES, Measure
from jitter.smooth.points import asked
from jitter.smooth.probe import probe
from jitter.stage import walk
from jitter.stages.verdict import REASONS
from jitter.trial import Road

FRAME, PLACE = "session frame", "place on the line of the"
"""Dimensions beside those of the streams: which frame of the session, and where on each line."""
WIDTHS = ("first_diameter", "second_diameter", "jet_head_ratio")
READING = "trim.reading"
LESSER = 0.02
"""Weight of a share in the change of another measure than the age, whose window few frames miss."""
Changes = Mapping[Measure, Mapping[str, float]]
"""How each measure changes with the score of each stream, which is NaN where it is not known."""
KEPT = 8
"""So many plans are kept: both ways, of a few roads that are asked again and again."""


@dataclass(frozen=True)
class Course:
    """A line with what it is for.

    Attributes
    ----------
    measure
        What must lie in a window along it.
    line
        The direction.
    keys
        Quantities that it moves.
    """

    measure: Measure
    line: Line
    keys: tuple[str, ...]

    @property
    def place(self) -> str:
        """The dimension that says where within the window a point lies."""
        return f"{PLACE} {self.measure.name}"


@dataclass(frozen=True)
class Plan:
    """What is drawn in points and what is integrated, for one way of setting the delay.

    Attributes
    ----------
    road
        A study ready to fire, with tables that reach as far as any what-if.
    trimmed
        Whether the delay is trimmed.
    columns
        Dimensions: streams with their columns, in the order of what hangs on them.
    mishaps
        Chances that no keeper survives: they count as factors.
    courses
        Lines along which windows are integrated, that of the age first.
    correction
        The direction of the change of the delay among what the frames shot to trim draw; it is
        given a dimension of its own. None where the delay is not trimmed.
    """

    road: Road
    trimmed: bool
    columns: Mapping[str, int]
    mishaps: tuple[str, ...]
    courses: tuple[Course, ...]
    correction: Line | None


@lru_cache(maxsize=KEPT)
def make_plan(road: Road, *, trimmed: bool) -> Plan:
    """Return what is drawn in points and what is integrated.

    The line of the age holds nothing that alters how far aside drop and jet may be to meet; with a
    trimmed delay only what strays from shot to shot, which leaves the frames shot to trim as they
    are. The other lines hold nothing that moves the age.

    Parameters
    ----------
    road
        A study, ready to fire.
    trimmed
        Whether the delay is trimmed.
    """
    study = road.study
    shot = asked(study)
    mishaps = _fatal(road)
    out = {name for key in mishaps for name in shot.by_key[key]}
    columns = {name: count for name, count in shot.columns.items() if name not in out}
    around = probe(road, columns)
    given = {event for stage in road.chain.stages for event in stage.gives}
    changes = {one: around.changes(one) for one in MEASURES if one.name in given}
    free = {name for name in around.leaving(WIDTHS) if not name.startswith(sideways.KEYS)}
    courses = _courses(changes, free, shot.by_key, trimmed=trimmed)
    weights = _weights(changes, courses)
    correction = None
    if trimmed:
        frames = asked(study, trimming=True).columns
        strays = _trimming(frames, changes[AGE], study.entries[READING].shot.size)
        correction = steepest(strays)
        columns |= frames
        slope = max(courses[0].line.slope, 1e-300)
        weights |= {name: abs(float(part[0])) / slope for name, part in strays.items()}
    ordered = _ordered(columns, weights, courses, drifting=bool(study.drifting))
    return Plan(road, trimmed, ordered, mishaps, courses, correction)


def _weights(changes: Changes, courses: Sequence[Course]) -> dict[str, float]:
    """Return by stream the share that it has in the change of the age, or of a lesser measure."""
    weights: dict[str, float] = {}
    for course in courses:
        if course.line.slope > 0.0:
            scale = (1.0 if course is courses[0] else LESSER) / course.line.slope
            for name, change in changes[course.measure].items():
                share = scale * abs(change) if math.isfinite(change) else 0.0
                weights[name] = max(weights.get(name, 0.0), share)
    return weights


def _ordered(
    columns: Mapping[str, int],
    weights: Mapping[str, float],
    courses: Sequence[Course],
    *,
    drifting: bool,
) -> dict[str, int]:
    """Return the dimensions in the order of what hangs on them, since a net's first are its best.

    Most hangs on where in its window an age is, and on the frame where anything drifts; next to
    nothing on where in the windows of the other measures a point is.
    """
    heavy = sorted(columns, key=lambda name: -weights.get(name, 0.0))
    later = [course.place for course in courses[1:]]
    beside = [FRAME, *heavy] if drifting else [*heavy, FRAME]
    first = [course.place for course in courses[:1]]
    return {name: columns.get(name, 1) for name in (*first, *beside, *later)}


def _courses(
    changes: Changes, free: set[str], by_key: Mapping[str, tuple[str, ...]], *, trimmed: bool
) -> tuple[Course, ...]:
    """Return lines among the free streams, none of which moves the measure of an earlier one."""
    found: list[Course] = []
    for measure, moved in changes.items():
        movable = {
            name: np.array([change])
            for name, change in moved.items()
            if name in free
            and (not (trimmed and measure is AGE) or _level(name) == Level.SHOT.value)
        }
        line = steepest(movable)
        keys = (key for key, names in by_key.items() if not line.parts.keys().isdisjoint(names))
        found.append(Course(measure, line, tuple(keys)))
        free = {name for name in free if moved[name] == 0.0}
    return tuple(found)


def _level(name: str) -> str:
    """Return the level of a stream, such as `valve.latency shot 0`."""
    return name.split(" ")[1]


def _trimming(
    frames: Mapping[str, int], changes: Mapping[str, float], reading: float
) -> dict[str, Array]:
    """Return how the mean age of the frames shot to trim hangs on each number that they draw."""
    found = {}
    for name, change in changes.items():
        drawn = name.replace(f" {Level.SHOT.value}", " trimming")
        if _level(name) == Level.SHOT.value and drawn in frames:
            found[drawn] = np.full(frames[drawn], change / frames[drawn])
    read = f"{READING} trimming"
    if read in frames:
        found[read] = np.full(frames[read], reading / frames[read])
    return found


def _fatal(road: Road) -> tuple[str, ...]:
    """Return the mishaps that, by themselves, take the start or the light from every frame."""
    lost = [REASONS.index(reason) for reason in ("no start", "no light")]
    spared = walk(road.shot, dict(road.fixed))
    if spared["reason"].item() in lost:
        return ()
    found = []
    for key, entry in road.study.entries.items():
        declared = entry.declaration
        if isinstance(declared, Quantity) and declared.kind is Kind.CHANCE:
            mishap = {argument(key): np.ones((1, 1), dtype=bool)}
            struck = walk(road.shot, spared | mishap, set(mishap))
            if struck["reason"].item() in lost:
                found.append(key)
    return tuple(found)
