"""Whole sessions of a rig that drifts, frame by frame, trimmed once or again and again."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from jitter.answers.workers import Progress, silent, work_through
from jitter.draws.deviates import draw
from jitter.draws.layout import BLOCK, Block, Layout
from jitter.draws.values import values
from jitter.stage import Chain, Events, walk
from jitter.stages.verdict import KEEPER
from jitter.study.study import Study
from jitter.trial import open_road, retrim

MOST_TRIMS = 8
SPACINGS = (8, 4, 2, 1)
"""The delay may be trimmed so many times over a session, at even distances from its start: once
where the distance is eight times the shortest, twice where it is four times."""

Kept = Mapping[int, NDArray[np.int32]]
"""Keepers of each set-up up to and with each frame (s, n), by the frames from one trimming to the
next; 0 where the delay stays as set by ruler."""


def follow(
    study: Study,
    chain: Chain,
    *,
    setups: int,
    workers: int | None = None,
    progress: Progress = silent,
) -> Kept:
    """Fire whole sessions and count their keepers as they come.

    Every trimming of a set-up is read with the same reading errors, which changes no mean and
    makes the frames of a set-up a little more alike than they are.

    Parameters
    ----------
    study
        The rig; ``session.frames`` says how long a session is.
    chain
        The stages of a shot.
    setups
        Set-ups to simulate.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.
    """
    frames = int(study.number("session.frames"))
    road = open_road(study, chain, wanted=("reason",))
    layout = Layout(study.seed, setups, frames)
    shortest = -(-frames // MOST_TRIMS)
    # Each spacing is a multiple of the next, so that ways of trimming share their trimmings.
    spacings = [min(shortest * times, frames) for times in SPACINGS]
    spacings = sorted(set(spacings), reverse=True)
    found = {gap: np.zeros((setups, frames), dtype=np.int32) for gap in (0, *spacings)}

    def kept(events: Events, block: Block) -> NDArray[np.bool_]:
        reason = np.broadcast_to(events["reason"], (block.setups, block.shots))
        flags: NDArray[np.bool_] = reason == KEEPER
        return flags

    def work(block: Block) -> None:
        rows = slice(block.first_setup, block.first_setup + block.setups)
        as_set = walk(road.shot, {**road.fixed, **values(study, draw(study, block))})
        found[0][rows] = kept(as_set, block)
        for start in range(0, frames, shortest):
            flags = kept(retrim(road, block, as_set, trimmed_at=float(start)), block)
            for gap in spacings:
                if start % gap == 0:
                    found[gap][rows, start : start + gap] = flags[:, start : start + gap]

    size = max(1, BLOCK // frames)
    pieces = [
        Block(layout, first, min(size, setups - first), 0, frames)
        for first in range(0, setups, size)
    ]
    for _ in work_through(work, pieces, workers=workers, progress=progress):
        pass
    return {gap: np.cumsum(flags, axis=1, dtype=np.int32) for gap, flags in found.items()}
