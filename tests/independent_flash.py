"""The flash of the independent simulation: how long its light lasts, and where its middle is.

Nothing is imported from the package. A tube empties a capacitor: the voltage is the independent
variable, and times are integrals over it. SI units.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from scipy.special import xlog1py

from tests.independent_rig import Array, Values

DECAY, CUT = 1262.4e-6, 13.22e-6
CURRENT = {"full discharge": 1, "voltage-controlled": 2}
"""The current goes with the voltage in a plain resistance, with its square in an arc."""
NODES = tuple(zip(*np.polynomial.legendre.leggauss(16), strict=True))


def pulse(
    kind: str, q: Values, table: Sequence[tuple[float, float]], tabled: str
) -> tuple[Array, Array]:
    """Return the centroid of the light and its length between tenths of its peak.

    Parameters
    ----------
    kind : str
        "quenched", "full discharge" or "voltage-controlled".
    q
        Values.
    table : sequence of (power, duration)
        A user's own durations; empty without.
    tabled : str
        What they are: "half" or "tenth".
    """
    share = q["flash_power"]
    if kind == "quenched":
        # An exponential pulse, cut when it has given its share of the energy; its lengths need
        # no cut after a half, and nine tenths (t0.5 and t0.1 of ISO 2827:1988).
        centroid = DECAY * (1 + xlog1py(1 - share, -share) / share)
        half = CUT - DECAY * np.log1p(-np.minimum(share, 0.5))
        tenth = CUT - DECAY * np.log1p(-np.minimum(share, 0.9))
    else:
        power = CURRENT[kind]
        # Energy goes with the square of the voltage.
        start = np.sqrt(share)
        unit = q["flash_full_duration"] / _while_above(np.ones_like(share), 0.5, power)
        half, tenth = (unit * _while_above(start, part, power) for part in (0.5, 0.1))
        centroid = unit * _middle(start, power)
    if table:
        factor = _read(table, share) / {"half": half, "tenth": tenth}[tabled]
        centroid, tenth = factor * centroid, factor * tenth
    return centroid * q["flash_duration_scale"], tenth * q["flash_duration_scale"]


def _while_above(start: Array, part: float, power: int) -> Array:
    """Return the time in which the light, voltage times current, falls to a part of its peak."""
    end = start * part ** (1 / (1 + power))
    total = np.zeros_like(start)
    for node, weight in NODES:
        voltage = end + (start - end) * (1 + node) / 2
        total = total + weight * (start - end) / 2 / voltage**power
    return total


def _middle(start: Array, power: int) -> Array:
    """Return the mean time of the light.

    The light of a piece of time is the energy lost, V dV. Integrated by parts: the mean time is
    the integral of what is left of it, V²/2, over the time, dV/I.
    """
    total = np.zeros_like(start)
    for node, weight in NODES:
        voltage = start * (1 + node) / 2
        total = total + weight * start / 2 * voltage**2 / voltage**power
    return total / start**2


def _read(table: Sequence[tuple[float, float]], share: Array) -> Array:
    """Return a duration from a table: a power law between its points."""
    powers = [power for power, _ in table]
    place = np.clip(np.searchsorted(powers, share) - 1, 0, len(table) - 2)
    found = np.zeros_like(share)
    for at, ((low, first), (high, second)) in enumerate(itertools.pairwise(table)):
        slope = math.log(second / first) / math.log(high / low)
        found = np.where(place == at, first * (share / low) ** slope, found)
    return found
