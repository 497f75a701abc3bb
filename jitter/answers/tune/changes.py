"""What to change, what each change by itself is worth, and which are not worth making."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jitter.answers.effort import Rated
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.tune.bench import Bench
from jitter.answers.tune.delays import DELAY, at_delays
from jitter.answers.tune.limits import START, makes_sense
from jitter.answers.tune.plateau import SLIGHT, slight
from jitter.answers.tune.settings import allowed, has_part, own_setting
from jitter.answers.variants import with_values
from jitter.study.study import Nominal, Study

Worth = Mapping[str, Estimate]
"""What is lost, both ways, if a setting is left as it was."""


@dataclass(frozen=True)
class Change:
    """A setting to change.

    Attributes
    ----------
    key
        Which.
    own, best
        The user's, None where it had no part, and the one found.
    worth
        What is lost, both ways, if this one is left as it was and the delay tuned anew; None
        where the setting only follows the others.
    """

    key: str
    own: Nominal
    best: Nominal
    worth: Worth | None


def find_changes(
    bench: Bench,
    sure: Bench,
    study: Study,
    best: Study,
    best_hits: Rated,
    starts: Mapping[Nominal, Worth],
) -> tuple[Change, ...]:
    """Return what to change, and what each change by itself is worth.

    Parameters
    ----------
    bench, sure
        Points of the search, and those that confirm it.
    study
        The rig as it is set.
    best
        As it should be.
    best_hits
        Its hit rates, on the points that confirm.
    starts
        What the best rig does better than the best of each other start signal.
    """
    changed = {}
    for key in bench.free:
        own = own_setting(study, key)
        if has_part(best, key) and own != best.entries[key].nominal:
            changed[key] = own
    found = []
    for key, own in changed.items():
        worth: Worth | None = None
        if key == START:
            worth = starts[own]
        elif (key != DELAY and own is not None) or set(changed) == {DELAY}:
            undone = with_values(best, {key: own})
            if key != DELAY and DELAY in bench.free:
                (delay,) = at_delays(bench, [undone]).best
                undone = with_values(undone, {DELAY: delay})
            (hits,) = sure.rates(best, [undone])
            worth = {way: best_hits.above(hits, way) for way in WAYS}
        found.append(Change(key, own, best.entries[key].nominal, worth))
    return tuple(found)


def other_way(way: str) -> str:
    """Return the other way of setting the delay."""
    return next(each for each in WAYS if each != way)


def loses(change: Change, way: str) -> bool:
    """Return whether a change clearly costs keepers by a way of setting the delay."""
    return change.worth is not None and change.worth[way].high < 0.0


def poorest(bench: Bench, best: Study, changes: Sequence[Change]) -> Change | None:
    """Return the change that is least worth making, None where all are.

    Not worth it is what brings no clear frame in a hundred; and, of sensor and interval, what
    loses the other way of setting the delay and does not bring two more than it loses. Another
    start signal is told of by itself where it does worse the other way.

    Parameters
    ----------
    bench
        The way to judge by, and how far settings may go.
    best
        The rig with all of them.
    changes
        From `find_changes`.
    """
    poor = []
    for change in changes:
        if change.worth is None or change.key == DELAY:
            continue
        judged = change.worth[bench.way]
        other = other_way(bench.way)
        both = judged.value + change.worth[other].value
        torn = loses(change, other) and both < 2.0 * SLIGHT
        undone = with_values(best, {change.key: change.own})
        possible = allowed(bench, undone) and makes_sense(undone, bench.chain)
        if possible and (slight(judged) or (torn and change.key != START)):
            poor.append((judged.value, change))
    return min(poor, key=lambda pair: pair[0])[1] if poor else None
