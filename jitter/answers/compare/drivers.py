"""Which difference between two studies drove the change: one at a time, and all but one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from jitter.answers.compare.aim import aims
from jitter.answers.compare.difference import Difference
from jitter.answers.effort import Effort, Net, Rated, rates_of, settle
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.errors import MistakeError
from jitter.stage import Chain
from jitter.study.study import Study
from jitter.trial import open_road

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
    effort
        Points, or draws of the first set-ups, on which all this rests.
    """

    drivers: tuple[Driver, ...]
    unfired: tuple[Difference, ...]
    together: dict[str, Estimate]
    effort: Effort

    def ranked(self, way: str) -> tuple[Driver, ...]:
        """Return the drivers: those that fit first, and of them the one that changes most."""

        def place(driver: Driver) -> tuple[bool, float]:
            return not driver.fits[way], -abs(driver.middle[way].value)

        return tuple(sorted(self.drivers, key=place))


def drive(
    studies: tuple[Study, Study],
    found: Sequence[Difference],
    chain: Chain,
    layout: Layout,
    *,
    drawn: bool = False,
    workers: int | None = None,
    progress: Progress = silent,
) -> Drive:
    """Take the differences between two studies over one at a time, and all but one.

    Parameters
    ----------
    studies
        The one and the other.
    found
        What they say otherwise.
    chain
        The stages of a shot.
    layout
        Seed, set-ups and shots of the draws, if it comes to that.
    drawn
        Whether draws are asked for.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.
    """
    one, other = studies
    setups = max(2, min(layout.setups, DRIVEN_SHOTS // (layout.shots * max(len(found), 1))))
    effort = _settled(studies, chain, replace(layout, setups=setups), drawn=drawn)
    fired: dict[str, Rated] = {}
    at_ends = [aims(study, chain) for study in studies]

    def count(study: Study) -> Rated:
        if study.digest not in fired:
            road = open_road(study, chain, wanted=("reason",))
            (fired[study.digest],) = rates_of(road, [study], effort, workers=workers)
        return fired[study.digest]

    first, second = count(one), count(other)
    drivers, unfired = [], []
    apart = {way: second.shares(way) - first.shares(way) for way in WAYS}
    for place, difference in enumerate(found):
        only, without = difference.taken(one, other=True), difference.taken(other, other=False)
        try:
            with_it, without_it = count(only), count(without)
            between = [aims(study, chain) for study in (only, without)]
        except MistakeError:
            # A table of a stage does not reach as far as this mixture of the two rigs.
            unfired.append(difference)
            continue
        alone = {way: with_it.shares(way) - first.shares(way) for way in WAYS}
        last = {way: second.shares(way) - without_it.shares(way) for way in WAYS}
        apart = {way: apart[way] - alone[way] for way in WAYS}
        drivers.append(
            Driver(
                difference=difference,
                alone={way: first.mean(alone[way]) for way in WAYS},
                last={way: first.mean(last[way]) for way in WAYS},
                middle={way: first.mean(0.5 * (alone[way] + last[way])) for way in WAYS},
                fits={
                    way: all(aim[way] for aim in between) or not all(aim[way] for aim in at_ends)
                    for way in WAYS
                },
            )
        )
        progress(2 * (place + 1), 2 * len(found))
    return Drive(
        drivers=tuple(drivers),
        unfired=tuple(unfired),
        together={way: first.mean(apart[way]) for way in WAYS},
        effort=effort,
    )


def _settled(studies: tuple[Study, Study], chain: Chain, layout: Layout, *, drawn: bool) -> Effort:
    """Return as many points as the more demanding of two studies asks for, or draws."""
    if drawn:
        return layout
    roads = (open_road(study, chain, wanted=("reason",)) for study in studies)
    wanted = [settle(road, layout) for road in roads]
    nets = [one for one in wanted if isinstance(one, Net)]
    return max(nets, key=lambda net: net.points) if len(nets) == len(wanted) else layout
