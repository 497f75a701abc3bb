"""Which spread costs how many keepers: every spread removed and halved on the same draws."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.ages import AgeSums, join_ages, no_ages, sum_ages, variance
from jitter.answers.intervals import Estimate, paired_mean
from jitter.arrays import Array
from jitter.draws.layout import Block
from jitter.draws.values import Scales
from jitter.quantities import Level, Quantity, Shape, Spread
from jitter.stage import Events
from jitter.stages.verdict import KEEPER
from jitter.study.study import Study
from jitter.trial import Firing, Road, refire

REMOVED, HALVED = 0.0, 0.5


@dataclass(frozen=True)
class Source:
    """One spread of a study: a quantity at a level.

    Attributes
    ----------
    keys
        The quantity; several where they share one draw.
    level
        Set-up or shot.
    spread
        How far it strays.
    unit
        SI unit of the spread.
    meaning
        Of the quantity, in words.
    """

    keys: tuple[str, ...]
    level: Level
    spread: Spread
    unit: str
    meaning: str

    def scaled(self, factor: float) -> Scales:
        """Return the what-if in which this spread alone is scaled."""
        return {(key, self.level): factor for key in self.keys}


@dataclass(frozen=True)
class Gain:
    """The rise of the hit rate when a spread is removed or halved."""

    removed: Estimate
    halved: Estimate


@dataclass(frozen=True)
class Rank:
    """What one spread costs.

    Attributes
    ----------
    source
        The spread.
    as_set, as_trimmed
        Gains with the delay as set by ruler and as trimmed.
    age_share
        Share of the variance of the age, as set by ruler: the mean square by which removing the
        spread moves the age, over the variance. The shares of a chain that adds its errors sum
        to 1.
    """

    source: Source
    as_set: Gain
    as_trimmed: Gain
    age_share: float


def sources(study: Study) -> tuple[Source, ...]:
    """Return every spread of a study, in the order of its declarations.

    Mishaps and the clock's tick are among them. Quantities that share a set-up draw are one
    source: what strays together is mended together.
    """
    found: dict[tuple[str, Level], Source] = {}
    for key, entry in study.entries.items():
        declared = entry.declaration
        if not isinstance(declared, Quantity):
            continue
        for level, spread in ((Level.SETUP, entry.setup), (Level.SHOT, entry.each_shot)):
            if spread.shape is Shape.NONE:
                continue
            shares = declared.together if level is Level.SETUP else ""
            same = found.get((shares or key, level))
            keys = (*same.keys, key) if same else (key,)
            meaning = f"{same.meaning}, {declared.meaning}" if same else declared.meaning
            kept = same.spread if same else spread
            found[shares or key, level] = Source(keys, level, kept, declared.unit, meaning)
    return tuple(found.values())


@dataclass(frozen=True)
class Comparison:
    """What one what-if changed in a block.

    Attributes
    ----------
    as_set, as_trimmed : array (s,)
        Change of the number of keepers in each set-up.
    moved
        Sums of the changes of age, over the frames that have an age both ways.
    before
        Sums of the ages as they were.
    """

    as_set: Array
    as_trimmed: Array
    moved: AgeSums
    before: AgeSums


def compare_block(road: Road, firing: Firing, block: Block, scales: Scales) -> Comparison:
    """Fire a block again with some spreads scaled, and compare.

    Parameters
    ----------
    road
        The study.
    firing
        The block as it was fired.
    block
        Whose shots they are.
    scales
        The what-if.
    """
    again = refire(road, firing, scales)
    shape = (block.setups, block.shots)

    def change(new: Events, old: Events) -> Array:
        if new["reason"] is old["reason"]:
            return np.zeros(block.setups)
        kept = (new["reason"] == KEEPER).astype(np.int8)
        kept = kept - (old["reason"] == KEEPER).astype(np.int8)
        changes: Array = np.broadcast_to(kept, shape).sum(axis=1, dtype=np.float64)
        return changes

    old_age, new_age = firing.as_set["age"], again.as_set["age"]
    still = new_age is old_age
    return Comparison(
        as_set=change(again.as_set, firing.as_set),
        as_trimmed=change(again.as_trimmed, firing.as_trimmed),
        moved=no_ages(block.setups) if still else sum_ages(_filled(new_age - old_age, shape)),
        before=sum_ages(_filled(old_age, shape)),
    )


def _filled(age: Array, shape: tuple[int, int]) -> Array:
    return np.ascontiguousarray(np.broadcast_to(age, shape))


def join(parts: Sequence[Comparison], *, setups: int) -> Comparison:
    """Return the comparison of the first set-ups out of those of consecutive blocks."""
    return Comparison(
        as_set=np.concatenate([part.as_set for part in parts])[:setups],
        as_trimmed=np.concatenate([part.as_trimmed for part in parts])[:setups],
        moved=join_ages([part.moved for part in parts], setups=setups),
        before=join_ages([part.before for part in parts], setups=setups),
    )


def rank(
    found: Sequence[Source],
    removed: Sequence[Comparison],
    halved: Sequence[Comparison],
    *,
    shots: int,
) -> tuple[Rank, ...]:
    """Return the ranking, the costliest spread first.

    Parameters
    ----------
    found
        The spreads.
    removed, halved
        What removing and halving each of them changed, over all ranked set-ups.
    shots
        Shots of each set-up.

    Returns
    -------
    tuple of Rank
        By the larger of the two gains when removed.
    """
    ranks = []
    for source, without, half in zip(found, removed, halved, strict=True):
        as_set, as_trimmed = (
            Gain(
                paired_mean(getattr(without, way) / shots), paired_mean(getattr(half, way) / shots)
            )
            for way in ("as_set", "as_trimmed")
        )
        whole = variance(without.before)
        share = variance(without.moved) / whole if whole > 0.0 else math.nan
        ranks.append(Rank(source, as_set, as_trimmed, share))
    return tuple(
        sorted(ranks, key=lambda one: -max(one.as_set.removed.value, one.as_trimmed.removed.value))
    )
