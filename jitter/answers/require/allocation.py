"""The cheapest combination of spreads that reaches a target: optimality-criteria iteration.

At the cheapest point a little more spread saves money and loses keepers in one ratio, the same for
every spread: q A (σ0/σ)^q = λ g, with the cost A (σ0/σ)^q and g = -dp/d ln σ. Each step finds g on
common draws and moves every spread to where that would hold if g grew with σ², as it does where
errors add; λ is chosen so that the target is met.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from scipy.optimize import brentq

from jitter.answers.effort import Effort, rates_of
from jitter.answers.intervals import Estimate
from jitter.answers.require.prices import LEAST, PricedRig
from jitter.answers.workers import Progress, silent
from jitter.arrays import Array

ROUNDS = 12
STILL = 0.003
"""The steps end where one saves no more than this share of the cost."""
SHORTEST = 0.2
"""Or where not even this share of a step saves anything."""
LEAP = 1.0
"""No spread moves further against the others at once, in ln σ."""
STEP = 0.2
"""Slopes are taken from so much above to so much below, in ln σ."""
TRIED = 4
"""Combinations fired at once, to find the one that meets the target."""
NEAR = 0.25
"""Looked for so far from a guess first, in ln σ."""
FINE = 0.2
"""Combinations so near to each other are near enough to draw a cubic through."""
GROWTH = 2.0
"""g grows with this power of the spread."""
SMALLEST = 1e-6
"""A slope below this is none: the spread may grow to its end."""


class Allocation:
    """Priced spreads of a study at one set of points or draws, one way of setting the delay.

    Parameters
    ----------
    rig
        The priced spreads.
    way
        As set or as trimmed.
    effort
        Points or draws.
    workers
        Threads.
    """

    def __init__(
        self, rig: PricedRig, way: str, effort: Effort, *, workers: int | None = None
    ) -> None:
        self._rig, self._way, self._effort, self._workers = rig, way, effort, workers
        self._cost = np.array([price.cost for price in rig.prices])
        self._power = np.array([price.power for price in rig.prices])

    def rates(self, many: Sequence[Array]) -> list[Estimate]:
        """Return the hit rate with each of some combinations of factors on the spreads."""
        found = rates_of(
            self._rig.road,
            [self._rig.varied(factors) for factors in many],
            self._effort,
            ways=(self._way,),
            workers=self._workers,
        )
        return [one.rates[self._way] for one in found]

    def cost(self, factors: Array) -> float:
        """Return what a combination costs."""
        return float(np.sum(self._cost * factors**-self._power))

    def alike(self, target: float) -> Array | None:
        """Return the factors that reach a target where one factor scales every spread.

        None where the tightest does not reach it.
        """
        return self.scaled(np.ones(len(self._rig.prices)), target)

    def cheapest(
        self, target: float, *, start: Array | None = None, progress: Progress = silent
    ) -> Array | None:
        """Return the factors of the cheapest combination that reaches a target.

        Parameters
        ----------
        target
            The hit rate wanted.
        start
            Factors to start from; those that scale all spreads alike where None.
        progress
            Told of progress.

        Returns
        -------
        array (k,) or None
            None where the tightest combination does not reach it.
        """
        alike = self.alike(target) if start is None else self.scaled(start, target)
        if alike is None:
            return None
        best, share, ratio = alike, 1.0, self._ratio(alike)
        for done in range(ROUNDS):
            progress(done, ROUNDS)
            moved = self.scaled(best * ratio**share, target)
            if moved is None or self.cost(moved) > self.cost(best):
                # The slopes hold near the point only: go a shorter way from it.
                share *= 0.5
            else:
                gained = 1.0 - self.cost(moved) / self.cost(best)
                best, ratio = moved, self._ratio(moved)
                if gained < STILL and share == 1.0:
                    break
                share = min(2.0 * share, 1.0)
            if share < SHORTEST:
                break
        progress(ROUNDS, ROUNDS)
        return best

    def _ratio(self, factors: Array) -> Array:
        """Return by how much each spread should grow, the hit rate about where it is."""
        slopes = self._slopes(factors)
        worth = np.log(self._power * self._cost * factors**-self._power / slopes)
        weight = slopes / (self._power + GROWTH)
        logs = (worth - float(weight @ worth / weight.sum())) / (self._power + GROWTH)
        ratio: Array = np.exp(np.clip(logs, -LEAP, LEAP))
        return ratio

    def scaled(self, factors: Array, target: float) -> Array | None:
        """Return a combination scaled, each spread within its ends, so that the target is met.

        None where the tightest does not reach it.
        """

        def path(place: float) -> Array:
            grown: Array = factors * math.exp(place)
            return np.clip(grown, LEAST, self._rig.most)

        low = float(np.log(LEAST / factors).min())
        high = float(np.log(self._rig.most / factors).max())
        place = self._meet(path, (-NEAR, NEAR), (low, high), target)
        return None if place is None else path(place)

    def _slopes(self, factors: Array) -> Array:
        """Return -dp/d ln σ of every spread, no smaller than `SMALLEST`."""
        steps = np.exp(STEP * np.eye(len(factors)))
        pairs = [moved for step in steps for moved in (factors * step, factors / step)]
        found = [rate.value for rate in self.rates(pairs)]
        above, below = np.array(found[0::2]), np.array(found[1::2])
        slopes: Array = np.maximum((below - above) / (2.0 * STEP), SMALLEST)
        return slopes

    def _meet(
        self,
        path: Callable[[float], Array],
        near: tuple[float, float],
        ends: tuple[float, float],
        target: float,
    ) -> float | None:
        """Return the place on a path of growing spreads at which a target is just met.

        Looked for near a place first; None where not even the path's start meets it.
        """
        places = np.linspace(*near, TRIED)
        while True:
            rates = [rate.value for rate in self.rates([path(place) for place in places])]
            inside = rates[0] >= target > rates[-1]
            if not inside and tuple(places[[0, -1]]) != ends:
                places = np.linspace(*ends, TRIED)
                continue
            if rates[0] < target:
                return None
            last = max(at for at, rate in enumerate(rates) if rate >= target)
            if last == TRIED - 1:
                return float(places[-1])
            ends = (float(places[last]), float(places[last + 1]))
            if ends[1] - ends[0] < FINE:
                law = np.polynomial.Polynomial.fit(places, np.array(rates) - target, TRIED - 1)
                # Its signs at the two ends are those of the rates it goes through.
                return float(brentq(law, *ends))
            places = np.linspace(*ends, TRIED)
