"""Count what happened to a block of shots."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jitter.answers.ages import AgeSums, sum_ages
from jitter.draws.layout import Block
from jitter.stage import Events
from jitter.stages.verdict import KEEPER

BINS = 160
WIDTHS = 2.0
"""The histogram of ages reaches this many window widths beyond the window at either side."""


@dataclass(frozen=True)
class Tally:
    """What was counted in some set-ups, one way of setting the delay.

    Attributes
    ----------
    reasons : array (s, 11)
        Frames of each set-up by reason; the last column counts keepers.
    ages
        Sums of the ages of each set-up.
    histogram : array (2, bins)
        Frames by age: other frames, keepers. Ages beyond the ends count in the end bins.
    """

    reasons: NDArray[np.int32]
    ages: AgeSums
    histogram: NDArray[np.int64]

    def __add__(self, other: Tally) -> Tally:
        """Return the tally with further frames of the same set-ups."""
        return Tally(
            self.reasons + other.reasons,
            self.ages + other.ages,
            self.histogram + other.histogram,
        )

    @property
    def hits(self) -> NDArray[np.int32]:
        """Keepers of each set-up, (s,)."""
        keepers: NDArray[np.int32] = self.reasons[:, KEEPER]
        return keepers


def age_edges(window: tuple[float, float]) -> NDArray[np.float64]:
    """Return the edges of the histogram of ages [s]; the window's ends are among them."""
    width = window[1] - window[0]
    return np.linspace(window[0] - WIDTHS * width, window[1] + WIDTHS * width, BINS + 1)


def count_reasons(events: Events, *, block: Block) -> NDArray[np.int32]:
    """Count a block's frames of each set-up by reason, (s, 11); the last column counts keepers.

    Parameters
    ----------
    events
        With ``reason``.
    block
        Whose shots they are.
    """
    reason = np.broadcast_to(events["reason"], (block.setups, block.shots))
    row = np.arange(block.setups, dtype=np.int32)[:, None] * (KEEPER + 1)
    cells = np.bincount((row + reason).ravel(), minlength=block.setups * (KEEPER + 1))
    return cells.reshape(block.setups, KEEPER + 1).astype(np.int32)


def count(events: Events, *, block: Block, window: tuple[float, float]) -> Tally:
    """Count a block.

    Parameters
    ----------
    events
        With ``reason`` and ``age``.
    block
        Whose shots they are.
    window
        Of the ages wanted [s].

    Returns
    -------
    Tally
    """
    shape = (block.setups, block.shots)
    reason = np.broadcast_to(events["reason"], shape)
    age = np.ascontiguousarray(np.broadcast_to(events["age"], shape))
    edges = age_edges(window)
    place = (age - edges[0]) * (BINS / (edges[-1] - edges[0]))
    told = ~np.isnan(place)
    bins = np.clip(np.where(told, place, 0.0), 0, BINS - 1).astype(np.int32)
    # The frames without an age go to a place of their own behind the two rows.
    bins = np.where(told, bins + BINS * (reason == KEEPER), 2 * BINS)
    histogram = np.bincount(bins.ravel(), minlength=2 * BINS + 1)[: 2 * BINS]
    return Tally(
        reasons=count_reasons(events, block=block),
        ages=sum_ages(age),
        histogram=histogram.reshape(2, BINS),
    )
