"""Many what-ifs of one study on the same draws: each block is fired once for all of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from jitter.answers.hits import WAYS, Hits
from jitter.answers.tally import count_reasons
from jitter.answers.variants import with_spread
from jitter.answers.workers import Progress, silent, work_through
from jitter.draws.deviates import frames
from jitter.draws.layout import CELL, Block, Layout, blocks
from jitter.draws.values import UNSCALED, Scales, entry_reach
from jitter.quantities import Level, Shape, Spread
from jitter.stage import Chain
from jitter.stages.verdict import KEEPER
from jitter.study.study import Study
from jitter.trial import Firing, Road, fire, open_road, refire

Tables = tuple[NDArray[np.int32], ...]


def widest(study: Study, keys: Iterable[str], what_ifs: Sequence[Study]) -> Study:
    """Return a study in which some values reach as far as in any of its what-ifs.

    Parameters
    ----------
    study
        The rig.
    keys
        The numbers in which the what-ifs differ.
    what_ifs
        The extreme ones are enough.
    """
    made = study
    for key in keys:
        nominal = study.number(key)
        ends = [entry_reach(one.entries[key], frames=frames(study)) for one in what_ifs]
        size = max(max(nominal - low, high - nominal) for low, high in ends)
        made = with_spread(made, [key], Level.SETUP, Spread(Shape.RECTANGULAR, size))
    return made


def open_wide(
    study: Study, chain: Chain, *, widest: Study, wanted: Iterable[str] = ("reason",)
) -> Road:
    """Prepare a study and all what-ifs whose values stay within the reach of the widest one.

    Parameters
    ----------
    study
        What is drawn: every what-if has its shapes of spreads, of any size.
    chain
        The stages of a shot.
    widest
        The same study with values that reach as far as in any what-if.
    wanted
        Events that the answer asks for.

    Raises
    ------
    MistakeError
        If that is too far for a stage.
    """
    return replace(open_road(widest, chain, wanted=wanted), study=study)


def count_what_ifs(
    road: Road,
    what_ifs: Sequence[Study],
    layout: Layout,
    *,
    workers: int | None = None,
    progress: Progress = silent,
) -> list[Hits]:
    """Count each set-up's frames by reason in every what-if.

    The same numbers as firing each by itself, but for the fall's table, which is made for all of
    them and may be some microseconds off otherwise; ten times as quick, since only the stages that
    a what-if touches are worked again.

    Parameters
    ----------
    road
        From `open_wide`.
    what_ifs
        Variants of the road's study.
    layout
        Seed, set-ups and shots.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.
    """
    shape = (layout.setups, KEEPER + 1)
    found = [{way: np.zeros(shape, dtype=np.int32) for way in WAYS} for _ in range(len(what_ifs))]

    def work(block: Block) -> tuple[Block, list[Tables]]:
        firing = fire(road, block)
        return block, [_count(again(road, firing, what_if), block) for what_if in what_ifs]

    pieces = list(blocks(layout, size=CELL))
    for block, tables in work_through(work, pieces, workers=workers, progress=progress):
        rows = slice(block.first_setup, block.first_setup + block.setups)
        for sums, pair in zip(found, tables, strict=True):
            for way, table in zip(WAYS, pair, strict=True):
                sums[way][rows] += table
    return [Hits(layout.shots, *(sums[way] for way in WAYS)) for sums in found]


def again(road: Road, firing: Firing, what_if: Study, scales: Scales = UNSCALED) -> Firing:
    """Fire the same draws again with another study; only what differs is worked again.

    Parameters
    ----------
    road
        From `open_wide`.
    firing
        A block as the road's study was fired.
    what_if
        A variant of that study.
    scales
        Factors on its spreads.
    """
    drawn = road.study.entries
    changed = [key for key, entry in what_if.entries.items() if entry is not drawn[key]]
    # A factor of 1 on what differs: its own nominal, offset and spreads count.
    differing: Scales = {(key, Level.SHOT): 1.0 for key in changed}
    return refire(replace(road, study=what_if), firing, {**differing, **scales})


def _count(firing: Firing, block: Block) -> Tables:
    return tuple(count_reasons(getattr(firing, way), block=block) for way in WAYS)
