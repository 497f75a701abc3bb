"""Plain simulation of one way of setting the delay, its variance and its cost."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import wraps
from typing import Any

import numpy as np

from jitter.answers.run import SHOTS
from jitter.arrays import Array
from jitter.draws.layout import WIDE, Layout, blocks
from jitter.draws.values import draw_values
from jitter.stage import Chain, Stage, walk
from jitter.stages import CHAIN
from jitter.stages.verdict import KEEPER
from jitter.study.study import Study
from jitter.trial import Road, judge, open_road
from tests.benchmark.clock import cpu
from tests.benchmark.effort import Effort


def shares(road: Road, layout: Layout, way: str) -> Array:
    """Return the share of keepers of each set-up, (s,), working one way only."""
    found = []
    for block in blocks(layout, size=WIDE):
        if way == "as_set":
            drawn = draw_values(road.study, block)
            events = walk(road.shot, {**road.fixed, **drawn}, keep=road.wanted)
        else:
            events = judge(road, block).as_trimmed
        kept = np.broadcast_to(events["reason"] == KEEPER, (block.setups, block.shots))
        found.append(kept.mean(axis=1))
    return np.concatenate(found)


class Counted:
    """A chain that counts for how many shots each stage is worked."""

    def __init__(self) -> None:
        self._rows: dict[str, int] = {}
        self.chain = Chain(tuple(self._counting(stage) for stage in CHAIN.stages), CHAIN.trimming)

    def _counting(self, stage: Stage) -> Stage:
        self._rows[stage.name] = 0

        @wraps(stage.work)
        def work(**needs: Any) -> tuple[Any, ...]:
            made = stage.work(**needs)
            arrays = (event for event in made if isinstance(event, np.ndarray))
            self._rows[stage.name] += max(
                (int(np.prod(one.shape[-2:])) for one in arrays), default=0
            )
            return made

        return replace(stage, work=work)

    def taken(self) -> int:
        """Return how many shots were worked since last asked, at the stage worked most often."""
        most = max(self._rows.values())
        self._rows = dict.fromkeys(self._rows, 0)
        return most


@dataclass(frozen=True)
class Plain:
    """What plain simulation of a study costs in one layout.

    Attributes
    ----------
    rate, error
        Hit rate and its standard error.
    variance
        Of the hit rate, times the shots behind it.
    evaluated
        Shots worked for each shot, those to trim among them.
    seconds
        Processor time of each shot.
    """

    rate: float
    error: float
    variance: float
    evaluated: float
    seconds: float

    def shots(self, error: float) -> float:
        """Return how many shots have a standard error."""
        return self.variance / error**2


def plain(study: Study, way: str, effort: Effort, *, shots: int = SHOTS) -> Plain:
    """Return what plain simulation costs with so many shots of each set-up."""
    road = open_road(study, CHAIN, wanted=("reason",))
    layout = Layout(study.seed, effort.shots // shots, shots)
    found = shares(road, layout, way)
    some = replace(layout, setups=max(4096 // shots, 2))
    counted = Counted()
    counting = open_road(study, counted.chain, wanted=("reason",))
    counted.taken()
    shares(counting, some, way)
    variance = float(np.var(found, ddof=1))
    fewer = replace(layout, setups=max(layout.setups // 4, 2))
    taken = cpu({"": lambda: shares(road, fewer, way)}, rounds=effort.rounds)[""]
    return Plain(
        rate=float(found.mean()),
        error=float(np.sqrt(variance / layout.setups)),
        variance=variance * shots,
        evaluated=counted.taken() / (some.setups * shots),
        seconds=taken / (fewer.setups * shots),
    )
