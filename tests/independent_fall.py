"""How drops fall and swing in the independent simulation, and where they meet things.

Nothing is imported from the package. SI units; (memory): not read in the source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tests.independent_liquids import GRAVITY
from tests.independent_rig import Array

Flags = NDArray[np.bool_]
Turn = NDArray[np.complex128]


@dataclass(frozen=True)
class Fall:
    """Drops falling through still air, with the speed as the independent variable.

    Time and distance are plain integrals over it, of 1/acceleration and speed/acceleration.
    Only good well below terminal speed: at these heights, for diameters above about 1 mm.
    """

    diameter: Array
    density: Array
    surface_tension: Array
    air_density: Array
    air_viscosity: Array
    release_speed: Array

    def acceleration(self, speed: Array) -> Array:
        """Return weight less buoyancy less drag, over mass and added mass.

        Drag of Clift & Gauvin 1971 (memory), with a fit for flattening to Gunn & Kinzer 1949;
        written so that nothing is divided by the Reynolds number, which may be 0.
        """
        reynolds = self.air_density * speed * self.diameter / self.air_viscosity
        weber = self.air_density * speed**2 * self.diameter / self.surface_tension
        viscous = 24 * self.air_viscosity * speed / (self.air_density * self.diameter)
        inertial = 0.42 * speed**2 * reynolds**1.16 / (reynolds**1.16 + 42500)
        drag = (viscous * (1 + 0.15 * reynolds**0.687) + inertial) * (1 + 0.02278 * weber**1.776)
        weight = (self.density - self.air_density) * GRAVITY
        force = weight - 0.75 * self.air_density / self.diameter * drag
        return force / (self.density + self.air_density / 2)

    def reach(self, speed: Array) -> tuple[Array, Array]:
        """Return time and distance from the release to this speed (Gauss-Legendre)."""
        half = (speed - self.release_speed) / 2
        time, distance = np.zeros_like(half), np.zeros_like(half)
        for node, weight in zip(*np.polynomial.legendre.leggauss(10), strict=True):
            at = self.release_speed + half * (1 + node)
            share = weight * half / self.acceleration(at)
            time, distance = time + share, distance + share * at
        return time, distance

    def speed_after(self, amount: Array, *, distance: bool) -> Array:
        """Return the speed this far below the release, or this long after it.

        Newton's method down from the speed without drag: both integrals are convex in speed.
        """
        fallen = np.sqrt(self.release_speed**2 + 2 * GRAVITY * amount)
        speed = fallen if distance else self.release_speed + GRAVITY * amount
        for _ in range(6):
            excess = self.reach(speed)[int(distance)] - amount
            speed = speed - excess * self.acceleration(speed) / (speed if distance else 1)
        return speed

    def of(self, drop: int) -> Fall:
        """Return the fall of one of two drops."""
        parts = (self.diameter[drop], self.density, self.surface_tension, self.air_density)
        return Fall(*parts, self.air_viscosity, self.release_speed[drop])


class Swing(NamedTuple):
    """A drop's oscillation between egg and pancake, as a turning and shrinking arrow.

    The arrow's real part is by how much the drop is longer than a sphere, over its radius.
    """

    radius: Array
    arrow: Turn
    turning: Turn

    def height(self, time: Array) -> Array:
        """Return the half height this long after the pinch-off."""
        stretch = 1 + np.real(self.arrow * np.exp(self.turning * time))
        return np.asarray(self.radius * stretch)

    def above(self, time: Array, beside: Array) -> Array:
        """Return how far the surface is from the middle, this far beside the axis; 0 outside.

        Of a spheroid, whose volume is the sphere's.
        """
        height = self.height(time)
        width = np.sqrt(self.radius**3 / height)
        return np.asarray(height * np.sqrt(np.maximum(1 - (beside / width) ** 2, 0)))


def swing(fall: Fall, viscosity: Array, amplitude: Array, phase: Array) -> Swing:
    """Return a drop's lowest oscillation.

    A weight as heavy as the drop on a spring of 32 π/3 times the surface tension (Rayleigh 1879
    for a mass of 4/3 π ρ R³); its energy shrinks by 10 ν/R² in a unit of time (Lamb 1932).
    """
    radius = fall.diameter / 2
    mass = np.pi / 6 * fall.diameter**3 * fall.density
    rate = np.sqrt(32 / 3 * np.pi * fall.surface_tension / mass)
    shrinking = 5 * viscosity / fall.density / radius**2
    return Swing(radius, amplitude * np.exp(2j * np.pi * phase), 1j * rate - shrinking)


def strike(fall: Fall, shape: Swing | None, depth: Array, beside: Array | float = 0.0) -> Array:
    """Return the speed at which a drop's lower edge is first this far below the nozzle.

    By bisection, if the drop swings: from a drop's width above that depth down to it.
    """
    beside = np.asarray(beside)
    if shape is None:
        edge = np.sqrt(np.maximum((fall.diameter / 2) ** 2 - beside**2, 0))
        return fall.speed_after(depth - edge, distance=True)
    over = np.maximum(depth - fall.diameter, 1e-6)
    low, high = (fall.speed_after(far, distance=True) for far in np.broadcast_arrays(over, depth))
    return _first(
        low, high, lambda time, fallen: fallen + shape.above(time, beside) < depth, fall, 18
    )


def meet(
    fall: Fall, shape: Swing | None, high: Array, tip: Callable[[Array], Array], depth: Array
) -> Array:
    """Return the speed at which a drop's lower edge meets the tip of a jet.

    By bisection: the drop is above the tip at its release, and not above it at its landing, if it
    lands while the jet stands.

    Parameters
    ----------
    fall, shape
        The drop's.
    high
        Its speed as it lands.
    tip : function
        From the time after the release to the tip's height above the surface.
    depth
        From the nozzle to the surface.
    """

    def above(time: Array, fallen: Array) -> Flags:
        half = fall.diameter / 2 if shape is None else shape.height(time)
        return np.asarray(depth - fallen - half > tip(time))

    return _first(np.broadcast_to(fall.release_speed, high.shape), high, above, fall, 26)


def _first(
    low: Array, high: Array, before: Callable[[Array, Array], Flags], fall: Fall, halvings: int
) -> Array:
    """Return the first speed before which, at its time and distance, something no longer is."""
    for _ in range(halvings):
        middle = (low + high) / 2
        early = before(*fall.reach(middle))
        low, high = np.where(early, middle, low), np.where(early, high, middle)
    return high
