"""The same light from several flashes, each at less power: shorter, and perhaps with two edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from jitter.answers.hits import WAYS, Hits, count_hits, difference
from jitter.answers.intervals import Estimate
from jitter.answers.power.keeping import DELAY, POWER
from jitter.answers.power.ladder import SAME
from jitter.answers.power.moments import lag, smear
from jitter.answers.variants import with_values
from jitter.draws.layout import Layout
from jitter.stage import Chain
from jitter.study.study import Study, default_entry
from jitter.trial import nominal_shot, single

COUNT, STAGGER = "flash.count", "flash.stagger"
TIMES = (2, 4)
MOST = 64


@dataclass(frozen=True)
class Several:
    """The light of a setting shared by more flashes.

    Attributes
    ----------
    count
        Flashes.
    power
        Of each [1].
    tenth
        t0.1 of each [s].
    stagger
        From the first to the last, nominally [s].
    smear
        Motion blur of a falling drop [m].
    edge_gap
        Between the two edges of a falling drop [m].
    hits
        On fresh draws.
    gain
        Over the setting itself, both ways.
    """

    count: int
    power: float
    tenth: float
    stagger: float
    smear: float
    edge_gap: float
    hits: Hits
    gain: dict[str, Estimate]


def share_light(
    study: Study,
    chain: Chain,
    hits: Hits,
    layout: Layout,
    *,
    powers: Sequence[float],
    speed: float,
    workers: int | None = None,
) -> tuple[Several, ...]:
    """Return what twice and four times as many flashes would do, at the same exposure.

    Guide numbers add as the squares do: k flashes at 1/k of the power give the same light. Left out
    where a flash cannot be set so.

    Parameters
    ----------
    study
        The rig at a setting.
    chain
        The stages of a shot.
    hits
        Its keepers on the same draws.
    layout
        Seed, set-ups and shots.
    powers
        That a flash can be set to, full first [1].
    speed
        Of a falling drop across the view [m/s].
    workers
        Threads; the machine's processors where None.
    """
    own = int(float(str(study.entries[COUNT].nominal or 1.0)))
    before = lag(nominal_shot(study, chain))
    found = []
    for times in TIMES:
        power = study.number(POWER) / times
        settable = any(abs(power / one - 1.0) < SAME for one in powers)
        if not settable or own * times > MOST:
            continue
        shared = with_flashes(study, own * times, power)
        nominal = nominal_shot(shared, chain)
        delay = max(study.number(DELAY) + before - lag(nominal), 0.0)
        counted = count_hits(with_values(shared, {DELAY: delay}), chain, layout, workers=workers)
        found.append(
            Several(
                count=own * times,
                power=power,
                tenth=single(nominal, "flash_duration"),
                stagger=single(nominal, "flash_gap"),
                smear=smear(nominal, speed),
                edge_gap=single(nominal, "magnification") * single(nominal, "flash_gap") * speed,
                hits=counted,
                gain={way: difference(counted, hits, way) for way in WAYS},
            )
        )
    return tuple(found)


def with_flashes(study: Study, count: int, power: float) -> Study:
    """Return a rig with several flashes, staggered as its link staggers them.

    Parameters
    ----------
    study
        The rig.
    count
        Flashes.
    power
        Of each [1].
    """
    made = with_values(study, {COUNT: float(count), POWER: power})
    entry = made.entries[STAGGER]
    if entry.nominal is not None:
        return made
    # What its link chose for it is in its declaration already.
    woken = default_entry(entry.declaration, {})
    return replace(made, entries={**made.entries, STAGGER: woken})
