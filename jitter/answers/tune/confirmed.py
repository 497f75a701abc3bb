"""What the search found, confirmed on fresh points, less the changes that are not worth making."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from jitter.answers.effort import Rated
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.tune.bench import Bench
from jitter.answers.tune.changes import Change, find_changes, poorest
from jitter.answers.tune.limits import START
from jitter.answers.tune.plateau import slight
from jitter.answers.tune.search import Tuned, search, search_again
from jitter.answers.tune.settings import allowed, start_of
from jitter.study.study import Study


@dataclass(frozen=True)
class Started:
    """The best that one start signal can do.

    Attributes
    ----------
    study
        The rig so set.
    hits
        On fresh points.
    behind
        What the recommended settings do better, both ways.
    """

    study: Study
    hits: Rated
    behind: dict[str, Estimate]


@dataclass(frozen=True)
class Confirmed:
    """What is recommended, and what it is worth on fresh points.

    Attributes
    ----------
    study
        The rig as it should be set; the user's own where that brings nothing.
    tuned
        What the search came to, which is told of where it is slight too.
    hits, own_hits
        Hit rates of the rig as it should be and as it is.
    offered
        The gain of what the search came to, both ways.
    changes
        What to change.
    withheld
        What was found and is not worth changing: the rest was worked out anew without it.
    starts
        The best of each start signal that is not the recommended one.
    """

    study: Study
    tuned: Tuned
    hits: Rated
    own_hits: Rated
    offered: dict[str, Estimate]
    changes: tuple[Change, ...]
    withheld: tuple[Change, ...]
    starts: tuple[Started, ...]


def confirmed(bench: Bench, sure: Bench, study: Study, more: Callable[[], None]) -> Confirmed:
    """Return the best settings, each change of which is worth making.

    Parameters
    ----------
    bench, sure
        Points of the search, and those that confirm it.
    study
        The rig as it is set.
    more
        Called before a part of the search is gone through once more.
    """
    found = _rated(sure, study, search(bench, study))
    free, withheld = bench, list[Change]()
    while True:
        told = _told(free, sure, study, found)
        poor = poorest(free, told.study, told.changes)
        if poor is None:
            return replace(told, withheld=tuple(withheld))
        withheld.append(poor)
        free = replace(free, free=tuple(key for key in free.free if key != poor.key))
        more()
        start = start_of(study if poor.key == START else told.study)
        again = search_again(free, study, start)
        others = [one for one in found if start_of(one.tuned.study) != start]
        found = [*_rated(sure, study, [again]), *others]


@dataclass(frozen=True)
class _Rating:
    """What was found for a start signal, with its hit rates on fresh points.

    Those of the rig as it is set go along where it has the same start signal, else None.
    """

    tuned: Tuned
    hits: Rated
    own: Rated | None


def _rated(sure: Bench, study: Study, found: Iterable[Tuned]) -> list[_Rating]:
    ratings = []
    for tuned in found:
        one = tuned.study
        # With another start signal the delay counts from another moment: a batch of its own.
        alike = start_of(one) == start_of(study)
        hits, *own = sure.rates(one, [one, study] if alike else [one])
        ratings.append(_Rating(tuned, hits, own[0] if own else None))
    return ratings


def _told(bench: Bench, sure: Bench, study: Study, found: list[_Rating]) -> Confirmed:
    """Return what was found, the first of it recommended, nothing of it withheld."""
    tuned, hits = found[0].tuned, found[0].hits
    best, own_hits = tuned.study, next(one.own for one in found if one.own is not None)
    offered = gains(hits, own_hits)
    if slight(offered[bench.way]) and allowed(bench, study):
        best, hits = study, own_hits
    starts = tuple(
        Started(one.tuned.study, one.hits, gains(hits, one.hits))
        for one in found
        if start_of(one.tuned.study) != start_of(best)
    )
    behind = {start_of(row.study): row.behind for row in starts}
    changes = find_changes(bench, sure, study, best, hits, behind)
    return Confirmed(best, tuned, hits, own_hits, offered, changes, (), starts)


def gains(one: Rated, other: Rated) -> dict[str, Estimate]:
    """Return by how much a hit rate is above another, both ways."""
    return {way: one.above(other, way) for way in WAYS}
