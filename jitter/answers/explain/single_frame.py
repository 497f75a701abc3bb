"""A single frame: which errors would have had to happen for it to look as it does."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from jitter.answers.explain.views import MEASURES, Condition
from jitter.arrays import Array
from jitter.draws.deviates import Deviates
from jitter.draws.layout import Block, Layout
from jitter.quantities import Kind, Level, Quantity, Shape
from jitter.records.log import Frame
from jitter.stage import Chain, Events
from jitter.study.study import Study
from jitter.trial import fire, open_road

SETUPS, SHOTS, ROUNDS = 4096, 8, 8
"""Frames are simulated in so many rounds, until `ENOUGH` look like the one in question."""
ENOUGH, FEWEST = 400, 25
NEAR = 1.5e-3
"""A number read off a frame is matched to within this [m]: three times the error of reading."""
CLEAR = 3.0
"""An error is told of where its mean is so many standard errors from none."""


@dataclass(frozen=True)
class Needed:
    """An error that frames of this look have.

    Attributes
    ----------
    key, level
        The quantity, and when its error is drawn.
    part
        Which drop and which direction; empty where there is one.
    mean
        Of the error over such frames, in its own standard deviations.
    spread
        How it strays among them, in the same unit; 1 for an error that the look tells nothing of.
    """

    key: str
    level: Level
    part: str
    mean: float
    spread: float


@dataclass(frozen=True)
class SingleFrame:
    """What a single frame says.

    Attributes
    ----------
    frame
        Of the log.
    share
        Of simulated frames that look like it; with its numbers, where `by_numbers`.
    matched
        How many of them there are; too few under `FEWEST`.
    by_numbers
        Whether its numbers were matched too.
    needed
        Errors that such frames have, the largest first.
    mishaps
        By key: the share of such frames in which it struck, where it does in any.
    """

    frame: Frame
    share: float
    matched: int
    by_numbers: bool
    needed: tuple[Needed, ...]
    mishaps: dict[str, float]


def explain_frame(study: Study, chain: Chain, frame: Frame, *, way: str) -> SingleFrame:
    """Say which errors would have had to happen for a frame to look as it does.

    Frames are simulated until enough look like it; the mean of each error over them is the
    likeliest combination as far as errors are normal. Errors that cannot be told from none are
    left out.

    Parameters
    ----------
    study
        The rig as described.
    chain
        The stages of a shot.
    frame
        With a verdict.
    way
        As set by ruler or as trimmed.
    """
    told = any(size is not None for size in _sizes(frame))
    found = _explain(study, chain, frame, way, by_numbers=told)
    if told and found.matched < FEWEST:
        return _explain(study, chain, frame, way, by_numbers=False)
    return found


def _sizes(frame: Frame) -> tuple[float | None, ...]:
    return frame.gap, frame.width, frame.side, frame.height


def _explain(
    study: Study, chain: Chain, frame: Frame, way: str, *, by_numbers: bool
) -> SingleFrame:
    rig = Condition(frame.delay, frame.interval, frame.power).applied(study)
    road = open_road(rig, chain, wanted=("look", "reason"))
    errors: dict[tuple[str, Level, str], list[Array]] = {}
    struck: dict[str, list[Array]] = {}
    matched = seen = 0
    for place in range(ROUNDS):
        layout = Layout(study.seed + place, SETUPS, SHOTS)
        firing = fire(road, Block(layout, 0, SETUPS, 0, SHOTS))
        events = getattr(firing, way)
        alike = _alike(events, frame, by_numbers=by_numbers)
        for key, level, part, scores in _scores(rig, firing.deviates):
            errors.setdefault((key, level, part), []).append(
                np.broadcast_to(scores, alike.shape)[alike]
            )
        for key in _chances(rig):
            flags = np.broadcast_to(events[key.replace(".", "_")], alike.shape)
            struck.setdefault(key, []).append(flags[alike])
        matched, seen = matched + int(alike.sum()), seen + alike.size
        if matched >= ENOUGH:
            break
    needed = []
    if matched >= FEWEST:
        for (key, level, part), parts in errors.items():
            scores = np.concatenate(parts)
            mean, spread = float(scores.mean()), float(scores.std())
            if abs(mean) * math.sqrt(len(scores)) > CLEAR * max(spread, 0.5):
                needed.append(Needed(key, level, part, mean, spread))
    mishaps = {key: float(np.concatenate(parts).mean()) for key, parts in struck.items() if matched}
    return SingleFrame(
        frame=frame,
        share=matched / seen,
        matched=matched,
        by_numbers=by_numbers,
        needed=tuple(sorted(needed, key=lambda one: -abs(one.mean))),
        mishaps={key: share for key, share in mishaps.items() if share > 0.0},
    )


def _alike(events: Events, frame: Frame, *, by_numbers: bool) -> Array:
    alike = np.broadcast_to(events["look"] == frame.look, (SETUPS, SHOTS)).copy()
    if by_numbers:
        for name, size in zip(MEASURES, _sizes(frame), strict=False):
            if size is not None:
                alike &= np.abs(np.broadcast_to(events[name], alike.shape) - size) < NEAR
    return alike


def _chances(study: Study) -> tuple[str, ...]:
    return tuple(
        key
        for key, entry in study.entries.items()
        if isinstance(entry.declaration, Quantity) and entry.declaration.kind is Kind.CHANCE
    )


def _scores(study: Study, deviates: Deviates) -> Iterator[tuple[str, Level, str, Array]]:
    """Yield the errors of every source in standard deviations, a part for each drop and way."""
    for level, drawn in ((Level.SETUP, deviates.setup), (Level.SHOT, deviates.shot)):
        for key, deviate in drawn.items():
            declared = study.entries[key].declaration
            if not isinstance(declared, Quantity) or declared.kind is Kind.CHANCE:
                continue
            spread = study.entries[key].setup if level is Level.SETUP else study.entries[key].shot
            scores = (deviate - deviate.mean()) / deviate.std()
            if spread.shape is Shape.NONE and declared.kind is not Kind.TICK:
                continue
            for index in np.ndindex(scores.shape[:-2]):
                yield key, level, _part(declared, level, index), scores[index]


def _part(declared: Quantity, level: Level, index: tuple[int, ...]) -> str:
    words, rest = [], list(index)
    if declared.per_drop and level is Level.SHOT and rest:
        words.append(("first drop", "second drop")[rest.pop(0)])
    if declared.per_axis and rest:
        words.append(("across the view", "towards the camera")[rest.pop(0)])
    return ", ".join(words)
