"""The spread of the age as set by ruler, simulated."""

from __future__ import annotations

import numpy as np

from jitter.answers.ages import Ages, AgeSums, ages, sum_ages
from jitter.answers.workers import work_through
from jitter.draws.layout import Block, Layout, blocks
from jitter.draws.values import draw, values
from jitter.stage import walk
from jitter.trial import Road


def simulate_ages(road: Road, layout: Layout, *, workers: int | None = None) -> Ages:
    """Return the mean and the spreads of the age of shots as set by ruler.

    Parameters
    ----------
    road
        A study, ready to fire.
    layout
        Seed, set-ups and shots.
    workers
        Threads; changes no digit.
    """
    count = np.zeros(layout.setups, dtype=np.int64)
    total, square = np.zeros(layout.setups), np.zeros(layout.setups)

    def work(block: Block) -> tuple[Block, AgeSums]:
        drawn = values(road.study, draw(road.study, block))
        age = walk(road.aim, {**road.fixed, **drawn})["age"]
        return block, sum_ages(np.broadcast_to(age, (block.setups, block.shots)))

    for block, sums in work_through(work, list(blocks(layout)), workers=workers):
        mine = slice(block.first_setup, block.first_setup + block.setups)
        count[mine] += sums.count
        total[mine] += sums.total
        square[mine] += sums.square
    return ages(AgeSums(count, total, square))
