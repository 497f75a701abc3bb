"""The cheapest combination of spreads for a target, found on some draws and checked on others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from jitter.answers.hits import WAYS, count_hits
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import sources
from jitter.answers.require.allocation import LEAST, Allocation, Price
from jitter.answers.require.remedies import Remedy, remedies
from jitter.answers.warnings import find_warnings
from jitter.answers.workers import Progress, silent
from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.stage import Chain
from jitter.study.effort import Effort
from jitter.study.study import Study
from jitter.trial import nominal_shot

SETUPS, SHOTS = 2048, 16
FRESH = 8
"""So many times more set-ups check a combination than find it."""
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
        The hit rate with it, on draws that had no part in finding it.
    gap
        By how much a first combination fell short of the target on fresh draws; the combination
        was found for a target so much higher. Negative where it went beyond.
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
    layout
        Seed, set-ups and shots.
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
    warnings
        Where the model or the study is out of its depth.
    """

    study: Study
    layout: Layout
    target: float
    prices: tuple[Price, ...]
    present: dict[str, Estimate]
    plans: dict[str, Plan | None]
    best: dict[str, Estimate]
    remedies: dict[str, tuple[Remedy, ...]]
    warnings: tuple[str, ...]

    @property
    def cost(self) -> float:
        """What the priced spreads cost as they are."""
        return sum(price.cost for price in self.prices)

    @property
    def met(self) -> bool:
        """Whether the target is reached in one way at least."""
        return any(plan is not None for plan in self.plans.values())


def priced(study: Study, efforts: Sequence[Effort]) -> tuple[Price, ...]:
    """Return the spreads of a study that have a price.

    Parameters
    ----------
    study
        The rig.
    efforts
        Judged against the same study.
    """
    found = sources(study)
    return tuple(
        Price(
            next(one for one in found if effort.key in one.keys and effort.level is one.level),
            effort.cost,
            effort.power,
        )
        for effort in efforts
    )


def answer_cheapest(
    study: Study,
    chain: Chain,
    prices: Sequence[Price],
    target: float,
    *,
    setups: int = SETUPS,
    shots: int = SHOTS,
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
        Set-ups, at least 2, and shots of each.
    workers
        Threads; they change no digit.
    progress
        Told of progress.
    """
    layout = Layout(study.seed, setups, shots)
    plans: dict[str, Plan | None] = {}
    best: dict[str, Estimate] = {}
    more: dict[str, tuple[Remedy, ...]] = {}
    others = [one for one in sources(study) if one not in [price.source for price in prices]]
    for place, way in enumerate(WAYS):

        def tell(done: int, total: int, place: int = place) -> None:
            progress(place * total + done, len(WAYS) * total)

        lab = Allocation(study, chain, prices, way, layout, workers=workers)
        tightest = np.full(len(prices), LEAST)
        best[way] = lab.rates([tightest])[0]
        plans[way] = _plan(study, chain, prices, way, layout, target, lab, workers, tell)
        if plans[way] is None:
            more[way] = remedies(
                lab.varied(tightest), chain, others, way, target, layout, workers=workers
            )
    return CheapestAnswer(
        study=study,
        layout=layout,
        target=target,
        prices=tuple(prices),
        present=count_hits(study, chain, layout, workers=workers).rates,
        plans=plans,
        best=best,
        remedies=more,
        warnings=find_warnings(study, nominal_shot(study, chain)),
    )


def _plan(
    study: Study,
    chain: Chain,
    prices: Sequence[Price],
    way: str,
    layout: Layout,
    target: float,
    lab: Allocation,
    workers: int | None,
    progress: Progress,
) -> Plan | None:
    def fresh(further: int) -> Allocation:
        seed = (layout.seed + further) % SEEDS
        other = replace(layout, seed=seed, setups=FRESH * layout.setups)
        return Allocation(study, chain, prices, way, other, workers=workers)

    def first(done: int, total: int) -> None:
        progress(done, 2 * total)

    def second(done: int, total: int) -> None:
        progress(total + done, 2 * total)

    found = lab.cheapest(target, progress=first)
    if found is None:
        return None
    gap = target - fresh(1).rates([found])[0].value
    shifted = lab.cheapest(min(target + gap, 1.0), start=found, progress=second)
    alike = lab.alike(min(target + gap, 1.0))
    if shifted is None or alike is None:
        return None
    return Plan(
        factors=shifted,
        most=lab.most,
        cost=lab.cost(shifted),
        cost_alike=lab.cost(alike),
        rate=fresh(2).rates([shifted])[0],
        gap=gap,
    )
