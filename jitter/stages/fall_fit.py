"""Fit the time that falls from rest take, over a range of drops, and check the fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.polynomial import chebyshev

from jitter.arrays import Array, Flags
from jitter.stage import UnpreparedError
from jitter.stages.fall_integrals import fall_from_rest

KEPT = 64
"""Tables are kept, for a question comes back to the same rig again and again."""
TOLERANCE = 0.5e-6
"""Largest error of a fitted fall time that is aimed at [s]."""
COARSE = 1e-4
"""Largest error of a fitted fall time that is put up with, and warned of [s]."""
RELEASE = 0.25e-6
"""Largest error of the time from rest to the release speed that is aimed at [s]."""
SPEED = 1e-5
"""Largest error of the speed at a time that is aimed at, as a share of it."""

NODES = (61, 25, 5)
"""Of r and of the two numbers, on which the fit is made and checked."""
DEGREES = (
    (3, 2, 1),
    (4, 2, 1),
    (5, 3, 1),
    (6, 3, 2),
    (7, 4, 2),
    (9, 5, 2),
    (10, 6, 3),
    (12, 7, 3),
    (16, 12, 3),
    (20, 14, 4),
)
MOST_STEPS = 8


@dataclass(frozen=True)
class FallTable:
    """The polynomial of the time from rest, T = r Σ c_pqm x^p a^q b^m with r = √(2 Z).

    Without air T is r itself, so that the sum tells what drag does. x, a and b run from -1 to 1
    over the ranges of r and of the two numbers.

    Attributes
    ----------
    reach
        R, the end of the fit in r; x = 2 r/R - 1.
    archimedes, morton
        Middle and half width of the range of ln A and of M.
    coefficients : array (p, q, m) [1]
    bends
        By p: the degree in a, which never rises with p; the coefficients beyond it are 0.
    guess : array (4,) [1]
        r/T = g0 + T (g1 + g2 T + g3 a), where the search for r at a time begins.
    release_guess : array (3,) [1]
        r/V = 1 + V (h1 + h2 V + h3 a), where the search for r at a speed begins.
    search_steps, release_steps
        Steps that r at a time, and r at the release speed, need.
    error
        Largest error of a fall time found on the nodes [s].
    """

    reach: float
    archimedes: tuple[float, float]
    morton: tuple[float, float]
    coefficients: Array
    bends: tuple[int, ...]
    guess: Array
    release_guess: Array
    search_steps: int
    release_steps: int
    error: float


class _Falls(NamedTuple):
    """The falls that are fitted, at their nodes after the start, in fall units.

    Attributes
    ----------
    a, b : array (k,) [1]
    time, root, speed : array (k, t) [1]
        Root is r.
    needed : array (k, t) of bool
        Whether a drop of that size has so far to fall.
    """

    a: Array
    b: Array
    time: Array
    root: Array
    speed: Array
    needed: Flags


@lru_cache(maxsize=KEPT)
def fit_fall(
    *,
    archimedes: tuple[float, float],
    morton: tuple[float, float],
    distance: float,
    fastest: float,
    time: float,
) -> FallTable:
    """Fit the time from rest over a range of falls.

    The smallest polynomial is taken that agrees with the integrated equation on nodes far more
    than its own freedom; where drop sizes or heights range too widely for any, the best one, whose
    error stands in the table. Range, neglect and source are those of `jitter.stages.fall.falls`.

    Parameters
    ----------
    archimedes, morton
        Middle and half width of the range of ln A and of M [1].
    distance
        Distance to cover in fall units [1] by the smallest drop; larger ones, whose units are
        longer, have to cover less.
    fastest
        Largest release speed in fall units [1].
    time
        The longest of the falls' time units [s].

    Returns
    -------
    FallTable

    Raises
    ------
    UnpreparedError
        If even the best is far off, as it may be where sizes, heights, release speeds and the air
        all range as widely as they can.
    """
    falls = _falls(archimedes, morton, distance)
    reach = float(np.sqrt(2.0 * distance))
    clocks = time * np.exp(0.5 * archimedes[1] * (falls.a - 1.0))
    coefficients, bends, error = _smallest(falls, reach, clocks)
    if error > COARSE:
        raise UnpreparedError(
            "drop sizes, heights and release speeds range too widely for the fall to be told to"
            f" {1e6 * COARSE:.0f} µs",
            "make their spreads smaller",
        )
    guess, search_steps = _fit_guess(falls)
    release_guess, release_steps = _fit_release(falls, fastest, RELEASE / time)
    return FallTable(
        reach=reach,
        archimedes=archimedes,
        morton=morton,
        coefficients=_in_powers(coefficients),
        bends=bends,
        guess=guess,
        release_guess=release_guess,
        search_steps=search_steps,
        release_steps=release_steps,
        error=error,
    )


def _smallest(falls: _Falls, reach: float, clocks: Array) -> tuple[Array, tuple[int, ...], float]:
    """Return the fewest coefficients that err by little enough, their degrees in a, the error [s].

    Of Chebyshev polynomials, (p, q, m); where none errs by so little, those that err least.
    `clocks` are the units of time of the falls, (k,) [s].
    """
    # What an error of the sum is worth in time; beyond what is needed nothing.
    weight = np.where(falls.needed, falls.root, 0.0) * clocks[:, None]
    target = falls.time / falls.root

    def error(coefficients: Array, axes: Sequence[Array]) -> float:
        fitted = np.einsum("ktp,kq,km,pqm->kt", *axes, coefficients, optimize=True)
        return float(np.max(np.abs(fitted - target) * weight))

    found: list[tuple[Array, tuple[int, ...], float]] = []
    for degrees in DEGREES:
        places = (2.0 * falls.root / reach - 1.0, falls.a, falls.b)
        axes = [
            np.asarray(chebyshev.chebvander(part, degree), dtype=np.float64)
            for part, degree in zip(places, degrees, strict=True)
        ]
        coefficients = _fit(falls, reach, axes)
        room = TOLERANCE - error(coefficients, axes)
        bends = _bends(np.abs(coefficients).sum(axis=2) * (reach * clocks.max()), room)
        for part, bend in zip(coefficients, bends, strict=True):
            part[bend + 1 :] = 0.0
        found.append((coefficients, bends, error(coefficients, axes)))
        if found[-1][-1] < TOLERANCE:
            break
    return min(found, key=lambda one: one[-1])


def _nodes(count: int) -> Array:
    """Chebyshev points of the second kind on [-1, 1], which include both ends."""
    points: Array = -np.cos(np.pi * np.arange(count) / (count - 1))
    return points


def _falls(archimedes: tuple[float, float], morton: tuple[float, float], distance: float) -> _Falls:
    """Return falls over the ranges of the two numbers, each as far as the smallest drop's."""
    a, b = (part.ravel() for part in np.meshgrid(*map(_nodes, NODES[1:]), indexing="ij"))
    fallen = fall_from_rest(
        archimedes=np.exp(archimedes[0] + archimedes[1] * a),
        morton=morton[0] + morton[1] * b,
        distance=distance,
        nodes=NODES[0],
    )
    time, way, speed = (part[:, 1:] for part in fallen)
    needed = way <= 1.02 * distance * np.exp(-archimedes[1] * (a + 1.0))[:, None]
    return _Falls(a, b, time, np.sqrt(2.0 * way), speed, needed)


def _fit(falls: _Falls, reach: float, axes: Sequence[Array]) -> Array:
    """Return the coefficients of Chebyshev polynomials that fit the time best, (p, q, m).

    Each fall by itself along r first, then what was found along the two numbers.
    """
    # The error of the time is that of the sum times r, so the first moments, where drag is least
    # smooth, weigh least.
    weight = np.where(falls.root <= 1.02 * reach, falls.root, 0.0)[..., None]
    terms = weight * axes[0]
    known = terms.swapaxes(1, 2)
    along = np.linalg.solve(known @ terms, known @ (weight * (falls.time / falls.root)[..., None]))
    cube = along.reshape(NODES[1], NODES[2], -1)
    inverses = [
        np.linalg.pinv(chebyshev.chebvander(_nodes(count), axis.shape[-1] - 1))
        for count, axis in zip(NODES[1:], axes[1:], strict=True)
    ]
    found: Array = np.einsum("qa,mb,abp->pqm", *inverses, cube, optimize=True)
    return found


def _bends(sizes: Array, room: float) -> tuple[int, ...]:
    """Return how much of each power of x has to follow a, if so much may be left out.

    Parameters
    ----------
    sizes : array (p, q) [s]
        What each coefficient is worth at most.
    room
        What all that is left out may be worth together [s].
    """
    last = sizes.shape[1] - 1
    bends = [last] * len(sizes)
    while True:
        # Only what leaves the degrees falling with p.
        ends = [
            (sizes[power, bend], power)
            for power, (bend, after) in enumerate(zip(bends, [*bends[1:], 0], strict=True))
            if bend > after
        ]
        if not ends or min(ends)[0] > room:
            return tuple(bends)
        size, power = min(ends)
        room -= size
        bends[power] -= 1


def _in_powers(coefficients: Array) -> Array:
    """Return the coefficients of powers that say the same as those of Chebyshev polynomials."""
    for axis, count in enumerate(coefficients.shape):
        each = [chebyshev.cheb2poly(row) for row in np.eye(count)]
        turned = np.array([np.pad(row, (0, count - len(row))) for row in each]).T
        coefficients = np.moveaxis(np.tensordot(turned, coefficients, (1, axis)), 0, axis)
    return coefficients


def _fit_guess(falls: _Falls) -> tuple[Array, int]:
    """Fit r/T = g0 + T (g1 + g2 T + g3 a); say how many of Newton's steps its miss needs."""
    ratio = falls.root / falls.time
    terms = _terms(falls.a, falls.time)
    guess, *_ = np.linalg.lstsq(terms[falls.needed], ratio[falls.needed])
    missed = float(np.max(np.abs((terms @ guess) / ratio - 1.0)[falls.needed]))
    bend, steps = _bend(falls, falls.needed), 1
    # The speed is told by the slope before the last step. A step leaves half the square of the
    # share by which it started off, times the bend.
    while bend * missed > SPEED and steps < MOST_STEPS:
        missed, steps = 0.5 * bend * missed**2, steps + 1
    return guess.astype(np.float64), steps


def _fit_release(falls: _Falls, fastest: float, wanted: float) -> tuple[Array, int]:
    """Fit r/V = 1 + V (h1 + h2 V + h3 a) up to the fastest release; say how many steps it needs.

    A step goes to V dT/dr, which is r where V is the speed, and leaves the bend's share of a miss.
    """
    slow = falls.speed <= 1.1 * fastest
    # However slow the release, a few moments are needed to fit and to check.
    slow[:, :5] = True
    terms = _terms(falls.a, falls.speed)[slow][:, 1:]
    # In terms of r itself the slowest moments, which matter least, weigh least.
    weighed = falls.speed[slow][:, None] * terms
    late = (falls.root - falls.speed)[slow]
    guess, *_ = np.linalg.lstsq(weighed, late)
    missed = float(np.max(np.abs(weighed @ guess - late)))
    bend, steps = _bend(falls, slow), 0
    while missed > wanted and steps < MOST_STEPS:
        missed, steps = bend * missed, steps + 1
    return guess.astype(np.float64), steps


def _terms(a: Array, along: Array) -> Array:
    """Return 1, y, y² and a y at every node, (k, t, 4)."""
    return np.stack([np.ones_like(along), along, along**2, a[:, None] * along], axis=-1)


def _bend(falls: _Falls, where: Flags) -> float:
    """Return the largest |r d²T/dr² / (dT/dr)| [1]."""
    slope = falls.root / falls.speed
    change = np.diff(slope) / np.diff(falls.root)
    relative = np.abs(falls.root[:, 1:] * change / slope[:, 1:])
    return float(np.max(relative[where[:, 1:]]))
