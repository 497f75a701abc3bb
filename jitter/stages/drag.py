"""Air drag on a falling drop, and the fall equation without dimensions.

With the length unit L = (ρ + ρa/2) D / ρa and the time unit √(L/g'), where
g' = g (ρ - ρa)/(ρ + ρa/2), the fall equation reads

    dV/dT = 1 - ¾ C_D(Re, We) V²,   Re = A^(3/2) V,   We = A² M V²

so that two numbers decide every fall from rest: A, the cube root of the Archimedes number
ρa (ρ + ρa/2) g' D³ / μa², which goes with the drop's size, and M, a Morton number of drop and
air that the size does not enter: A² M = (ρ + ρa/2) g' D² / σ.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array

GRAVITY = 9.80665


def sphere_drag(reynolds: Array) -> Array:
    """Return the drag coefficient of a rigid sphere [1].

    The air's turbulence, the sphere's spin and the start of its motion are neglected.

    Parameters
    ----------
    reynolds
        Reynolds number of the sphere in air [1], 0 < Re < 3e5.

    References
    ----------
    Clift & Gauvin 1971, Can. J. Chem. Eng. 49, 439 (read second-hand; said to be within 6 % of
    measurements below Re 3e5); within 2.5 % of the variant in the reference library `fluids` below
    Re 4000.

    Examples
    --------
    >>> round(float(sphere_drag(np.array(100.0))), 3)
    1.094
    """
    return 24.0 / reynolds * (1.0 + 0.15 * reynolds**0.687) + 0.42 / (
        1.0 + 42500.0 * reynolds**-1.16
    )


def flattening(weber: Array) -> Array:
    """Return the factor by which a drop's flattening raises its drag [1].

    Oscillation and the liquid's viscosity are neglected.

    Parameters
    ----------
    weber
        Weber number of the drop in air, ρa v² D/σ [1]; 0 to about 9.

    References
    ----------
    Our own fit: with it terminal speeds agree within 0.9 % with Gunn & Kinzer 1949 (J. Meteorol.
    6, 243, table 2) for 1.6 to 5.8 mm, where a rigid sphere errs by up to 39 %.
    """
    return 1.0 + 0.02278 * weber**1.776


class FallUnits(NamedTuple):
    """The two numbers that decide a fall and the units that carry it back to metres."""

    archimedes: Array
    morton: Array
    length: Array
    time: Array


def fall_units(
    *,
    diameter: Array,
    density: Array,
    surface_tension: Array,
    air_density: Array,
    air_viscosity: Array,
) -> FallUnits:
    """Return the numbers and units of a drop's fall.

    Added mass is that of a sphere, ρa/2; history forces are neglected. Any drop much denser than
    the air.

    Parameters
    ----------
    diameter : array (s, n) [m]
    density : array (s, n) [kg/m3]
    surface_tension : array (s, n) [N/m]
    air_density : array (s, n) [kg/m3]
    air_viscosity : array (s, n) [Pa s]

    Returns
    -------
    archimedes : array (s, n) [1]
        Cube root of the Archimedes number.
    morton : array (s, n) [1]
    length : array (s, n) [m]
    time : array (s, n) [s]

    References
    ----------
    Closed form: the fall equation of this file divided by its own scales.
    """
    inertia = density + 0.5 * air_density
    pull = GRAVITY * (density - air_density) / inertia
    per_diameter = np.cbrt(air_density * inertia * pull / air_viscosity**2)
    stretch = inertia / air_density
    # The products that the size does not enter come first: they are few.
    return FallUnits(
        archimedes=per_diameter * diameter,
        morton=inertia * pull / (surface_tension * per_diameter**2),
        length=stretch * diameter,
        time=np.sqrt((stretch / pull) * diameter),
    )


def acceleration(speed: Array, archimedes: Array, morton: Array) -> Array:
    """Return dV/dT of the fall equation [1].

    Reynolds numbers up to 3e5 and Weber numbers up to about 9; neglect and sources are those of
    `sphere_drag` and `flattening`.

    Parameters
    ----------
    speed
        V, the speed in fall units [1], 0 or more.
    archimedes
        A, the cube root of the Archimedes number [1].
    morton
        M [1].
    """
    # C_D V² goes to 0 with V, but its factors do not: keep the Reynolds number off 0.
    reynolds = np.maximum(archimedes**1.5 * speed, 1e-12)
    weber = archimedes**2 * morton * speed**2
    return 1.0 - 0.75 * sphere_drag(reynolds) * flattening(weber) * speed**2
