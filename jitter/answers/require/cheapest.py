"""The cheapest combination of spreads for a target, found at some points and checked at others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from jitter.answers.compare.aim import aims
from jitter.answers.effort import Effort, rates_of
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import sources
from jitter.answers.require.allocation import Allocation
from jitter.answers.require.prices import LEAST, Price, PricedRig, open_priced
from jitter.answers.require.remedies import Remedy, remedies
from jitter.answers.require.working import Draws, answered, fell_back, work_out
from jitter.answers.warnings import find_warnings, unaimed
from jitter.answers.workers import Progress, silent
from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.stage import Chain
from jitter.study.study import Study
from jitter.trial import nominal_shot

SETUPS, SHOTS = 2048, 16
FRESH = 8
"""So many times more points, or set-ups, check a combination than find it."""
SEEDS = 2**64


@dataclass(frozen=True)
class Plan:
    """The cheapest combination for one way of setting the delay.

    Attributes
    ----------
    factors : array (k,)
        On each priced spread.
    most : array (k,)
        The largest factors that were looked at.
    cost
        Of the combination.
    cost_alike
        Of reaching the target by scaling all priced spreads alike.
    rate
        The hit rate with it, at points or draws that had no part in finding it.
    gap
        By how much the combination found fell short of the target at fresh points or draws; it was
        scaled to a target so much higher. Negative where it went beyond.
    """

    factors: Array
    most: Array
    cost: float
    cost_alike: float
    rate: Estimate
    gap: float


@dataclass(frozen=True)
class CheapestAnswer:
    """The answer to `jitter require --effort`.

    Attributes
    ----------
    study
        What was fired.
    effort
        Points or draws behind every hit rate but those that check a plan.
    fell_back
        Whether draws had to take the place of points.
    target
        The hit rate wanted.
    prices
        The priced spreads.
    present
        By way: the hit rate as things are.
    plans
        By way; None where not even the tightest combination reaches the target.
    best
        By way: the hit rate with every priced spread as tight as is looked at.
    remedies
        By way without a plan: which other spreads must shrink.
    aims
        By way: whether the shot in which nothing strays is a keeper.
    unaimed
        What is wrong with the aim and how to mend it; empty where that shot is a keeper.
    warnings
        Where the model or the study is out of its depth.
    """

    study: Study
    effort: Effort
    fell_back: bool
    target: float
    prices: tuple[Price, ...]
    present: dict[str, Estimate]
    plans: dict[str, Plan | None]
    best: dict[str, Estimate]
    remedies: dict[str, tuple[Remedy, ...]]
    aims: dict[str, bool]
    unaimed: str
    warnings: tuple[str, ...]

    @property
    def ways(self) -> tuple[str, ...]:
        """The ways that are answered: those whose aim is right."""
        return answered(self.aims)

    @property
    def cost(self) -> float:
        """What the priced spreads cost as they are."""
        return sum(price.cost for price in self.prices)

    @property
    def met(self) -> bool:
        """Whether the target is reached in one answered way at least."""
        return any(self.plans[way] is not None for way in self.ways)


def answer_cheapest(
    study: Study,
    chain: Chain,
    prices: Sequence[Price],
    target: float,
    *,
    setups: int | None = None,
    shots: int | None = None,
    workers: int | None = None,
    progress: Progress = silent,
) -> CheapestAnswer:
    """Answer which combination of spreads reaches a target most cheaply.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    prices
        What its spreads cost.
    target
        The hit rate wanted.
    setups, shots
        Random draws in place of points, where either is given: set-ups, at least 2, and shots of
        each.
    workers
        Threads; they change no digit.
    progress
        Told of progress.
    """
    draws, rig = Draws(setups, shots), open_priced(study, chain, prices)
    effort = work_out(study, rig.road, draws, setups=SETUPS, shots=SHOTS, workers=workers)
    plans: dict[str, Plan | None] = {}
    best: dict[str, Estimate] = {}
    more: dict[str, tuple[Remedy, ...]] = {}
    others = [one for one in sources(study) if one not in [price.source for price in prices]]
    for place, way in enumerate(WAYS):

        def tell(done: int, total: int, place: int = place) -> None:
            progress(place * total + done, len(WAYS) * total)

        lab = Allocation(rig, way, effort, workers=workers)
        tightest = np.full(len(prices), LEAST)
        (best[way],) = lab.rates([tightest])
        plans[way] = _plan(rig, lab, way, effort, target, workers, tell)
        if plans[way] is None:
            more[way] = remedies(
                rig.varied(tightest), chain, others, way, target, effort, workers=workers
            )
    (present,) = rates_of(rig.road, [study], effort, workers=workers)
    nominal = nominal_shot(study, chain)
    return CheapestAnswer(
        study=study,
        effort=effort,
        fell_back=fell_back(effort, draws),
        target=target,
        prices=tuple(prices),
        present=present.rates,
        plans=plans,
        best=best,
        remedies=more,
        aims=aims(study, chain),
        unaimed=unaimed(study, nominal),
        warnings=find_warnings(study, nominal),
    )


def _plan(
    rig: PricedRig,
    lab: Allocation,
    way: str,
    effort: Effort,
    target: float,
    workers: int | None,
    progress: Progress,
) -> Plan | None:
    """Return the cheapest combination, scaled to meet the target at points of its own."""

    def fresh(further: int) -> Allocation:
        return Allocation(rig, way, _fresh(effort, further), workers=workers)

    found = lab.cheapest(target, progress=progress)
    if found is None:
        return None
    gap = target - fresh(1).rates([found])[0].value
    wanted = min(target + gap, 1.0)
    met, alike = lab.scaled(found, wanted), lab.alike(wanted)
    if met is None or alike is None:
        return None
    return Plan(
        factors=met,
        most=rig.most,
        cost=lab.cost(met),
        cost_alike=lab.cost(alike),
        rate=fresh(2).rates([met])[0],
        gap=gap,
    )


def _fresh(effort: Effort, further: int) -> Effort:
    """Return more points or set-ups, with another seed."""
    seed = (effort.seed + further) % SEEDS
    if isinstance(effort, Layout):
        return replace(effort, seed=seed, setups=FRESH * effort.setups)
    return replace(effort, seed=seed, points=FRESH * effort.points)
