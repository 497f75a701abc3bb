"""The spread of the age as set by ruler, simulated."""

from __future__ import annotations

import numpy as np

from jitter.answers.ages import Ages, AgeSums, AgeTotals, spreads, sum_ages
from jitter.answers.cells import Cells
from jitter.answers.workers import work_through
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout, blocks
from jitter.draws.values import values
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

    def work(block: Block) -> tuple[Block, AgeSums]:
        drawn = values(road.study, draw(road.study, block))
        age = walk(road.aim, {**road.fixed, **drawn})["age"]
        return block, sum_ages(np.broadcast_to(age, (block.setups, block.shots)))

    cells: Cells[AgeSums] = Cells()
    totals = AgeTotals()
    for block, sums in work_through(work, list(blocks(layout)), workers=workers):
        whole = cells.add(block, sums)
        if whole is not None:
            totals = totals.plus(whole)
    return spreads(totals)
