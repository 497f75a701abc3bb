"""Transfer functions of everything that blurs, each with size 1, and the frequency of half."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq
from scipy.special import exp1, j0, j1


def halved(transfer: Callable[[float], float], highest: float) -> float:
    """Return the frequency at which a transfer function has fallen to one half.

    Parameters
    ----------
    transfer
        Of the frequency; 1 at 0.
    highest
        Where it is below one half.
    """
    return float(brentq(lambda frequency: transfer(frequency) - 0.5, 1e-9, highest, xtol=1e-14))


def streak(frequency: float) -> float:
    """Return the transfer of a streak of even brightness."""
    return float(np.sinc(frequency))


def pair(frequency: float) -> float:
    """Return the transfer of two points of half the light each."""
    return float(abs(np.cos(np.pi * frequency)))


def disc(frequency: float) -> float:
    """Return the transfer of a disc of even brightness."""
    turned = np.pi * frequency
    return float(2.0 * j1(turned) / turned)


def aperture(share: float) -> float:
    """Return the transfer of a lens without faults, frequency as a share of its limit 1/(λ N)."""
    if share >= 1.0:
        return 0.0
    return float(2.0 / np.pi * (np.arccos(share) - share * np.sqrt(1.0 - share**2)))


def airy(share: float) -> float:
    """Return the same from the picture of a point, (2 J₁(v)/v)² with v = π r/(λ N), by quadrature.

    Out to v = 4000, where less than a part in ten thousand of the light lies beyond.
    """
    places = np.linspace(1e-9, 4000.0, 400_001)
    light = j1(places) ** 2 / places
    return float(2.0 * np.trapezoid(light * j0(2.0 * share * places), places))


def cut_exponential(frequency: float, cut: float) -> float:
    """Return the transfer of a streak drawn by e^-t cut off, in cycles per decay.

    Parameters
    ----------
    frequency
        Cycles in the time of one decay.
    cut
        Decay times until it is cut off.
    """
    turning = 1.0 + 2j * np.pi * frequency
    return float(abs(np.expm1(-cut * turning) / turning) / -np.expm1(-cut))


def dimmed(frequency: float) -> float:
    """Return the transfer of a streak drawn by (1 + t)^-3: an exponential integral, by parts.

    Parameters
    ----------
    frequency
        Cycles in the unit of t.
    """
    turning = 2j * np.pi * frequency
    return float(abs(1.0 - turning * (1.0 - turning * np.exp(turning) * exp1(turning))))
