"""Which flash power is best, what each costs, and how the exposure is kept right."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from jitter.answers.compare.aim import TIMING, aimed
from jitter.answers.hits import WAYS, Hits, difference
from jitter.answers.intervals import Estimate
from jitter.answers.power.choosing import Pick, beside, best_of
from jitter.answers.power.keeping import MEANS, absolute, is_relative, limits
from jitter.answers.power.moments import Speeds, find_bands, speeds
from jitter.answers.power.rungs import Rung, plan, rung
from jitter.answers.power.several import Several, share_light
from jitter.answers.warnings import find_warnings, unaimed
from jitter.answers.what_ifs import count_what_ifs, open_wide
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.stage import Chain, Events
from jitter.stages.verdict import REASONS
from jitter.study.study import Study
from jitter.trial import nominal_shot, single

SETUPS, SHOTS = 4096, 16
FRESH = 4
"""So many times the set-ups of the search are fired anew, with other draws, to confirm it."""
WORTH = 0.01
"""Share of keepers that a stop of light is taken to be worth: an assumption, to be asked."""


@dataclass(frozen=True)
class Confirmed:
    """A setting on fresh draws.

    Attributes
    ----------
    pick
        Power and means.
    hits
        Frames of each set-up by reason.
    gain
        Over the recommended setting, both ways.
    """

    pick: Pick
    hits: Hits
    gain: dict[str, Estimate]


@dataclass(frozen=True)
class PowerAnswer:
    """The answer to `jitter power`.

    Attributes
    ----------
    study
        The rig as it is set.
    layout, fresh
        Draws of the search, and of what confirms it.
    way
        By which keepers settings were judged.
    unaimed
        Where the delay itself brings the nominal shot too early or too late: what is wrong with it
        and how to mend it. Settings were judged after trimming then, of its own accord.
    means
        By which the exposure might be kept right.
    ends
        How far each could go.
    worth
        Share of keepers that a stop of light is worth.
    relative
        Whether the study gives no guide number, so that its own settings count as right.
    off
        By how much the study's own nominal exposure is over a right one [stop].
    nominal
        Events of its shot in which nothing strays.
    speeds
        Of what moves in it.
    rungs
        Every power, full first.
    own
        Keepers as the study is set, on fresh draws.
    searched
        The same on the draws of the search.
    best
        The recommended setting; None where no power is exposed right, or none keeps a frame.
    gain
        Of the recommended setting over the study's own, both ways; none without one.
    beside
        About a stop brighter and about a stop darker than the recommended one.
    by_means
        The best setting of each means that has one.
    several
        The recommended light shared by more flashes.
    warnings
        Where the model or the study is out of its depth.
    """

    study: Study
    layout: Layout
    fresh: Layout
    way: str
    unaimed: str
    means: tuple[str, ...]
    ends: dict[str, tuple[float, float]]
    worth: float
    relative: bool
    off: float
    nominal: Events
    speeds: Speeds
    rungs: tuple[Rung, ...]
    own: Hits
    searched: Hits
    best: Confirmed | None
    gain: dict[str, Estimate]
    beside: tuple[Confirmed, ...]
    by_means: dict[str, Pick]
    several: tuple[Several, ...]
    warnings: tuple[str, ...]


def answer_power(
    study: Study,
    chain: Chain,
    *,
    means: Sequence[str] = tuple(MEANS),
    worth: float = WORTH,
    way: str = "as_set",
    setups: int = SETUPS,
    shots: int = SHOTS,
    workers: int | None = None,
    progress: Progress = silent,
) -> PowerAnswer:
    """Find the flash power that keeps the most frames for the light it costs.

    At every power the exposure is kept right by one means, and the delay follows the light's
    middle. A stop of light is worth a share of keepers: of two settings a stop apart the darker is
    better only where it keeps more than that. All settings see the same draws; the best, its
    neighbours and the user's own are fired anew on fresh ones. Where the delay is so far off that
    even the shot without errors misses the window, no light brings keepers as set: settings are
    judged after trimming then.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    means
        Of `MEANS`: by which the exposure may be kept right.
    worth
        Share of keepers that a stop of light is worth.
    way
        One of `WAYS`: by which keepers settings are judged, where the aim is right.
    setups, shots
        Set-ups, at least 2, and shots of each, in the search.
    workers
        Threads; change the speed, not a digit of the answer.
    progress
        Told of progress.
    """
    relative = is_relative(study)
    nominal = nominal_shot(study, chain)
    told = unaimed(study, nominal) if _mistimed(nominal) else ""
    way = "as_trimmed" if told else way
    based = absolute(study, nominal)
    ends = {one: limits(study, one) for one in MEANS if one in means}
    planned = plan(based, chain, nominal_shot(based, chain), ends, relative=relative)

    road = open_wide(based, chain, widest=based)
    rigs = [setting.study for row in planned for setting in row.settings.values()]
    layout, fresh = Layout(study.seed, setups, shots), Layout(study.seed + 1, FRESH * setups, shots)
    searched, *found_hits = count_what_ifs(
        road, [based, *rigs], layout, workers=workers, progress=progress
    )
    counted = iter(found_hits)
    # The light is looked at where it falls, once the delay is trimmed.
    moving = speeds(nominal_shot(aimed(study, chain), chain) if told else nominal)
    sampled = find_bands(
        road, [next(iter(row.settings.values())).study for row in planned], seed=study.seed, way=way
    )
    rungs = tuple(
        rung(
            based,
            chain,
            row,
            hits={one: next(counted) for one in row.settings},
            bands=bands,
            speeds=moving,
        )
        for row, bands in zip(planned, sampled, strict=True)
    )

    best = best_of(rungs, tuple(ends), worth=worth, way=way)
    picks = [] if best is None else [best, *beside(rungs, best)]
    own, *fired = count_what_ifs(
        road, [based, *(pick.tried.setting.study for pick in picks)], fresh, workers=workers
    )
    confirmed = [
        Confirmed(pick, hits, _gains(hits, fired[0]))
        for pick, hits in zip(picks, fired, strict=True)
    ]
    found = {one: best_of(rungs, (one,), worth=worth, way=way) for one in ends}
    several: tuple[Several, ...] = ()
    if best is not None:
        several = share_light(
            best.tried.setting.study,
            chain,
            fired[0],
            fresh,
            powers=[row.power for row in rungs],
            speed=moving.drop,
            workers=workers,
        )
    return PowerAnswer(
        study=study,
        layout=layout,
        fresh=fresh,
        way=way,
        unaimed=told,
        means=tuple(ends),
        ends=ends,
        worth=worth,
        relative=relative,
        off=math.log2(single(nominal, "exposure")),
        nominal=nominal,
        speeds=moving,
        rungs=rungs,
        own=own,
        searched=searched,
        best=confirmed[0] if confirmed else None,
        gain=_gains(fired[0], own) if confirmed else {},
        beside=tuple(confirmed[1:]),
        by_means={one: pick for one, pick in found.items() if pick is not None},
        several=several,
        warnings=find_warnings(study, nominal),
    )


def _mistimed(nominal: Events) -> bool:
    """Return whether it is the delay that makes a nominal shot miss."""
    return int(single(nominal, "reason")) in [REASONS.index(word) for word in TIMING]


def _gains(one: Hits, other: Hits) -> dict[str, Estimate]:
    return {way: difference(one, other, way) for way in WAYS}
