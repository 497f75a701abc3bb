"""Logs made by simulation, so that it is known what is wrong with the rig behind them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from jitter.answers.explain.law import READING, SLIP
from jitter.answers.explain.views import MEASURES, Views
from jitter.draws.layout import Block, Layout
from jitter.records.log import Frame, Log
from jitter.stages import CHAIN
from jitter.stages.look import LOOKS
from jitter.study.study import Study
from jitter.trial import fire, open_road

ALL = (True, True, True, True, False)
"""Gap, width, offset and height were measured, as a log can tell them."""
NONE = (False,) * len(MEASURES)


def shot(study: Study, *, seed: int, setups: int, frames: int, way: str = "as_set") -> Views:
    """Return what cameras see of a rig, not of what is drawn in its place."""
    road = open_road(study, CHAIN, wanted=("look", "reason"))
    events = getattr(fire(road, Block(Layout(seed, setups, frames), 0, setups, 0, frames)), way)
    size = (setups, frames)
    measures = np.stack([np.broadcast_to(events[name], size) for name in MEASURES])
    return Views(np.broadcast_to(events["look"], size), measures)


def written(
    views: Views,
    setups: Sequence[int],
    *,
    measured: Sequence[bool] = NONE,
    slips: np.random.Generator | None = None,
    delay: float | None = None,
) -> Log:
    """Return a log of some set-ups, as a person who slips and misreads writes it where told to."""
    frames: list[Frame] = []
    for setup in setups:
        for place, seen in enumerate(views.look[setup]):
            look, sizes = int(seen), views.measures[:4, setup, place].copy()
            if slips is not None:
                look = int(slips.integers(len(LOOKS))) if slips.random() < SLIP else look
                sizes += slips.normal(0.0, READING, len(sizes))
            told = [
                float(size) if wanted and not np.isnan(size) else None
                for size, wanted in zip(sizes, measured, strict=False)
            ]
            frames.append(frame(2 + len(frames), look, str(setup), *told, delay=delay))
    return Log(tuple(frames), "made.csv", ())


def frame(
    line: int,
    look: int | None,
    setup: str = "",
    gap: float | None = None,
    width: float | None = None,
    side: float | None = None,
    height: float | None = None,
    *,
    delay: float | None = None,
) -> Frame:
    """Return a frame of a log."""
    return Frame(
        line=line,
        number=line - 1,
        look=look,
        setup=setup,
        delay=delay,
        interval=None,
        power=None,
        gap=gap,
        width=width,
        side=side,
        height=height,
        time="",
        remarks="",
    )


def made(
    study: Study,
    *,
    seed: int,
    frames: int,
    setups: int = 1,
    measured: Sequence[bool] = NONE,
    delay: float | None = None,
) -> Log:
    """Return the log of a rig, written without slips."""
    views = shot(study, seed=seed, setups=setups, frames=frames)
    return written(views, range(setups), measured=measured, delay=delay)
