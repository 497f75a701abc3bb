"""The main question: which share of the frames are keepers, why not the rest, what costs most."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jitter.answers.ages import Ages, spreads
from jitter.answers.by_setup import BySetup, by_setup
from jitter.answers.counter import Count, Counter
from jitter.answers.frames_of_a_run import FramesOfARun, choose_frames
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import (
    HALVED,
    REMOVED,
    Comparison,
    Rank,
    Source,
    compare_block,
    join,
    rank,
    sources,
)
from jitter.answers.session import SessionAnswer, answer_session, drifts
from jitter.answers.tally import Tally, count
from jitter.answers.warnings import find_warnings
from jitter.answers.workers import Progress, silent, work_through
from jitter.draws.layout import CELL, WIDE, Block, Layout, blocks
from jitter.stage import Chain, Events
from jitter.stages.verdict import KEEPER, REASONS
from jitter.study.study import Study
from jitter.trial import Firing, Outcome, Road, fire, judge, nominal_shot, open_road

SETUPS = 4096
SHOTS = 32
"""They leave half a percentage point of doubt, and less, about the default rig's hit rate."""
RANKED_SHOTS, RANKED_BLOCK = 65536, 32768
"""About so many shots are fired again for each what-if of the ranking, so many at once."""


@dataclass(frozen=True)
class Way:
    """The answer for one way of setting the delay.

    Attributes
    ----------
    hit_rate
        Share of keepers.
    by_setup
        Hit rate of a bad, a middling and a good set-up.
    reasons
        Share of the frames by reason, in causal order.
    ages
        Mean and spreads of the age.
    histogram : array (2, bins)
        Frames by age: other frames, keepers.
    """

    hit_rate: Estimate
    by_setup: BySetup
    reasons: dict[str, Estimate]
    ages: Ages
    histogram: NDArray[np.int64]


@dataclass(frozen=True)
class RunAnswer:
    """The answer to `jitter run`.

    Attributes
    ----------
    study
        What was fired.
    layout
        Seed, set-ups and shots.
    as_set, as_trimmed
        The answer both ways.
    ranking
        What each spread costs, the costliest first.
    ranked_setups
        Set-ups, the first ones, on which the ranking rests.
    nominal
        Events of the shot in which nothing strays.
    frames
        Some of its frames, to be drawn; None for a chain that does not say what a camera sees.
    session
        Keepers by frame number, where anything drifts.
    warnings
        Where the model or the study is out of its depth, and what that means.
    """

    study: Study
    layout: Layout
    as_set: Way
    as_trimmed: Way
    ranking: tuple[Rank, ...]
    ranked_setups: int
    nominal: Events
    frames: FramesOfARun | None
    session: SessionAnswer | None
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class _Piece:
    block: Block
    as_set: Tally
    as_trimmed: Tally
    what_ifs: tuple[Comparison, ...]


def _work(road: Road, block: Block) -> _Piece:
    return _piece(road, block, judge(road, block), ())


def _work_and_rank(road: Road, block: Block, found: tuple[Source, ...]) -> _Piece:
    firing = fire(road, block)
    what_ifs = tuple(
        compare_block(road, firing, block, source.scaled(factor))
        for factor in (REMOVED, HALVED)
        for source in found
    )
    return _piece(road, block, firing, what_ifs)


def _piece(
    road: Road, block: Block, firing: Firing | Outcome, what_ifs: tuple[Comparison, ...]
) -> _Piece:
    window = road.study.window("keeper.age")
    return _Piece(
        block,
        count(firing.as_set, block=block, window=window),
        count(firing.as_trimmed, block=block, window=window),
        what_ifs,
    )


def _way(count: Count) -> Way:
    return Way(
        hit_rate=count.share(KEEPER),
        by_setup=by_setup(count.hits, count.seen, count.layout.shots),
        reasons={reason: count.share(place) for place, reason in enumerate(REASONS)},
        ages=spreads(count.ages),
        histogram=count.histogram,
    )


def answer_run(
    study: Study,
    chain: Chain,
    *,
    setups: int = SETUPS,
    shots: int = SHOTS,
    block_size: int = WIDE,
    workers: int | None = None,
    progress: Progress = silent,
) -> RunAnswer:
    """Answer the main question about a study.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    setups, shots
        Set-ups, at least 2, and shots of each.
    block_size
        Shots worked through at once; changes the speed, not a digit of the answer.
    workers
        Threads; likewise.
    progress
        Told of progress.

    Returns
    -------
    RunAnswer
    """
    road = open_road(study, chain)
    layout = Layout(study.seed, setups, shots)
    found = sources(study)
    # A long set-up is cut into cells; the ranking looks at the first cell of each.
    ranked_shots = min(shots, CELL)
    ranked_setups = min(setups, max(2, math.ceil(RANKED_SHOTS / ranked_shots)))

    def work(block: Block) -> _Piece:
        if block.first_setup < ranked_setups and block.first_shot == 0:
            return _work_and_rank(road, block, found)
        return _work(road, block)

    counters = (Counter(layout), Counter(layout))
    compared: list[_Piece] = []
    pieces = [
        *blocks(layout, size=min(block_size, RANKED_BLOCK), end=ranked_setups),
        *blocks(layout, size=block_size, first=ranked_setups),
    ]
    for piece in work_through(work, pieces, workers=workers, progress=progress):
        counters[0].add(piece.block, piece.as_set)
        counters[1].add(piece.block, piece.as_trimmed)
        if piece.what_ifs:
            compared.append(piece)
    as_set, as_trimmed = (counter.total() for counter in counters)
    what_ifs = [
        join(parts, setups=ranked_setups)
        for parts in zip(*(piece.what_ifs for piece in compared), strict=True)
    ]
    nominal = nominal_shot(study, chain)
    return RunAnswer(
        study=study,
        layout=layout,
        as_set=_way(as_set),
        as_trimmed=_way(as_trimmed),
        ranking=rank(found, what_ifs[: len(found)], what_ifs[len(found) :], shots=ranked_shots),
        ranked_setups=ranked_setups,
        nominal=nominal,
        frames=choose_frames(road, layout, as_set.first) if chain.towards(("look",)) else None,
        session=answer_session(road) if drifts(study) else None,
        warnings=find_warnings(study, nominal),
    )
