"""What cameras would have seen: looks and measures of simulated frames, set-up by set-up."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from jitter.answers.explain.suspects import Rig
from jitter.answers.variants import with_values
from jitter.answers.what_ifs import again, open_wide, widest
from jitter.answers.workers import Progress, silent, work_through
from jitter.arrays import Array, Codes
from jitter.draws.layout import Block, Layout
from jitter.quantities import Quantity
from jitter.records.log import Frame, Log
from jitter.stage import Chain
from jitter.stages.look import LOOKS
from jitter.study.study import Entry, Study
from jitter.trial import fire

MEASURES = ("gap", "sheet_width", "side", "meeting_height", "drop_height")
"""Events that frames may give as numbers; in a log the first four: gap, width, offset, height."""
Kept = TypeVar("Kept")
SETTINGS = ("timer.delay", "valve.interval", "flash.power")


@dataclass(frozen=True)
class Condition:
    """What a frame was shot with.

    Attributes
    ----------
    delay, interval, power
        None where the log does not say, so that the study's counts [s, s, 1].
    """

    delay: float | None = None
    interval: float | None = None
    power: float | None = None

    def under(self, rig: Rig) -> Rig:
        """Return a rig so set."""
        return replace(rig, study=self.applied(rig.study))

    def applied(self, study: Study) -> Study:
        """Return a study so set."""
        told = zip(SETTINGS, (self.delay, self.interval, self.power), strict=True)
        values = {key: value for key, value in told if value is not None}
        return with_values(study, dict(values)) if values else study


@dataclass(frozen=True)
class Views:
    """Simulated frames of one rig under one condition.

    Attributes
    ----------
    look : array (s, n) of codes
    measures : array (5, s, n) [m]
        In the order of `MEASURES`; NaN where a frame has none.
    """

    look: Codes
    measures: Array


def conditions(log: Log) -> tuple[Condition, ...]:
    """Return the conditions of a log's frames, each once."""
    return tuple(dict.fromkeys(map(condition_of, log.frames)))


def condition_of(frame: Frame) -> Condition:
    """Return what a frame was shot with."""
    return Condition(frame.delay, frame.interval, frame.power)


def view(
    study: Study,
    chain: Chain,
    rigs: Sequence[Rig],
    layout: Layout,
    keep: Callable[[Views], Kept],
    *,
    way: str,
    workers: int | None = None,
    progress: Progress = silent,
) -> list[Kept]:
    """Return what is to be kept of what cameras would have seen of each rig, on the same draws.

    Parameters
    ----------
    study
        The rig, from `jitter.answers.explain.suspects.drawable`.
    chain
        The stages of a shot.
    rigs
        The rig with a suspect to blame, or under a condition.
    layout
        Seed, set-ups and shots, few enough to be worked at once.
    keep
        Takes the frames of a rig.
    way
        As set by ruler or as trimmed.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.

    Raises
    ------
    MistakeError
        If a rig's values reach too far for a stage.
    """
    variants = [rig.study for rig in rigs]
    reach = widest(study, _changed(study, variants), [study, *variants])
    road = open_wide(study, chain, widest=reach, wanted=("look", "reason"))
    firing = fire(road, Block(layout, 0, layout.setups, 0, layout.shots))
    shape = (layout.setups, layout.shots)

    def work(rig: Rig) -> Kept:
        events = getattr(again(road, firing, rig.study, rig.scales), way)
        looks = np.broadcast_to(events["look"], shape)
        measures = np.stack([np.broadcast_to(events[name], shape) for name in MEASURES])
        return keep(Views(looks, measures))

    return list(work_through(work, rigs, workers=workers, progress=progress))


def _changed(study: Study, variants: Iterable[Study]) -> tuple[str, ...]:
    """Return the numbers in which variants differ from a study and reach further."""
    return tuple(
        dict.fromkeys(
            key
            for one in variants
            for key, entry in one.entries.items()
            if entry is not study.entries[key] and _reaches(entry)
        )
    )


def _reaches(entry: Entry) -> bool:
    declared = entry.declaration
    return isinstance(declared, Quantity) and declared.strays and entry.nominal is not None


def count_looks(look: Codes) -> Array:
    """Return how many frames of each set-up have each look, (s, 14)."""
    rows = np.arange(len(look))[:, None] * len(LOOKS)
    counted = np.bincount((look + rows).ravel(), minlength=len(look) * len(LOOKS))
    return counted.reshape(len(look), len(LOOKS)).astype(np.float64)
