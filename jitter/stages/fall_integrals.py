"""A fall from rest as two integrals over the speed, by which the fall's table is made.

The gain of speed dV/dT is a function of V alone, so that T is the integral of dV / (dV/dT), and Z
that of V dV / (dV/dT). With V = V∞ tanh u, V∞ being the speed at which weight and drag balance,
what is integrated over u stays smooth and of order 1 however slowly V comes near to V∞, and Gauss's
rule with three points between two nodes is good to a few parts in 1e10.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.stages.drag import acceleration

POINTS = 3
"""Of Gauss's rule between two nodes."""
NEAR = 1e-8
"""Shares of V∞ closer to 1 than this are rounding; what is integrated no longer changes there."""
STEP = 1e-5
"""Of the logarithm of the speed, for the slope of the drag."""


class Integrated(NamedTuple):
    """Falls from rest, told by the integrals, in fall units.

    Attributes
    ----------
    time, distance, speed : array (k, t) [1]
        At the nodes of each fall, the start among them.
    """

    time: Array
    distance: Array
    speed: Array


def terminal_speed(*, archimedes: Array, morton: Array) -> Array:
    """Return the speed at which weight and drag balance [fall units].

    Range, neglect and source are those of `jitter.stages.drag.acceleration`.

    Parameters
    ----------
    archimedes, morton : array (k,) [1]
        The two numbers of each of k falls.
    """
    # C_D would be a half; the logarithm of the drag is nearly straight in that of the speed.
    logarithm = np.full(archimedes.shape, -0.5 * np.log(0.375))

    def drag(at: Array) -> Array:
        return np.log1p(-acceleration(np.exp(at), archimedes, morton))

    for _ in range(60):
        slope = (drag(logarithm + STEP) - drag(logarithm - STEP)) / (2.0 * STEP)
        moved = np.clip(drag(logarithm) / slope, -1.0, 1.0)
        logarithm = logarithm - moved
        if np.abs(moved).max() < 1e-15:
            break
    terminal: Array = np.exp(logarithm)
    return terminal


def fall_from_rest(*, archimedes: Array, morton: Array, distance: float, nodes: int) -> Integrated:
    """Return times, distances and speeds of falls from rest, to a few parts in 1e10.

    Range, neglect and source are those of `jitter.stages.fall.falls`.

    Parameters
    ----------
    archimedes, morton : array (k,) [1]
        The two numbers of each of k falls.
    distance
        At least so far, all of them [fall units]; some ten V∞² say all there is to say.
    nodes
        t, denser near both ends, where a polynomial needs them.

    References
    ----------
    Closed form: the fall equation is separable. Were C_D the same at all speeds, the integrals
    would be T = V∞ u and Z = V∞² ln cosh u, by which the nodes are laid.
    """
    last = terminal_speed(archimedes=archimedes, morton=morton)[:, None]
    places, weights = np.polynomial.legendre.leggauss(POINTS)
    shares = 0.5 * (1.0 - np.cos(np.pi * np.arange(nodes) / (nodes - 1)))
    far = np.full_like(last, distance)
    while True:
        # arcosh(e^y), told so that the smallest y keeps its digits and the largest is a number.
        way = far * (shares / last) ** 2
        ends = way + np.log1p(np.sqrt(-np.expm1(-2.0 * way)))
        half = 0.5 * np.diff(ends)
        within = ends[:, :-1, None] + half[..., None] * (places + 1.0)
        share = np.minimum(np.tanh(within), 1.0 - NEAR)
        speed = last[..., None] * share
        gain = acceleration(speed, archimedes[:, None, None], morton[:, None, None])
        pace = last[..., None] * (1.0 - share**2) / gain
        time, fallen = (half * (part @ weights) for part in (pace, pace * speed))
        short = fallen.sum(axis=1, keepdims=True) < distance
        if not short.any():
            break
        far = np.where(short, 1.2 * far, far)
    start = np.zeros_like(last)
    return Integrated(
        time=np.hstack([start, np.cumsum(time, axis=1)]),
        distance=np.hstack([start, np.cumsum(fallen, axis=1)]),
        speed=last * np.tanh(ends),
    )
