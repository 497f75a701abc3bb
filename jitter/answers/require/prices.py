"""Spreads that have a price, and a rig in which they may be tightened or let go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.ranking import Source, sources
from jitter.answers.require.subject import subject_of
from jitter.answers.variants import scaled
from jitter.answers.what_ifs import open_wide
from jitter.arrays import Array
from jitter.errors import MistakeError
from jitter.stage import Chain
from jitter.study.effort import Effort
from jitter.study.study import Study
from jitter.trial import Road

LEAST, MOST = 1.0 / 64.0, 8.0
"""Spreads are looked for between these shares of what they are."""


@dataclass(frozen=True)
class Price:
    """A spread with a price.

    Attributes
    ----------
    source
        The spread.
    cost
        Of the spread as it is.
    power
        The cost grows with this power of the present spread over the new one.
    """

    source: Source
    cost: float
    power: float


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


@dataclass(frozen=True)
class PricedRig:
    """A study in which the priced spreads may be anything between their ends.

    Attributes
    ----------
    road
        The study, ready to fire.
    prices
        What the spreads cost.
    most : array (k,)
        The largest factors that are looked at.
    """

    road: Road
    prices: tuple[Price, ...]
    most: Array

    def varied(self, factors: Array) -> Study:
        """Return the study with factors on the priced spreads."""
        return _varied(self.road.study, self.prices, factors)


def open_priced(study: Study, chain: Chain, prices: Sequence[Price]) -> PricedRig:
    """Return a study ready to be fired with priced spreads of any size between their ends.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    prices
        What its spreads cost.

    Raises
    ------
    MistakeError
        If not even the study itself can be prepared.
    """
    subjects = [subject_of(study, chain, price.source) for price in prices]
    most = np.array([min(MOST, one.most / one.present) for one in subjects])
    while True:
        try:
            road = open_wide(study, chain, widest=_varied(study, prices, most))
        except MistakeError:
            if bool((most <= 1.0).all()):
                raise
            most = np.maximum(0.5 * most, 1.0)
        else:
            return PricedRig(road, tuple(prices), most)


def _varied(study: Study, prices: Sequence[Price], factors: Array) -> Study:
    for price, factor in zip(prices, factors, strict=True):
        keys = [(key, price.source.level) for key in price.source.keys]
        study = scaled(study, keys, float(factor))
    return study
