"""What else must shrink where one spread alone cannot reach a target."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jitter.answers.effort import Effort, Rated, rates_of
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import Source
from jitter.answers.variants import scaled
from jitter.stage import Chain
from jitter.study.study import Study
from jitter.trial import open_road

NAMED = 5
"""No more spreads than these are named."""


@dataclass(frozen=True)
class Remedy:
    """A spread whose removal brings a target nearer.

    Attributes
    ----------
    source
        The spread.
    gain
        Of the hit rate, if it alone were removed too.
    together
        The hit rate if it and all remedies named before it were removed.
    """

    source: Source
    gain: Estimate
    together: Estimate


def remedies(
    study: Study,
    chain: Chain,
    found: Sequence[Source],
    way: str,
    target: float,
    effort: Effort,
    *,
    workers: int | None = None,
) -> tuple[Remedy, ...]:
    """Return the spreads whose removal gains most, as many as it takes to reach a target.

    Parameters
    ----------
    study
        The rig, the spread that was asked for at its best.
    chain
        The stages of a shot.
    found
        The other spreads.
    way
        As set or as trimmed.
    target
        The hit rate wanted.
    effort
        Points or draws.
    workers
        Threads.

    Returns
    -------
    tuple of Remedy
        The largest clear gain first; no more than `NAMED`, so that the last may fall short.
    """
    road = open_road(study, chain, wanted=("reason",))

    def removed(some: Sequence[Source]) -> Study:
        return scaled(study, [(key, one.level) for one in some for key in one.keys], 0.0)

    def rated(what_ifs: Sequence[Study]) -> Sequence[Rated]:
        return rates_of(road, what_ifs, effort, ways=(way,), workers=workers)

    base, *each = rated([study, *(removed([source]) for source in found)])
    gains = [(source, one.above(base, way)) for source, one in zip(found, each, strict=True)]
    clear = sorted((pair for pair in gains if pair[1].low > 0.0), key=lambda pair: -pair[1].value)
    named = clear[:NAMED]
    lists = [[source for source, _ in named[: place + 1]] for place in range(len(named))]
    rates = [one.rates[way] for one in rated([removed(some) for some in lists])]
    made = []
    for (source, gain), rate in zip(named, rates, strict=True):
        made.append(Remedy(source, gain, rate))
        if rate.value >= target:
            break
    return tuple(made)
