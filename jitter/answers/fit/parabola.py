"""Least squares of the parabola that a jet's tip goes through."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.linalg import lstsq

from jitter.arrays import Array
from jitter.stages.jet import EMERGES, PEAKS

ROUNDS = 50
SHAPE = (PEAKS - EMERGES) / PEAKS
"""From its emergence to its top, of the time from landing to top."""
ROUNDING = 1e-20
"""What is left about the parabola, against the heights squared, where nothing is."""


@dataclass(frozen=True)
class Parabola:
    """What heights of the jet say of its top.

    Attributes
    ----------
    top : array (2,) [m], [s]
        Its height, and its time after the landing.
    cofactors : array (2, 2) [1], [s/m], [s2/m2]
        Its covariance for heights that stray by 1 m about the parabola.
    square : float [m2]
        Sum of squares about the parabola.
    freedom : int
        Its degrees of freedom.
    """

    top: Array
    cofactors: Array
    square: float
    freedom: int

    @property
    def scatter(self) -> float:
        """Standard deviation of the heights about the parabola [m]."""
        return math.sqrt(self.square / self.freedom)

    @property
    def doubts(self) -> Array:
        """Standard uncertainty of height and time of the top, (2,) [m], [s]."""
        return np.asarray(self.scatter * np.sqrt(np.diag(self.cofactors)))


def parabola(times: Array, heights: Array) -> Parabola | None:
    """Return what heights of the jet say of its top; None where no such parabola is found.

    h = H (1 - ((t - t_p)/(0.547 t_p))²), the jet's law, to first order about the best.

    Parameters
    ----------
    times : array (n,) [s]
        After the landing; three at least, two of them different.
    heights : array (n,) [m]
        Of the tip over the surface.

    References
    ----------
    Gauss-Newton; JCGM 100:2008, H.3 for the covariance of a fit.
    """
    best = None
    for peak in _start(times, heights):
        found = _descend(times, heights, peak)
        if found is not None and (best is None or found[1] < best[1]):
            best = found
    if best is None:
        return None
    (height, peak), square = best
    jacobian = _jacobian(times, height, peak)
    normal = jacobian.T @ jacobian
    if float(np.linalg.cond(normal)) > 1e20:
        return None
    if square < ROUNDING * float(heights @ heights):
        square = 0.0
    cofactors: Array = np.asarray(np.linalg.inv(normal), dtype=np.float64)
    return Parabola(np.array([height, peak]), cofactors, square, len(times) - 2)


def _start(times: Array, heights: Array) -> Array:
    """Return times of the top to begin with: about the highest frame, and wide around it."""
    highest = float(times[int(np.argmax(heights))])
    return highest * np.array([0.6, 0.8, 1.0, 1.2, 1.5])


def _shape(times: Array, peak: float) -> Array:
    return np.asarray(1.0 - ((times - peak) / (SHAPE * peak)) ** 2)


def _jacobian(times: Array, height: float, peak: float) -> Array:
    share = (times - peak) / (SHAPE * peak)
    # With a fixed shape the parabola's time scale goes with the time of its top.
    return np.stack([1.0 - share**2, 2.0 * height * share * times / (SHAPE * peak**2)], axis=1)


def _descend(times: Array, heights: Array, peak: float) -> tuple[tuple[float, float], float] | None:
    shape = _shape(times, peak)
    height = float(shape @ heights / (shape @ shape))
    for _ in range(ROUNDS):
        if not (height > 0.0 and peak > 0.0):
            return None
        left = heights - height * _shape(times, peak)
        step = lstsq(_jacobian(times, height, peak), left)[0]
        height, peak = height + float(step[0]), peak + float(step[1])
        if abs(step[0]) < 1e-12 * abs(height) and abs(step[1]) < 1e-12 * abs(peak):
            break
    else:
        return None
    if not (height > 0.0 and peak > 0.0):
        return None
    left = heights - height * _shape(times, peak)
    return (height, peak), float(left @ left)
