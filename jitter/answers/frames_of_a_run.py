"""Which frames of a run are drawn: some at random, one for each reason, three by their age."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from jitter.answers.counter import NEVER
from jitter.answers.scenes import Scene, scene
from jitter.answers.typical import middle_frame
from jitter.arrays import Array
from jitter.draws.deviates import draw
from jitter.draws.layout import CELL, Block, Layout
from jitter.draws.streams import Streams
from jitter.draws.values import values
from jitter.stage import Events, walk
from jitter.stages.verdict import KEEPER
from jitter.trial import Road

AT_RANDOM = 24
"""Frames of the contact sheet: two films of a dozen, and four rows of six."""
LOOKED_AT = 32768
"""At most so many frames of a run are gone through for what they show."""
PIECES = 16
"""Long set-ups are gone through in so many stretches, spread over set-ups and frame numbers."""
PERCENTILES = (10, 50, 90)
STREAM = "frames to be drawn"


@dataclass(frozen=True)
class Frame:
    """A frame of a run.

    Attributes
    ----------
    setup, shot
        Where it stands in the run, counted from 1.
    reason
        Index into `jitter.stages.verdict.REASONS`, or `KEEPER`.
    scene
        What the camera sees.
    """

    setup: int
    shot: int
    reason: int
    scene: Scene

    @property
    def keeper(self) -> bool:
        """Whether it is one."""
        return self.reason == KEEPER


@dataclass(frozen=True)
class FramesOfARun:
    """Frames of a run that are drawn, the delay as set by ruler.

    Attributes
    ----------
    looked_at
        Frames that were gone through.
    setups
        Set-ups that they belong to.
    at_random
        Drawn by the study's seed from those gone through, in the order of the run.
    missed
        By reason, for each that lost a frame of the run: the frame nearest to the middle of its
        kind.
    by_age
        By percentile: the frame there in the order of the ages; empty where none has an age.
    """

    looked_at: int
    setups: int
    at_random: tuple[Frame, ...]
    missed: Mapping[int, Frame]
    by_age: Mapping[int, Frame]


@dataclass(frozen=True, eq=False)
class _Seen:
    """A block of shots and what the camera sees of them."""

    block: Block
    events: Events

    @cached_property
    def reasons(self) -> NDArray[np.uint8]:
        shape = (self.block.setups, self.block.shots)
        return np.broadcast_to(self.events["reason"], shape)

    @cached_property
    def ages(self) -> Array:
        shape = (self.block.setups, self.block.shots)
        return np.broadcast_to(self.events["age"], shape)

    def frame(self, row: int, column: int) -> Frame:
        return Frame(
            setup=self.block.first_setup + row + 1,
            shot=self.block.first_shot + column + 1,
            reason=int(self.reasons[row, column]),
            scene=scene(self.events, (row, column)),
        )

    def typical(self, reason: int) -> Frame:
        return self.frame(*middle_frame(self.events, self.reasons == reason))


def choose_frames(road: Road, layout: Layout, first: Sequence[int]) -> FramesOfARun:
    """Choose the frames of a run that are drawn, the delay as set by ruler.

    Of the run's own draws some are gone through, see `stretches`; they stand for all, since set-ups
    do not know of each other. A reason that none of them has is looked for in the first set-up of
    the run that has it.

    Parameters
    ----------
    road
        The study, ready to fire.
    layout
        Of the run.
    first
        First set-up of the run with a frame of each reason, the delay as set by ruler; `NEVER`
        where there is none.

    Returns
    -------
    FramesOfARun
    """
    road = replace(road, shot=road.chain.towards(("look",)))
    seen = [_see(road, block) for block in stretches(layout)]
    ages = np.concatenate([part.ages.ravel() for part in seen])
    return FramesOfARun(
        looked_at=len(ages),
        setups=len(
            {part.block.first_setup + row for part in seen for row in range(len(part.ages))}
        ),
        at_random=tuple(_at(seen, place) for place in places_drawn(layout.seed, len(ages))),
        missed={
            reason: _typical(road, seen, reason, first[reason])
            for reason in range(KEEPER)
            if first[reason] != NEVER
        },
        by_age={percent: _at(seen, place) for percent, place in _ordered(ages).items()},
    )


def stretches(layout: Layout) -> tuple[Block, ...]:
    """Return the shots of a run that are gone through, `LOOKED_AT` at most.

    Whole set-ups, the first ones. Set-ups so long that few would have room give a stretch each, the
    first an early one and the last a late one, since their frames may drift.

    Parameters
    ----------
    layout
        Of the run.

    Examples
    --------
    >>> [(block.setups, block.shots) for block in stretches(Layout(seed=1, setups=4096, shots=32))]
    [(1024, 32)]
    """
    longest = LOOKED_AT // PIECES
    if layout.shots <= longest:
        setups = min(layout.setups, LOOKED_AT // layout.shots)
        return (Block(layout, 0, setups, 0, layout.shots),)
    return tuple(
        Block(
            layout,
            piece * layout.setups // PIECES,
            1,
            piece * layout.shots // PIECES,
            min(layout.shots // PIECES, longest),
        )
        for piece in range(PIECES)
    )


def _see(road: Road, block: Block) -> _Seen:
    study = road.study
    return _Seen(block, walk(road.shot, {**road.fixed, **values(study, draw(study, block))}))


def _at(seen: Sequence[_Seen], place: int) -> Frame:
    """Return the frame at a place among all that were gone through."""
    for part in seen:
        if place < part.ages.size:
            row, column = divmod(place, part.block.shots)
            return part.frame(row, column)
        place -= part.ages.size
    raise IndexError(place)


def places_drawn(seed: int, frames: int) -> list[int]:
    """Return the places of frames drawn at random without putting back, in order.

    Parameters
    ----------
    seed
        Of the study; the stream is one of its own, so that no other draw changes.
    frames
        To draw from.

    Returns
    -------
    list
        `AT_RANDOM` places, or all where there are fewer.
    """
    numbers = np.empty((1, frames))
    Streams(seed).fill(numbers, STREAM, first=0)
    return sorted(np.argsort(numbers[0], kind="stable")[:AT_RANDOM].tolist())


def _ordered(ages: Array) -> dict[int, int]:
    """Return the places of the frames at the percentiles of the age."""
    order = np.argsort(ages, kind="stable")[: np.count_nonzero(~np.isnan(ages))]
    last = len(order) - 1
    return {
        percent: int(order[round(0.01 * percent * last)]) for percent in PERCENTILES if last >= 0
    }


def _typical(road: Road, seen: Sequence[_Seen], reason: int, setup: int) -> Frame:
    """Return the typical frame of a reason; a set-up is known to have one."""
    most = max(seen, key=lambda part: np.count_nonzero(part.reasons == reason))
    if (most.reasons == reason).any():
        return most.typical(reason)
    layout = most.block.layout
    for first in range(0, layout.shots, CELL):
        cell = _see(road, Block(layout, setup, 1, first, min(CELL, layout.shots - first)))
        if (cell.reasons == reason).any():
            return cell.typical(reason)
    raise ValueError("the counts are those of another run")
