"""Rigs at several delays each, all on the same points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from jitter.answers.effort import Rated
from jitter.answers.tune.bench import Bench
from jitter.answers.variants import with_values
from jitter.arrays import Array
from jitter.quantities import Quantity
from jitter.study.study import Study

DELAY = "timer.delay"
OFFSETS = (-0.375, -0.25, -0.125, 0.0, 0.125, 0.25, 0.375)
"""Where delays are tried unless told: about the one that brings the nominal age to the middle of
the window, in widths of the window."""


@dataclass(frozen=True)
class Delays:
    """Keepers of some rigs at several delays each, all else alike.

    Attributes
    ----------
    studies
        The rigs, k; their own delays need not be among them.
    delays : array (k, d) [s]
        Of each, rising.
    as_set
        Of each rig, at each delay: the hit rate as set by ruler.
    bench, base
        What they were tried on, and the rig that was typical of them.
    """

    studies: Sequence[Study]
    delays: Array
    as_set: Sequence[Sequence[Rated]]
    bench: Bench
    base: Study

    @cached_property
    def shares(self) -> Array:
        """The hit rates as set by ruler, (k, d)."""
        return np.array([[one.shares("as_set").mean() for one in row] for row in self.as_set])

    @cached_property
    def best(self) -> tuple[float, ...]:
        """The delay of each rig with most keepers as set by ruler, (k,) [s]."""
        places = self.shares.argmax(axis=1)
        return tuple(float(row[place]) for row, place in zip(self.delays, places, strict=True))

    @cached_property
    def as_trimmed(self) -> Sequence[Rated]:
        """The hit rate of each rig as trimmed from its best delay, (k,)."""
        tuned = [
            with_values(study, {DELAY: delay})
            for study, delay in zip(self.studies, self.best, strict=True)
        ]
        return self.bench.rates(self.base, tuned, ("as_trimmed",))

    def judged(self, way: str) -> Sequence[Rated]:
        """Return the hit rate of each rig at its best delay, by a way of setting it, (k,)."""
        if way == "as_trimmed":
            return self.as_trimmed
        places = self.shares.argmax(axis=1)
        return [row[place] for row, place in zip(self.as_set, places, strict=True)]


def suited(bench: Bench, studies: Sequence[Study]) -> Array:
    """Return the delay that brings the nominal age of each rig to the window's middle, (k,) [s].

    Where it has no nominal age, that of its neighbours; its own where no rig has one.

    Parameters
    ----------
    bench
        How.
    studies
        They differ in the numbers of settings, one after the other.
    """
    middle = 0.5 * sum(studies[0].window("keeper.age"))
    own = np.array([study.number(DELAY) for study in studies])
    found = own + middle - bench.nominal_ages(studies[0], studies)
    told = ~np.isnan(found)
    if not told.any():
        return own
    places = np.arange(len(studies))
    return np.asarray(np.interp(places, places[told], found[told]))


def at_delays(bench: Bench, studies: Sequence[Study], delays: Array | None = None) -> Delays:
    """Return the hit rates of rigs at several delays each.

    Parameters
    ----------
    bench
        How.
    studies
        They differ in the numbers of settings.
    delays : array (k, d) [s]
        Of each rig, rising; where None, `OFFSETS` about the one that suits it.
    """
    if delays is None:
        low, high = studies[0].window("keeper.age")
        delays = suited(bench, studies)[:, None] + (high - low) * np.array(OFFSETS)
    delays = np.maximum(delays, _least(studies[0]))
    rows = [
        [with_values(study, {DELAY: float(delay)}) for delay in row]
        for study, row in zip(studies, delays, strict=True)
    ]
    base = rows[len(rows) // 2][delays.shape[1] // 2]
    found = bench.rates(base, [variant for row in rows for variant in row], ("as_set",))
    wide = delays.shape[1]
    as_set = [found[begin : begin + wide] for begin in range(0, len(found), wide)]
    return Delays(studies, delays, as_set, bench, base)


def _least(study: Study) -> float:
    declared = study.entries[DELAY].declaration
    return declared.lower if isinstance(declared, Quantity) else 0.0
