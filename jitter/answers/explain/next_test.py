"""The next test: the cheapest series of frames that best separates the suspects."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.explain.suspects import Rig, Suspect
from jitter.answers.explain.views import Views, view
from jitter.answers.variants import with_values
from jitter.answers.workers import Progress, silent
from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.stage import Chain
from jitter.stages.look import LOOKS
from jitter.study.study import Nominal, Study
from jitter.trial import nominal_shot, single

FRAMES = 20
"""In a series: an evening's patience."""
BINS = 5
"""Ranks into which what a series shows is sorted, each of its two numbers."""
ABOVE = 0.015
"""A single drop is photographed so high above the surface [m]."""
HOLD = 0.008
"""Light so much before the middle of the window shows the drop above the column [s]."""


@dataclass(frozen=True)
class Series:
    """A series of frames that might be shot.

    Attributes
    ----------
    name
        In words.
    how
        What to set.
    study
        The rig so set.
    what
        What is read of each frame: "drop height", "gap", or "looks".
    """

    name: str
    how: str
    study: Study
    what: str


@dataclass(frozen=True)
class Outcome:
    """What a series shows if a suspect is to blame.

    Attributes
    ----------
    mean
        Middle, over set-ups, of the mean of what is read; of the share of keepers for looks. NaN
        where most set-ups show nothing to be read.
    low, high
        Nine in ten set-ups have it between these.
    spread
        Middle of the standard deviation from frame to frame; NaN for looks.
    """

    mean: float
    low: float
    high: float
    spread: float


@dataclass(frozen=True)
class NextTest:
    """A series, what it would show, and how much it would tell.

    Attributes
    ----------
    series
        What to shoot.
    frames
        How many.
    gain
        Expected gain of information about who is to blame [bit].
    left
        Information that is missing before it [bit].
    outcomes
        Under each suspect, in the order asked, the rig as described first.
    """

    series: Series
    frames: int
    gain: float
    left: float
    outcomes: tuple[Outcome, ...]


def possible(study: Study, chain: Chain) -> tuple[Series, ...]:
    """Return the series that might be shot with a rig.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    """
    nominal = nominal_shot(study, chain)
    fall = single(nominal, "first_landing") - single(nominal, "first_release")
    early = ABOVE / single(nominal, "impact_speed")
    release = single(nominal, "first_release")
    found = []
    lag = single(nominal, "flash_time") - single(nominal, "flash_command")
    for start, name in (("valve", "by the valve"), ("first drop", "by the beam")):
        begins = 0.0
        if start == "first drop":
            other = nominal_shot(with_values(study, {"timer.start": start}), chain)
            begins = single(other, "start_time")
        delay = release + fall - early - begins - lag
        if delay > 0.0 and not math.isnan(delay):
            set_so: dict[str, Nominal] = {"timer.start": start, "timer.delay": delay}
            found.append(
                Series(
                    f"frames of single drops, started {name}",
                    "let one drop fall, close the valve for the second",
                    with_values(study, set_so),
                    "drop height",
                )
            )
    low, high = study.window("keeper.age")
    before = study.number("timer.delay") - HOLD - 0.5 * (high - low)
    if before > 0.0:
        found.append(
            Series(
                "frames of the drop above the column",
                "shorten the delay until the drop has not met the jet yet",
                with_values(study, {"timer.delay": before}),
                "gap",
            )
        )
    found.append(Series("frames as now", "change nothing", study, "looks"))
    return tuple(found)


def best_test(
    base: Study,
    chain: Chain,
    blamed: Sequence[Suspect],
    weights: Sequence[float],
    kept: Sequence[Mapping[str, Array]],
    layout: Layout,
    *,
    way: str,
    workers: int | None = None,
    progress: Progress = silent,
) -> tuple[NextTest, ...]:
    """Return every series, the one that tells most first.

    Parameters
    ----------
    base
        The rig, from `jitter.answers.explain.suspects.drawable`.
    chain
        The stages of a shot.
    blamed
        The suspects to be told apart, from each other and from the rig as described.
    weights
        Probability of the rig as described, then of each of them.
    kept
        Of the same, by set-up of the log: weights of the simulated set-ups given the log, (s,).
    layout
        The draws behind those weights.
    way
        As set by ruler or as trimmed.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.
    """
    shares = np.array(weights) / sum(weights)
    left = -float(sum(share * math.log2(share) for share in shares if share > 0.0))
    found = []
    every = possible(base, chain)
    for series in every:
        rigs = [Rig(series.study), *(suspect.rig(series.study, layout) for suspect in blamed)]
        # Only frames as now are trimmed; the other series set the delay by themselves.
        how = way if series.what == "looks" else "as_set"
        shown = view(base, chain, rigs, layout, lambda views: views, way=how, workers=workers)
        read = [_read(views, series.what) for views in shown]
        chances = [_of_setups(one) for one in kept]
        gain = _information(read, chances, shares)
        outcomes = tuple(_outcome(one, chance) for one, chance in zip(read, chances, strict=True))
        found.append(NextTest(series, FRAMES, gain, left, outcomes))
        progress(len(found), len(every))
    return tuple(sorted(found, key=lambda test: -test.gain))


def _of_setups(kept: Mapping[str, Array]) -> Array:
    """Return the chance of each simulated set-up, that of the log's last one."""
    *_, last = kept.values()
    return last


def _read(views: Views, what: str) -> Array:
    """Return mean and standard deviation of what is read in a series of each set-up, (2, s)."""
    if what == "looks":
        shares = (views.look[:, :FRAMES] == LOOKS.index("keeper")).mean(axis=1)
        return np.stack([shares, np.zeros(len(shares))])
    place = {"gap": 0, "drop height": 4}[what]
    sizes = views.measures[place][:, :FRAMES]
    told = ~np.isnan(sizes)
    count = np.maximum(told.sum(axis=1), 1)
    mean = np.where(told, sizes, 0.0).sum(axis=1) / count
    square = np.where(told, (sizes - mean[:, None]) ** 2, 0.0).sum(axis=1)
    spread = np.sqrt(square / np.maximum(count - 1, 1))
    return np.where(told.any(axis=1), np.stack([mean, spread]), np.nan)


def _information(read: Sequence[Array], chances: Sequence[Array], shares: Array) -> float:
    """Return how much a series tells about which suspect is to blame [bit].

    What it shows is sorted by the ranks of its two numbers over all suspects; the information is
    that between suspect and rank.
    """
    # Frames without what is to be read stand below all others.
    pooled = np.nan_to_num(np.concatenate(read, axis=1), nan=-1.0)
    places = []
    for numbers in pooled:
        edges = np.unique(np.quantile(numbers, np.linspace(0.0, 1.0, BINS + 1)[1:-1]))
        places.append(np.searchsorted(edges, numbers))
    cell = places[0] * BINS + places[1]
    table = np.zeros((len(read), BINS * BINS))
    begin = 0
    for row, (one, chance) in enumerate(zip(read, chances, strict=True)):
        np.add.at(table[row], cell[begin : begin + one.shape[1]], chance)
        begin += one.shape[1]
    overall = shares @ table
    with np.errstate(divide="ignore", invalid="ignore"):
        terms = np.where(table > 0.0, table * np.log2(table / overall), 0.0)
    return float(shares @ terms.sum(axis=1))


def _outcome(read: Array, chance: Array) -> Outcome:
    told = ~np.isnan(read[0])
    if not chance[told].sum() > 0.5:
        return Outcome(math.nan, math.nan, math.nan, math.nan)
    read, chance = read[:, told], chance[told] / chance[told].sum()
    order = np.argsort(read[0])
    grown = np.cumsum(chance[order])
    low, mean, high = (
        float(read[0][order][min(int(np.searchsorted(grown, end)), len(order) - 1)])
        for end in (0.05, 0.5, 0.95)
    )
    return Outcome(mean, low, high, float(chance @ read[1]))
