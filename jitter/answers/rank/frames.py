"""Frames fired from mixed draws, both ways of setting the delay."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from jitter.answers.hits import WAYS
from jitter.answers.rank.inputs import PLACE, SETUP, SHOT, TRIMMING, Draws, Input, deviates
from jitter.arrays import Array
from jitter.draws.deviates import Deviates
from jitter.draws.values import UNSCALED, value, values
from jitter.quantities import argument
from jitter.stage import Events, Stage, walk
from jitter.stages.verdict import KEEPER
from jitter.trial import Road

AGE, HIT = "age", "hit"
Output = tuple[str, str]
"""One of `WAYS`, and the age or the hit."""
OUTPUTS: tuple[Output, ...] = tuple((way, what) for way in WAYS for what in (AGE, HIT))


@dataclass(frozen=True)
class Fired:
    """Frames, each the only shot of its set-up, fired both ways.

    Attributes
    ----------
    trimming
        Events of the frames shot to trim.
    as_set, as_trimmed
        Events with the delay as set by ruler, and as trimmed.
    """

    trimming: Events
    as_set: Events
    as_trimmed: Events


def trimmed(road: Road, as_set: Events, correction: Array) -> Events:
    """Return the events of frames with the delay moved by so much (n, 1) [s]."""
    return walk(road.shot, as_set | {"delay_correction": correction}, {"delay_correction"})


def fire_frames(road: Road, drawn: Draws) -> Fired:
    """Fire frames from their draws.

    Parameters
    ----------
    road
        A study, ready to fire.
    drawn
        Deviates of frames and of those shot to trim.
    """
    own, shot_to_trim = deviates(drawn)
    trimming = walk(road.aim, {**road.fixed, **values(road.study, shot_to_trim)})
    moved = walk([road.chain.trimming], trimming)["delay_correction"]
    as_set = walk(road.shot, {**road.fixed, **values(road.study, own)})
    return Fired(trimming, as_set, trimmed(road, as_set, moved))


def fire_anew(road: Road, fired: Fired, mixed: Draws, one: Input) -> Fired:
    """Fire frames again with one input drawn anew; only what it touches is worked.

    Parameters
    ----------
    road
        The study.
    fired
        The frames as they were.
    mixed
        Their draws, those of the input exchanged.
    one
        The input.
    """
    own, shot_to_trim = deviates(mixed)

    def again(stages: Iterable[Stage], events: Events, drawn: Deviates, where: str) -> Events:
        touched = {key for place, key in one.slots if place in (SETUP, where)}
        new: Events = {}
        if where == SHOT and (PLACE, "") in one.slots:
            touched.update(road.study.drifting)
            new["frame_number"] = drawn.frame_number
        new |= {argument(key): value(road.study, key, drawn, UNSCALED) for key in touched}
        return walk(stages, events | new, set(new))

    as_set = again(road.shot, fired.as_set, own, SHOT)
    trimming = again(road.aim, fired.trimming, shot_to_trim, TRIMMING)
    moved = walk([road.chain.trimming], trimming)["delay_correction"]
    return Fired(trimming, as_set, trimmed(road, as_set, moved))


def outputs(fired: Fired, count: int) -> dict[Output, Array]:
    """Return the age and the hit (1 or 0) of each frame, (n,), both ways."""
    found: dict[Output, Array] = {}
    for way in WAYS:
        events: Events = getattr(fired, way)
        kept = (events["reason"] == KEEPER).astype(np.float64)
        found[way, AGE] = np.broadcast_to(events["age"], (count, 1))[:, 0]
        found[way, HIT] = np.broadcast_to(kept, (count, 1))[:, 0]
    return found
