"""Which suspects a log of this size can tell apart, and how often it would name the right one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.explain.law import READING, SLIP, Law
from jitter.answers.explain.likelihood import Group, by_setup, evidence
from jitter.answers.explain.views import MEASURES, Condition, Views
from jitter.answers.workers import Progress, silent
from jitter.arrays import Array, Flags
from jitter.stages.look import LOOKS

LOGS = 40
"""Simulated logs of each suspect."""
TOLD_APART = 3.0
"""Two suspects are told apart if a log speaks so many times for the right one as a rule."""


@dataclass(frozen=True)
class Shape:
    """What a log holds, whatever its frames look like.

    Attributes
    ----------
    setups
        Their names; frames of a set-up share one simulated set-up.
    conditions
        By group.
    frames
        By group.
    measured : flags (5,)
        Which measures were read at all.
    """

    setups: tuple[str, ...]
    conditions: tuple[Condition, ...]
    frames: tuple[int, ...]
    measured: tuple[bool, ...]


def shape_of(rows: Sequence[Group]) -> Shape:
    """Return what a log holds.

    Parameters
    ----------
    rows
        Its groups.
    """
    read = {place for row in rows for place, _ in row.measures}
    return Shape(
        setups=tuple(row.setup for row in rows),
        conditions=tuple(row.condition for row in rows),
        frames=tuple(int(row.frames) for row in rows),
        measured=tuple(place in read for place in range(len(MEASURES))),
    )


def imagine(
    views: Mapping[Condition, Views], shape: Shape, draws: np.random.Generator
) -> tuple[Group, ...]:
    """Return a log of the same shape, its frames drawn from simulated ones.

    Whoever writes it slips and misreads as often as the likelihood takes it.

    Parameters
    ----------
    views
        Simulated frames of one suspect.
    shape
        Of the log.
    draws
        Where chance comes from.
    """
    setups = len(next(iter(views.values())).look)
    chosen = {name: int(draws.integers(setups)) for name in dict.fromkeys(shape.setups)}
    found = []
    for name, condition, count in zip(shape.setups, shape.conditions, shape.frames, strict=True):
        seen = views[condition]
        row = chosen[name]
        places = draws.integers(seen.look.shape[1], size=count)
        slips = draws.random(count) < SLIP
        looks = np.where(slips, draws.integers(len(LOOKS), size=count), seen.look[row, places])
        read = seen.measures[:, row, places] + draws.normal(0.0, READING, (len(MEASURES), count))
        measures = {
            (place, int(look)): sizes
            for place in range(len(MEASURES))
            if shape.measured[place]
            for look in np.unique(looks)
            if (sizes := _told(read[place, looks == look])).size
        }
        counted = np.bincount(looks, minlength=len(LOOKS)).astype(np.float64)
        found.append(Group(name, condition, counted, measures))
    return tuple(found)


def _told(sizes: Array) -> Array:
    return sizes[~np.isnan(sizes)]


def confusion(
    fresh: Sequence[Mapping[Condition, Views]],
    laws: Sequence[Mapping[Condition, Law]],
    shape: Shape,
    *,
    pairs: Flags,
    weight: float,
    seed: int,
    progress: Progress = silent,
) -> Array:
    """Return the evidence for each suspect in logs that each suspect brings about, (h, l, h).

    NaN where nobody asks.

    Parameters
    ----------
    fresh
        Simulated frames of each suspect on other draws: the logs are imagined from these.
    laws
        What frames on the draws by which logs are judged say.
    shape
        Of the log.
    pairs : flags (h, h)
        Which suspects are to be told apart.
    weight
        What a log counts for.
    seed
        Of chance.
    progress
        Told of progress.
    """
    found = np.full((len(fresh), LOGS, len(laws)), np.nan)
    others = pairs & ~np.eye(len(pairs), dtype=bool)
    for place, seen in enumerate(fresh):
        progress(place, len(fresh))
        if not others[place].any():
            continue
        # Draws of its own, so that one suspect more leaves the others' logs alone.
        draws = np.random.Generator(np.random.PCG64DXSM([seed, place]))
        judges = [place, *(int(other) for other in np.flatnonzero(others[place]))]
        for log in range(LOGS):
            rows = imagine(seen, shape, draws)
            for judge in judges:
                found[place, log, judge] = evidence(by_setup(laws[judge], rows), weight)
    return found


def alike(found: Array) -> Flags:
    """Return which suspects a log of this shape does not tell apart, (h, h).

    Two are alike if logs that one brings about speak as a rule less than `TOLD_APART` times for it
    against the other, or the other way round; those of whom nobody asked are not.

    Parameters
    ----------
    found
        From `confusion`.
    """
    own = np.diagonal(found, axis1=0, axis2=2).T
    speaks = np.median(own[:, :, None] - found, axis=1)
    weaker = np.minimum(speaks, speaks.T)
    return np.asarray((weaker < np.log(TOLD_APART)) | np.eye(len(weaker), dtype=bool))


def gather(pairs: Flags, weights: Sequence[float]) -> tuple[tuple[int, ...], ...]:
    """Return groups of suspects, the likeliest first: all of a group are alike to each other.

    Parameters
    ----------
    pairs
        From `alike`.
    weights
        Probability of each suspect.
    """
    left = sorted(range(len(weights)), key=lambda place: -weights[place])
    groups = []
    while left:
        members = [left[0]]
        for place in left[1:]:
            if all(pairs[place, other] for other in members):
                members.append(place)
        groups.append(tuple(members))
        left = [place for place in left if place not in members]
    return tuple(sorted(groups, key=lambda group: -sum(weights[place] for place in group)))
