"""Keepers gained or lost if a spread is removed, halved or doubled, on the same draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from jitter.answers.ages import Ages, ages
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate, clustered_share, paired_mean
from jitter.answers.ranking import HALVED, REMOVED, Source, compare_block
from jitter.answers.tally import Counter, Tally, count
from jitter.answers.variants import scaled
from jitter.answers.workers import Progress, silent, work_through
from jitter.draws.layout import BLOCK, Block, Layout, blocks
from jitter.errors import MistakeError
from jitter.quantities import Shape
from jitter.trial import Road, fire, open_road

DOUBLED = 2.0


@dataclass(frozen=True)
class Effect:
    """Change of the hit rate if a spread is scaled, one way of setting the delay.

    Attributes
    ----------
    removed, halved
        Mostly gains.
    doubled
        Mostly a loss; None where spreads so wide lead out of the model's reach.
    """

    removed: Estimate
    halved: Estimate
    doubled: Estimate | None


@dataclass(frozen=True)
class Effects:
    """What scaling each spread does to the hit rate.

    Attributes
    ----------
    rates
        Hit rate as it is, both ways.
    ages
        Spreads of the age as set by ruler.
    by_way
        By way, an effect for each spread.
    """

    rates: dict[str, Estimate]
    ages: Ages
    by_way: dict[str, tuple[Effect, ...]]


def _wide(road: Road, found: Sequence[Source]) -> Road | None:
    """Return the road with tables that reach as far as doubled spreads do; None if none can."""
    straying = (source for source in found if source.spread.shape not in (Shape.CHANCE, Shape.TICK))
    keys = [(key, source.level) for source in straying for key in source.keys]
    try:
        wide = open_road(scaled(road.study, keys, DOUBLED), road.chain)
    except MistakeError:
        return None
    return replace(road, fixed=wide.fixed)


def answer_effects(
    road: Road,
    found: Sequence[Source],
    layout: Layout,
    *,
    workers: int | None = None,
    progress: Progress = silent,
) -> Effects:
    """Fire a study again with each of its spreads removed, halved and doubled, on the same draws.

    Parameters
    ----------
    road
        A study, ready to fire.
    found
        Its spreads.
    layout
        Seed, set-ups and shots.
    workers
        Threads; changes no digit.
    progress
        Told of progress.
    """
    wide = _wide(road, found)
    plans = [(road, REMOVED), (road, HALVED), *([(wide, DOUBLED)] if wide is not None else [])]
    window = road.study.window("keeper.age")
    changes = {way: np.zeros((len(plans), len(found), layout.setups), np.int32) for way in WAYS}
    counters = {way: Counter(layout) for way in WAYS}

    def work(block: Block) -> tuple[Block, dict[str, Tally], dict[str, NDArray[np.int32]]]:
        firings = {id(each): fire(each, block) for each, _ in plans}
        firing = firings[id(road)]
        tallies = {way: count(getattr(firing, way), block=block, window=window) for way in WAYS}
        compared = [
            compare_block(each, firings[id(each)], block, source.scaled(factor))
            for each, factor in plans
            for source in found
        ]
        moved = {
            way: np.array([getattr(one, way) for one in compared], np.int32).reshape(
                len(plans), len(found), block.setups
            )
            for way in WAYS
        }
        return block, tallies, moved

    pieces = list(blocks(layout, size=BLOCK // 2))
    for block, tallies, moved in work_through(work, pieces, workers=workers, progress=progress):
        rows = slice(block.first_setup, block.first_setup + block.setups)
        for way in WAYS:
            counters[way].add(block, tallies[way])
            changes[way][:, :, rows] += moved[way]
    seen = {way: counters[way].tally() for way in WAYS}
    return Effects(
        rates={way: clustered_share(seen[way].hits, layout.shots) for way in WAYS},
        ages=ages(seen["as_set"].ages),
        by_way={way: _effects(changes[way] / layout.shots) for way in WAYS},
    )


def _effects(changes: NDArray[np.float64]) -> tuple[Effect, ...]:
    """Return the effect of each spread from its changes of the hit rate (plan, spread, set-up)."""
    made = []
    for place in range(changes.shape[1]):
        removed, halved, *doubled = (paired_mean(rows) for rows in changes[:, place])
        made.append(Effect(removed, halved, doubled[0] if doubled else None))
    return tuple(made)
