"""What the frames of a rig look like, set-up by set-up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import betaln

from jitter.answers.explain.views import Views, count_looks
from jitter.arrays import Array
from jitter.stages.look import LOOKS

SLIP = 0.02
"""Share of frames that somebody calls by another name than the picture earns; an assumption."""
READING = 0.5e-3
"""Standard deviation of reading a length off a frame [m]; an assumption."""
SMOOTH = 0.45
"""Silverman's bandwidth of some thousand set-ups in about six numbers, over their spread."""
FEWEST = 4
"""Fewer simulated frames than this tell nothing."""
MOSTLY = 1.0 - 1e-6
"""No more of the frames of a name are slips: some sound one may always come."""
LEAST_ALIKE, MOST_ALIKE = 0.5, 200.0
"""What all set-ups together tell of one is worth so many frames: at the least, so that a look that
it did not show may still come, and at the most, since nobody slips by just the share `SLIP`."""


@dataclass(frozen=True)
class Numbers:
    """The normal law of a number in frames of one look, set-up by set-up.

    Attributes
    ----------
    mean, spread : array (s,) [m]
        Its mean, and its standard deviation from frame to frame.
    between : array (s,) [m]
        How far the mean may lie from that, of a set-up that was not simulated, and since few frames
        tell it.
    """

    mean: Array
    spread: Array
    between: Array

    @cached_property
    def log_variance(self) -> Array:
        """Log of the variance from frame to frame, (s,)."""
        return np.asarray(2.0 * np.log(self.spread))

    def thinned(self, step: int) -> Numbers:
        """Return the law in every so many-th set-up."""
        return Numbers(self.mean[::step], self.spread[::step], self.between[::step])


@dataclass(frozen=True)
class Law:
    """What the frames of each simulated set-up look like.

    Attributes
    ----------
    first, rest : array (s, 13)
        Of the beta law of the share of each look, among frames of it and of looks after it in
        `LOOKS`; the last look is what is left.
    numbers
        By the place of a measure in `MEASURES` and the look; None where hardly a frame tells.
    every
        By the place of a measure: its law in frames of any look.
    """

    first: Array
    rest: Array
    numbers: Mapping[tuple[int, int], Numbers | None]
    every: Mapping[int, Numbers | None]

    @cached_property
    def scale(self) -> Array:
        """Log of the beta function of both, (s, 13)."""
        return np.asarray(betaln(self.first, self.rest))

    def thinned(self, setups: int) -> Law:
        """Return the law in so many of the set-ups, or some more, evenly taken."""
        step = max(len(self.first) // setups, 1)
        return Law(
            self.first[::step],
            self.rest[::step],
            {key: one and one.thinned(step) for key, one in self.numbers.items()},
            {key: one and one.thinned(step) for key, one in self.every.items()},
        )

    @cached_property
    def slips(self) -> Array:
        """Of the frames that are called by each name, the share that earns another, (s, 14)."""
        part = self.first / (self.first + self.rest)
        shares = np.ones((len(part), len(LOOKS)))
        shares[:, :-1] = part
        shares[:, 1:] *= np.cumprod(1.0 - part, axis=1)
        return np.clip(SLIP / len(LOOKS) / shares, 0.0, MOSTLY)


def law(views: Views, measured: Sequence[bool]) -> Law:
    """Return what simulated frames say of those to come.

    How often a simulated set-up shows a look is known from its n frames, and from the other
    set-ups as far as they are alike: a beam misses as often in all of them. A share `SLIP` of
    names is wrong. Numbers of the same set-up and look follow a normal law, widened by the error of
    reading; its mean is smoothed over neighbouring set-ups, of which only some were simulated.

    Parameters
    ----------
    views
        Simulated frames.
    measured
        Which of `MEASURES` are wanted.

    References
    ----------
    Shares in beta laws one after the other, a generalised Dirichlet law: Connor & Mosimann 1969,
    J. Am. Stat. Assoc. 64, 194 (from memory).
    """
    counts = count_looks(views.look)
    first, rest = _shares(counts)
    numbers = {
        (place, int(look)): _numbers(np.where(views.look == look, views.measures[place], np.nan))
        for place, wanted in enumerate(measured)
        if wanted
        for look in np.flatnonzero(counts.any(axis=0))
    }
    every = {
        place: _numbers(views.measures[place]) for place, wanted in enumerate(measured) if wanted
    }
    return Law(first, rest, numbers, every)


def _shares(counts: Array) -> tuple[Array, Array]:
    """Return the parameters of the beta laws, (s, 13) each, from frames of each look, (s, 14)."""
    left = np.cumsum(counts[:, ::-1], axis=1)[:, ::-1]
    known, part = np.empty_like(counts), np.empty_like(counts)
    for look in range(len(LOOKS)):
        every = float(left[:, look].sum())
        share = float(counts[:, look].sum()) / every if every else 0.0
        worth = worth_of_others(counts[:, look], left[:, look])
        known[:, look] = worth + left[:, look]
        part[:, look] = (worth * share + counts[:, look]) / known[:, look]
    # A slip is a share of all frames, whatever was left; the last look takes all that is.
    part[:, -1] = 1.0
    shares = part.copy()
    shares[:, 1:] *= np.cumprod(1.0 - part[:, :-1], axis=1)
    shares = (1.0 - SLIP) * shares + SLIP / len(LOOKS)
    part = (shares / np.cumsum(shares[:, ::-1], axis=1)[:, ::-1])[:, :-1]
    return part * known[:, :-1], (1.0 - part) * known[:, :-1]


def worth_of_others(shown: Array, frames: Array) -> float:
    """Return how many frames of a set-up's own all other set-ups are worth, of the share of a look.

    The fewer the more the set-ups differ: their shares are taken for a beta law, its parameters
    from the mean and the variance.

    Parameters
    ----------
    shown : array (s,)
        Frames of the look.
    frames : array (s,)
        Among so many.

    Examples
    --------
    Set-ups that show it always or never say nothing of each other:

    >>> worth_of_others(np.array([8.0, 0.0, 8.0, 0.0]), np.full(4, 8.0))
    0.5
    """
    told = frames > 0.0
    shown, frames = shown[told], frames[told]
    total = float(frames.sum())
    if total <= len(frames):
        return MOST_ALIKE
    share = float(shown.sum()) / total
    within = share * (1.0 - share)
    square = float((frames * (shown / frames - share) ** 2).sum()) - (len(frames) - 1.0) * within
    # Of a beta law of variance b: b times this, since frames of a set-up vary by within - b.
    typical = total - float((frames**2).sum()) / total - (len(frames) - 1.0)
    if square <= 0.0:
        return MOST_ALIKE
    between = square / typical
    return min(max(within / between - 1.0, LEAST_ALIKE), MOST_ALIKE)


def _numbers(shown: Array) -> Numbers | None:
    """Return the law of numbers, (s, n) with NaN where there is none."""
    told = ~np.isnan(shown)
    count = told.sum(axis=1).astype(np.float64)
    if count.sum() < FEWEST:
        return None
    every = shown[told]
    own = np.where(told, shown, 0.0).sum(axis=1) / np.maximum(count, 1.0)
    square = np.where(told, (shown - own[:, None]) ** 2, 0.0).sum(axis=1)
    # Set-ups with hardly a frame lean on all others: as if `FEWEST` more had been seen.
    within = float(square.sum()) / max(float(np.maximum(count - 1.0, 0.0).sum()), 1.0)
    variance = (square + FEWEST * within) / (np.maximum(count - 1.0, 0.0) + FEWEST)
    strays = max(float(every.var()) - within, 0.0)
    # The best guess of a mean from so many frames, between the set-up's own and that of all.
    trust = strays / (strays + within / np.maximum(count, 1.0)) if strays > 0.0 else 0.0 * count
    trust = np.where(count > 0.0, trust, 0.0)
    mean = every.mean() + trust * (own - every.mean())
    between = np.sqrt(strays * (SMOOTH**2 + 1.0 - trust))
    return Numbers(mean, np.sqrt(variance + READING**2), between)
