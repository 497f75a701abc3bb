"""Which settings are best for the wanted look, and how much slack each has."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from jitter.answers.effort import Effort, Rated, settle
from jitter.answers.hits import WAYS, count_hits
from jitter.answers.intervals import Estimate
from jitter.answers.tune.bench import Bench, fresh, of_search
from jitter.answers.tune.changes import Change
from jitter.answers.tune.confirmed import Started, confirmed, gains
from jitter.answers.tune.delays import DELAY
from jitter.answers.tune.limits import (
    INTERVAL,
    START,
    WHOLE_LIFE,
    Limits,
    find_limits,
    meets_at,
)
from jitter.answers.tune.mapped import lay_map
from jitter.answers.tune.plateau import PlateauMap, Slack, draw_map
from jitter.answers.tune.prepared import prepared
from jitter.answers.tune.search import Tuned
from jitter.answers.tune.settings import SETTINGS
from jitter.answers.tune.slack import every_slack
from jitter.answers.warnings import find_warnings
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.stage import Chain, Events
from jitter.stages.verdict import KEEPER, REASONS
from jitter.study.study import Study
from jitter.trial import nominal_shot, open_road

SETUPS = 2048
SHOTS = 16
NOTHING = 1e-4
"""A hit rate below this is called none."""
PLANNED = {"start": 6, "rest": 56, "again": 45}
"""About how many pieces of work an answer takes, for word of progress."""


@dataclass(frozen=True)
class TuneAnswer:
    """The answer to `jitter tune`.

    Attributes
    ----------
    study
        The rig as it is set.
    best
        The rig as it should be set; the same where nothing is to be gained.
    effort, fresh
        Points or draws of the search, and of what confirms it.
    fell_back
        Whether points did not serve, and draws took their place unasked.
    way
        By which keepers settings were judged.
    free, kept
        Settings that might be changed, and that were not to be.
    limits
        How far settings might go.
    own_hits, best_hits
        Hit rates on fresh points.
    searched
        Hit rate of the recommended settings in the search, judged by `way`.
    gain
        Of the recommended settings over the user's, both ways, on fresh points.
    offered
        The gain of the best settings found, which are recommended unless it is slight.
    changes
        What to change.
    withheld
        What was found and is not worth changing: the rest was worked out anew without it.
    starts
        The best of each start signal, the recommended one first.
    slack
        By setting, both ways; of none where no setting gives a keeper.
    plateau
        Delay against interval, or None in a rig without an interval, or without a keeper.
    lost_to
        The reason to which most of the user's frames are lost, where nothing gives a keeper.
    phases
        Place in the jet's life of the nominal meeting: as it is set, and as it should be.
    warnings
        Where the model or the study is out of its depth.
    """

    study: Study
    best: Study
    effort: Effort
    fresh: Effort
    fell_back: bool
    way: str
    free: tuple[str, ...]
    kept: tuple[str, ...]
    limits: Limits
    own_hits: Rated
    best_hits: Rated
    searched: float
    gain: dict[str, Estimate]
    offered: dict[str, Estimate]
    changes: tuple[Change, ...]
    withheld: tuple[Change, ...]
    starts: tuple[Started, ...]
    slack: dict[str, dict[str, Slack]]
    plateau: PlateauMap | None
    lost_to: str | None
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
    setups: int | None = None,
    shots: int | None = None,
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
        Set-ups, at least 2, and shots of each, in the search: random draws, where either is asked
        for; otherwise rates come from points.
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

    def more() -> None:
        nonlocal planned
        planned += PLANNED["again"]

    layout, drawn = Layout(study.seed, setups or SETUPS, shots or SHOTS), bool(setups or shots)
    effort: Effort = layout
    if not drawn:
        effort = settle(open_road(study, chain, wanted=("reason",)), layout, workers=workers)
    bench = Bench(chain, of_search(effort), way, tuple(known), limits, workers, tick)
    sure = replace(bench, effort=fresh(effort))
    found = confirmed(bench, sure, study, more)
    best, best_hits = found.study, found.hits
    searched = found.tuned.rated
    if best is study:
        (searched,) = bench.rates(study, [study], (way,))
    hopeless = all(best_hits.rates[each].value < NOTHING for each in WAYS)
    mapped = not hopeless and INTERVAL in study.entries
    return TuneAnswer(
        study=study,
        best=best,
        effort=bench.effort,
        fresh=sure.effort,
        fell_back=not drawn and isinstance(effort, Layout),
        way=way,
        free=bench.free,
        kept=kept,
        limits=limits,
        own_hits=found.own_hits,
        best_hits=best_hits,
        searched=float(searched.shares(way).mean()),
        gain=gains(best_hits, found.own_hits),
        offered=found.offered,
        changes=found.changes,
        withheld=found.withheld,
        starts=(Started(best, best_hits, gains(best_hits, best_hits)), *found.starts),
        slack={} if hopeless else every_slack(bench, best),
        plateau=_plateau(bench, study, best, found.tuned) if mapped else None,
        lost_to=_leading_reason(study, chain, layout, workers) if hopeless else None,
        phases=(meets_at(study, chain), meets_at(best, chain)),
        warnings=find_warnings(best, _untold(nominal_shot(best, chain))),
    )


def _untold(nominal: Events) -> Events:
    """Return a shot's events without where drop and jet meet.

    The answer says that by itself, and the hit rates that it compares hold what comes of it: to
    warn of it would be to argue against the interval that is recommended.
    """
    return {**nominal, "peak_share": np.zeros(1)} if "peak_share" in nominal else nominal


def _plateau(bench: Bench, study: Study, best: Study, tuned: Tuned) -> PlateauMap:
    """Return the map on which the best was found; another where that was set up otherwise."""
    together = {INTERVAL, DELAY}
    alike = all(
        best.entries[key].nominal == tuned.study.entries[key].nominal
        for key in SETTINGS
        if key in best.entries and key not in together
    )
    mapped = tuned.mapped if alike else None
    mapped = mapped or lay_map(bench.fewer(), study, best)
    (recommended,) = mapped.grid.bench.rates(mapped.grid.base, [best], ("as_set",))
    return draw_map(mapped.grid, mapped.intervals, recommended)


def _leading_reason(study: Study, chain: Chain, layout: Layout, workers: int | None) -> str:
    """Return what most frames are lost to; points tell no reasons, so some are drawn."""
    counts = count_hits(study, chain, layout, workers=workers).as_set.sum(axis=0)[:KEEPER]
    return REASONS[int(counts.argmax())]
