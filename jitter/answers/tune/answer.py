"""Which settings are best for the wanted look, and how much slack each has."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from jitter.answers.hits import WAYS, Hits, count_hits, difference
from jitter.answers.intervals import Estimate
from jitter.answers.tune.delays import DELAY, delay_curve
from jitter.answers.tune.limits import (
    INTERVAL,
    START,
    WHOLE_LIFE,
    Limits,
    find_limits,
    meets_at,
)
from jitter.answers.tune.plateau import PlateauMap, Slack, slight
from jitter.answers.tune.prepared import prepared
from jitter.answers.tune.search import (
    SETTINGS,
    Bench,
    allowed,
    curves,
    has_part,
    own_setting,
    search,
    start_of,
)
from jitter.answers.tune.slack import find_slack, map_plateau
from jitter.answers.variants import with_values
from jitter.answers.warnings import find_warnings
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.stage import Chain
from jitter.study.study import Nominal, Study
from jitter.trial import nominal_shot

SETUPS = 2048
SHOTS = 16
FRESH = 4
"""So many times the set-ups of the search are fired anew, with other draws, to confirm it."""
PLANNED = {"start": 37, "rest": 100}
"""About how many trials a search takes, for word of progress."""


@dataclass(frozen=True)
class Change:
    """A setting to change.

    Attributes
    ----------
    key
        Which.
    own, best
        The user's, None where it had no part, and the recommended one.
    worth
        What is lost, both ways, if this one is left as it was and the delay tuned anew; None
        where the setting only follows the others.
    """

    key: str
    own: Nominal
    best: Nominal
    worth: dict[str, Estimate] | None


@dataclass(frozen=True)
class Started:
    """The best that one start signal can do.

    Attributes
    ----------
    study
        The rig so set.
    hits
        On fresh draws.
    behind
        What the recommended settings do better, both ways.
    """

    study: Study
    hits: Hits
    behind: dict[str, Estimate]


@dataclass(frozen=True)
class TuneAnswer:
    """The answer to `jitter tune`.

    Attributes
    ----------
    study
        The rig as it is set.
    best
        The rig as it should be set; the same where nothing is to be gained.
    layout, fresh
        Draws of the search, and of what confirms it.
    way
        By which keepers settings were judged.
    free, kept
        Settings that might be changed, and that were not to be.
    limits
        How far settings might go.
    own_hits, best_hits
        Keepers on fresh draws.
    searched
        Hit rate of the recommended settings in the search, judged by `way`.
    gain
        Of the recommended settings over the user's, both ways, on fresh draws.
    offered
        The gain of the best settings found, which are recommended unless it is slight.
    changes
        What to change.
    starts
        The best of each start signal, the recommended one first.
    slack
        By setting, both ways; of none where no setting gives a keeper.
    plateau
        Delay against interval, or None in a rig without an interval, or without a keeper.
    phases
        Place in the jet's life of the nominal meeting: as it is set, and as it should be.
    warnings
        Where the model or the study is out of its depth.
    """

    study: Study
    best: Study
    layout: Layout
    fresh: Layout
    way: str
    free: tuple[str, ...]
    kept: tuple[str, ...]
    limits: Limits
    own_hits: Hits
    best_hits: Hits
    searched: float
    gain: dict[str, Estimate]
    offered: dict[str, Estimate]
    changes: tuple[Change, ...]
    starts: tuple[Started, ...]
    slack: dict[str, dict[str, Slack]]
    plateau: PlateauMap | None
    phases: tuple[float, float]
    warnings: tuple[str, ...]


def answer_tune(
    study: Study,
    chain: Chain,
    *,
    keep: Iterable[str] = (),
    reach: tuple[float, float] | None = None,
    phase: tuple[float, float] = WHOLE_LIFE,
    way: str = "as_set",
    setups: int = SETUPS,
    shots: int = SHOTS,
    workers: int | None = None,
    progress: Progress = silent,
) -> TuneAnswer:
    """Find the best settings of a rig, and how much slack each has.

    The hit rate is averaged over set-ups with all their errors, so the answer is the best for
    rigs set up as badly as the study says, not the sharp best of a perfect one.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    keep
        Settings to leave as they are.
    reach
        Where the sensor can stand [m].
    phase
        Where in the jet's life drop and jet may meet.
    way
        One of `WAYS`: by which keepers settings are judged.
    setups, shots
        Set-ups, at least 2, and shots of each, in the search.
    workers
        Threads; change the speed, not a digit of the answer.
    progress
        Told of progress.
    """
    chain = prepared(study, chain, SETTINGS)
    kept = tuple(key for key in SETTINGS if key in set(keep))
    known = [key for key in SETTINGS if key in study.entries and key not in kept]
    limits = find_limits(study, chain, reach=reach, phase=phase)
    starts = len(limits.starts) if START in known else 1
    planned, done = PLANNED["start"] * starts + PLANNED["rest"], 0

    def tick() -> None:
        nonlocal done
        done += 1
        progress(min(done, planned - 1), planned)

    layout, fresh = Layout(study.seed, setups, shots), Layout(study.seed + 1, FRESH * setups, shots)
    bench = Bench(chain, layout, way, tuple(known), limits, workers, tick)
    found = search(bench, study)

    def confirm(variant: Study) -> Hits:
        tick()
        return count_hits(variant, chain, fresh, workers=workers)

    own_hits = confirm(study)
    confirmed = [(tuned.study, confirm(tuned.study)) for tuned in found]
    best, best_hits = confirmed[0]
    searched = found[0].rate
    offered = _gains(best_hits, own_hits)
    if slight(offered[way]) and allowed(bench, study):
        best, best_hits = study, own_hits
        searched = float(curves(bench, [study], (study.number(DELAY),))[0].shares(way).mean())
    by_start = tuple(
        Started(one, hits, _gains(best_hits, hits))
        for one, hits in confirmed
        if START in known and start_of(one) != start_of(best)
    )
    hopeless = all(best_hits.rates[each].value == 0.0 for each in WAYS)
    slack = {} if hopeless else find_slack(bench, best)
    mapped = slack and INTERVAL in study.entries
    nominal = nominal_shot(best, chain)
    return TuneAnswer(
        study=study,
        best=best,
        layout=layout,
        fresh=fresh,
        way=way,
        free=bench.free,
        kept=kept,
        limits=limits,
        own_hits=own_hits,
        best_hits=best_hits,
        searched=searched,
        gain=_gains(best_hits, own_hits),
        offered=offered,
        changes=_changes(bench, study, best, best_hits, by_start, fresh),
        starts=(Started(best, best_hits, _gains(best_hits, best_hits)), *by_start),
        slack=slack,
        plateau=map_plateau(bench, study, best, slack) if mapped else None,
        phases=(meets_at(study, chain), meets_at(best, chain)),
        warnings=find_warnings(best, nominal),
    )


def _gains(one: Hits, other: Hits) -> dict[str, Estimate]:
    return {way: difference(one, other, way) for way in WAYS}


def _changes(
    bench: Bench,
    study: Study,
    best: Study,
    best_hits: Hits,
    by_start: tuple[Started, ...],
    fresh: Layout,
) -> tuple[Change, ...]:
    """Return what to change, and what each change by itself is worth."""
    changed = {}
    for key in bench.free:
        own = own_setting(study, key)
        if has_part(best, key) and own != best.entries[key].nominal:
            changed[key] = own
    found = []
    for key, own in changed.items():
        worth = None
        if key == START:
            (same,) = (row for row in by_start if start_of(row.study) == own)
            worth = same.behind
        elif (key != DELAY and own is not None) or set(changed) == {DELAY}:
            undone = with_values(best, {key: own})
            if key != DELAY and DELAY in bench.free:
                delay = delay_curve(undone, bench.chain, bench.layout).delay
                undone = with_values(undone, {DELAY: delay})
            hits = count_hits(undone, bench.chain, fresh, workers=bench.workers)
            worth = _gains(best_hits, hits)
        found.append(Change(key, own, best.entries[key].nominal, worth))
    return tuple(found)
