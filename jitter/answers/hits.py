"""The keepers of each set-up of a study, both ways of setting the delay, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from jitter.answers.intervals import Estimate, clustered_share, paired_mean
from jitter.answers.tally import count_reasons
from jitter.answers.workers import Progress, silent, work_through
from jitter.arrays import Array
from jitter.draws.layout import WIDE, Block, Layout, blocks
from jitter.stage import Chain
from jitter.stages.verdict import KEEPER
from jitter.study.study import Study
from jitter.trial import judge, open_road

WAYS = ("as_set", "as_trimmed")


@dataclass(frozen=True)
class Hits:
    """Frames of each set-up by reason, both ways.

    Attributes
    ----------
    shots
        Of each set-up.
    as_set, as_trimmed : array (s, 11)
        Frames of each set-up by reason; the last column counts keepers.
    """

    shots: int
    as_set: NDArray[np.int32]
    as_trimmed: NDArray[np.int32]

    def keepers(self, way: str) -> NDArray[np.int32]:
        """Return the keepers of each set-up, (s,); `way` is one of `WAYS`."""
        counted: NDArray[np.int32] = getattr(self, way)[:, KEEPER]
        return counted

    def shares(self, way: str) -> Array:
        """Return the share of keepers of each set-up, (s,)."""
        shares: Array = self.keepers(way) / self.shots
        return shares

    def above(self, other: Hits, way: str) -> Estimate:
        """Return by how much the hit rate is above that of a variant, on the same draws."""
        return self.mean(self.shares(way) - other.shares(way))

    def mean(self, shares: Array) -> Estimate:
        """Return the mean over set-ups of differences between hit rates."""
        return paired_mean(shares)

    @cached_property
    def rates(self) -> dict[str, Estimate]:
        """The hit rate, both ways, with its interval."""
        return {way: clustered_share(self.keepers(way), self.shots) for way in WAYS}


def difference(one: Hits, other: Hits, way: str) -> Estimate:
    """Return by how much the hit rate of one is above another's, on the same draws.

    Parameters
    ----------
    one, other
        Of variants of one study, with the same layout.
    way
        One of `WAYS`.
    """
    return one.above(other, way)


def count_hits(
    study: Study,
    chain: Chain,
    layout: Layout,
    *,
    workers: int | None = None,
    progress: Progress = silent,
) -> Hits:
    """Fire a study and count each set-up's frames by reason.

    Parameters
    ----------
    study
        The rig, or a variant of it.
    chain
        The stages of a shot.
    layout
        Seed, set-ups and shots; the same for all variants to be compared.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.
    """
    road = open_road(study, chain, wanted=("reason",))
    found = {way: np.zeros((layout.setups, KEEPER + 1), dtype=np.int32) for way in WAYS}

    def work(block: Block) -> tuple[Block, tuple[NDArray[np.int32], ...]]:
        found = judge(road, block)
        return block, tuple(count_reasons(getattr(found, way), block=block) for way in WAYS)

    pieces = list(blocks(layout, size=WIDE))
    for block, tables in work_through(work, pieces, workers=workers, progress=progress):
        rows = slice(block.first_setup, block.first_setup + block.setups)
        for way, table in zip(WAYS, tables, strict=True):
            found[way][rows] += table
    return Hits(layout.shots, *(found[way] for way in WAYS))
