"""The road, walked once: a study and a block of shots become events and verdicts.

study -> deviates -> values -> events -> verdicts
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from jitter.draws.deviates import Deviates, draw
from jitter.draws.layout import Block
from jitter.draws.values import (
    UNSCALED,
    Scales,
    draw_values,
    fixed_values,
    reaches,
    value,
    values,
)
from jitter.errors import Fault, MistakeError
from jitter.quantities import argument
from jitter.stage import Chain, Events, Stage, UnpreparedError, downstream, walk
from jitter.study.study import Study

CORRECTION = "delay_correction"
"""The event by which trimming changes a shot."""


@dataclass(frozen=True, eq=False)
class Road:
    """A study with its stages, ready to fire; like no other, so that plans may be kept for it.

    Attributes
    ----------
    study
        What is fired.
    chain
        All stages.
    shot
        The stages that the wanted events need.
    aim
        The stages that the age of a trimming frame needs.
    fixed
        Values that no draw changes, and the tables that stages prepared.
    wanted
        The wanted events.
    """

    study: Study
    chain: Chain
    shot: tuple[Stage, ...]
    aim: tuple[Stage, ...]
    fixed: Mapping[str, Any]
    wanted: frozenset[str]


def open_road(study: Study, chain: Chain, *, wanted: Iterable[str] = ("age", "reason")) -> Road:
    """Prepare a study for firing.

    Parameters
    ----------
    study
        What to fire.
    chain
        The stages of a shot.
    wanted
        Events that the answer asks for; stages that none of them needs are left out.

    Returns
    -------
    Road

    Raises
    ------
    MistakeError
        If its values reach too far for a stage.
    """
    ends, tables = reaches(study), {}
    for stage in chain.stages:
        if stage.prepare is None:
            continue
        try:
            tables[stage.table] = stage.prepare(ends)
        except UnpreparedError as far:
            fault = Fault(study.source, None, f"the {stage.name}", far.wrong, far.right)
            raise MistakeError([fault]) from None
    fixed = fixed_values(study) | tables
    fixed |= chain.nominals(fixed)
    names = frozenset(wanted)
    return Road(study, chain, chain.towards(names), chain.towards(("age",)), fixed, names)


@dataclass(frozen=True)
class Firing:
    """A block of shots, fired both ways.

    Attributes
    ----------
    deviates, trimming_deviates
        What was drawn for the shots and for the trimming frames.
    trimming
        Events of the trimming frames.
    as_set
        Events of the shots with the delay as set by ruler.
    as_trimmed
        Events of the same shots with the delay trimmed.
    """

    deviates: Deviates
    trimming_deviates: Deviates
    trimming: Events
    as_set: Events
    as_trimmed: Events


def fire(road: Road, block: Block, scales: Scales = UNSCALED) -> Firing:
    """Fire a block of shots, as set by ruler and as trimmed.

    Parameters
    ----------
    road
        A study, ready to fire.
    block
        Which set-ups and shots.
    scales
        What-if factors on spreads.

    Returns
    -------
    Firing
    """
    trimming_deviates = draw(road.study, block, trimming=True)
    deviates = draw(road.study, block)
    trimming = walk(road.aim, {**road.fixed, **values(road.study, trimming_deviates, scales)})
    as_set = walk(road.shot, {**road.fixed, **values(road.study, deviates, scales)})
    trimmed = _trimmed(road, as_set, trimming)
    return Firing(deviates, trimming_deviates, trimming, as_set, trimmed)


@dataclass(frozen=True)
class Outcome:
    """What came of a block of shots, both ways: the events that the road was opened for.

    Attributes
    ----------
    as_set
        With the delay as set by ruler.
    as_trimmed
        Of the same shots with the delay trimmed.
    """

    as_set: Events
    as_trimmed: Events


def judge(road: Road, block: Block) -> Outcome:
    """Fire a block of shots both ways, as `fire` does, and keep what is wanted and nothing else.

    Parameters
    ----------
    road
        A study, ready to fire.
    block
        Which set-ups and shots.
    """
    study = road.study
    seen = walk(
        road.aim,
        {**road.fixed, **draw_values(study, block, trimming=True)},
        keep=road.chain.trimming.needs,
    )
    corrected = {CORRECTION: walk([road.chain.trimming], seen)[CORRECTION]}
    again = downstream(road.shot, corrected)
    both = road.wanted.union(*(stage.needs for stage in again))
    as_set = walk(road.shot, {**road.fixed, **draw_values(study, block)}, keep=both)
    trimmed = walk(again, as_set | corrected, keep=road.wanted)
    return Outcome({name: as_set[name] for name in road.wanted}, trimmed)


def retrim(road: Road, block: Block, as_set: Events, *, trimmed_at: float) -> Events:
    """Return the events of a block of shots whose delay is trimmed within the session.

    Parameters
    ----------
    road
        The study.
    block
        Which set-ups and shots.
    as_set
        Events of the shots with the delay as set by ruler.
    trimmed_at
        Frames of the set-up that were shot before the trimming.
    """
    deviates = draw(road.study, block, trimming=True, trimmed_at=trimmed_at)
    trimming = walk(road.aim, {**road.fixed, **values(road.study, deviates)})
    return _trimmed(road, as_set, trimming)


def _trimmed(road: Road, as_set: Events, trimming: Events) -> Events:
    moved = walk([road.chain.trimming], trimming)
    return walk(road.shot, as_set | {CORRECTION: moved[CORRECTION]}, {CORRECTION})


def refire(road: Road, firing: Firing, scales: Scales) -> Firing:
    """Fire the same draws again with some spreads scaled.

    Only what the scaled spreads touch is worked again.

    Parameters
    ----------
    road
        The study.
    firing
        The block as it was fired unscaled.
    scales
        What-if factors on spreads.

    Returns
    -------
    Firing
    """
    keys = {key for key, _ in scales}
    changed = {argument(key) for key in keys}

    def again(stages: Iterable[Stage], events: Events, deviates: Deviates) -> Events:
        new = {argument(key): value(road.study, key, deviates, scales) for key in keys}
        return walk(stages, events | new, changed)

    trimming = again(road.aim, firing.trimming, firing.trimming_deviates)
    as_set = again(road.shot, firing.as_set, firing.deviates)
    trimmed = _trimmed(road, as_set, trimming)
    return Firing(firing.deviates, firing.trimming_deviates, trimming, as_set, trimmed)


def single(events: Events, name: str) -> float:
    """Return an event of a single shot as a plain number."""
    return float(np.asarray(events[name]).item())


def nominal_shot(study: Study, chain: Chain) -> Events:
    """Return the events of the one shot in which nothing strays.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot; all of them are walked.

    Returns
    -------
    Events
        Arrays (1, 1).
    """
    return walk(chain.stages, dict(open_road(study, chain).fixed))
