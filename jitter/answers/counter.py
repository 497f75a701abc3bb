"""What was counted in a whole simulation, in no more room for more set-ups."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jitter.answers.ages import AgeTotals
from jitter.answers.cells import Cells
from jitter.answers.intervals import Estimate, share_of_sums
from jitter.answers.tally import BINS, Tally
from jitter.draws.layout import Block, Layout
from jitter.stages.verdict import KEEPER

NEVER = -1


@dataclass(frozen=True)
class Count:
    """What was counted in a simulation, one way of setting the delay.

    Attributes
    ----------
    layout
        The simulation.
    frames
        Frames by reason; the last counts keepers.
    squares
        Sum over set-ups of the square of their frames, by reason.
    first
        First set-up with a frame of that reason; `NEVER` where none has one.
    hits : array (c,)
        Numbers of keepers that a set-up had, rising: at most √(set-ups × shots) of them and one.
    seen : array (c,)
        Set-ups that had so many.
    ages
        Totals for the age's mean and spreads.
    histogram : array (2, bins)
        Frames by age: other frames, keepers.
    """

    layout: Layout
    frames: tuple[int, ...]
    squares: tuple[int, ...]
    first: tuple[int, ...]
    hits: NDArray[np.int32]
    seen: NDArray[np.int64]
    ages: AgeTotals
    histogram: NDArray[np.int64]

    def share(self, reason: int) -> Estimate:
        """Return the share of frames of a reason, `KEEPER` among them, with its interval."""
        return share_of_sums(
            self.frames[reason],
            self.squares[reason],
            setups=self.layout.setups,
            shots=self.layout.shots,
        )


class Counter:
    """Gathers tallies of blocks into the count of the whole simulation.

    Parameters
    ----------
    layout
        The simulation.
    """

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._cells: Cells[Tally] = Cells()
        self._setups = 0
        self._frames = [0] * (KEEPER + 1)
        self._squares = [0] * (KEEPER + 1)
        self._first = [NEVER] * (KEEPER + 1)
        self._seen: dict[int, int] = {}
        self._ages = AgeTotals()
        self._histogram = np.zeros((2, BINS), dtype=np.int64)

    def add(self, block: Block, tally: Tally) -> None:
        """Add the tally of a block; blocks must come in order."""
        whole = self._cells.add(block, tally)
        if whole is None:
            return
        reasons = whole.reasons.astype(np.int64)
        frames, squares = reasons.sum(axis=0).tolist(), (reasons * reasons).sum(axis=0).tolist()
        for reason, number in enumerate(frames):
            if number and self._first[reason] == NEVER:
                self._first[reason] = self._setups + int(np.argmax(reasons[:, reason] > 0))
            self._frames[reason] += number
            self._squares[reason] += squares[reason]
        for hits, seen in zip(*np.unique(whole.hits, return_counts=True), strict=True):
            self._seen[int(hits)] = self._seen.get(int(hits), 0) + int(seen)
        self._ages = self._ages.plus(whole.ages)
        self._histogram += whole.histogram
        self._setups += len(reasons)

    def total(self) -> Count:
        """Return the count of every block added."""
        hits = sorted(self._seen)
        return Count(
            layout=self._layout,
            frames=tuple(self._frames),
            squares=tuple(self._squares),
            first=tuple(self._first),
            hits=np.array(hits, dtype=np.int32),
            seen=np.array([self._seen[each] for each in hits], dtype=np.int64),
            ages=self._ages,
            histogram=self._histogram,
        )
