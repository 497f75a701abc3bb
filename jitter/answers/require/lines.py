"""Errors of growing size at the same points: near the present size, then further, then closer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from jitter.answers.effort import Effort, Rated, rates_of
from jitter.answers.hits import WAYS
from jitter.answers.require.requirement import hit_curve, sizes_wanted
from jitter.answers.require.roads import Reach, ends_of, prepare, within
from jitter.answers.require.subject import Subject
from jitter.answers.workers import Progress, silent
from jitter.study.study import Study
from jitter.trial import Road

FACTORS = (0.5, 1.0, 2.0, 4.0)
"""Of the present size, near it."""
FAR = 4.0
"""Further out, or where there is no present size, sizes go on in this ratio."""
LOOKED = 8
"""So many sizes where there is no present one."""
ROUNDS = 4
"""So often at the most it is looked closer around the crossings."""


@dataclass(eq=False)
class Line:
    """What-ifs of one kind by size, as they come in.

    Attributes
    ----------
    make
        The what-if of a size.
    near
        The largest size near the present one.
    hits
        By size.
    """

    make: Callable[[float], Study]
    near: float
    hits: dict[float, Rated] = field(default_factory=dict)

    def reaches(self, target: float) -> bool:
        """Whether the target is, or may be, reached at the largest size so far."""
        last = self.hits[max(self.hits)]
        return any(last.rates[way].high >= target for way in WAYS)


Wanted = list[tuple[Road, Line, float]]
"""Sizes to work out, each with a road that reaches so far."""


def near_sizes(present: float, most: float) -> set[float]:
    """Return the sizes that are looked at first.

    Parameters
    ----------
    present
        As it is; 0 where there is none, and all sizes are looked at at once.
    most
        The largest.
    """
    if most == 0.0:
        return {0.0}
    if present == 0.0:
        return {0.0, *(most / FAR**power for power in range(LOOKED))}
    return {0.0, *(min(present * factor, most) for factor in FACTORS)}


def far_sizes(near: float, most: float) -> set[float]:
    """Return the sizes beyond those near the present one."""
    found = set()
    while near * FAR < most:
        near *= FAR
        found.add(near)
    return {*found, most}


def close_by(subject: Subject, *, offsets: bool = True) -> Subject:
    """Return a subject that is looked at near its present size; all of it where it has none.

    Parameters
    ----------
    subject
        The spread asked for.
    offsets
        Whether steady offsets are looked at too.
    """
    if not offsets:
        subject = within(subject, subject.most, 0.0, 0.0)
    if subject.present == 0.0:
        return subject
    most, typical = (FACTORS[-1] * size for size in (subject.present, subject.typical))
    return within(subject, most, typical, typical)


class Lineup:
    """The errors of a subject: its spread, and perhaps a steady offset down and up.

    Parameters
    ----------
    study
        The rig.
    subject
        The spread asked for.
    reach
        A road, and the same spread no further than it is looked at first.
    target
        The hit rate whose crossings matter.
    """

    def __init__(self, study: Study, subject: Subject, reach: Reach, target: float) -> None:
        self._study, self._whole, self._target = study, subject, target
        self._near = self._far = reach.road
        self._free = reach.free
        self.subject = near = reach.subject
        self.spread = Line(lambda size: near.sized(study, size), near.most)
        self.down = Line(lambda size: near.off(study, -size), near.down)
        self.up = Line(lambda size: near.off(study, size), near.up)
        self._lines = (self.spread, self.down, self.up)

    def first(self) -> Wanted:
        """Return the sizes that are looked at first."""
        near = self.subject
        sizes = [near_sizes(near.present, near.most)]
        sizes += [
            near_sizes(min(near.typical, line.near), line.near) if line.near > 0.0 else set()
            for line in (self.down, self.up)
        ]
        pairs = zip(self._lines, sizes, strict=True)
        return [(self._near, line, size) for line, some in pairs for size in some]

    def further(self) -> Wanted:
        """Return sizes as far out as makes sense, of errors that still reach the target."""
        goes = [bool(line.hits) and line.reaches(self._target) for line in self._lines]
        pairs = zip(goes, ends_of(self._whole), ends_of(self.subject), strict=True)
        ends = tuple(whole if further else end for further, whole, end in pairs)
        if ends == ends_of(self.subject):
            return []
        self.subject = within(self._whole, *ends)
        if not self._free:
            self._far, self.subject = prepare(self._study, self._near.chain, self.subject)
        return [
            (self._far, line, size)
            for line, end in zip(self._lines, ends_of(self.subject), strict=True)
            if end > line.near
            for size in far_sizes(line.near, end)
        ]

    def closer(self) -> Wanted:
        """Return the sizes to look at next, to know the limits better."""
        return [
            (self._near if size <= line.near else self._far, line, size)
            for line in self._lines
            if line.hits
            for size in sizes_wanted(hit_curve(line.hits), self._target)
        ]


def fire_all(
    lineups: Sequence[Lineup],
    effort: Effort,
    *,
    workers: int | None = None,
    progress: Progress = silent,
) -> None:
    """Work lines out: near the present sizes, further where the target is reached, then closer.

    Parameters
    ----------
    lineups
        Of the spreads of one study.
    effort
        Points or draws.
    workers
        Threads.
    progress
        Told of progress.
    """
    passes = 2 + ROUNDS

    def work(done: int, wanted: Wanted) -> None:
        _fire(
            wanted,
            effort,
            workers=workers,
            progress=lambda part, parts: progress(done * parts + part, passes * parts),
        )

    work(0, [one for lineup in lineups for one in lineup.first()])
    work(1, [one for lineup in lineups for one in lineup.further()])
    for done in range(ROUNDS):
        work(2 + done, [one for lineup in lineups for one in lineup.closer()])
    progress(1, 1)


def _fire(wanted: Wanted, effort: Effort, *, workers: int | None, progress: Progress) -> None:
    """Work sizes out, all of a road at once, and note what came of them."""
    roads = {id(road): road for road, _, _ in wanted}
    for place, (name, road) in enumerate(roads.items()):

        def tell(done: int, total: int, place: int = place) -> None:
            progress(place * total + done, len(roads) * total)

        mine = [(line, size, line.make(size)) for other, line, size in wanted if id(other) == name]
        # The study as it is stands in many lines.
        unlike = {id(study): study for _, _, study in mine}
        rated = rates_of(road, list(unlike.values()), effort, workers=workers, progress=tell)
        found = dict(zip(unlike, rated, strict=True))
        for line, size, study in mine:
            line.hits[size] = found[id(study)]
