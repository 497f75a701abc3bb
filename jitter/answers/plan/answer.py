"""The answer to `jitter plan`: frames and time for so many keepers, and the quickest way there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from jitter.answers.hits import WAYS
from jitter.answers.plan.foresight import Foresight, foresee
from jitter.answers.plan.planning import (
    CERTAINTIES,
    SPLITS,
    Costs,
    Manner,
    Need,
    Strategy,
    evening,
    need,
    quickest,
)
from jitter.answers.plan.prospects import frames_if_independent
from jitter.answers.session import drifts
from jitter.answers.warnings import find_warnings
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.stage import Chain
from jitter.study.study import Study
from jitter.trial import nominal_shot

SETUPS, SHOTS = 8192, 64
FEWEST_FOLLOWED, MOST_FOLLOWED = 256, 4096
FOLLOWED_SHOTS = 2**19
"""Where something drifts, so many whole sessions are followed, about so many shots in all."""
LONGER = 20
"""Where an evening is too short, one up to so many times as long is looked at."""


@dataclass(frozen=True)
class PlanAnswer:
    """The answer to `jitter plan`.

    Attributes
    ----------
    study
        The rig.
    layout
        Seed, set-ups and shots of the simulation.
    want
        Keepers wanted.
    sure
        The chance of them that is asked for.
    frames
        Of the evening, over all its set-ups; those shot to trim come on top.
    costs
        Of a frame, a trimming and a set-up.
    moving
        Whether something drifts, so that set-ups were followed frame by frame.
    foresight
        What the simulation tells of a set-up, both ways.
    independent
        Frames that would do if no two were alike, both ways; None beyond the evening.
    strategies
        Every manner compared.
    best
        The quickest; None where none reaches the certainty in the evening.
    beyond
        Where none does: the quickest in a longer evening and what it takes, if there is one.
    warnings
        Where the model or the study is out of its depth.
    """

    study: Study
    layout: Layout
    want: int
    sure: float
    frames: int
    costs: Costs
    moving: bool
    foresight: dict[str, Foresight]
    independent: dict[str, int | None]
    strategies: tuple[Strategy, ...]
    best: Strategy | None
    beyond: tuple[Manner, Need] | None
    warnings: tuple[str, ...]

    @property
    def surest(self) -> Strategy:
        """The strategy whose whole evening is most likely to give enough keepers."""
        return max(self.strategies, key=lambda one: (one.evening.chance, -one.manner.setups))

    def quickest_with(self, way: str, setups: int) -> Strategy | None:
        """Return the quickest strategy of a way with so many set-ups, if one reaches."""
        return quickest(
            [one for one in self.strategies if (one.manner.way, one.manner.setups) == (way, setups)]
        )


def answer_plan(
    study: Study,
    chain: Chain,
    *,
    want: int,
    sure: float,
    setup_time: float,
    setups: int | None = None,
    shots: int = SHOTS,
    workers: int | None = None,
    progress: Progress = silent,
) -> PlanAnswer:
    """Say how many frames and how much time so many keepers take.

    Parameters
    ----------
    study
        The rig; ``session.frames`` is the evening, ``session.cadence`` the time of a frame.
    chain
        The stages of a shot.
    want
        Keepers wanted.
    sure
        The chance of them that is asked for, below 1.
    setup_time
        Of setting up the rig once [s].
    setups
        Set-ups to simulate.
    shots
        Shots of each, 2 or more; where something drifts they are the frames of the evening.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.
    """
    frames = int(study.number("session.frames"))
    moving = drifts(study)
    if moving:
        number = int(np.clip(FOLLOWED_SHOTS // frames, FEWEST_FOLLOWED, MOST_FOLLOWED))
        layout = Layout(study.seed, setups or number, frames)
    else:
        layout = Layout(study.seed, setups or SETUPS, shots)
    seen = foresee(study, chain, layout, moving=moving, workers=workers, progress=progress)
    costs = Costs(study.number("session.cadence"), int(study.number("trim.frames")), setup_time)

    def take(manner: Manner, certainty: float, most: int) -> Need | None:
        prospect = seen[manner.way].prospects[manner.every]
        return need(prospect, manner, costs, want=want, sure=certainty, frames=most)

    def strategy(manner: Manner) -> Strategy:
        foresight, asked = seen[manner.way], take(manner, sure, frames)
        return Strategy(
            manner=manner,
            table=tuple(take(manner, certainty, frames) for certainty in CERTAINTIES),
            asked=asked,
            chance=None if asked is None else foresight.chance(manner.every, asked.shared, want),
            evening=evening(foresight.prospects[manner.every], manner, want=want, frames=frames),
        )

    manners = [
        Manner(way, number, every)
        for way in WAYS
        for number in SPLITS
        if number <= frames
        for every in seen[way].prospects
    ]
    strategies = tuple(one for manner in manners if (one := strategy(manner)).differs)
    best = quickest(strategies)
    beyond = []
    if best is None and not moving:
        longer = [(manner, take(manner, sure, LONGER * frames)) for manner in manners]
        beyond = [(manner, one) for manner, one in longer if one is not None]
    return PlanAnswer(
        study=study,
        layout=layout,
        want=want,
        sure=sure,
        frames=frames,
        costs=costs,
        moving=moving,
        foresight=seen,
        independent={
            way: frames_if_independent(seen[way].rate.value, want=want, sure=sure, most=frames)
            for way in WAYS
        },
        strategies=strategies,
        best=best,
        beyond=min(beyond, key=lambda found: found[1].time) if beyond else None,
        warnings=find_warnings(study, nominal_shot(study, chain)),
    )
