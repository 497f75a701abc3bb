"""Which difference between two studies drove the change: one at a time, and all but one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from jitter.answers.compare.aim import aims
from jitter.answers.compare.difference import Difference
from jitter.answers.hits import WAYS, Hits, count_hits
from jitter.answers.intervals import Estimate, paired_mean
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.errors import MistakeError
from jitter.stage import Chain
from jitter.study.study import Study

DRIVEN_SHOTS = 2**20
"""About so many shots are fired, and as many again, for all differences together."""


@dataclass(frozen=True)
class Driver:
    """What one difference does to the hit rate, both ways of setting the delay.

    Attributes
    ----------
    difference
        What the two studies say otherwise.
    alone
        Change of the hit rate if it is the only one taken over.
    last
        Change that it makes when all others are taken over already.
    middle
        Mean of the two.
    fits
        Whether, taken over alone or left out alone, it leaves the shot in which nothing strays a
        keeper, both ways; true where the two studies themselves do not. What does not fit needs
        other differences to make sense.
    """

    difference: Difference
    alone: dict[str, Estimate]
    last: dict[str, Estimate]
    middle: dict[str, Estimate]
    fits: dict[str, bool]

    def clear(self, way: str) -> bool:
        """Return whether it can be told from nothing, alone or last."""
        return self.alone[way].clear or self.last[way].clear


@dataclass(frozen=True)
class Drive:
    """What all differences between two studies do.

    Attributes
    ----------
    drivers
        Those that could be fired, in the order of the declarations.
    unfired
        Those that cannot be fired alone or left out alone.
    together
        What is left of the whole change beyond the sum of what each does alone.
    setups
        Set-ups, the first ones, on which all this rests.
    """

    drivers: tuple[Driver, ...]
    unfired: tuple[Difference, ...]
    together: dict[str, Estimate]
    setups: int

    def ranked(self, way: str) -> tuple[Driver, ...]:
        """Return the drivers: those that fit first, and of them the one that changes most."""

        def place(driver: Driver) -> tuple[bool, float]:
            return not driver.fits[way], -abs(driver.middle[way].value)

        return tuple(sorted(self.drivers, key=place))


def drive(
    studies: tuple[Study, Study],
    hits: tuple[Hits, Hits],
    found: Sequence[Difference],
    chain: Chain,
    layout: Layout,
    *,
    workers: int | None = None,
    progress: Progress = silent,
) -> Drive:
    """Take the differences between two studies over one at a time, and all but one.

    Parameters
    ----------
    studies
        The one and the other.
    hits
        Of both, with the same layout.
    found
        What they say otherwise.
    chain
        The stages of a shot.
    layout
        Seed, set-ups and shots.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.
    """
    one, other = studies
    setups = max(2, min(layout.setups, DRIVEN_SHOTS // (layout.shots * max(len(found), 1))))
    layout = replace(layout, setups=setups)
    hits = (_first(hits[0], setups), _first(hits[1], setups))
    fired = {one.digest: hits[0], other.digest: hits[1]}
    at_ends = [aims(study, chain) for study in studies]

    def count(study: Study) -> Hits:
        if study.digest not in fired:
            fired[study.digest] = count_hits(study, chain, layout, workers=workers)
        return fired[study.digest]

    drivers, unfired = [], []
    apart = {way: hits[1].shares(way) - hits[0].shares(way) for way in WAYS}
    for place, difference in enumerate(found):
        only, without = difference.taken(one, other=True), difference.taken(other, other=False)
        try:
            with_it, without_it = count(only), count(without)
            between = [aims(study, chain) for study in (only, without)]
        except MistakeError:
            # A table of a stage does not reach as far as this mixture of the two rigs.
            unfired.append(difference)
            continue
        alone = {way: with_it.shares(way) - hits[0].shares(way) for way in WAYS}
        last = {way: hits[1].shares(way) - without_it.shares(way) for way in WAYS}
        apart = {way: apart[way] - alone[way] for way in WAYS}
        drivers.append(
            Driver(
                difference=difference,
                alone={way: paired_mean(alone[way]) for way in WAYS},
                last={way: paired_mean(last[way]) for way in WAYS},
                middle={way: paired_mean(0.5 * (alone[way] + last[way])) for way in WAYS},
                fits={
                    way: all(one[way] for one in between) or not all(one[way] for one in at_ends)
                    for way in WAYS
                },
            )
        )
        progress(2 * (place + 1), 2 * len(found))
    return Drive(
        drivers=tuple(drivers),
        unfired=tuple(unfired),
        together={way: paired_mean(apart[way]) for way in WAYS},
        setups=setups,
    )


def _first(hits: Hits, setups: int) -> Hits:
    return Hits(hits.shots, hits.as_set[:setups], hits.as_trimmed[:setups])
