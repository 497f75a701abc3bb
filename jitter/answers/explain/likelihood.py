"""How likely a log is, given what cameras would have seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import betaln, gammaln, logsumexp

from jitter.answers.explain.law import Law, Numbers
from jitter.answers.explain.views import Condition
from jitter.arrays import Array, Flags
from jitter.records.log import Frame, Log
from jitter.stages.look import LOOKS

RANGE = 0.1
"""Lengths that are read wrongly lie anywhere within this [m]."""
FAR = 12.0
"""Eight standard deviations of a normal law."""
RESOLVED = 50.0
"""So many simulated set-ups, of all rigs together, must speak."""
SPREAD_OVER = 200.0


@dataclass(frozen=True)
class Group:
    """The frames of one set-up and one condition.

    Attributes
    ----------
    setup
        Its name in the log.
    condition
        What they were shot with.
    looks : array (14,)
        How many frames have each look.
    measures
        By the place of a measure in `MEASURES` and the look: what was read [m].
    """

    setup: str
    condition: Condition
    looks: Array
    measures: Mapping[tuple[int, int], Array]

    @property
    def frames(self) -> float:
        """Frames with a verdict."""
        return float(self.looks.sum())


def groups(log: Log) -> tuple[Group, ...]:
    """Return the frames of a log by set-up and condition; those without a verdict are left out.

    Parameters
    ----------
    log
        The log.
    """
    found: dict[tuple[str, Condition], list[Frame]] = {}
    for frame in log.frames:
        if frame.look is not None:
            condition = Condition(frame.delay, frame.interval, frame.power)
            found.setdefault((frame.setup, condition), []).append(frame)
    return tuple(group(setup, condition, frames) for (setup, condition), frames in found.items())


def group(setup: str, condition: Condition, frames: Sequence[Frame]) -> Group:
    """Return frames of one set-up and one condition.

    Parameters
    ----------
    setup, condition
        Of all of them.
    frames
        With verdicts.
    """
    looks = np.zeros(len(LOOKS))
    read: dict[tuple[int, int], list[float]] = {}
    for frame in frames:
        if frame.look is None:
            continue
        looks[frame.look] += 1.0
        for place, size in enumerate((frame.gap, frame.width, frame.side, frame.height)):
            if size is not None:
                read.setdefault((place, frame.look), []).append(size)
    sizes = {key: np.array(told) for key, told in read.items()}
    return Group(setup, condition, looks, {key: one[~outlying(one)] for key, one in sizes.items()})


def log_likelihoods(known: Law, group: Group) -> Array:
    """Return the log of the likelihood of a group's frames in each simulated set-up, (s,).

    The looks follow a generalised Dirichlet-multinomial law. That two numbers of one frame go
    together is neglected.

    Parameters
    ----------
    known
        What simulated frames under the group's condition say.
    group
        Of the log.

    References
    ----------
    Dirichlet-multinomial: Mosimann 1962, Biometrika 49, 65 (from memory); generalised: Connor &
    Mosimann 1969, J. Am. Stat. Assoc. 64, 194 (from memory).
    """
    left = np.cumsum(group.looks[::-1])[::-1][:-1]
    told = left > 0.0
    shown, left = group.looks[:-1][told], left[told]
    first, rest = known.first[:, told], known.rest[:, told]
    likely = (betaln(first + shown, rest + left - shown) - known.scale[:, told]).sum(axis=1)
    for (place, look), sizes in group.measures.items():
        likely = likely + _densities(known, place, look, sizes)
    return np.asarray(likely)


def _densities(known: Law, place: int, look: int, sizes: Array) -> Array | float:
    """Return the log of the density of numbers read off frames that are called by one name, (s,).

    A frame that earns another name has numbers as frames of any look have them, or anywhere: none,
    the one farthest from the others, or all of them are of such frames.
    """
    every, numbers = known.every.get(place), known.numbers.get((place, look))
    many = len(sizes)
    if every is None or not many:
        return -many * float(np.log(RANGE))
    mean = float(sizes.sum()) / many
    away = (sizes - mean) ** 2
    square, out = float(away.sum()), int(np.argmax(away))
    wrong = _anywhere(_normal(every, many, mean, square), many)
    if numbers is None:
        return wrong
    slips, sound = known.slips[:, look], np.log1p(-known.slips[:, look])
    found = np.logaddexp(
        _normal(numbers, many, mean, square) + many * sound, wrong + many * np.log(slips)
    )
    if many > 1:
        rest, farthest = many - 1, float(sizes[out])
        # Mean and sum of squares of the others.
        middle = (many * mean - farthest) / rest
        less = max(square - float(away[out]) * many / rest, 0.0)
        one = _anywhere(_normal(every, 1, farthest, 0.0), 1) + np.log(slips)
        found = np.logaddexp(found, _normal(numbers, rest, middle, less) + rest * sound + one)
    return np.asarray(found)


def _anywhere(likely: Array, many: int) -> Array:
    """Return the log of a density half of which is spread over `RANGE`."""
    return np.asarray(np.logaddexp(likely, -many * np.log(RANGE)) - np.log(2.0))


def _normal(numbers: Numbers, many: int, mean: float, square: float) -> Array:
    """Return the log of the normal density of numbers whose mean has an error of its own, (s,)."""
    variance = numbers.spread**2
    of_mean = numbers.between**2 + variance / many
    return np.asarray(
        -0.5 * ((mean - numbers.mean) ** 2 / of_mean + square / variance)
        - 0.5 * (np.log(of_mean) + (many - 1.0) * numbers.log_variance)
        - 0.5 * many * np.log(2.0 * np.pi)
        - 0.5 * np.log(many)
    )


def outlying(sizes: Array) -> Flags:
    """Return which numbers of one kind lie so far from the others that they must be misread.

    Farther from the median than `FAR` times the median of such distances; of under five numbers
    none is.

    Examples
    --------
    >>> outlying(np.array([11.0, 12.0, 12.5, 13.0, 14.0, 120.0])).tolist()
    [False, False, False, False, False, True]
    """
    if len(sizes) < 5:
        return np.zeros(len(sizes), dtype=bool)
    apart = np.abs(sizes - np.median(sizes))
    usual = float(np.median(apart))
    return np.asarray(apart > FAR * usual) if usual > 0.0 else np.zeros(len(sizes), dtype=bool)


def evidence(per_setup: Mapping[str, Array], weight: float = 1.0) -> float:
    """Return the log of a log's likelihood, its unknown set-up values averaged over.

    Parameters
    ----------
    per_setup
        By set-up of the log: the log of the likelihood of its frames in each simulated one, (s,).
    weight
        What the log counts for, from `counts_for`.
    """
    return float(
        sum(logsumexp(weight * likely) - np.log(len(likely)) for likely in per_setup.values())
    )


def counts_for(rigs: Sequence[Mapping[str, Array]]) -> float:
    """Return the share of what a log says that the simulated set-ups can resolve, up to 1.

    Where many numbers are known of a set-up, hardly a simulated one is like it, and the evidence
    hangs on the luck of a few. The likelihood is then taken to a power under 1, so that at least
    `RESOLVED` simulated set-ups of all rigs together speak: the suspects come out less sure than
    the log could make them, not surer.

    Parameters
    ----------
    rigs
        Of each rig, by set-up of the log: the log of the likelihood in each simulated one, (s,).

    References
    ----------
    A likelihood to a power: Miller & Dunson 2019, J. Am. Stat. Assoc. 114, 1113 (from memory).
    """
    low, high = 0.0, 1.0
    pooled = [np.stack([rig[name] for rig in rigs]) for name in rigs[0]]

    def resolved(weight: float) -> bool:
        # Kish's effective number of the best rig's set-ups, for each set-up of the log.
        return all(_effective(weight * likely) >= RESOLVED for likely in pooled)

    if resolved(1.0):
        return 1.0
    for _ in range(12):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if resolved(middle) else (low, middle)
    return low


def setup_weights(likely: Array, weight: float) -> Array:
    """Return how much each simulated set-up of one rig counts, given a set-up of the log, (s,).

    No fewer than `SPREAD_OVER` of them count: what a test would show is not to hang on the luck of
    a few.

    Parameters
    ----------
    likely
        Log of the likelihood in each simulated set-up, (s,).
    weight
        What the log counts for, from `counts_for`.
    """
    power = weight
    while _effective(power * likely) < min(SPREAD_OVER, 0.9 * len(likely)):
        power *= 0.7
    return np.exp(power * likely - logsumexp(power * likely))


def _effective(likely: Array) -> float:
    """Return the effective number of simulated set-ups that speak, over rigs, (h, s)."""
    weights = np.exp(likely - likely.max())
    return float(weights.sum() ** 2 / (weights**2).sum())


def by_setup(laws: Mapping[Condition, Law], rows: Sequence[Group]) -> dict[str, Array]:
    """Return the log of the likelihood of each set-up's frames in each simulated set-up.

    Parameters
    ----------
    laws
        What simulated frames say, by condition: the same set-ups in all.
    rows
        The log's groups.
    """
    found: dict[str, Array] = {}
    for row in rows:
        likely = log_likelihoods(laws[row.condition], row)
        found[row.setup] = found[row.setup] + likely if row.setup in found else likely
    return found


def without_model(rows: Sequence[Group]) -> float:
    """Return the log of a log's likelihood if something is at work that no model knows.

    Any mixture of looks is as likely as any other, set-up by set-up, and numbers lie anywhere.

    Parameters
    ----------
    rows
        The log's groups.
    """
    half = np.full(len(LOOKS), 0.5)
    likely = 0.0
    for row in rows:
        likely += float(
            gammaln(half.sum())
            - gammaln(half.sum() + row.frames)
            + (gammaln(half + row.looks) - gammaln(half)).sum()
        )
        likely -= float(np.log(RANGE)) * sum(len(sizes) for sizes in row.measures.values())
    return likely
