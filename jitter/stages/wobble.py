"""The wobble: a drop oscillates between egg and pancake after it pinches off."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Mark, Quantity, sd, within
from jitter.stage import Stage

ROUNDS = 5
"""How often the moment at which an oscillating drop's edge arrives is found again from the shape it
has then; each time leaves the share ε ω R/v of the miss, under a quarter anywhere in a rig."""

DECLARES = (
    Quantity(
        key="valve.wobble",
        meaning="how much longer than round a drop is at most as it pinches off",
        symbol="ε",
        unit="1",
        nominal=0.0,
        lower=0.0,
        upper=0.4,
        per_drop=True,
        basis=Basis(
            Mark.ASSUMED,
            "left out; at 0.1 it moves a crossing by 0.14 ms at the most",
        ),
    ),
    Quantity(
        key="valve.wobble_phase",
        meaning="where in its oscillation a drop is as it pinches off, in periods",
        symbol="φ",
        unit="1",
        nominal=0.0,
        lower=-1.0,
        upper=1.0,
        setup=within(0.5),
        shot=sd(0.05),
        per_drop=True,
        basis=Basis(Mark.ASSUMED, "drawn out into an egg; nobody knows for your nozzle"),
        setup_basis=Basis(Mark.ASSUMED, "any phase"),
        only_with=("valve.wobble",),
    ),
)


class Wobble(NamedTuple):
    """The lowest oscillation of a drop.

    Attributes
    ----------
    amplitude, phase : array (s, n) [1]
        At pinch-off; the phase in periods.
    rate : array (s, n) [1/s]
        Angular frequency.
    damping : array (s, n) [s]
        Time in which the amplitude falls to 1/e.
    """

    amplitude: Array
    phase: Array
    rate: Array
    damping: Array


class Wobbles(NamedTuple):
    """The oscillations of the two drops."""

    first_wobble: Wobble | None
    second_wobble: Wobble | None


def oscillation_rate(*, mode: int, diameter: Array, density: Array, tension: Array) -> Array:
    """Return the angular frequency of a drop's oscillation of a mode, from 2 up [1/s].

    ω² = n (n - 1) (n + 2) σ/(ρ R³): for small amplitudes, up to a few tenths of the radius;
    viscosity and the air around are neglected.

    Parameters
    ----------
    mode
        2 is the lowest: egg and pancake.
    diameter : array (s, n) [m]
    density : array (s, n) [kg/m3]
    tension : array (s, n) [N/m]

    References
    ----------
    Rayleigh 1879, Proc. R. Soc. 29, 71; Lamb, Hydrodynamics, 6th ed., article 275.
    """
    factor = mode * (mode - 1) * (mode + 2)
    rate: Array = np.sqrt(factor * tension / (density * (0.5 * diameter) ** 3))
    return rate


def damping_time(*, mode: int, diameter: Array, density: Array, viscosity: Array) -> Array:
    """Return the time in which a drop's oscillation falls to 1/e [s].

    τ = R²/((n - 1)(2 n + 1) ν), for liquids so thin that many periods fit into it; flow inside
    the drop, surfactants and the air, which all shorten it, are neglected.

    Parameters
    ----------
    mode
        From 2 up.
    diameter : array (s, n) [m]
    density : array (s, n) [kg/m3]
    viscosity : array (s, n) [Pa s]

    References
    ----------
    Lamb, Hydrodynamics, 6th ed., article 355.
    """
    return (0.5 * diameter) ** 2 * density / ((mode - 1) * (2 * mode + 1) * viscosity)


def stretch(wobble: Wobble | None, elapsed: Array) -> Array:
    """Return a drop's half height over the radius of the sphere [1].

    Its half width is that of the spheroid of the same volume, the root of 1/stretch. Amplitudes up
    to a few tenths; higher modes are neglected. Source: `oscillation_rate`.

    Parameters
    ----------
    wobble
        The drop's oscillation; None for a round drop.
    elapsed : array (s, n) [s]
        Time since pinch-off.
    """
    if wobble is None:
        return np.ones(())
    angle = 2.0 * np.pi * wobble.phase + wobble.rate * elapsed
    return 1.0 + wobble.amplitude * np.exp(-elapsed / wobble.damping) * np.cos(angle)


def wobbles(
    *,
    valve_wobble: Array,
    valve_wobble_phase: Array | None,
    first_diameter: Array,
    second_diameter: Array,
    density: Array,
    viscosity: Array,
    surface_tension: Array,
) -> Wobbles:
    """Return the lowest oscillation of each drop.

    It moves the drop's lower edge, and with it the moments at which the drop breaks the beam,
    lands and meets the jet. What it does to the drag and to the crater is neglected, as are
    higher modes. Amplitudes up to a few tenths.

    Parameters
    ----------
    valve_wobble : array (2, s, n) [1]
        Amplitude at pinch-off over the radius.
    valve_wobble_phase : array (2, s, n) [1]
        In periods, or None where no drop wobbles.
    first_diameter : array (s, n) [m]
    second_diameter : array (s, n) [m]
    density : array (s, n) [kg/m3]
    viscosity : array (s, n) [Pa s]
    surface_tension : array (s, n) [N/m]

    Returns
    -------
    first_wobble
        None where no drop wobbles.
    second_wobble

    References
    ----------
    Those of `oscillation_rate` and `damping_time`.
    """
    if valve_wobble_phase is None:
        return Wobbles(None, None)
    made = [
        Wobble(
            amplitude=valve_wobble[drop],
            phase=valve_wobble_phase[drop],
            rate=oscillation_rate(
                mode=2, diameter=diameter, density=density, tension=surface_tension
            ),
            damping=damping_time(mode=2, diameter=diameter, density=density, viscosity=viscosity),
        )
        for drop, diameter in enumerate((first_diameter, second_diameter))
    ]
    return Wobbles(*made)


STAGE = Stage(name="wobble", declares=DECLARES, work=wobbles)
